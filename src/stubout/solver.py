"""The exact solver (CP-SAT of OR-Tools), an extra that need not be installed: `pip install stubout[exact]`.

Loading it takes 1.3 s, so whoever asks it something loads it then and no sooner. One thread, a fixed seed, an end by
counted work, not by the clock: the same question always gets the same answer.
"""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpSolver

SEED = 1


@cache
def there() -> bool:
    """Return whether the solver is installed, without loading it."""
    return find_spec("ortools") is not None


def solver(most_work: float) -> CpSolver:
    """Return a solver that ends after so much of its own measure of work; raises ImportError if it is not installed."""
    from ortools.sat.python import cp_model

    made = cp_model.CpSolver()
    made.parameters.num_workers = 1
    made.parameters.random_seed = SEED
    made.parameters.max_deterministic_time = most_work
    return made
