"""The same choice put to a constraint solver (CP-SAT), where it is installed: `pip install stubout[exact]`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stubout.layout.select.model import Choice, Picked
from stubout.solver import solver

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, IntVar, LinearExprT

MOST_TIME = 5.0  # of the solver's own, deterministic measure; never a clock


def solve(choice: Choice, most_time: float = MOST_TIME) -> Picked | None:
    """Return the cheapest choice, the first in order of those that cost the same; None if none is possible or found.

    Raises:
        ImportError: If the solver is not installed.
    """
    from ortools.sat.python import cp_model

    model, x, total = _model(choice)
    model.minimize(total)
    asked = solver(most_time)
    status = asked.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    cost, bound = round(asked.objective_value), round(asked.best_objective_bound)
    picks = tuple(next(k for k, v in enumerate(row) if asked.value(v)) for row in x)
    if status == cp_model.OPTIMAL:
        picks, bound = _first_in_order(choice, cost, picks, most_time), cost
    return Picked(picks, cost, min(bound, cost), "CP-SAT")


def _first_in_order(choice: Choice, cost: int, known: tuple[int, ...], most_time: float) -> tuple[int, ...]:
    """Return the first picks in order of all that cost so little; where time runs out, those that are known."""
    from ortools.sat.python import cp_model

    model, x, total = _model(choice)
    model.add(total <= cost)
    picks: tuple[int, ...] = ()
    for row in x:
        for k, v in enumerate(row):
            model.clear_assumptions()
            model.add_assumption(v)
            status = solver(most_time).solve(model)
            if status == cp_model.UNKNOWN:
                return known
            if status != cp_model.INFEASIBLE:
                model.add(v == 1)
                picks = (*picks, k)
                break
    return picks


def _model(choice: Choice) -> tuple[CpModel, list[list[IntVar]], LinearExprT]:
    """Return the model without an objective, its variables by group and candidate, and its cost."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    x = [[model.new_bool_var(f"{g}.{k}") for k in range(len(group))] for g, group in enumerate(choice.costs)]
    for row in x:
        model.add_exactly_one(row)
    for (g, k), (h, m) in sorted(choice.conflicts):
        model.add_bool_or(x[g][k].negated(), x[h][m].negated())
    terms: list[LinearExprT] = [price * x[g][k] for g, row in enumerate(choice.costs) for k, price in enumerate(row)]
    for (g, k), (h, m), spared in choice.savings:
        both = model.new_bool_var(f"{g}.{k}+{h}.{m}")
        model.add_implication(both, x[g][k])
        model.add_implication(both, x[h][m])
        terms.append(-spared * both)
    return model, x, sum(terms)
