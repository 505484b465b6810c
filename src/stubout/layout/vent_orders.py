"""In which order the vents of a drawing are led out: the later ones tie into what stands. Costs [min].

Drawn in the usual order, the vents of a wall gather where the first of them happens to rise. So others are drawn first
for once, one after the other, and what pipe and fittings of the vents then cost is held against it.
"""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy

from stubout.catalog.costs import Costs
from stubout.catalog.queries import costs_of
from stubout.geometry.vec import Vec
from stubout.layout.draft import Board
from stubout.layout.outlook import tie_in_margin
from stubout.layout.venting import Venting, own_vents
from stubout.layout.work import Work
from stubout.layout.worth import pieces_worth

Rank = tuple[int, float]
"""What finds no way out, and what the vents cost: the less the better."""


def copied(work: Work) -> Work:
    """Return a copy of the desk to try something on; what never changes is shared, not copied."""
    return deepcopy(work, {id(one): one for one in _unchanging(work)})


def _unchanging(work: Work) -> Iterator[object]:
    """Yield what desks share: house, books and what they answered, and the frozen records they hold.

    A desk is copied for every drawing and for every vent that is tried first, so that one record more or less counts.
    """
    yield from (work.house, work.book, work.framing, work.demands, work.space, work.board.fits, work.order)
    for some in (work.needs.values(), work.marks.values(), work.blocked, work.questions, work.derivations):
        yield from some
    yield from (spot for spot, _ in work.risers)
    for t in work.traps.values():
        yield from (t.need, t.spot)
    for e in work.board.edges.values():
        yield from (e.place, e.parts)
    for stack in work.board.stacks:
        yield stack.places
    for router in work.routers.values():
        yield from (*router.layers.values(), *router.gauges.values(), *router.planned)


def vent_first(work: Work) -> str:
    """Return the fixture whose vent had better be drawn before all others, "" where the usual order is as good.

    Args:
        work: The desk with all drains drawn and no vent; nothing on it is changed.
    """
    tags = sorted(t.tag for t in own_vents(work))
    if len(tags) < 2:
        return ""
    return min((_rank(work, tag), tag) for tag in ("", *tags))[1]


def _rank(work: Work, first: str) -> Rank:
    on = copied(work)
    Venting(on, tie_in_margin(on), first).run()
    return len(on.blocked), _worth(on.board, costs_of(on.house.costs))


def _worth(board: Board, costs: Costs) -> float:
    """Return about what the vents on a board cost, what is cut into drains for them left out [min]."""
    at = {n.id: Vec(*n.xy, n.z) for n in board.nodes.values() if n.z is not None}
    pieces = (
        (e.up, e.down, e, at[e.down].minus(at[e.up]))
        for e in board.edges.values()
        if e.system == "vent" and e.up in at and e.down in at
    )
    return round(pieces_worth(pieces, {n.id: n.kind for n in board.nodes.values()}, costs), 1)
