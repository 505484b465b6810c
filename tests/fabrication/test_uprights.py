"""What upright runs go up through, and where they are coupled to go in.

Expected values by hand. A wall of 2467 with a plate of 38 and two of 38 leaves a bay from 38 to 2391: 2353, less the 10
that a piece is shorter. The floor's panel lies under it, from -18 to 0.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from stubout.catalog.queries import coupling_mm
from stubout.fabrication.bores import framed
from stubout.fabrication.build import fabricate_network
from stubout.fabrication.uprights import upright
from stubout.geometry.vec import Box, Vec
from stubout.house.model import HouseLevel, Obstacle
from stubout.house.outside import RoofPlane
from stubout.layout.model import PointKind, Role

BAY = 2353.0 - 10.0


@pytest.fixture
def storey(wall, frame, house):
    """Return a house of one storey on a floor, over a crawl space, under a flat roof."""

    def made(*, ground=-1000.0, roof=3400.0, obstacles=(), floor="ground", stock=(6000.0,), poured=False):
        frames = () if floor == "slab" else (frame(centres=(400.0, 1600.0)),)
        w = wall(studs=[425.0, 1500.0])
        bare = house(walls=[w], frames=frames, obstacles=obstacles, stock=stock)
        low = HouseLevel("low", "low", -1, "ground", ground, 0.0)
        slab = HouseLevel("main", "main", 0, "slab", 0.0, 2467.0, slab_mm=100.0, slab_poured=poured)
        deck = RoofPlane("deck", 0.0, 0.0, 9000.0, 9000.0, Vec(0.0, 0.0, roof), 0.0, 0.0)
        return replace(bare, levels=(slab,) if floor == "slab" else (low, *bare.levels), roof=(deck,))

    return made


def run(plot, low, high, size=2.0, top=PointKind.CAP):
    p = plot()
    if top is PointKind.TERMINAL:
        p.node("a", 1000, 0, low, PointKind.CAP).node("b", 1000, 0, high, top)
        return p.pipe("V1", "a", "b", size, Role.STACK_VENT).network()
    p.node("a", 1000, 0, high, top).node("b", 1000, 0, low, PointKind.SEWER)
    return p.pipe("S1", "a", "b", size, Role.STACK).network()


def rooms(it, low, high):
    """Return what a run upwards passes, each with its room below and above."""
    found = upright(it, framed(it), Vec(1000.0, 0.0, low), Vec(1000.0, 0.0, high), 30.0)
    return [(p.owner, round(p.before_mm, 6), round(p.after_mm, 6)) for p in found.passed]


def test_the_rooms_in_line(storey):
    # crawl: from -1000 up to the panel at -18; attic: from 2467 to the roof at 3400 less 50
    floor, ceiling = ("W", 982.0 - 10, BAY), ("W", BAY, 883.0 - 10)
    assert rooms(storey(), -200.0, 2700.0) == [floor, ceiling]
    assert rooms(storey(), -200.0, 2000.0) == [floor]
    assert rooms(storey(), 300.0, 2700.0) == [ceiling]
    assert rooms(storey(), 300.0, 2000.0) == []


def test_the_rooms_of_a_run_that_goes_down_are_the_same(storey):
    it = storey()
    found = upright(it, framed(it), Vec(1000.0, 0.0, 2700.0), Vec(1000.0, 0.0, -200.0), 30.0)
    assert [(round(p.before_mm), round(p.after_mm)) for p in found.passed] == [(873, 2343), (2343, 972)]


def test_a_trench_is_as_deep_as_the_run(storey):
    ((_, below, _),) = rooms(storey(), -1400.0, 2000.0)
    assert below == 1400.0 - 18 - 10


def test_through_the_roof_any_length_comes(storey):
    top = rooms(storey(), 300.0, 3700.0)[-1]
    assert top == ("roof", 873.0, float("inf"))


def test_what_is_there_takes_room(storey):
    duct = Obstacle("O1", "duct", Box(Vec(900.0, -100.0, -700.0), Vec(1100.0, 100.0, -500.0)), "duct")
    soffit = replace(duct, kind="soffit")
    for it, below in ((storey(obstacles=(duct,)), 482.0 - 10), (storey(obstacles=(soffit,)), 982.0 - 10)):
        ((_, room, _),) = rooms(it, -300.0, 2000.0)
        assert room == below


def test_blocking_in_a_bay_is_bored_like_a_plate(storey):
    block = Obstacle("O1", "fire block", Box(Vec(450.0, -70.0, 1200.0), Vec(1480.0, 70.0, 1238.0)), "blocking")
    it = storey(obstacles=(block,))
    assert rooms(it, 300.0, 2000.0) == [("O1", 1200.0 - 38 - 10, 2391.0 - 1238 - 10)]


def test_a_slab_is_poured_round_the_pipe_that_stands_there(storey):
    it = storey(floor="slab")
    found = upright(it, framed(it), Vec(1000.0, 0.0, -500.0), Vec(1000.0, 0.0, 2700.0), 30.0)
    assert [(p.owner, p.poured) for p in found.passed] == [("W", True), ("W", False)]


def made(plot, it, npc, framing, *ends, **more):
    return fabricate_network(run(plot, *ends, **more), it, npc, framing)


@pytest.mark.parametrize(("low", "whole"), [(-100.0, True), (-600.0, False)])
def test_a_piece_longer_than_its_bay_is_coupled_in_it(plot, storey, npc, nbc_framing, low, whole):
    # up to 2100: 2200 stand in the bay and go down through the floor; 2700 do not
    fab = made(plot, storey(), npc, nbc_framing, low, 2100.0)
    assert (len(fab.pieces) == 1) is whole
    if not whole:
        (use,) = [f for f in fab.fittings if f.in_run]
        half = coupling_mm(2.0) / 2
        assert 38.0 + half < use.at.z < 2391.0 - half
        assert all(p.cut_mm <= BAY for p in fab.pieces)
        (one,) = fab.put_in
        assert (one.owner, one.members, one.couplings, one.goes) == ("W", 1, 1, True)
        assert (one.pieces, one.ways) == (("S1-2", "S1-1"), ("down", "side"))


def test_a_deep_basement_lets_it_in_whole(plot, storey, npc, nbc_framing):
    fab = made(plot, storey(ground=-2800.0), npc, nbc_framing, -600.0, 2100.0)
    assert len(fab.pieces) == 1
    assert fab.put_in == ()


def test_a_high_attic_lets_it_down_whole(plot, storey, npc, nbc_framing):
    # 2700 through the top plate, from 300 up: the bay is too short, the attic from 2467 to 5950 is not
    for roof, n in ((3400.0, 2), (6000.0, 1)):
        assert len(made(plot, storey(roof=roof), npc, nbc_framing, 100.0, 2900.0).pieces) == n


def test_through_floor_and_ceiling_one_goes_up_and_one_down(plot, storey, npc, nbc_framing):
    # 2900 from -200 to 2700 between the ground at -560 and the roof at 2900: neither crawl space (522 - 10 in line) nor
    # attic (373) takes a half that leaves the other one no more than 2343. Out of the bay the lower half goes down
    # first, on to the ground, which makes room for the upper one
    fab = made(plot, storey(ground=-560.0, roof=2900.0), npc, nbc_framing, -200.0, 2700.0)
    (one,) = fab.put_in
    assert (one.members, one.couplings, one.goes, one.owner) == (2, 1, True, "W")
    assert (one.pieces, one.ways) == (("S1-2", "S1-1"), ("down", "up"))
    (use,) = [f for f in fab.fittings if f.in_run]
    assert abs(use.at.z - (38.0 + 2391.0) / 2) < 100.0


def test_a_vent_comes_down_through_the_roof(plot, storey, npc, nbc_framing):
    # 3400 through top plate and roof: longer than bay and attic, and not coupled
    fab = made(plot, storey(), npc, nbc_framing, 300.0, 3700.0, top=PointKind.TERMINAL)
    (one,) = fab.put_in
    assert (one.owner, one.members, one.couplings, one.open_end, one.ways) == ("W, roof", 2, 0, True, ("down",))


def test_what_fits_the_bay_does_not_come_through_the_roof(plot, storey, npc, nbc_framing):
    fab = made(plot, storey(roof=2800.0), npc, nbc_framing, 1000.0, 3100.0, top=PointKind.TERMINAL)
    (one,) = fab.put_in
    assert one.ways == ("up",)


def test_out_of_a_slab_and_through_a_ceiling(plot, storey, npc, nbc_framing):
    fab = made(plot, storey(floor="slab", roof=2900.0), npc, nbc_framing, -500.0, 2700.0)
    (one,) = fab.put_in
    assert (one.couplings, one.ways) == (1, ("first", "up"))
    (use,) = [f for f in fab.fittings if f.in_run]
    assert 38.0 < use.at.z < 2391.0


@pytest.mark.parametrize(("poured", "n"), [(False, 1), (True, 2)])
def test_a_slab_that_is_there_does_not_wait_for_the_pipe(plot, storey, npc, nbc_framing, poured, n):
    # 2600 up to 2100: before the wall stands nothing keeps it from standing there
    assert len(made(plot, storey(floor="slab", poured=poured), npc, nbc_framing, -500.0, 2100.0).pieces) == n


@pytest.mark.parametrize("low", [-300.0, -600.0, -900.0])
@pytest.mark.parametrize("high", [2300.0, 2600.0, 3300.0])
def test_what_is_cut_makes_the_run_again(plot, storey, npc, nbc_framing, low, high):
    fab = made(plot, storey(), npc, nbc_framing, low, high)
    bare = made(plot, replace(storey(), walls=(), frames=()), npc, nbc_framing, low, high)
    (whole,) = bare.pieces
    joined = sum(p.cut_mm for p in fab.pieces)
    joined += sum(one.takeoff_end_mm + two.takeoff_start_mm for one, two in pairwise(fab.pieces))
    assert joined == pytest.approx(whole.cut_mm)
    assert all(p.goes for p in fab.put_in)
    half = coupling_mm(2.0) / 2
    for use in (f for f in fab.fittings if f.in_run):
        assert all(not lo - half < use.at.z < hi + half for lo, hi in ((-18.0, 38.0), (2391.0, 2467.0)))


def test_no_coupling_stands_over_the_roof(plot, storey, npc, nbc_framing):
    # a stick of 3000 from 300 up ends at 3300, in the attic; one of 3200 would end in the roof at 3400
    for stick in (3000.0, 3200.0):
        it = storey(stock=(stick,))
        fab = made(plot, it, npc, nbc_framing, 300.0, 3900.0, top=PointKind.TERMINAL)
        (use,) = [f for f in fab.fittings if f.in_run]
        assert use.at.z < 3400.0 - 50.0
