"""VNT013 vent-too-long-lying."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import drains_at
from stubout.layout.model import PointKind
from stubout.network.model import Pipe
from stubout.problems import Level
from stubout.rulebooks import queries
from stubout.rulebooks.model import Cell


@check("VNT013", "vent-too-long-lying", Level.FIX)
def rule(on: Review) -> Findings:
    """Too much of a vent lies flat.

    ## What it checks
    Where the book sets a part: the flat length on the way from a drain to the open air against that part of the length
    permitted for the size the load needs, piece by piece of the way. What is one size larger over its whole length is
    free.

    ## Why it matters
    A flat vent carries condensed water and rubs the air more than an upright one.

    ## Fails
    120 ft of flat 2 in vent where a third of 120 ft is allowed.

    ## Passes
    The same vent in 2-1/2 in over its whole length.

    ## Does not check
    Books that set no such part.
    """
    lying = any(not p.vertical for p in on.net.vents())
    part = on.value("vent.horizontal_part") if lying else None
    if part is None:
        return
    told: set[str] = set()
    known: dict[str, tuple[Cell, Cell] | None] = {}  # many ways share their pipes
    for vent in on.net.vents():
        if not drains_at(on.net, on.net.node(vent.start)):
            continue
        way = (vent, *on.net.downstream(vent))
        if on.net.node(way[-1].end).kind != PointKind.TERMINAL:
            continue
        flat_mm = sum(p.length_mm for p in way if not p.vertical)
        if flat_mm <= LENGTH_TOL_MM:
            continue
        for p in way:
            if p.id not in known:
                known[p.id] = _permitted(on, p)
        limits = [pair for pair in (known[p.id] for p in way) if pair is not None]
        if not limits:
            continue
        limit, need = min(limits, key=lambda pair: pair[0].number)
        over_mm = flat_mm - part.number * limit.number
        flat = next(p for p in way if not p.vertical)
        if over_mm > LENGTH_TOL_MM and flat.id not in told:
            told.add(flat.id)
            yield on.finding(
                about=(flat.id, vent.id),
                found=f"{on.mm(flat_mm)} of the way from {vent.start} to the open air lies flat",
                wanted=f"at most {on.mm(part.number * limit.number)} in {on.size(need.number)}",
                do=f"take {on.mm(over_mm)} of flat pipe out, or lay the whole way one size larger",
                why="A flat vent carries condensed water and rubs the air.",
                bases=(part, limit, on.book.find("vent.horizontal_lift")),
                at=flat.a,
            )


def _permitted(on: Review, pipe: Pipe) -> tuple[Cell, Cell] | None:
    """Return the length permitted for the size that the load of a vent needs, and that size; None if it is larger."""
    if pipe.load <= 0.0:
        return None
    need = on.ask(queries.vent_capacity, on.book, load=pipe.load, length_mm=0.0, stack=False, stack_in=0.0)
    if need is None or pipe.size_in > need.number + 1e-6:
        return None
    limit = queries.vent_max_length(on.book, vent_in=need.number, load=pipe.load, stack=False, stack_in=0.0)
    if limit is None:
        on.skip(f"the book gives no length for a {on.size(need.number)} vent")
        return None
    return limit, need
