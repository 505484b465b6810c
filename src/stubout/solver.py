"""Solvers of other hands: the exact one for choices (CP-SAT of OR-Tools), and linear programmes (HiGHS).

OR-Tools is an extra that need not be installed: `pip install stubout[exact]`. Loading either takes a while (1.3 s and
0.2 s), so whoever asks it something loads it then and no sooner. One thread, a fixed seed, an end by counted work, not
by the clock: the same question always gets the same answer.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from importlib.util import find_spec
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpSolver

SEED = 1
SAME = 0.01  # so near to the least cost an answer in whole numbers is the cheapest
INFINITE = float("inf")
NOTHING = 1e-9  # a coefficient this small is none

Term = tuple[int, float]  # a column and its coefficient


@cache
def there() -> bool:
    """Return whether the solver for choices is installed, without loading it."""
    return find_spec("ortools") is not None


def solver(most_work: float) -> CpSolver:
    """Return a solver that ends after so much of its own measure of work; raises ImportError if it is not installed."""
    from ortools.sat.python import cp_model

    made = cp_model.CpSolver()
    made.parameters.num_workers = 1
    made.parameters.random_seed = SEED
    made.parameters.max_deterministic_time = most_work
    return made


class Linear:
    """A linear programme: columns with their limits and cost, rows between limits; the least cost is looked for."""

    def __init__(self) -> None:
        from highspy import _core

        self._ask = _core._Highs()  # the class round it speaks on standard output before it can be told not to
        self._ask.setOptionValue("output_flag", False)
        self._ask.setOptionValue("threads", 1)
        self._ask.setOptionValue("random_seed", SEED)
        self._columns = self._rows = 0

    def column(self, least: float, most: float, cost: float = 0.0, *, whole: bool = False) -> int:
        """Add a column, of whole numbers only where that is wanted, and return its number."""
        from highspy import HighsVarType

        self._ask.addCol(cost, least, most, 0, [], [])
        if whole:
            self._ask.changeColIntegrality(self._columns, HighsVarType.kInteger)
        self._columns += 1
        return self._columns - 1

    def price(self, column: int, cost: float) -> None:
        """Let a column cost something else."""
        self._ask.changeColCost(column, cost)

    def loosen(self, row: int) -> None:
        """Let a row say nothing any more."""
        self._ask.changeRowBounds(row, -INFINITE, INFINITE)

    def row(self, least: float, most: float, terms: Iterable[Term]) -> int:
        """Add a row: what its terms come to lies between two limits. A column may stand in several terms.

        Returns:
            Its number.
        """
        whole: dict[int, float] = {}
        for column, factor in terms:
            whole[column] = whole.get(column, 0.0) + factor
        kept = {i: v for i, v in whole.items() if abs(v) > NOTHING}
        self._ask.addRow(least, most, len(kept), list(kept), list(kept.values()))
        self._rows += 1
        return self._rows - 1

    def whole(self, most_nodes: int) -> tuple[tuple[float, ...], float] | None:
        """Return the columns at the least cost that was found, and what no answer costs less than.

        None where the rows contradict each other, or no answer was found in time.

        Args:
            most_nodes: Of the search tree; then what is known is returned, so that the answer hangs on no clock.
        """
        from highspy import HighsModelStatus

        self._ask.setOptionValue("mip_max_nodes", most_nodes)
        self._ask.setOptionValue("mip_rel_gap", 0.0)
        self._ask.setOptionValue("mip_abs_gap", SAME)
        self._ask.run()
        if self._ask.getModelStatus() not in (HighsModelStatus.kOptimal, HighsModelStatus.kSolutionLimit):
            return None
        columns = tuple(self._ask.getSolution().col_value)
        return (columns, float(self._ask.getInfo().mip_dual_bound)) if columns else None

    def solved(self) -> tuple[float, ...] | None:
        """Return the columns at the least cost, None where the rows contradict each other."""
        from highspy import HighsModelStatus

        self._ask.run()
        if self._ask.getModelStatus() != HighsModelStatus.kOptimal:
            return None
        return tuple(self._ask.getSolution().col_value)
