"""Vent fittings set off the turn of their drain; every place by hand, falls at 1/4 in per ft (1 : 48)."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from stubout.layout.model import Place, PointKind, Role
from stubout.layout.off_turns import SPARE_MM, set_off_turns
from stubout.layout.work import TrapDraft

S = 1 / 48
DIAGONAL = math.hypot(500.0, 500.0)


def drawn(work, *, end=PointKind.JUNCTION, arm=((4000.0, 6000.0), (4500.0, 6500.0))):
    """Draw an arm east to its vent fitting at (5500, 6500) and on south-east to a trunk that runs south at x 6000.

    Where the end is the foot of a stack, that stands there instead of the trunk.
    """
    board, place = work.board, Place("under slab", "")
    tag = next(t for t, n in work.needs.items() if not n.closet)
    out = board.node((6000.0, 3000.0), PointKind.SEWER, -900.0)
    out.fixed = True
    j = board.node((6000.0, 6000.0), end, -900.0 + 3000.0 * S)
    top = board.node((6000.0, 9000.0), PointKind.TURN, (j.z or 0.0) + 3000.0 * S)
    t = board.node((5500.0, 6500.0), PointKind.TAKEOFF, (j.z or 0.0) + DIAGONAL * S, tag)
    v = board.node((5500.0, 6500.0), PointKind.TURN, 1000.0)
    last, z, ids = t, t.z or 0.0, []
    for xy in reversed(arm):
        z += math.dist(xy, last.xy) * S
        n = board.node(xy, PointKind.TURN, z)
        e = board.edge(n, last, "drain", Role.TRAP_ARM, place, 2.0, tag=tag, slope=S)
        ids.insert(0, e.id)
        last = n
    on = board.edge(t, j, "drain", Role.BRANCH, place, 2.0, tag=tag, slope=S)
    board.edge(top, j, "drain", Role.BUILDING_DRAIN, place, 3.0, slope=S, plumb=end is PointKind.STACK_FOOT)
    board.edge(j, out, "drain", Role.BUILDING_DRAIN, place, 3.0, slope=S)
    board.edge(t, v, "vent", Role.VENT, place, 1.5, tag=tag, plumb=True)
    work.traps[tag] = TrapDraft(replace(work.needs[tag], arm_max=9000.0), last.id, t.id, ids)
    return work.traps[tag], t, j, on


def way(work, e):
    a, b = work.board.nodes[e.up].xy, work.board.nodes[e.down].xy
    return (b[0] - a[0], b[1] - a[1])


def straight(work, trap):
    """Return whether the drain goes straight through the vent fitting, and falls as it is to everywhere."""
    (into,), (out,) = work.board.into(trap.takeoff), work.board.out(trap.takeoff)
    (a, b), (c, d) = way(work, into), way(work, out)
    for e in work.board.edges.values():
        if e.system == "drain" and not e.plumb:
            fall = (work.board.nodes[e.up].z or 0.0) - (work.board.nodes[e.down].z or 0.0)
            assert fall == pytest.approx(work.board.plan(e) * S, abs=1e-6)
    return abs(a * d - b * c) < 1e-6 and a * c + b * d > 0.0


def room(work):
    fits = work.board.fits
    return fits.room("combination", (2.0, 2.0, 1.5), "outlet") + fits.eighth(2.0) + SPARE_MM


def test_the_turn_comes_after_the_fitting_and_the_joint_slides_up_the_trunk(desk):
    work = desk("02-slab-bungalow")
    trap, t, j, _ = drawn(work)
    set_off_turns(work)
    assert straight(work, trap)
    far = room(work)
    t, j = work.board.nodes[t.id], work.board.nodes[j.id]
    assert t.xy == (5500.0, 6500.0)  # the vent stays
    assert j.xy == pytest.approx((6000.0, 6000.0 + far))
    (new,) = work.board.out(t.id)
    assert work.board.plan(new) == pytest.approx(far)
    assert work.board.nodes[new.down].kind is PointKind.TURN


def test_the_arm_turns_before_the_fitting_where_the_drain_ends_in_a_stack(desk):
    work = desk("02-slab-bungalow")
    trap, t, j, _ = drawn(work, end=PointKind.STACK_FOOT)
    work.board.nodes[j.id].stack = 0
    ids = list(trap.arm)
    set_off_turns(work)
    assert straight(work, trap)
    assert work.board.nodes[t.id].xy == (5500.0, 6500.0)
    assert work.board.nodes[j.id].xy == (6000.0, 6000.0)
    assert trap.arm[:2] == ids
    (into,) = work.board.into(t.id)
    assert trap.arm[2:] == [into.id]
    assert into.role is Role.TRAP_ARM
    corner = work.board.nodes[into.up].xy
    assert corner[0] + corner[1] == pytest.approx(12000.0)  # on the line of the drain beyond
    first = work.board.edges[ids[0]]
    assert way(work, first)[0] == pytest.approx(way(work, first)[1])  # its start slid along the piece before it


def test_an_arm_that_would_grow_too_long_stays(desk):
    """Slid along its first piece at 45 degrees the arm grows by some 80 mm: as long as it may be already, it stays."""
    for spare, moved in ((200.0, True), (10.0, False)):
        work = desk("02-slab-bungalow")
        trap, _, j, _ = drawn(work, end=PointKind.STACK_FOOT)
        work.board.nodes[j.id].stack = 0
        length = sum(work.board.plan(work.board.edges[i]) for i in trap.arm)
        trap.need = replace(trap.need, arm_max=length + spare)
        before = work.board.mark()
        set_off_turns(work)
        assert (len(work.board.edges) > len(before.edges)) is moved
        if not moved:
            assert [n.xy for n in work.board.nodes.values()] == [n.xy for n in before.nodes]


@pytest.mark.parametrize("why", ["trunk too short", "height is fixed", "drawn by hand", "straight"])
def test_where_nothing_can_move_all_stays_as_it_is(desk, why):
    work = desk("02-slab-bungalow")
    arm = ((5000.0, 7000.0),) if why == "straight" else ((4500.0, 6500.0),)  # straight from its trap: no second piece
    trap, _, j, on = drawn(work, arm=arm)
    work.board.nodes[trap.weir].kind = PointKind.TRAP
    if why == "trunk too short":
        top = next(n for n in work.board.nodes.values() if n.xy == (6000.0, 9000.0))
        top.xy, top.z = (6000.0, 6100.0), (j.z or 0.0) + 100.0 * S
    if why == "height is fixed":
        work.board.nodes[trap.weir].fixed = True
    if why == "drawn by hand":
        on.drawn = True
    before, arms = work.board.mark(), list(trap.arm)
    set_off_turns(work)
    assert [(n.xy, n.z) for n in work.board.nodes.values()] == [(n.xy, n.z) for n in before.nodes]
    assert [(e.id, e.up, e.down) for e in work.board.edges.values()] == [(e.id, e.up, e.down) for e in before.edges]
    assert trap.arm == arms
