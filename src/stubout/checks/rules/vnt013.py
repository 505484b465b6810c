"""VNT013 vent-too-long-lying."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import drains_at
from stubout.layout.model import PointKind
from stubout.problems import Level
from stubout.rulebooks import queries


@check("VNT013", "vent-too-long-lying", Level.FIX)
def rule(on: Review) -> Findings:
    """Too much of a vent lies flat.

    ## What it checks
    Where the book sets a part: the flat length on the way from a drain to the open air against that part of the length
    permitted for the size the load needs. A way that is one size larger over its whole length is free.

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
    for vent in on.net.vents():
        if not drains_at(on.net, on.net.node(vent.start)):
            continue
        way = (vent, *on.net.downstream(vent))
        if on.net.node(way[-1].end).kind != PointKind.TERMINAL:
            continue
        flat_mm = sum(p.length_mm for p in way if not p.vertical)
        load = max(p.load for p in way)
        if flat_mm <= LENGTH_TOL_MM or load <= 0.0:
            continue
        need = on.ask(queries.vent_capacity, on.book, load=load, length_mm=0.0, stack=False, stack_in=0.0)
        if need is None or min(p.size_in for p in way) > need.number + 1e-6:
            continue
        limit = queries.vent_max_length(on.book, vent_in=need.number, load=load, stack=False, stack_in=0.0)
        if limit is None:
            on.skip(f"the book gives no length for a {on.size(need.number)} vent")
            continue
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
