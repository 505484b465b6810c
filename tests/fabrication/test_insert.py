"""Can it be put in, and in which order. Expected values by hand: studs of 38 mm at 406 leave bays of 368."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.fabrication.build import fabricate_network
from stubout.layout.model import Place, PointKind, Role

STUDS = [19.0, 425.0, 831.0, 1237.0, 1643.0, 2049.0, 3981.0]


def arm(plot, x0, x1):
    p = plot()
    p.node("a", x0, 0, 400, PointKind.CAP).node("b", x1, 0, 390, PointKind.SEWER)
    return p.pipe("D1", "a", "b", 1.5).network()


def threaded(plot, wall, house, npc, nbc_framing, x0, x1, others=(), studs=STUDS):
    w = wall(depth=140.0, studs=studs)
    fab = fabricate_network(arm(plot, x0, x1), house(walls=[w, *others]), npc, nbc_framing)
    return fab.put_in


def test_a_piece_longer_than_its_bays_is_coupled(plot, wall, house, npc, nbc_framing):
    # from the bay at 444..812 through the studs at 831 and 1237 into the bay at 1256..1624
    (one,) = threaded(plot, wall, house, npc, nbc_framing, 600, 1400)
    assert (one.owner, one.members, one.open_end) == ("W", 2, False)
    assert one.room_mm == pytest.approx(368.0)
    assert one.length_mm > 2 * 368.0
    assert one.couplings == 2


def test_a_wide_bay_lets_it_in_whole(plot, wall, house, npc, nbc_framing):
    # from the bay at 1256..1624 through 1643 and 2049 into the bay at 2068..3962, 1894 wide
    (one,) = threaded(plot, wall, house, npc, nbc_framing, 1500, 2300)
    assert one.room_mm == pytest.approx(3962.0 - 2068.0)
    assert one.couplings == 0


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
    assert (order.wall, order.pieces) == ("W", ("S-1", "A-1", "V-1"))


def _in_wall(pipe):
    return replace(pipe, place=Place("wall", "W"))
