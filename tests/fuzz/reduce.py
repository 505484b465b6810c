"""Make a failing input small: leave lines away for as long as it fails in the same place.

python tests/fuzz/reduce.py FILE --stage read|house|design|plan     writes FILE.small
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from judge import FAILED, STAGES, judge


def smaller(data: bytes, fails: Callable[[bytes], bool]) -> bytes:
    """Return as few of the lines as still fail, in their order."""
    lines = data.splitlines(keepends=True)
    size = max(1, len(lines) // 2)
    while True:
        at, before = 0, len(lines)
        while at < len(lines):
            rest = lines[:at] + lines[at + size :]
            if rest and fails(b"".join(rest)):
                lines = rest
            else:
                at += size
        if size == 1 and len(lines) == before:
            return b"".join(lines)
        size = max(1, size // 2)


def main() -> int:
    """Reduce the file of the arguments."""
    ask = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    ask.add_argument("file", type=Path)
    ask.add_argument("--stage", choices=STAGES, default="read")
    said = ask.parse_args()
    with TemporaryDirectory() as folder:
        path = Path(folder) / "job.yaml"

        def cause(data: bytes) -> str:
            path.write_bytes(data)
            outcome = judge(path, said.stage)
            return f"{outcome.kind} {outcome.place[:40]}" if outcome.kind in FAILED else ""

        data = said.file.read_bytes()
        first = cause(data)
        if not first:
            print(f"{said.file} does not fail")
            return 1
        said.file.with_suffix(".small").write_bytes(smaller(data, lambda d: cause(d) == first))
    print(first)
    return 0


if __name__ == "__main__":
    sys.exit(main())
