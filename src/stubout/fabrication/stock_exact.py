"""The stock plan by the exact solver, where a plan is not at its proven least already. Whole numbers, mm/1000."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from stubout.fabrication.model import ProvenBy
from stubout.fabrication.stock_bound import GRID, Least, Sizes
from stubout.fabrication.stock_columns import by_columns
from stubout.fabrication.stock_fill import Filled
from stubout.solver import solver, there

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, IntVar

MOST_WORK = 3.0  # of the solver's own measure of work, three to eight seconds


def better(of: Sizes, hint: Filled) -> tuple[Filled, Least, ProvenBy]:
    """Return the cheapest plan found, its proven bound and what that comes from.

    By columns; where they leave a gap, by the exact solver, if it is installed.

    Args:
        of: Pieces and stock lengths.
        hint: A plan that works; what comes back is never dearer.
    """
    filled, bound = by_columns(of, hint)
    if _price(of, filled) <= bound or not there():
        return filled, bound, "columns"
    return *solve(of, filled, bound), "solver"


def solve(of: Sizes, hint: Filled, floor: Least) -> tuple[Filled, Least]:
    """Return the cheapest plan found by the solver and its proven bound; raises ImportError if it is not installed.

    Least pipe first, then fewest sticks. Pieces of one length are counted, not told apart.

    Args:
        of: Pieces and stock lengths.
        hint: A plan that works; what comes back is never dearer.
        floor: A bound that is proven already.
    """
    from ortools.sat.python import cp_model

    scale = _scale(of, hint)
    model = cp_model.CpModel()
    lengths = sorted(Counter(of.items).items(), reverse=True)
    on, out_of_hand = (
        [[model.new_int_var(0, n, "") for _, n in lengths] for _ in range(k)] for k in (scale.sticks, len(of.hand))
    )
    kind = [[model.new_bool_var("") for _ in of.holds] for _ in range(scale.sticks)]
    price = [sum(c * y for c, y in zip(scale.cost, row, strict=True)) for row in kind]
    for row, bought in zip(on, kind, strict=True):
        model.add_at_most_one(bought)
        sawn = sum(i * x for (i, _), x in zip(lengths, row, strict=True))
        model.add(sawn <= sum(h * y for h, y in zip(of.holds, bought, strict=True)))
    for row, held in zip(out_of_hand, of.hand, strict=True):
        model.add(sum(i * x for (i, _), x in zip(lengths, row, strict=True)) <= held)
    for g, (_, n) in enumerate(lengths):
        model.add(sum(row[g] for row in (*on, *out_of_hand)) == n)
    for one, two in pairwise(price):  # sticks of one length are alike: the dearer stand first
        model.add(one >= two)
    total = sum(price)
    model.add(total <= sum(scale.cost[k] for k, _ in hint if k < len(of.holds)))
    model.add(total >= scale.of(floor))
    bought_on = [s for s in hint if s[0] < len(of.holds)]
    for b, (k, items) in enumerate(sorted(bought_on, key=lambda s: -scale.cost[s[0]])):
        _hinted(model, lengths, on[b], items)
        for j, y in enumerate(kind[b]):
            model.add_hint(y, j == k)
    for k, items in (s for s in hint if s[0] >= len(of.holds)):
        _hinted(model, lengths, out_of_hand[k - len(of.holds)], items)
    model.minimize(total)
    asked = solver(MOST_WORK)
    status = asked.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return hint, floor
    filled: Filled = []
    for row, bought in zip(on, kind, strict=True):
        items = [i for (i, _), x in zip(lengths, row, strict=True) for _ in range(asked.value(x))]
        if items:
            filled.append((next(j for j, y in enumerate(bought) if asked.value(y)), items))
    for k, row in enumerate(out_of_hand, len(of.holds)):
        items = [i for (i, _), x in zip(lengths, row, strict=True) for _ in range(asked.value(x))]
        filled += [(k, items)] if items else []
    if status == cp_model.OPTIMAL:
        return filled, Least(*_price(of, filled))
    return filled, max(floor, scale.least(math.ceil(asked.best_objective_bound - 1e-6), of))


def _hinted(model: CpModel, lengths: list[tuple[int, int]], row: list[IntVar], items: list[int]) -> None:
    counted = Counter(items)
    for (i, _), x in zip(lengths, row, strict=True):
        model.add_hint(x, counted[i])


@dataclass(frozen=True, slots=True)
class _Scale:
    """Pipe first, sticks second, in one whole number a stick."""

    sticks: int  # as many as the hint's pipe can be
    unit: int  # common measure of the stock lengths [mm/1000]
    cost: tuple[int, ...]  # of a stick of each length

    def of(self, bound: Least) -> int:
        """Return a bound in that number."""
        return math.ceil(round(bound.mm * GRID) / self.unit) * (self.sticks + 1) + bound.sticks

    def least(self, number: int, of: Sizes) -> Least:
        """Return what a number that no plan is below says of pipe and sticks."""
        mm = math.ceil((number - self.sticks) / (self.sticks + 1)) * self.unit / GRID
        return Least(mm, math.ceil(mm / of.stock_mm[-1]))


def _scale(of: Sizes, hint: Filled) -> _Scale:
    lengths = [round(s * GRID) for s in of.stock_mm]
    unit = math.gcd(*lengths)
    sticks = sum(lengths[k] for k, _ in hint if k < len(lengths)) // lengths[0]
    return _Scale(sticks, unit, tuple(n // unit * (sticks + 1) + 1 for n in lengths))


def _price(of: Sizes, filled: Filled) -> tuple[float, int]:
    bought = [of.stock_mm[k] for k, _ in filled if k < len(of.holds)]
    return round(sum(bought), 3), len(bought)
