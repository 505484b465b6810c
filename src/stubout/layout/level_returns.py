"""The return of an island's loop beside its drain, where the floor leaves no height for it over the drain. [mm].

It comes down on a level pipe of its own: the foot vent on one side of it, the way into the island's drain in line with
that on the other. One combination turned up is all its fitting, no higher than the drain itself.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from operator import itemgetter

from stubout.geometry.vec import Box
from stubout.house.model import HouseFixture
from stubout.layout.cavity_shapes import Spot
from stubout.layout.draft import DEdge
from stubout.layout.lattice import octile
from stubout.layout.route import Ask, Path, Target, flows_out
from stubout.layout.space_shapes import XY, off_line
from stubout.layout.work import TrapDraft, Work
from stubout.layout.zone_router import ZoneRouter
from stubout.layout.zone_targets import joint_targets

OFF_TRAP_MM = 100.0  # so far beside the trap arm and the drop it comes down: a hand goes between; an estimate
MOST_PIPES = 20


@dataclass(frozen=True, slots=True)
class LevelReturn:
    """Where the return of a loop comes down, and both ways from there."""

    cost: float
    at: XY
    z: float  # of the level pipe there
    spot: Spot  # where the foot vent rises
    drain: Path
    foot: Path


def level_return(
    work: Work, t: TrapDraft, first: DEdge, box: Box | None, spots: Sequence[tuple[float, Spot]], size_in: float
) -> LevelReturn | None:
    """Return the cheapest return beside the drain of an island, None if there is none.

    Args:
        work: The desk, its drains at their heights.
        t: The island's trap.
        first: The level drain from the foot of its drop.
        box: Its cabinet.
        spots: Places in walls where the foot vent may rise, each with what it weighs more than others.
        size_in: Size of the return and of the foot vent.
    """
    f, router = t.need.fixture, work.routers[t.need.fixture.level_id]
    layer = router.edge_layer[first.id]
    g, slope = work.gauge(size_in), work.demands.slope(size_in)
    fits = work.board.fits
    inlet, outlet = (fits.room("combination", (size_in,) * 3, port) for port in ("inlet", "outlet"))
    own = list(_own(work, first, f))
    ways: list[tuple[float, Path, Target, float, Spot]] = []
    for at in _places(work, t, box, g.hub_r) if box is not None else ():
        lat = router.lattice((at,))
        limits = Ask(at, (layer,), None, half_45=fits.eighth(size_in), half_90=fits.sweep(size_in), half_start=outlet)
        drain = router.search(limits, g, slope, joint_targets(router, lat, own, size_in=size_in), lat)
        k = None if drain is None else flows_out(drain)
        if drain is None or k is None or drain.steps[0].z_a is None:
            continue
        aim = Target(at, layer, drain.steps[0].z_a, frozenset(range(8)) - {(k + 4) % 8}, 0.0, "n0", (inlet,) * 8)
        ways += [(drain.cost + more + octile(at, spot.xy), drain, aim, drain.cost + more, spot) for more, spot in spots]
    best: LevelReturn | None = None
    for least, drain, aim, so_far, spot in sorted(ways, key=itemgetter(0)):  # those that may be cheapest first
        if best is not None and least >= best.cost:
            break
        way = _to_wall(work, router, spot, aim, size_in, math.inf if best is None else best.cost - so_far)
        if way is not None and (best is None or so_far + way.cost < best.cost):
            best = LevelReturn(so_far + way.cost, aim.xy, drain.steps[0].z_a or 0.0, spot, drain, way)
    return best


def _to_wall(work: Work, router: ZoneRouter, spot: Spot, aim: Target, size_in: float, most: float) -> Path | None:
    """Return the way of a foot vent from a return to a place in a wall, None also where it costs more than `most`."""
    fits, turn = work.board.fits, work.board.fits.sweep(size_in)
    limits = Ask(
        spot.xy, (aim.layer,), None, most_cost=most, half_45=fits.eighth(size_in), half_90=turn, half_start=turn
    )
    lat = router.lattice((aim.xy, spot.xy))
    return router.search(limits, work.gauge(size_in), work.demands.slope(size_in), [aim], lat)


def _own(work: Work, first: DEdge, f: HouseFixture) -> Iterator[DEdge]:
    """Yield the level drains that are an island's alone, in flow order."""
    board, e = work.board, first
    for _ in range(MOST_PIPES):
        yield e
        out = board.out(e.down)
        if len(out) != 1 or out[0].tag != f.tag or out[0].plumb or len(board.into(e.down)) > 1:
            return
        e = out[0]


def _places(work: Work, t: TrapDraft, box: Box, r: float) -> Iterator[XY]:
    """Yield places in a cabinet where a return may come down: along its sides and in its middle, beside the trap."""
    board = work.board
    trap, take = board.nodes[t.weir].xy, board.nodes[t.takeoff].xy
    level = work.house.level(t.need.fixture.level_id)
    xs, ys = ((lo + r, (lo + hi) / 2, hi - r) for lo, hi in ((box.lo.x, box.hi.x), (box.lo.y, box.hi.y)))
    for at in product(xs, ys):
        if off_line(at, trap, take) >= OFF_TRAP_MM and not work.cavity.wall_near(level, at, r):
            yield at
