"""How long all checks take with fixes, and checking again after one change: `python benchmarks/fixes.py [JOB]`.

Times are the best of a few runs [ms of processor time] after import. What counts are the ratios, which do not hang on
the machine: fixes against one run of all checks, and one change checked again, by all checks and by those that can
react, against the same.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from stubout import run
from stubout.checks.registry import run_all
from stubout.design import Design
from stubout.fixes.bench import GRAVE, Bench
from stubout.fixes.moves import Shift
from stubout.fixes.tried import tried
from stubout.geometry.vec import Vec
from stubout.windows.judge import Judge

ROOT = Path(__file__).parents[1]
RUNS = 3
BY = Vec(0.0, 0.0, 5.0)


def best_ms(work: Callable[[], Any], runs: int = RUNS) -> float:
    """Return the best time of a few runs [ms of processor time]."""
    times = []
    for _ in range(runs):
        start = time.process_time()
        work()
        times.append((time.process_time() - start) * 1000)
    return min(times)


def measure(name: str, design: Design) -> None:
    """Print what the checks take, what each fix takes, and one change checked again."""
    verdict = run.check(design)
    all_ms = best_ms(lambda: run_all(design))
    print(f"{name}: {len(design.network.pipes)} pipes, all checks {all_ms:.0f} ms")
    bench = Bench(design, verdict.findings, verdict.not_checked)
    total = 0.0
    for f in (f for f in verdict.findings if f.level in GRAVE):
        start = time.process_time()
        told, _ = tried(bench, f)
        ms = (time.process_time() - start) * 1000
        total += ms
        word = "cleared" if told.cleared else "not cleared"
        print(f"  fix {f.check} {', '.join(f.about[:2]):<24}{ms:>8.0f} ms  x{ms / all_ms:>6.1f}  {word}")
    print(f"  all checks with fixes {all_ms + total:>8.0f} ms  x{(all_ms + total) / all_ms:>6.1f}")
    weir = next(t.weir for t in design.network.traps if t.arm_runs)
    new = Shift(((weir, BY),), weir).on(design)
    again_ms = best_ms(lambda: run_all(new))
    judge = Judge(design, frozenset({weir}), 100.0)
    react_ms = best_ms(lambda: judge.first(BY))
    print(f"  one change checked again: by all checks {again_ms:.0f} ms x{again_ms / all_ms:.2f}, ", end="")
    print(f"by those that can react {react_ms:.1f} ms x{react_ms / all_ms:.3f}")


def main() -> None:
    """Measure the two-storey house, or the job named."""
    path = sys.argv[1] if len(sys.argv) > 1 else str(next((ROOT / "examples").glob("01*.yaml")))
    measure(Path(path).stem, run.design(run.read(path)))


if __name__ == "__main__":
    main()
