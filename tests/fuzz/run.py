"""Try many broken job files: each in a worker process with a limit of time and of memory.

    python tests/fuzz/run.py --inputs 50000 --stage read|house|design|plan [--first N] [--memory MB] [--out FOLDER]

Prints how the inputs ended and saves those that failed. Ends with 1 if one did.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import sys
import time
from collections import Counter
from collections.abc import Iterator
from multiprocessing.connection import Connection
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

from judge import CRASH, FAILED, HANG, KINDS, MEMORY, STAGES, Outcome, Stage, judge
from mutate import Input, mutant

_SLOWEST_S: Final = {"read": 5.0, "house": 5.0, "design": 120.0, "plan": 180.0}
_SMALL: Final = ("design", "plan")  # stages that begin from small jobs, tamely changed
_START_S: Final = 60.0  # a worker loads the program
_MB: Final = 1 << 20


def worker(pipe: Connection, first: int, end: int, stage: Stage, memory_mb: int) -> None:
    """Judge the inputs from `first` to before `end`; send each outcome with the time and the memory it took."""
    import resource  # noqa: PLC0415 - not on every system, and only the worker needs it

    with TemporaryDirectory() as folder:
        path = Path(folder) / "job.yaml"
        path.write_bytes(mutant(0, small=True).data)
        judge(path, stage)  # loads what is loaded once
        held = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
        resource.setrlimit(resource.RLIMIT_AS, (held + memory_mb * _MB, resource.RLIM_INFINITY))
        pipe.send(None)
        for number in range(first, end):
            path.write_bytes(mutant(number, stage in _SMALL).data)
            begun, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
            outcome = judge(path, stage)
            peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
            pipe.send((outcome, time.perf_counter() - begun, (peak - before) // 1024, peak // 1024))


def outcomes(first: int, end: int, stage: Stage, memory_mb: int) -> Iterator[tuple[int, Outcome, float, int, int]]:
    """Yield number, outcome, seconds, growth and peak of memory [MB] of every input; a dead worker is replaced."""
    context = multiprocessing.get_context("spawn")
    number = first
    while number < end:
        ours, theirs = context.Pipe()
        process = context.Process(target=worker, args=(theirs, number, end, stage, memory_mb), daemon=True)
        process.start()
        theirs.close()
        try:
            if not ours.poll(_START_S):
                raise TimeoutError("the worker does not start")
            ours.recv()
            while number < end:
                if not ours.poll(_SLOWEST_S[stage]):
                    yield number, Outcome(HANG, f"over {_SLOWEST_S[stage]:g} s", "hang"), _SLOWEST_S[stage], 0, 0
                    number += 1
                    break
                outcome, seconds, growth, peak = ours.recv()
                yield number, outcome, seconds, growth, peak
                number += 1
                if outcome.kind == MEMORY:
                    break  # what it still holds is not known: a new worker
        except EOFError:
            yield number, Outcome(CRASH, "the worker is gone", "crash"), 0.0, 0, 0
            number += 1
        finally:
            process.kill()
            process.join()
            ours.close()


def save(folder: Path, case: Input, outcome: Outcome) -> None:
    """Save a failing input with what was done to it and what came of it."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / f"{case.number}.yaml").write_bytes(case.data)
    said = f"{outcome.kind}: {outcome.place}\n{case.seed}: {', '.join(case.changes)}\n\n{outcome.note}\n"
    (folder / f"{case.number}.txt").write_text(said, encoding="utf-8", errors="backslashreplace")


def main() -> int:
    """Run what the arguments ask for; return the exit code."""
    ask = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    ask.add_argument("--inputs", type=int, default=50_000)
    ask.add_argument("--first", type=int, default=1, help="number of the first input")
    ask.add_argument("--stage", choices=STAGES, default="read")
    ask.add_argument("--memory", type=int, default=512, help="MB an input may take beyond the loaded program")
    ask.add_argument("--out", type=Path, default=Path("out/fuzz"), help="folder for the inputs that failed")
    said = ask.parse_args()
    counts: Counter[str] = Counter()
    causes: dict[str, list[int]] = {}
    worst: dict[str, Any] = {"seconds": (0.0, 0), "growth_mb": (0, 0), "peak_mb": (0, 0)}
    begun = time.perf_counter()
    for number, outcome, *measured in outcomes(said.first, said.first + said.inputs, said.stage, said.memory):
        counts[outcome.kind] += 1
        for key, value in zip(worst, measured, strict=True):
            worst[key] = max(worst[key], (round(value, 2), number))
        if outcome.kind in FAILED:
            if outcome.place not in causes:
                print(f"{number}: {outcome.kind}: {outcome.place}", flush=True)
            causes.setdefault(outcome.place, []).append(number)
            if len(causes[outcome.place]) <= 5:  # more of one cause teach nothing
                save(said.out, mutant(number, said.stage in _SMALL), outcome)
    for kind in KINDS:
        if counts[kind] or kind in FAILED:
            print(f"{kind:24}{counts[kind]:8}")
    print(f"{'inputs':24}{sum(counts.values()):8}")
    print(f"{time.perf_counter() - begun:.0f} s; the worst, with its number: {json.dumps(worst)}")
    for place, numbers in sorted(causes.items()):
        print(f"{len(numbers):6} x {place}, such as {numbers[:5]}")
    return 1 if causes else 0


if __name__ == "__main__":
    sys.exit(main())
