"""What becomes of houses nobody tuned the engine for: `python benchmarks/houses.py [FIRST [LAST]]`.

Prints one line a house: processor time, what stands in it, how much is blocked, and the findings of STOP and FIX by
check, what it costs and the share of that above what is proven (docs/layout.md); at the end how many houses came out
without any finding. A bound above a cost would be a lie, and ends the run.
"""

# ruff: noqa: E402 - the generator stands beside the tests, which must be on the path first

from __future__ import annotations

import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests" / "houses"))

from plausible import plausible

from stubout import run
from stubout.problems import Level


def main(first: int, last: int) -> None:
    """Lay out the houses of some seeds and print what came of them."""
    clean = 0
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(first, last + 1):
            path = Path(folder) / f"house-{seed}.yaml"
            path.write_text(plausible(seed), encoding="utf-8")
            start = time.process_time()
            design = run.design(run.read(str(path)))
            found = Counter(f.check for f in run.check(design).findings if f.level in (Level.STOP, Level.FIX))
            clean += not found
            took = time.process_time() - start
            levels = "+".join(v.id for v in design.house.levels)
            cost, gap = design.costing().minutes, design.gap()
            if gap is None and not design.blocked:
                raise SystemExit(f"house {seed}: no bound below its cost of {cost:.0f} minutes")
            told = f"{cost:>6.0f} min{100 * gap:>4.0f} %" if gap is not None else " " * 16
            said = ", ".join(f"{check} x{n}" if n > 1 else check for check, n in sorted(found.items())) or "clean"
            print(
                f"{seed:>4}{took:>7.1f} s  {levels:<18}{design.book.id:<10}{len(design.house.fixtures):>3} fixtures"
                f"{len(design.blocked):>4} blocked{told}  {said}",
                flush=True,
            )
    print(f"{clean} of {last - first + 1} without a finding of STOP or FIX")


if __name__ == "__main__":
    given = [int(a) for a in sys.argv[1:3]]
    main(given[0] if given else 0, given[1] if len(given) > 1 else 19)
