"""One door for whoever has a choice to make: the solver where there is one, the own search where there is none."""

from __future__ import annotations

from stubout.layout.select import branch, cpsat
from stubout.layout.select.model import Choice, Picked
from stubout.solver import there


def solve(choice: Choice) -> Picked | None:
    """Return the cheapest choice, proven or with what is proven of it; None if none is possible.

    Both ways give the same picks wherever both prove them: the first in order of all that cost the same.
    """
    own = branch.solve(choice)
    if own is not None and own.proven:
        return own
    better = cpsat.solve(choice) if there() else None
    if own is None or better is None:
        return better or own
    return min((own, better), key=lambda p: (p.cost, -p.bound))
