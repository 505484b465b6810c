"""The return of an island's loop beside its drain, under a slab that leaves no height over it.

Expected: by the tape, from the plan of house 02; by the rule of the trade that what comes into a level pipe from above
takes one combination turned up, the pipe in one line through it (common practice, no source). Lengths [mm].
"""

from __future__ import annotations

import math

import pytest
from laid_out import design_named

from stubout import run
from stubout.geometry.vec import Box, Vec
from stubout.layout.level_returns import OFF_TRAP_MM, _places
from stubout.layout.model import PointKind, Role, VentMethod
from stubout.layout.space_shapes import off_line
from stubout.layout.work import TrapDraft

IN_MM = 25.4
WEST_MM, SOUTH_MM = 249 * IN_MM, 264 * IN_MM  # the corner of the island, 20'-9" and 22'-0"
DEEP_MM, LONG_MM = 24 * IN_MM, 82.75 * IN_MM
COVER_MM = 4 * IN_MM  # of slab


@pytest.fixture(scope="module")
def bungalow():
    return design_named("02")


def level_of(bungalow):
    """Return what meets where the return comes down: from above, out to the drain, up to the wall."""
    net = bungalow.network
    foot = next(p for p in net.pipes if p.role is Role.FOOT_VENT and "KS" in p.tags)
    meets = [p for p in net.pipes if foot.start in (p.start, p.end)]
    above = next(p for p in meets if p.system == "vent" and p.end == foot.start)
    drain = next(p for p in meets if p.system == "drain")
    return above, drain, foot, meets


def test_it_is_an_island_loop_and_nothing_of_it_is_found(bungalow):
    (trap,) = (t for t in bungalow.network.traps if t.method is VentMethod.LOOP)
    assert trap.tag == "KS"
    assert not [f for f in run.check(bungalow).open if "KS" in f.about or f.check.startswith(("ISL", "FIT"))]


def test_one_level_pipe_goes_through_under_what_comes_down(bungalow):
    above, drain, foot, meets = level_of(bungalow)
    assert len(meets) == 3
    assert above.vertical
    assert above.b.z < -COVER_MM, "below the slab"
    one = math.atan2(drain.b.y - drain.a.y, drain.b.x - drain.a.x)
    other = math.atan2(foot.a.y - foot.b.y, foot.a.x - foot.b.x)
    assert math.degrees(abs(one - other)) == pytest.approx(0.0, abs=0.1)
    assert drain.b.z < drain.a.z < foot.b.z, "the foot vent drains back through it"
    assert not drain.tags, "it is dry"


def test_it_comes_down_in_the_cabinet(bungalow):
    above, *_ = level_of(bungalow)
    assert WEST_MM < above.b.x < WEST_MM + DEEP_MM
    assert SOUTH_MM < above.b.y < SOUTH_MM + LONG_MM


def test_it_joins_the_drain_of_the_island_alone(bungalow):
    _, drain, *_ = level_of(bungalow)
    joined = bungalow.network.downstream(drain)
    wet = next(p for p in joined if p.tags)
    assert wet.tags == ("KS",)


@pytest.fixture
def island(desk):
    """Return a desk of house 02 with a trap and its drop in the middle of the sink's cabinet, and that cabinet."""
    work = desk("02-slab-bungalow")
    x, y = WEST_MM + DEEP_MM / 2, SOUTH_MM + LONG_MM / 2
    weir, take = work.board.node((x, y), PointKind.TRAP), work.board.node((x, y - 130.0), PointKind.TAKEOFF)
    trap = TrapDraft(work.needs["KS"], weir.id, take.id, method=VentMethod.LOOP)
    box = Box(Vec(WEST_MM, y - 400.0, 0.0), Vec(WEST_MM + DEEP_MM, y + 400.0, 900.0))
    return work, trap, box


def test_places_stand_in_the_cabinet_and_beside_the_trap(island):
    work, trap, box = island
    r = 40.0
    places = list(_places(work, trap, box, r))
    nodes = work.board.nodes
    assert len(places) == 8, "three by three, less the middle, where the trap is"
    for x, y in places:
        assert box.lo.x + r <= x <= box.hi.x - r
        assert box.lo.y + r <= y <= box.hi.y - r
        assert off_line((x, y), nodes[trap.weir].xy, nodes[trap.takeoff].xy) >= OFF_TRAP_MM
