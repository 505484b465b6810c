"""The process that plans jobs: reads one request a line, says each step, writes the files into one archive.

It runs beside the server so that a long run never holds up a page, and so that a run can be ended. It holds no secret,
opens nothing but the files it is told to write, and ends when the server does.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import sys
import traceback
import zipfile
from functools import partial
from typing import Any, Final

from stubout.design import Design
from stubout.problems import JobFileError, StuboutError
from stubout.run_field import built, live, take, texts

try:
    import resource
except ImportError:  # not on every system
    resource = None  # type: ignore[assignment]

_DATE: Final = (1980, 1, 1, 0, 0, 0)  # of the entries: the same files make the same bytes


def packed(files: dict[str, bytes]) -> bytes:
    """Return files as one archive."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in sorted(files.items()):
            archive.writestr(zipfile.ZipInfo(name, _DATE), data, zipfile.ZIP_DEFLATED, 6)
    return out.getvalue()


def main() -> None:
    """Serve until the other end closes."""
    said = sys.stdout
    sys.stdout = sys.stderr  # whatever prints must not break the lines that are counted on
    limit(int(sys.argv[1]))

    def say(**what: Any) -> None:
        said.write(json.dumps(what) + "\n")
        said.flush()

    for line in sys.stdin:
        asked = json.loads(line)
        try:
            job = texts.read_text(asked["text"])
            if asked["built"]:
                job = built.with_readings(job, (built.Reading(**r) for r in json.loads(asked["built"])))
            keep = partial(_keep, asked["design"]) if asked["design"] else None
            files = take.take(job, lambda step: say(step=step), keep)
            _write(asked["to"], packed(files))
            say(done=True)
        except JobFileError as told:
            say(error=f"{len(told.faults)} faults in the job file", faults=len(told.faults))
        except StuboutError as told:
            say(error=str(told))
        except MemoryError:
            say(error="the job needs more memory than a plan may take")
        except Exception as fault:
            traceback.print_exc()
            say(error=f"a fault of the program, not of your job: {type(fault).__name__}: {fault}")


def _keep(path: str, design: Design) -> None:
    _write(path, live.put_away(design))


def _write(path: str, data: bytes) -> None:
    with open(path, "xb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def limit(most_bytes: int) -> None:
    """Bound the memory of this process, where the system can."""
    with contextlib.suppress(AttributeError, ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_AS, (most_bytes, most_bytes))


if __name__ == "__main__":
    main()
