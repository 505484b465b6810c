"""Figures of the trade that no code gives: just inside and just outside, by hand.

All of them are common practice without a source, as the comments beside them in the checks say; here they stand once
more, so that none is moved by accident. Pipe diameters: ABS schedule 40 (ASTM D2661), 1-1/2 in 48.26 mm outside, 2 in
60.325 mm. Bodies that overlap by 1 mm touch.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from stubout.catalog import queries as catalog
from stubout.fabrication.model import Bore
from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Opening, Stud
from stubout.house.model import CabinetBox, Drawer, Frame
from stubout.layout.model import CleanoutPlan

R15, R2 = 24.13, 30.1625  # half of a 1-1/2 in and of a 2 in pipe [mm]
TOUCH = 1.0


def opened(d, xyz, size=4.0, opens=(0, 0, 1), serves="drain"):
    """Return the design with one cleanout, at the point given."""
    node = next(n.id for n in d.network.nodes if n.at.to(Vec(*xyz)) < 1e-6)
    return replace(d, cleanouts=(CleanoutPlan("CO1", node, size, Vec(*opens), 450.0, serves, "here"),))


def with_opening(kit, xyz, size=4.0, to=None, **kw):
    """Return the bath with one cleanout somewhere, on a piece of pipe of its own; it ends where it is to open."""
    x, y, z = xyz
    own = {"C9": {"role": "cleanout extension", "a": xyz, "b": to or (x, y, z - 50), "size": size}}
    return opened(kit.design(add=own | kw.pop("add", {}), **kw), xyz, size)


# --- how near a cleanout must be --------------------------------------------------------------------------------------


@pytest.mark.parametrize(("up_mm", "n"), [(1000.4, 0), (1001.0, 1)])
def test_at_the_base_of_a_stack_is_within_a_metre(kit, up_mm, n):
    """Where the book says "at the base" and no distance: up the stack, or down the drain it stands on."""
    foot = Vec(0, 609, -323.9)
    spot = foot.plus(Vec(0.0, 0.0, up_mm))
    cut = {"D2": {"role": "stack", "a": spot, "b": foot, "size": 1.5, "tags": "LV1", "load": 1.5}}
    d = opened(kit.design(add=cut, edit={"D1": {"role": "stack", "b": spot}}), spot)
    cells = {i: c for i, c in d.book.values.items() if i != "cleanout.stack_base_within"}
    found = kit.found("CLO001", replace(d, book=replace(d.book, values=cells)))
    assert [f.about for f in found] == [("D2",)] * n
    if n:
        assert "1001 mm" in found[0].found
        assert "1000 mm" in found[0].wanted


def test_the_cleanout_of_the_next_stack_does_not_open_this_one(kit):
    """Both stand in one bay, 150 mm apart; the plug of the one lets no rod into the other."""
    foot, beside = (0, 609, -323.9), {
        "K1": {"role": "stack", "a": (0, 459, 2400), "b": (0, 459, 0), "size": 4, "tags": "LV1", "load": 4},
        "K2": {"role": "stack", "a": (0, 459, 0), "b": (0, 459, -326.9), "size": 4, "tags": "LV1", "load": 4},
    }  # fmt: skip
    d = opened(kit.design(add=beside, edit={"D1": {"role": "stack"}}), (0, 459, 0))
    assert [f.about for f in kit.found("CLO001", d)] == [("D1",)]
    own = with_opening(kit, (0, 609, -223.9), to=foot, edit={"D1": {"role": "stack"}})
    assert kit.found("CLO001", own) == []


@pytest.mark.parametrize(("away_mm", "n"), [(1524.0, 0), (1525.0, 1)])
def test_a_cleanout_at_the_upper_end_is_within_five_feet(kit, away_mm, n):
    head, spot = (3000, 609, -263.9), (3000, 609, -263.9 + away_mm)
    branch = {"role": "branch", "a": head, "b": (0, 609, -323.9), "size": 2, "tags": "LV1", "load": 1}
    drop = {"role": "drain", "a": spot, "b": head, "size": 2, "tags": "LV1", "load": 1}
    d = opened(kit.design(book="upc-2021", add={"K1": branch, "K2": drop}), spot, 2.0)
    assert len([f for f in kit.found("CLO002", d) if f.about == ("K1",)]) == n
    other = with_opening(kit, (2900, 500, -263.9), size=2.0, book="upc-2021", add={"K1": branch})
    assert len([f for f in kit.found("CLO002", other) if f.about == ("K1",)]) == 1  # near it, and not of this drain


def test_a_cleanout_beside_a_drain_does_not_part_its_length(kit):
    """The 4 in drain runs 16.9 m from the closet's vent on; 15 m are allowed (NPC, memory)."""
    far = {"S1": {"b": (0, -15400, -664)}}
    kinds = {(0, -15400, -664): "sewer connection"}
    for spot, to, n in (((0, -500, -246), (0, -500, -346), 0), ((100, -500, -246), None, 1)):
        d = with_opening(kit, spot, edit=far, kinds=kinds, to=to)
        assert [f.about[0] for f in kit.found("CLO005", d)] == ["S1"] * n


@pytest.mark.parametrize(("away_mm", "n"), [(1000.0, 0), (1001.0, 1)])
def test_next_to_the_trap_is_within_a_metre(kit, away_mm, n):
    """NPC 2.4.7.1(10): next to the trap outlet; the arm ends at (0, 609, 495.4) and begins 230 mm east of it."""
    sink = kit.fixture("LV1", "kitchen sink", group="", flood_rim_z_mm=900.0)
    d = with_opening(kit, (-away_mm, 609, 495.4), size=2.0, fixtures=(sink, kit.WC1))
    assert len(kit.found("CLO009", d)) == n
    east = with_opening(kit, (230 + away_mm, 609, 500), size=2.0, fixtures=(sink, kit.WC1))
    assert len(kit.found("CLO009", east)) == n
    said = replace(east, cleanouts=(replace(east.cleanouts[0], serves="WC1, LV1"),))
    assert kit.found("CLO009", said) == []


# --- sides of cabinets ------------------------------------------------------------------------------------------------


def sink_base(lo, hi, **kw):
    base = CabinetBox(
        "K1.1", "K1", "", "sink base", "P", "right", lo, hi, Box(Vec(83, lo, 0), Vec(643, hi, 865)), 118.0
    )
    return replace(base, **kw)


@pytest.mark.parametrize(
    ("change", "reach_mm", "word"),
    [
        (lambda mm: {"from_station_mm": 609.0 - mm}, R2 + 19.0, "seam"),
        (lambda mm: {"to_station_mm": 609.0 + mm}, R2 + 19.0, "seam"),
        (lambda mm: {"partition_station_mm": 609.0 - mm}, R2 + 9.5, "partition"),
        (lambda mm: {"partition_station_mm": 609.0 + mm}, R2 + 9.5, "partition"),
    ],
)
def test_a_plug_beside_the_side_of_a_cabinet(kit, change, reach_mm, word):
    """A side is 19 mm thick and belongs to one box; a partition has half of that on each side of its middle."""
    for mm, n in ((reach_mm - TOUCH + 0.1, 0), (reach_mm - TOUCH - 0.1, 1)):
        box = sink_base(100, 1100, **change(mm))
        d = opened(kit.design(cabinets=(box,)), (0, 609, 495.4), 2.0, opens=(1, 0, 0))
        found = kit.found("CLO010", d)
        assert [f.about for f in found] == [("CO1", "K1.1")] * n, word
        if n:
            assert "1 mm" in found[0].do
            assert found[0].at == (0.0, 609.0, 495.4)


def test_a_stub_out_beside_the_side_of_a_cabinet(kit):
    """The hub of 1-1/2 in, and 19 mm of the side; the mark stands at 609."""
    reach_mm = catalog.hub_od_mm(1.5) / 2 + 19.0
    for mm, n in ((reach_mm - TOUCH + 0.1, 0), (reach_mm - TOUCH - 0.1, 1)):
        for change in ({"from_station_mm": 609.0 - mm}, {"to_station_mm": 609.0 + mm}):
            d = kit.design(cabinets=(sink_base(100, 1100, **change),))
            assert [f.about for f in kit.found("STB006", d)] == [("LV1", "K1.1")] * n
    half_mm = reach_mm - 9.5
    for mm, n in ((half_mm - TOUCH + 0.1, 0), (half_mm - TOUCH - 0.1, 1)):
        d = kit.design(cabinets=(sink_base(100, 1100, partition_station_mm=609.0 + mm),))
        found = kit.found("STB006", d)
        assert ["partition" in f.found for f in found] == [True] * n


def test_a_partition_below_the_pipe_is_in_nobodys_way(kit):
    """The mark is at 496; the lower edge of its hub at 496 less half of it."""
    low = 496.0 - catalog.hub_od_mm(1.5) / 2
    for top, n in ((low, 0), (low + 1.0, 1), (None, 1)):
        box = sink_base(100, 1100, partition_station_mm=609.0, partition_hi_z_mm=top)
        assert len(kit.found("STB006", kit.design(cabinets=(box,)))) == n


def test_air_between_trap_and_drawer(kit):
    """A drawer below the trap is made lower by what is in the way and 5 mm more."""
    hang = catalog.trap_drop_mm(1.5)
    top = 496.0 - hang + 20.0  # 20 mm of it are in the way
    box = sink_base(100, 1100, drawers=(Drawer(130.0, top),))
    (f,) = kit.found("STB005", kit.design(cabinets=(box,)))
    assert re.search(r"made (\d+) mm", f.do).group(1) == "25"
    assert "20 mm" in f.found


# --- openings, faucets, members ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("gap_mm", "n"), [(R15 - TOUCH + 0.1, 0), (R15 - TOUCH - 0.1, 1)])
@pytest.mark.parametrize("side", ["left", "right"])
def test_a_header_bears_on_a_jack_at_each_side(kit, side, gap_mm, n):
    """38 mm beyond the clear opening; the lavatory's vent goes up at 609."""
    start = 609 + 38 + gap_mm if side == "left" else 609 - 38 - gap_mm - 900
    door = Opening("G1", "P", start, 900.0, 0.0, 2000.0, 2240.0, "door")
    found = kit.found("CLA003", kit.design(walls=(kit.wall(openings=(door,)),), drop=("V2",)))
    assert [f.about for f in found] == [("V1", "G1")] * n


def test_an_opening_without_a_header_in_the_job(kit):
    """A header of a millimetre is none; one of 2 mm is one."""
    for top, n in ((2001.0, 0), (2002.0, 1)):
        door = Opening("G1", "P", 300.0, 900.0, 1500.0, 2000.0, top, "window")
        assert len(kit.found("CLA003", kit.design(walls=(kit.wall(openings=(door,)),), drop=("V2",)))) == n


@pytest.mark.parametrize(("gap_mm", "n"), [(R15 - TOUCH + 0.1, 0), (R15 - TOUCH - 0.1, 1)])
def test_zone_of_a_wall_faucet(kit, gap_mm, n):
    """4 in (102 mm) to each side of the bowl's centre, 12 in (305 mm) up from the rim at 863, through the wall."""
    for station in (609 - 102 - gap_mm, 609 + 102 + gap_mm):
        body = replace(kit.LV1, faucet="wall", station_mm=station)
        found = kit.found("CLA009", kit.design(fixtures=(body, kit.WC1)))
        assert [f.about for f in found] == [("V1", "LV1")] * n
    for z in (863 - gap_mm, 863 + 305 + gap_mm):
        pipe = {"system": "vent", "role": "vent", "a": (0, 2200, z), "b": (0, 3400, z), "size": 1.5, "tags": "WC1"}
        body = replace(kit.LV1, faucet="wall", station_mm=2800.0)
        found = kit.found("CLA009", kit.design(fixtures=(body, kit.WC1), add={"K1": pipe}))
        assert [f.about for f in found] == [("K1", "LV1")] * n
        assert all("204 mm" in f.bases[0].value and "305 mm" in f.bases[0].value for f in found)


def test_the_rim_below_a_wall_faucet_is_not_known(kit):
    body = replace(kit.LV1, faucet="wall", flood_rim_z_mm=None)
    d = kit.design(fixtures=(body, kit.WC1))
    assert kit.found("CLA009", d) == []
    assert kit.unjudged("CLA009", d) == ["LV1: the rim below its wall faucet is not known"]


def joist(**kw):
    base = Frame("floor", "main", "sawn", "y", 235.0, 38.0, 0.0, -18.0, -253.0, 18.0, (200.0,), -50.0, 4050.0, -3000.0,
                 3000.0)  # fmt: skip
    return replace(base, **kw)


ACROSS = {"A3": {"a": (388, 1421, -100), "b": (-100, 1421, -110)}, "A2": {"b": (388, 1421, -100)}}


@pytest.mark.parametrize(("off_mm", "n"), [(60.0, 0), (-60.0, 0), (61.0, 1), (-61.0, 1)])
def test_a_bore_near_a_member_is_the_bore_of_it(kit, off_mm, n):
    hole = Bore("B1", "floor joist", "joist", "floor", 200.0 + off_mm, "A3", Vec(200, 1421, -104), 95.0, 235.0, 60.0,
                None, None, "ok", 0.0, 0.0)  # fmt: skip
    d = kit.design(frames=(joist(),), edit=ACROSS, fabrication=replace(kit.EMPTY, bores=(hole,)))
    assert len([f for f in kit.found("FRM007", d) if f.about == ("A3", "floor")]) == n


@pytest.mark.parametrize(("gap_mm", "n"), [(R15 - TOUCH + 0.1, 0), (R15 - TOUCH - 0.1, 1)])
def test_flange_of_an_i_joist(kit, gap_mm, n):
    """38 mm high at the bottom and at the top, and as wide as the joist; between them there is only the web."""
    beam = joist(kind="i-joist", width_mm=80.0, web_mm=10.0)
    for z in (-253 + 38 + gap_mm, -18 - 38 - gap_mm):
        pipe = {"role": "branch", "a": (231, 2000, z), "b": (231, 3000, z), "size": 1.5, "tags": "LV1"}
        found = [f for f in kit.found("FRM007", kit.design(frames=(beam,), add={"K1": pipe})) if f.about[0] == "K1"]
        assert len(found) == n
        assert all("along the I-joist at 200" in f.found for f in found)


@pytest.mark.parametrize(("gap_mm", "n"), [(R15 - TOUCH + 0.1, 0), (R15 - TOUCH - 0.1, 1)])
@pytest.mark.parametrize("kind", ["stud", "post", "end", "jack"])
def test_beside_a_stud(kit, kind, gap_mm, n):
    """A stud of 38 mm is 19 mm to each side of its station; the lavatory's drop and vent stand at 609."""
    for station in (609 - 19 - gap_mm, 609 + 19 + gap_mm):
        d = kit.design(walls=(kit.wall(studs=(Stud(station, 38.0, kind),)),))
        found = [f for f in kit.found("FRM007", d) if f.about[0] == "V1"]
        assert len(found) == n
        word = kind if kind in ("stud", "post") else f"{kind} stud"
        assert all(f"along the {word} at {station:.0f}" in f.found for f in found)


@pytest.mark.parametrize(
    ("kind", "word"), [("sawn", "joist"), ("i-joist", "I-joist"), ("open-web", "open-web joist"), ("truss", "truss")]
)
def test_what_a_member_is_called(kit, kind, word):
    d = kit.design(frames=(joist(kind=kind),), edit=ACROSS)
    assert any(f"in the {word} at 200 of floor" in f.found for f in kit.found("FRM007", d))


def test_the_first_and_the_last_joist_count(kit):
    """Joists at the edges of their frame reach beyond it by half their width."""
    for centre in (-3000.0, 3000.0):
        for out_mm in (10.0, -10.0):
            x = centre + out_mm
            pipe = {"role": "branch", "a": (x, 2000, -100), "b": (x, 3000, -100), "size": 1.5, "tags": "LV1"}
            d = kit.design(frames=(joist(centres_mm=(centre,)),), add={"K1": pipe})
            assert [f.about for f in kit.found("FRM007", d)] == [("K1", "floor")]


def trapped(kit, design):
    return [f for f in kit.found("FRM007", design) if f.found.startswith("the trap of")]


@pytest.mark.parametrize(("gap_mm", "n"), [(0.1 - TOUCH, 0), (-0.1 - TOUCH, 1)])
def test_a_trap_beside_a_joist(kit, gap_mm, n):
    """LV1's trap: its weir stands 230 mm from the wall's middle, its inlet one swing farther into the room."""
    beyond = 230.0 + catalog.trap_reach_mm(1.5) + R15 + 19.0 + gap_mm
    frame = joist(centres_mm=(beyond,), top_z_mm=600.0, bottom_z_mm=300.0)
    found = trapped(kit, kit.design(frames=(frame,)))
    assert [f.about for f in found] == [("LV1", "A1", "floor")] * n


@pytest.mark.parametrize(("gap_mm", "n"), [(0.1 - TOUCH, 0), (-0.1 - TOUCH, 1)])
def test_a_trap_over_a_joist(kit, gap_mm, n):
    top = 500.0 - catalog.trap_drop_mm(1.5) - gap_mm
    frame = joist(centres_mm=(230.0 + catalog.trap_reach_mm(1.5) / 2,), top_z_mm=top, bottom_z_mm=top - 200.0)
    assert len(trapped(kit, kit.design(frames=(frame,)))) == n


@pytest.mark.parametrize(("gap_mm", "n"), [(0.1 - TOUCH, 0), (-0.1 - TOUCH, 1)])
def test_a_trap_in_the_wall_beside_a_stud(kit, gap_mm, n):
    """As a washer's stands there: in line with its arm, which runs south from 909 to the riser at 609."""
    stud = Stud(909.0 + catalog.trap_reach_mm(1.5) + R15 + 19.0 + gap_mm, 38.0, "stud")
    there = {"edit": {"A1": {"a": (0, 909, 501.4)}}, "kinds": {(0, 909, 501.4): "trap"}}
    found = trapped(kit, kit.design(walls=(kit.wall(studs=(stud,)),), **there))
    assert [f.about for f in found] == [("LV1", "A1", "P")] * n


@pytest.mark.parametrize(("far_mm", "n"), [(-0.1, 1), (0.1, 0)])
def test_a_trap_turns_to_an_outlet_near_it(kit, far_mm, n):
    """Where the outlet stands within a swing and 60 mm of the weir the trap is swung that way: here north."""
    swing = catalog.trap_reach_mm(1.5)
    turned = replace(kit.LV1, outlet=Vec(230.0, 609.0 + swing + 60.0 + far_mm, 660.0))
    frame = joist(runs="x", centres_mm=(609.0 + swing,), along_lo_mm=0.0, along_hi_mm=1000.0, across_lo_mm=-3000.0,
                  across_hi_mm=3000.0, top_z_mm=600.0, bottom_z_mm=300.0)  # fmt: skip
    assert len(trapped(kit, kit.design(frames=(frame,), fixtures=(turned, kit.WC1)))) == n


# --- closets ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("low_mm", "judged"), [(100.0, True), (100.5, False)])
def test_a_point_so_far_below_the_floor_is_the_bend(kit, low_mm, judged):
    """The finished floor is at 13."""
    z = 13.0 - low_mm
    d = kit.design(edit={"A2": {"a": (388, 1421, z)}}, kinds={(388, 1421, z): "flange"})
    assert bool(kit.found("FLG001", d)) is judged
    assert bool(kit.unjudged("FLG001", d)) is not judged


@pytest.mark.parametrize(("off_mm", "n"), [(13.0, 0), (-13.0, 0), (14.0, 1), (-14.0, 1)])
def test_what_a_closet_forgives(kit, off_mm, n):
    """1/2 in more or less than its rough-in; the flange is 305 mm from the finished wall."""
    d = kit.design(fixtures=(kit.LV1, replace(kit.WC1, from_wall_mm=305.0 + off_mm)))
    assert len(kit.found("FLG002", d)) == n


@pytest.mark.parametrize(("kind", "up_mm"), [("water closet", 450.0), ("bidet", 450.0), ("shower", 150.0)])
def test_rims_no_sheet_gives(kit, kind, up_mm):
    """Upper bounds; the vents of WC1 and of a second fixture meet so far above the floor at 13 and no lower (NPC)."""
    for z, n in ((13 + up_mm, 0), (13 + up_mm - 1.0, 1)):
        body = kit.fixture("LV1", kind)
        add = {
            "V1b": {"system": "vent", "role": "branch vent", "a": (0, 609, z), "b": (0, 1421, z + 8), "size": 1.5,
                    "tags": "LV1"},
            "V3": {"system": "vent", "role": "vent", "a": (0, 609, z), "b": (0, 609, 3300), "size": 3, "tags": "LV1"},
        }  # fmt: skip
        d = kit.design(edit={"V1": {"b": (0, 609, z)}}, add=add, fixtures=(body, kit.WC1))
        found = [f for f in kit.found("VNT004", d) if "LV1" in f.about]
        assert len(found) == n
        if n:
            assert f"{up_mm:.0f} mm" in found[0].bases[-1].value


# --- pipes that meet --------------------------------------------------------------------------------------------------


def crossing(kit, *ys, z=2000.0):
    """Return the bath with one 2 in pipe along y 5000 to 9000 and others square through it."""
    add = {"K0": {"role": "branch", "a": (2000, 5000, z), "b": (2000, 9000, z), "size": 2, "tags": "LV1"}}
    add |= {f"K{i}": {"role": "branch", "a": (1000, y, z), "b": (3000, y, z), "size": 2, "tags": "LV1"}
            for i, y in enumerate(ys, start=1)}  # fmt: skip
    return kit.design(add=add)


@pytest.mark.parametrize(("apart_mm", "n"), [(149.0, 1), (150.0, 2)])
def test_pieces_that_meet_in_one_place_are_told_once(kit, apart_mm, n):
    assert len(kit.found("CLA005", crossing(kit, 6000, 6000 + apart_mm))) == n


@pytest.mark.parametrize(("deg", "n"), [(19.9, 1), (20.1, 0)])
def test_pipes_that_leave_a_point_side_by_side(kit, deg, n):
    a = math.radians(deg)
    add = {
        "K0": {"role": "branch", "a": (2000, 5000, 2000), "b": (2000, 9000, 2000), "size": 2, "tags": "LV1"},
        "K1": {"role": "branch", "a": (2000 + 900 * math.sin(a), 9000 - 900 * math.cos(a), 2000),
               "b": (2000, 9000, 2000), "size": 2, "tags": "LV1"},
    }  # fmt: skip
    found = kit.found("CLA005", kit.design(add=add))
    assert len(found) == n
    if n:  # it lies in the other: told at the middle of the shorter one, a whole diameter deep
        assert "60 mm" in found[0].do
        assert found[0].at == (
            pytest.approx(2000 + 450 * math.sin(a), abs=0.1),
            pytest.approx(9000 - 450 * math.cos(a), abs=0.1),
            2000.0,
        )


@pytest.mark.parametrize(("short_mm", "n"), [(399.0, 0), (401.0, 1)])
@pytest.mark.parametrize("back", [False, True])
def test_pipes_tied_by_a_short_piece_belong_together(kit, back, short_mm, n):
    """Two pipes that cross, one end of each tied by a piece: a group of fittings, which FIT006 sees to."""
    u, v = (2000, 5000, 2000), (2000 + short_mm, 5000, 2000)
    tie = {"role": "branch", "a": v if back else u, "b": u if back else v, "size": 1.5, "tags": "LV1"}
    add = {
        "K0": {"role": "branch", "a": u, "b": (2000 + short_mm, 6000, 2000), "size": 2, "tags": "LV1"},
        "K1": tie,
        "K2": {"role": "branch", "a": v, "b": (2000, 6000, 2000), "size": 2, "tags": "LV1"},
    }
    assert len(kit.found("CLA005", kit.design(add=add))) == n
