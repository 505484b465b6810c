"""Edits as statements of the job file: who says what. Facts go to `said_facts.py`, pipes to `said_routes.py`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from stubout import units
from stubout.design import Design
from stubout.fixes import said_facts, said_routes
from stubout.fixes.bench import applied
from stubout.fixes.builder import Aside, Boxed, Deeper
from stubout.fixes.facts import Fact, MoveThing, Placed
from stubout.fixes.graph import leg_of
from stubout.fixes.lists import Hang, Protect, Rebore, Refit
from stubout.fixes.methods import Unsaid
from stubout.fixes.model import Edit
from stubout.fixes.moves import Shift
from stubout.fixes.openings import Opened, Opening
from stubout.fixes.redraw import Redraw
from stubout.fixes.said import NotSaid, Statement, nominal
from stubout.fixes.sizes import SIZES_IN, Resize, RouteSize, TrapSize
from stubout.job.model import Job

OF_PIPES = (Shift, Redraw, Resize, RouteSize, Unsaid, Opened)
WHY = {
    Placed: "where a pipe lies is worked out whenever the house is planned: the job file does not say it",
    Refit: "fittings are chosen whenever the house is planned: the job file does not say them; take it from the list",
    Protect: "plates and straps are listed whenever the house is planned: the job file does not say them; put it on",
    Hang: "hangers are listed whenever the house is planned: the job file does not say them; hang it so",
    Rebore: "holes are listed whenever the house is planned: the job file does not say them; bore it so",
}


def stated(job: Job, design: Design, edits: Sequence[Edit]) -> tuple[Statement, ...]:
    """Return what has to be said in the job file for a planned house to have some edits made.

    Args:
        job: The job as it is said now.
        design: Its design.
        edits: The edits, each of the design as the one before leaves it.

    Raises:
        NotSaid: If the file has no word for one of them.
    """
    out: list[Statement] = []
    now = design
    for edit in edits:
        out += _of(job, now, edit)
        now = applied(now, (edit,))
    if any(isinstance(e, OF_PIPES) for e in edits):
        out += said_routes.routes(design, now)
        if said_routes.freezes(design):
            out += said_facts.of_boxes(job, design)
    if not out:
        raise NotSaid("nothing of the job file would change by it")
    return tuple(out)


def _of(job: Job, design: Design, edit: Edit) -> Iterator[Statement]:
    reason = WHY.get(type(edit))
    if reason is not None:
        raise NotSaid(reason)
    match edit:
        case Fact():
            yield from said_facts.of_fact(job, design, edit)
        case MoveThing():
            yield from said_facts.of_thing(job, design, edit)
        case Deeper():
            yield from said_facts.of_wall(job, edit.on(design), edit)
        case Aside():
            yield from said_facts.of_joist(job, edit.on(design), edit)
        case Boxed():
            yield from said_facts.of_box(job, edit)
        case TrapSize():
            yield from said_facts.of_trap(edit)
        case Opening():
            yield _opening(design, edit)
        case Shift() if edit.fixtures:
            yield from _with_fixtures(job, design, edit)


def _opening(design: Design, edit: Opening) -> Statement:
    """Return the route that a cleanout stands on in the size of its plug."""
    old = next(c for c in design.cleanouts if c.id == edit.plan.id)
    leads = [design.network.pipe(i) for i in design.network.node(old.point).outflow]
    routes = {leg_of(p.id) for p in leads if p.drawn} & {g.id for g in design.house.routes}
    if edit.plan.size_in <= old.size_in:
        raise NotSaid("the job file says of a cleanout where it stands and on what, not which way it opens")
    if not routes or design.network.node(old.point).inflow:
        raise NotSaid("the size of a cleanout follows from its pipe: the job file does not say it")
    size = next((s for s in SIZES_IN if s >= edit.plan.size_in), edit.plan.size_in)
    return Statement(("routes", min(routes), "size"), nominal(size))


def _with_fixtures(job: Job, design: Design, edit: Shift) -> Iterator[Statement]:
    """Yield where the fixtures stand that go along with their traps."""
    after, u = edit.on(design), job.job.units
    for tag in edit.fixtures:
        said = next(f for f in job.fixtures if f.tag == tag)
        old, new, at = design.house.fixture(tag), after.house.fixture(tag), ("fixtures", tag)
        if said.at is not None and old.station_mm is not None and new.station_mm is not None:
            yield Statement((*at, "at"), units.as_typed(said.at + new.station_mm - old.station_mm, u))
        if old.outlet is None or new.outlet is None:
            continue
        by = new.outlet.minus(old.outlet)
        if said.drain is not None:
            yield Statement((*at, "drain"), units.all_typed((said.drain[0] + by.x, said.drain[1] + by.y), u))
        for key, moved in (("x", by.x), ("y", by.y)):
            reach = getattr(said, key)
            if reach is not None and abs(moved) > said_facts.MOVED_MM:
                yield Statement((*at, key), units.all_typed(tuple(c + moved for c in reach), u))
