"""SUD001 joint-in-suds-zone."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import drains_at, fixture, incoming, vents_at
from stubout.geometry.vec import angle_deg
from stubout.kinds import FixtureKind
from stubout.layout.model import Role
from stubout.network.model import Node, Pipe
from stubout.problems import Level
from stubout.rulebooks.model import Cell

MM_PER_INCH = 25.4


@check("SUD001", "joint-in-suds-zone", Level.FIX)
def rule(on: Review) -> Findings:
    """A drain or a vent joins within the suds zone of a drain for several clothes washers.

    ## What it checks
    Every turn over the book's angle in a drain that serves so many washers: nothing joins within so many pipe sizes
    before it and after it, neither drain nor vent; upright, the zone before it is no taller than the book's limit.

    ## Why it matters
    Suds pile up at the turn and are pressed into whatever joins there.

    ## Fails
    A floor drain that joins 500 mm below the foot of a 3 in stack with two washers, where 762 mm are asked.

    ## Passes
    The floor drain joined 800 mm below the foot.

    ## Does not check
    Drains of a single washer; other suds than those of clothes washers.
    """
    for out in on.net.drains():
        washers = [t for t in out.tags if (b := fixture(on, t)) is not None and b.kind is FixtureKind.CLOTHES_WASHER]
        if len(washers) < 2:  # a lone washer has no zone in any book
            continue
        from_, bend = on.value("suds.washers_from"), on.value("suds.turn_from")
        before, after = on.value("suds.size_factor_before"), on.value("suds.size_factor_after")
        if from_ is None or bend is None or before is None or after is None or len(washers) < from_.number:
            continue
        for into in incoming(on.net, on.net.node(out.start), "drain"):
            if not set(washers) <= set(into.tags) or into.role is Role.CLEANOUT_EXT:
                continue
            if angle_deg(into.b.minus(into.a), out.b.minus(out.a)) <= bend.number + 1e-6:
                continue
            reach_mm = before.number * into.size_in * MM_PER_INCH
            tall = on.book.find("suds.vertical_max")
            if into.vertical and tall is not None:
                reach_mm = min(reach_mm, tall.number)
            after_mm = after.number * out.size_in * MM_PER_INCH
            yield from _guests(on, out, (out, *on.net.downstream(out)), after_mm, after)
            yield from _guests(on, into, _upstream(on, into, washers), reach_mm, before, tall, up=True)
            yield from _at(on, on.net.node(out.start), (into, out), out, 0.0, after_mm, (after,))


def _upstream(on: Review, pipe: Pipe, washers: list[str]) -> tuple[Pipe, ...]:
    """Return the pipes before a turn that serve the washers, nearest first."""
    out = [pipe]
    while nxt := next(
        (p for p in incoming(on.net, on.net.node(out[-1].start), "drain") if set(washers) <= set(p.tags)), None
    ):
        out.append(nxt)
    return tuple(out)


def _guests(
    on: Review, turn: Pipe, way: tuple[Pipe, ...], reach_mm: float, *bases: Cell | None, up: bool = False
) -> Findings:
    """Yield what joins along a way from a turn within a reach; up stream not the washers where they come together."""
    run_mm = 0.0
    for i, pipe in enumerate(way):
        run_mm += pipe.length_mm
        if run_mm > reach_mm - LENGTH_TOL_MM or (up and i + 1 == len(way)):
            return
        node = on.net.node(pipe.start if up else pipe.end)
        yield from _at(on, node, way[i : i + 2], turn, run_mm, reach_mm, bases)


def _at(
    on: Review,
    node: Node,
    along: tuple[Pipe, ...],
    turn: Pipe,
    run_mm: float,
    reach_mm: float,
    bases: tuple[Cell | None, ...],
) -> Findings:
    """Yield what joins at one node besides the pipes of the way."""
    for guest in (*drains_at(on.net, node), *vents_at(on.net, node)):
        if guest in along or guest.role is Role.CLEANOUT_EXT:
            continue
        yield on.finding(
            about=(guest.id, turn.id),
            found=f"{guest.id} joins {on.mm(run_mm)} from the turn at {turn.id}",
            wanted=f"nothing within {on.mm(reach_mm)} of it",
            do=f"move the joint {on.mm(reach_mm - run_mm)} away from the turn",
            why="Suds pile up at the turn and are pressed into whatever joins there.",
            bases=(*bases, on.book.find("suds.condition")),
            at=node.at,
        )
