"""Vents moved along their wall off the turn of their drain; every place by hand, falls at 1/4 in per ft (1 : 48)."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from stubout.layout.cavity_shapes import Spot
from stubout.layout.judge import faults
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.off_turns import set_off_turns
from stubout.layout.turned import turned
from stubout.layout.work import TrapDraft

S = 1 / 48


def drawn(work, *, along="drain", jog=0.0):
    """Draw an arm to a vent fitting under a bay, where the drain turns square; one of both runs along the wall.

    Nothing slides: arm and drain end in points that stay. The vent rises to a header square to the wall.
    """
    board, place = work.board, Place("under slab", "")
    tag = next(t for t, n in work.needs.items() if not n.closet)
    need = replace(work.needs[tag], arm_in=2.0, branch_in=2.0, vent_in=1.5, arm_max=9000.0, arm_turn=135.0)
    g = work.gauge(1.5)
    w, bay = next(
        (w, b)
        for w in work.house.walls
        for b in w.bays
        if not w.knee and not w.openings and b.clear_mm > 330.0 and w.length_mm - b.hi_mm > 900.0 and b.lo_mm > 300.0
    )
    spot = Spot(w, bay, bay.lo_mm + g.hub_r + 1.0, 0.0)

    def at(station, off=0.0):
        p = w.point(station, 0.0, off)
        return (p.x, p.y)

    s = spot.station
    start, end = (at(s, 1500.0), at(s + 900.0)) if along == "drain" else (at(s + 900.0), at(s, 1500.0))
    out = board.node(end, PointKind.SEWER, -900.0)
    out.fixed = True
    z = -900.0 + math.dist(end, spot.xy) * S
    t = board.node(spot.xy, PointKind.TAKEOFF, z, tag)
    arm, last = [], t
    for xy in ([at(s - jog)] if jog else []) + [start if not jog else at(s - jog, 1500.0)]:
        z += math.dist(xy, last.xy) * S
        n = board.node(xy, PointKind.TURN, z)
        arm.insert(0, board.edge(n, last, "drain", Role.TRAP_ARM, place, 2.0, tag=tag, slope=S).id)
        last = n
    last.kind, last.tag = PointKind.TRAP, tag
    board.edge(t, out, "drain", Role.BRANCH, place, 2.0, tag=tag, slope=S)
    top, far = board.node(spot.xy, PointKind.TURN, 1000.0), board.node(at(s, 800.0), PointKind.TURN, 1010.0)
    board.edge(t, top, "vent", Role.VENT, Place("wall", w.id, bay.index), 1.5, tag=tag, plumb=True)
    board.edge(top, far, "vent", Role.HEADER, Place("under slab", ""), 1.5, tag=tag)
    trap = work.traps[tag] = TrapDraft(need, last.id, t.id, arm, spot=spot)
    work.risers.append((spot, g.hub_mm))
    return trap, w, top, far


def falls_everywhere(work):
    return all(
        (work.board.nodes[e.up].z or 0.0) - (work.board.nodes[e.down].z or 0.0)
        == pytest.approx(work.board.plan(e) * S, abs=1e-6)
        for e in work.board.edges.values()
        if e.system == "drain"
    )


@pytest.mark.parametrize("jog", [0.0, 8.0])
def test_the_vent_goes_down_stream_where_the_drain_goes_on_along_the_wall(desk, jog):
    work = desk("02-slab-bungalow")
    trap, w, top, far = drawn(work, jog=jog)
    was = trap.spot.station
    assert [t.trap.tag for t in turned(work)] == [trap.tag]
    assert any("leaves a turn" in f.what for f in faults(work))
    set_off_turns(work)
    fits, board = work.board.fits, work.board
    room = fits.room("combination", (2.0, 2.0, 1.5), "inlet") + fits.sweep(2.0)
    assert not list(turned(work))
    assert trap.spot.station - (was - jog) >= room
    assert trap.spot.station - (was - jog) <= room + jog + 300.0  # the next bay at the farthest
    assert board.nodes[trap.takeoff].xy == pytest.approx(trap.spot.xy)
    assert board.nodes[top.id].xy == pytest.approx(trap.spot.xy)  # the vent came along, and the header with it
    assert math.dist(board.nodes[top.id].xy, board.nodes[far.id].xy) == pytest.approx(800.0)
    assert w.bay_at(trap.spot.station).index == trap.spot.bay.index
    assert [s for s, _ in work.risers] == [trap.spot]
    assert falls_everywhere(work)
    node = trap.weir
    for i in trap.arm:  # from the weir to the fitting without a gap
        assert board.edges[i].up == node
        assert board.edges[i].role is Role.TRAP_ARM
        node = board.edges[i].down
    assert node == trap.takeoff
    assert len(trap.arm) == 2


def test_the_vent_goes_up_stream_where_the_arm_comes_along_the_wall(desk):
    work = desk("02-slab-bungalow")
    trap, _, top, _ = drawn(work, along="arm")
    was = trap.spot.station
    set_off_turns(work)
    fits, board = work.board.fits, work.board
    room = fits.room("combination", (2.0, 2.0, 1.5), "outlet") + fits.sweep(2.0)
    assert not list(turned(work))
    assert room <= trap.spot.station - was <= room + 300.0
    assert board.nodes[top.id].xy == pytest.approx(trap.spot.xy)
    assert len(trap.arm) == 1
    (on,) = board.out(trap.takeoff)
    assert on.role is Role.BRANCH
    assert falls_everywhere(work)


@pytest.mark.parametrize("why", ["arm would turn too far", "vent drawn by hand", "leg too short"])
def test_a_vent_that_cannot_move_stays_and_stays_a_fault(desk, why):
    work = desk("02-slab-bungalow")
    trap, _, top, _ = drawn(work)
    board = work.board
    if why == "arm would turn too far":
        trap.need = replace(trap.need, arm_turn=45.0)
    if why == "vent drawn by hand":
        top.drawn = True
    if why == "leg too short":
        (on,) = board.out(trap.takeoff)
        a, b = board.nodes[on.up], board.nodes[on.down]
        k = 200.0 / board.plan(on)
        b.xy = (a.xy[0] + (b.xy[0] - a.xy[0]) * k, a.xy[1] + (b.xy[1] - a.xy[1]) * k)
        b.z = (a.z or 0.0) - 200.0 * S
    before, arm, spot = board.mark(), list(trap.arm), trap.spot
    set_off_turns(work)
    assert [(n.xy, n.z) for n in board.nodes.values()] == [(n.xy, n.z) for n in before.nodes]
    assert [(e.id, e.up, e.down) for e in board.edges.values()] == [(e.id, e.up, e.down) for e in before.edges]
    assert (trap.arm, trap.spot) == (arm, spot)
    assert [t.trap.tag for t in turned(work)] == [trap.tag]
