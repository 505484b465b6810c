"""Can it be put in, and in which order. Expected values by hand: studs of 38 mm at 406 leave bays of 368."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.catalog.queries import coupling_mm
from stubout.fabrication.build import fabricate_network
from stubout.fabrication.costing import joints
from stubout.layout.model import Place, PointKind, Role
from stubout.problems import Status

STUDS = [19.0, 425.0, 831.0, 1237.0, 1643.0, 2049.0, 3981.0]


def arm(plot, x0, x1):
    p = plot()
    p.node("a", x0, 0, 400, PointKind.CAP).node("b", x1, 0, 390, PointKind.SEWER)
    return p.pipe("D1", "a", "b", 1.5).network()


def threaded(plot, wall, house, npc, nbc_framing, x0, x1, others=(), studs=STUDS):
    w = wall(depth=140.0, studs=studs)
    fab = fabricate_network(arm(plot, x0, x1), house(walls=[w, *others]), npc, nbc_framing)
    return fab.put_in


def test_a_run_longer_than_its_bays_is_coupled(plot, wall, house, npc, nbc_framing):
    # from the bay at 444..812 through the studs at 831 and 1237 into the bay at 1256..1624: coupled between the two,
    # where each half goes through one stud only and is slanted in
    (one,) = threaded(plot, wall, house, npc, nbc_framing, 600, 1400)
    assert (one.owner, one.members, one.open_end, one.goes) == ("W", 2, False, True)
    assert one.room_mm == pytest.approx(368.0, abs=0.1)
    assert one.length_mm > 2 * 368.0
    assert (one.couplings, one.pieces) == (1, ("D1-1", "D1-2"))


def test_the_coupling_is_a_fitting_like_any_other(plot, wall, house, npc, nbc_framing):
    w = wall(depth=140.0, studs=STUDS)
    net = arm(plot, 600, 1400)
    fab = fabricate_network(net, house(walls=[w]), npc, nbc_framing)
    bare = fabricate_network(net, house(walls=[wall(depth=140.0)]), npc, nbc_framing)
    (use,) = [f for f in fab.fittings if f.in_run]
    assert use.at.x == pytest.approx((850 + 1218) / 2, abs=0.5)  # in the middle of the bay
    assert use.pipes == ("D1", "D1")
    assert use.status is Status.MEMORY
    one, two = fab.pieces
    (whole,) = bare.pieces
    gap = 25.4 / 8  # between the pipes in a coupling
    assert (one.end_fitting, two.start_fitting) == (use.id, use.id)
    assert one.cut_mm + gap + two.cut_mm == pytest.approx(whole.cut_mm)
    assert {i for s in fab.sticks for i in s.pieces} == {"D1-1", "D1-2"}
    (line,), (less,) = ([m for m in x.materials if m.item == "ABS coupling"] for x in (fab, bare))
    assert line.quantity == less.quantity + 1
    assert len(list(joints(fab))) == len(list(joints(bare))) + 2
    ends = [next(m.ends for m in x.measure_first if m.fitting == "coupling 1-1/2") for x in (fab, bare)]
    assert ends[0] == ends[1] + 2


def test_a_wide_bay_lets_it_in_whole(plot, wall, house, npc, nbc_framing):
    # from the bay at 1256..1624 through 1643 and 2049 into the bay at 2068..3962, 1894 wide
    (one,) = threaded(plot, wall, house, npc, nbc_framing, 1500, 2300)
    assert one.room_mm == pytest.approx(3962.0 - 2068.0, abs=0.5)
    assert one.couplings == 0


def test_from_the_wide_bay_one_after_the_other(plot, wall, house, npc, nbc_framing):
    # 2500 long from the bay at 444..812 through 831, 1237, 1643, 2049 into the wide bay: the far end of it is longer
    # than the 1894 of that bay, so it is parted; what comes in from the wide bay goes in before the rest
    (one,) = threaded(plot, wall, house, npc, nbc_framing, 500, 3000)
    assert (one.couplings, one.goes) == (1, True)
    assert sorted(one.pieces) == ["D1-1", "D1-2"]


def test_two_studs_that_touch_are_not_coupled_between(plot, wall, house, npc, nbc_framing):
    # by hand: no hub goes between the studs at 831 and 869, so a coupling stands in the bay on one side of both and the
    # length through both is no longer than a bay
    double = [425.0, 831.0, 869.0, 1275.0]
    (one,) = threaded(plot, wall, house, npc, nbc_framing, 460, 1250, studs=double)
    assert (one.members, one.couplings, one.goes) == (2, 2, True)


def test_no_place_for_a_coupling_is_said(plot, wall, house, npc, nbc_framing):
    # studs every 80 mm leave bays of 42: a hub of 1-1/2 in with play takes 66
    tight = [1000.0 + 80.0 * k for k in range(12)]
    w = wall(depth=140.0, studs=tight)
    fab = fabricate_network(arm(plot, 1060, 1500), house(walls=[w]), npc, nbc_framing)
    (one,) = fab.put_in
    assert (one.goes, one.couplings) == (False, 0)
    assert not [f for f in fab.fittings if f.in_run]


@pytest.mark.parametrize("x0", [530.0, 560.0, 610.0, 655.0, 690.0])
@pytest.mark.parametrize("x1", [1390.0, 1480.0, 1950.0, 2200.0])
def test_no_coupling_stands_in_wood(plot, wall, house, npc, nbc_framing, x0, x1):
    studs = [19.0, 425.0, 831.0, 1237.0, 1643.0, 2049.0, 2455.0]
    w = wall(depth=140.0, studs=studs)
    net = arm(plot, x0, x1)
    fab = fabricate_network(net, house(walls=[w]), npc, nbc_framing)
    half = coupling_mm(1.5) / 2
    for use in (f for f in fab.fittings if f.in_run):
        assert all(abs(use.at.x - s) > 19.0 + half for s in studs)
    assert all(p.fits for p in fab.pieces)
    (one,) = fab.put_in
    assert one.goes
    at = 0.0
    for p in fab.pieces:  # by hand: a length goes through one stud, or is no longer than a bay of 368
        lo, hi = x0 + at + p.takeoff_start_mm, x0 + at + p.takeoff_start_mm + p.cut_mm
        at += p.centre_mm
        assert sum(lo < s < hi for s in studs) < 2 or p.cut_mm <= 368.0 + 0.1
    assert at == pytest.approx(net.pipe("D1").length_mm)


def test_a_stack_is_not_coupled_in_a_plate(plot, wall, house, npc, nbc_framing):
    # upright, from a cap at 3500 down: a stick of 3660 ends in the bottom plate at -160
    p = plot()
    p.node("b", 1000, 0, -1200, PointKind.SEWER).node("a", 1000, 0, 3500, PointKind.CAP)
    p.pipe("S1", "a", "b", 2.0, Role.STACK)
    w = wall(studs=[425.0, 1500.0], z=-160.0 - 38.0 / 2)
    fab = fabricate_network(p.network(), house(walls=[w], stock=(3660.0,)), npc, nbc_framing)
    bare = fabricate_network(p.network(), house(stock=(3660.0,)), npc, nbc_framing)
    (use,), (was,) = ([f for f in x.fittings if f.in_run] for x in (fab, bare))
    half = coupling_mm(2.0) / 2
    low, high = w.bottom_z_mm, w.bottom_z_mm + 38.0
    assert low - half < was.at.z < high + half  # that is where the stick ends
    assert not low - half < use.at.z < high + half
    assert use.at.z > was.at.z  # a stick is not made longer


def test_one_stud_is_no_trouble(plot, wall, house, npc, nbc_framing):
    assert threaded(plot, wall, house, npc, nbc_framing, 600, 1000) == ()


def test_an_open_end_lets_any_length_in_and_a_corner_does_not(plot, wall, house, npc, nbc_framing):
    # through the end stud and the next: nothing stands beyond the end of the wall
    through_the_end = {"x0": -200, "x1": 700}
    (one,) = threaded(plot, wall, house, npc, nbc_framing, **through_the_end)
    assert (one.open_end, one.couplings) == (True, 0)
    corner = wall("X", start=(-70.0, -1000.0), end=(-70.0, 1000.0), studs=[500.0])
    (one,) = threaded(plot, wall, house, npc, nbc_framing, **through_the_end, others=[corner])
    assert one.open_end is False
    assert one.couplings > 0


def test_from_the_foot_up_and_level_before_upright(plot, wall, house, npc, nbc_framing):
    p = plot()
    p.node("foot", 1000, 0, 0, PointKind.SEWER).node("tee", 1000, 0, 500).node("cap", 400, 0, 510, PointKind.CAP)
    p.node("top", 1000, 0, 2000).node("roof", 1000, 0, 3000, PointKind.TERMINAL)
    p.pipe("A", "cap", "tee", 1.5).pipe("S", "tee", "foot", 2.0, Role.STACK).pipe("V", "tee", "top", 2.0, Role.VENT)
    p.pipes = [_in_wall(q) for q in p.pipes]
    w = wall(studs=STUDS)
    (order,) = fabricate_network(p.network(), house(walls=[w]), npc, nbc_framing).orders
    # the level one is coupled between its two studs
    assert (order.wall, order.pieces) == ("W", ("S-1", "A-1", "A-2", "V-1"))


def _in_wall(pipe):
    return replace(pipe, place=Place("wall", "W"))
