"""How plans of sticks come out and what they take, by columns against the exact solver: `python benchmarks/stock.py`.

Both begin from the same plan, that of best fit and filling, and from the bound of the arithmetic; only cases which that
leaves open are counted. Prints how many each proves, and the ratio of their processor times in one run.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterator
from itertools import pairwise

from stubout.fabrication.model import CutPiece
from stubout.fabrication.stock import Yard, plan, sums, whole_plan
from stubout.fabrication.stock_bound import Least, Sizes, least
from stubout.fabrication.stock_columns import by_columns
from stubout.fabrication.stock_exact import solve
from stubout.fabrication.stock_fill import Filled
from stubout.problems import Status

KERF_MM = 3.175
SIZE_IN = 2.0
CASES = 8  # of each kind


def repeated(rng: random.Random, pieces: int, kinds: int) -> list[float]:
    """Return pieces of few lengths, to the sixteenth of an inch [mm]."""
    lengths = [round(rng.uniform(150, 2700) / 1.5875) * 1.5875 for _ in range(kinds)]
    return [rng.choice(lengths) for _ in range(pieces)]


def tight(rng: random.Random, sticks: int, spare_mm: float) -> list[float]:
    """Return sticks cut up at random: of each at most so much is to spare [mm]."""
    cuts: list[float] = []
    for _ in range(sticks):
        marks = [0.0, *sorted(rng.random() for _ in range(rng.randint(1, 4))), 1.0]
        room = 3048.0 - KERF_MM * (len(marks) - 2) - rng.uniform(0.0, spare_mm)
        cuts += [max((b - a) * room, 6.0) for a, b in pairwise(marks)]
    return cuts


def cases() -> Iterator[tuple[str, list[float], tuple[float, ...]]]:
    """Yield what kind of case, the pieces and the stock lengths [mm]."""
    both = (3048.0, 6096.0)
    for seed in range(CASES):
        rng = random.Random(seed)
        yield "30 pieces, all different", [rng.uniform(300, 2000) for _ in range(30)], both
        yield "40 pieces of 8 lengths", repeated(rng, 40, 8), both
        yield "120 pieces of 14 lengths", repeated(rng, 120, 14), both
        yield "5 to 8 sticks, 3 thousandths to spare", tight(rng, rng.randint(5, 8), 9.0), (3048.0,)


def left_open(cuts: list[float], stock: tuple[float, ...]) -> tuple[Sizes, Filled] | None:
    """Return a case in whole numbers with its plan, None where the arithmetic proves that already."""
    pieces = tuple(
        CutPiece(f"P{i}-1", f"P{i}", "drain", SIZE_IN, mm, 0.0, 0.0, mm, "", "", Status.READ, pipes=(f"P{i}",))
        for i, mm in enumerate(cuts)
    )
    yard = Yard(stock, KERF_MM)
    sticks = plan(pieces, yard)
    if all(s.proven for s in sums(pieces, sticks, yard)):
        return None
    return whole_plan(pieces, sticks, yard, SIZE_IN)


def price(of: Sizes, filled: Filled) -> tuple[float, int]:
    """Return pipe bought [mm] and sticks."""
    return round(sum(of.stock_mm[k] for k, _ in filled), 3), len(filled)


def alone(of: Sizes, hint: Filled) -> tuple[Filled, Least]:
    """Return what the exact solver makes of a case, from the arithmetic's bound."""
    return solve(of, hint, least(of, price(of, hint)))


def timed(of: Sizes, hint: Filled, search: Callable[[Sizes, Filled], tuple[Filled, Least]]) -> tuple[bool, float]:
    """Return whether a search proves its plan, and what it takes [s]."""
    begun = time.process_time()
    filled, bound = search(of, hint)
    return price(of, filled) <= bound, time.process_time() - begun


def main() -> None:
    """Run both on every case."""
    rows: dict[str, list[tuple[bool, float, bool, float]]] = {}
    for kind, cuts, stock in cases():
        rows.setdefault(kind, [])
        case = left_open(cuts, stock)
        if case is None:
            continue
        of, hint = case
        rows[kind].append((*timed(of, hint, by_columns), *timed(of, hint, alone)))
    print(f"{'of ' + str(CASES) + ' cases each':40} open  columns prove  solver proves  columns s  solver s  ratio")
    for kind, found in rows.items():
        ours, theirs = sum(f[1] for f in found), sum(f[3] for f in found)
        ratio = f"{ours / theirs:.3f}" if theirs else "-"
        print(
            f"{kind:40} {len(found):4} {sum(f[0] for f in found):14} {sum(f[2] for f in found):14} "
            f"{ours:10.2f} {theirs:9.2f}  {ratio}"
        )


if __name__ == "__main__":
    main()
