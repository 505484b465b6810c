"""What a check says right at an edge: the limit itself, the side of a box, a minus nought, words and bases."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from stubout.catalog.queries import figure, hub_od_mm
from stubout.checks import facts, surroundings
from stubout.checks.base import Review
from stubout.checks.registry import by_id
from stubout.fabrication.model import FittingUse, Hanger
from stubout.geometry.vec import Box, Vec
from stubout.house.facts import Climate
from stubout.house.framing import Opening, Stud
from stubout.house.model import CabinetBox, Drawer, Frame, HouseLevel, Obstacle
from stubout.house.outside import RoofZone, Sewer
from stubout.layout.model import CleanoutPlan
from stubout.network.model import Network
from stubout.problems import Question, Status
from stubout.rulebooks.frozen import Frozen

UPC, IPC = "upc-2021", "ipc-2021"
HERE = (0.0, 609.0, 495.4)  # in wall P, which is 140 mm deep


def branch(a, b, **kw):
    return {"role": "branch", "a": a, "b": b, "size": 2, "tags": "LV1", "load": 1, **kw}


def review(design):
    return Review(design, by_id("ARM001"))


def at(d, xyz):
    return next(n.id for n in d.network.nodes if n.at.to(Vec(*xyz)) < 1e-6)


def plug(d, node, *, opens=(1, 0, 0), size=2.0):
    return replace(d, cleanouts=(CleanoutPlan("CO1", node, size, Vec(*opens), 450.0, "drain", "here"),))


# --- what is said -----------------------------------------------------------------------------------------------------


def test_a_height_over_both_floors_of_an_upper_storey(kit):
    on = review(kit.design())
    assert on.above_floor(3100.0, 2913.0, 2900.0) == f"{on.above(187.0)} finished floor, {on.above(200.0)} subfloor"


def test_no_place_is_at_minus_nought(kit):
    f = review(kit.design()).finding(about=("A1",), found="f", wanted="w", do="d", why="y", at=Vec(-0.01, -0.02, -0.03))
    assert [math.copysign(1.0, c) for c in f.at] == [1.0, 1.0, 1.0]


def test_the_check_of_a_method_leaves_out_a_clause_of_its_own(kit):
    """Each method has its section in the value that allows it; a clause of the check would speak of another."""
    d = kit.design(book=IPC, values={"wet_vent.allowed": False}, traps=(
        {"tag": "LV1", "arm": ("A1",)}, {"tag": "WC1", "arm": ("A2", "A3"), "trap_in": 3.0, "method": "wet",
                                          "through": ("D1", "B2")}), drop=("V2", "B1"),
        edit={"D1": {"wet": True, "load": 1.5}, "A3": {"b": (0, 609, -323.9)}})  # fmt: skip
    clause = replace(next(iter(d.book.clauses.values())), id="MTH001")
    d = replace(d, book=replace(d.book, clauses=Frozen({**d.book.clauses, "MTH001": clause})))
    (f,) = kit.found("MTH001", d)
    assert f.found == "D1 is a wet vent"
    assert len(f.bases) == 1
    assert clause.basis not in f.bases
    allowed = kit.design(book=IPC, traps=d.network.traps and (
        {"tag": "LV1", "arm": ("A1",)}, {"tag": "WC1", "arm": ("A2", "A3"), "trap_in": 3.0, "method": "wet",
                                          "through": ("D1", "B2")}), drop=("V2", "B1"),
        edit={"D1": {"wet": True, "load": 1.5}, "A3": {"b": (0, 609, -323.9)}})  # fmt: skip
    assert kit.found("MTH001", allowed) == []


# --- what stands near -------------------------------------------------------------------------------------------------


def test_a_pipe_deep_in_a_box_is_no_hub(kit):
    """The pipe goes 30 mm deep through the box, its hub at the end only touches it from outside: the pipe is told."""
    on = review(kit.design(add={"K1": branch((2000, 3000, 100), (3000, 3000, 80))}))
    pipe = on.net.pipe("K1")
    box = Box(Vec(2035.0, 2900, 0), Vec(2500, 3100, 200))
    deep, _, what = surroundings.meets(on, pipe, box)
    assert what == "pipe"
    assert deep == pytest.approx(60.325 / 2, abs=0.1)  # ASTM D2661: 2 in pipe is 2.375 in thick


@pytest.mark.parametrize("kind", ["valve", "line", "skylight"])
def test_what_else_is_not_beside_a_closet(kit, kind):
    here = Box(Vec(83, 1750, 13), Vec(600, 1900, 850))
    d = kit.design(obstacles=(Obstacle("O1", "x", here, kind),))
    assert [n for _, n in surroundings.side_gaps(review(d), kit.WC1) if n == "O1"] == []


@pytest.mark.parametrize(("aside_mm", "n"), [(-0.9, 0), (0.9, 0), (1.1, 1)])
def test_a_plug_in_the_face_of_a_wall(kit, aside_mm, n):
    """The near face of wall Q lies 0.9 or 1.1 mm behind the plug: a millimetre more, and it is in front of the wall."""
    wall = kit.wall(id="Q", start=Vec(70.0 + aside_mm, 0, 0), end=Vec(70.0 + aside_mm, 4000, 0))
    d = plug(kit.design(walls=(kit.wall(), wall)), "x")
    d = plug(d, at(d, HERE))
    assert len(kit.found("CLO006", d)) == n


@pytest.mark.parametrize(("lo", "hi", "n"), [(1.1, 600.0, 1), (0.9, 600.0, 0), (-600.0, -0.9, 0)])
def test_a_plug_in_the_face_of_a_thing(kit, lo, hi, n):
    """What the plug stands in, but for a millimetre, is not in front of it."""
    thing = Obstacle("O1", "pier", Box(Vec(lo, 500, 0), Vec(hi, 700, 900)), "post")
    d = kit.design(obstacles=(thing,))
    assert len(kit.found("CLO006", plug(d, at(d, HERE)))) == n


@pytest.mark.parametrize(("lo", "width", "n"), [(0.0, 0.0, 0), (-100.0, 100.0, 0), (0.1, 100.0, 1), (-100.0, 99.9, 1)])
def test_a_plug_at_the_jamb_of_a_door(kit, lo, width, n):
    """The middle of the free space right at the side of the opening is still in it."""
    d = kit.design()
    door = Opening("G1", "Q", 609.0 + lo, width, 0.0, 2000.0, 2240.0, "door")
    wall = kit.wall(id="Q", start=Vec(370, 0, 0), end=Vec(370, 4000, 0), openings=(door,))
    d = plug(kit.design(walls=(kit.wall(), wall)), at(d, HERE))
    assert len(kit.found("CLO006", d)) == n


def test_one_crawling_pipe_is_enough(kit):
    """IPC 708.1.10: the cleanout stands where its drain leaves the crawl space, its other pipe lies outside."""
    crawl = HouseLevel("crawl", "c", 0, "ground", -700.0, 0.0)
    thing = Obstacle("F1", "girder", Box(Vec(-500, -900, -200), Vec(500, 3000, -20)), "beam")
    d = kit.design(book=IPC, edit={"C1": {"place": "crawl:crawl"}}, obstacles=(thing,),
                   levels=(crawl, *kit.house().levels))  # fmt: skip
    d = replace(d, cleanouts=(replace(d.cleanouts[0], point=at(d, (0, -500, -346))),))
    assert len([f for f in kit.found("CLO006", d) if "F1" in f.about and "crawl space" in f.found]) == 1
    dry = kit.design(book=IPC, obstacles=(thing,), levels=(crawl, *kit.house().levels))
    dry = replace(dry, cleanouts=(replace(dry.cleanouts[0], point=at(dry, (0, -500, -346))),))
    assert [f for f in kit.found("CLO006", dry) if "F1" in f.about and "crawl space" in f.found] == []


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize(("out_mm", "n"), [(0.0, 1), (70.0 + 60.325, 1), (70.0 + 60.5, 0)])
def test_a_plug_at_a_seam_on_either_side_of_a_wall(kit, side, out_mm, n):
    """In the wall or no farther before its studs than the 2 in pipe is thick (60.3 mm); the box stands farther out."""
    sign = -1.0 if side == "left" else 1.0
    xs = sorted((sign * 200.0, sign * 700.0))
    box = CabinetBox("K1.1", "K1", "sink", "sink base", "P", side, 600.0, 1000.0,
                     Box(Vec(xs[0], 600, 0), Vec(xs[1], 1000, 865)), 118.0)  # fmt: skip
    end = (sign * out_mm, 609.0, 300.0)
    add = {"C2": {"role": "cleanout extension", "a": end, "b": (sign * out_mm, 609.0, 296.0), "size": 2}}
    d = kit.design(cabinets=(box,), add=add)
    d = plug(d, at(d, end), opens=(sign, 0, 0))
    assert [f.about for f in kit.found("CLO010", d)] == [("CO1", "K1.1")] * n


# --- drains, vents and bores ------------------------------------------------------------------------------------------


def test_an_arm_that_falls_too_little_is_no_flat_drain(kit):
    """ARM004 and ARM005 speak of arms; only a closet's is judged as a drain."""
    d = kit.design(edit={"A1": {"b": (0, 609, 500)}, "D1": {"a": (0, 609, 500)}, "V1": {"a": (0, 609, 500)}})
    assert [f.about for f in kit.found("DRN007", d) if f.about == ("A1",)] == []


@pytest.mark.parametrize(("inch", "closets", "n"), [(3, 2, 0), (3, 3, 1), (4, 3, 0)])
def test_closets_of_a_larger_single_stack(kit, inch, closets, n):
    """IPC 917: two closets on 3 in; the figure speaks of 3 in only."""
    bodies = tuple(kit.fixture(f"W{i}", "water closet", wall_id="") for i in range(closets))
    tags = " ".join(b.tag for b in bodies)
    add = {"K1": {"role": "stack", "a": (0, 3000, 2400), "b": (0, 3000, -295), "size": inch, "tags": tags, "load": 9}}
    arms = {
        f"T{i}": {"role": "trap arm", "a": (400, 3000, 2420 - 300 * i), "b": (0, 3000, 2400), "size": 3, "tags": b.tag,
                  "load": 3}
        for i, b in enumerate(bodies)
    }  # fmt: skip
    traps = tuple({"tag": b.tag, "arm": (f"T{i}",), "trap_in": 3.0, "method": "single stack"}
                  for i, b in enumerate(bodies))  # fmt: skip
    d = kit.design(book=IPC, add=add | arms, traps=traps, fixtures=bodies)
    pipes = tuple(replace(p, vents_by=d.network.traps[0].method) if p.id == "K1" else p for p in d.network.pipes)
    d = replace(d, network=Network(d.network.nodes, pipes, d.network.traps))
    assert len([f for f in kit.found("SGL001", d) if "closets on" in f.found]) == n


@pytest.mark.parametrize(("deg", "n"), [(50.0, 1), (70.0, 0)])
def test_a_trench_that_crosses_a_footing(kit, deg, n):
    """Less than 60 degrees from its line it runs along the footing, beyond that it crosses it."""
    a = math.radians(90.0 - deg)
    end = (1000.0 + 2000.0 * math.cos(a), 500.0 + 2000.0 * math.sin(a), -800.0)
    thing = Obstacle("F1", "footing", Box(Vec(1100, -100, -200), Vec(1500, 4100, -30)), "footing")
    d = kit.design(add={"K1": branch((1000.0, 500.0, -800.0), end, place="under slab:main")}, obstacles=(thing,))
    assert len([f for f in kit.found("GRD002", d) if "K1" in f.about]) == n


def test_a_coupling_makes_no_turn(kit):
    """What joins two pipes straight is no bend: that they turn is for the bend that is missing (FIT007 of the list)."""
    corner = (1000.0, 3000.0, -260.0)
    add = {"K1": branch((2000, 3000, -240), corner), "K2": branch(corner, (1000, 2000, -280))}
    use = FittingUse("F1", "N9", "coupling", (2.0, 2.0), Vec(*corner), ("K1", "K2"), Status.MEMORY)
    d = kit.design(add=add, fabrication=replace(kit.EMPTY, fittings=(use,)))
    assert kit.found("FIT008", d) == []
    bend = replace(use, pattern="1/8 bend")
    assert len(kit.found("FIT008", replace(d, fabrication=replace(kit.EMPTY, fittings=(bend,))))) == 1


@pytest.mark.parametrize(("far_mm", "n"), [(304.8 - 0.3, 0), (304.8 - 0.6, 1)])
def test_a_terminal_of_unknown_thickness_beside_a_wall(kit, far_mm, n):
    """UPC 906.1: 12 in from a wall that goes on above the roof, from the centre where no thickness is known."""
    tall = kit.wall(id="T", start=Vec(70.0 + far_mm, 0, 0), end=Vec(70.0 + far_mm, 4000, 0), top_z_mm=5000.0)
    d = kit.design(book=UPC, walls=(tall,), edit={"V1": {"size": 20}}, kinds={(0, 1421, 3300): "cap"})
    assert len(kit.found("TRM008", d)) == n


def test_a_terminal_in_a_wall(kit):
    tall = kit.wall(id="T", start=Vec(0, 0, 0), end=Vec(0, 4000, 0), top_z_mm=5000.0)
    d = kit.design(book=UPC, walls=(tall,), edit={"V1": {"size": 20}}, kinds={(0, 1421, 3300): "cap"})
    (f,) = kit.found("TRM008", d)
    assert " ends 0 mm" in f.found


def test_one_circuit_vented_trap_makes_a_circuit_vent(kit):
    """The vent of a circuit also serves a lavatory: a valve on it ends a circuit vent."""
    traps = ({"tag": "LV1", "arm": ("A1",), "method": "individual"},
             {"tag": "WC1", "arm": ("A2", "A3"), "trap_in": 3.0, "method": "circuit"})  # fmt: skip
    d = kit.design(book=IPC, edit={"V1": {"tags": "LV1 WC1"}}, traps=traps,
                   kinds={(0, 609, 3300): "air admittance valve"})  # fmt: skip
    cell = replace(d.book.value("aav.methods"), value="none", printed="none")
    d = replace(d, book=replace(d.book, values=Frozen({**d.book.values, "aav.methods": cell})))
    (f,) = kit.found("VAL003", d)
    assert "ends a circuit vent" in f.found


@pytest.mark.parametrize(("others", "n"), [("", 0), (" WC1", 1)])
def test_foot_vents_of_loops_alone_meet_where_they_may(kit, others, n):
    """Foot vents of an island meet below its rim by design (UPC 909.1); with another fixture's vent they may not."""
    z = 500.0
    top = (0.0, 2900.0, z)
    sink = kit.fixture("KS", "kitchen sink", flood_rim_z_mm=900.0, group="")
    kw = {"system": "vent", "size": 1.5, "load": 2}
    add = {
        "X1": {"role": "foot vent", "a": (0, 2600, 100), "b": top, "tags": "KS", **kw},
        "X2": {"role": "vent", "a": (0, 3200, 100), "b": top, "tags": f"KS{others}", **kw},
        "X3": {"role": "vent", "a": top, "b": (0, 2900, 3300), "tags": f"KS{others}", **kw},
        "A9": {"role": "trap arm", "a": (300, 2600, 110), "b": (0, 2600, 100), "size": 1.5, "tags": "KS", "load": 2},
    }
    traps = (*kit.TRAPS, {"tag": "KS", "arm": ("A9",), "method": "island loop"})
    d = kit.design(book=UPC, add=add, traps=traps, fixtures=(sink, kit.LV1, kit.WC1),
                   kinds={(0, 2900, 3300): "terminal"})  # fmt: skip
    assert len(kit.found("VNT004", d)) == n


@pytest.mark.parametrize(("size", "n"), [(1.25, 1), (1.5, 0)])
def test_one_size_larger_lifts_the_length(kit, size, n):
    """UPC Table 703.2 and 904.2: a lavatory of 1 DFU asks for 1-1/4 in, up to 45 ft; in 1-1/2 in any length goes."""
    far = 45 * 304.8 + 1000.0
    edit = {"V1": {"size": size, "load": 1, "vent_mm": far}, "A1": {"size": 1.25}}
    d = kit.design(book=UPC, edit=edit)
    assert len([f for f in kit.found("VNT006", d) if f.about == ("V1",)]) == n


@pytest.mark.parametrize("runs", ["x", "y"])
@pytest.mark.parametrize(
    ("along", "across", "n"),
    [((-500.0, 3000.0), (0.0, 2000.0), 1), ((-499.9, 3000.0), (0.0, 2000.0), 0), ((-3000.0, -500.0), (-2000.0, 0.0), 1),
     ((-3000.0, -500.1), (0.0, 2000.0), 0), ((-500.0, 3000.0), (0.1, 2000.0), 0),
     ((-500.0, 3000.0), (-2000.0, -0.1), 0)],
)  # fmt: skip
def test_joists_over_a_cleanout_in_a_crawl_space(kit, runs, along, across, n):
    """IPC 708.1.10: 24 in (609.6 mm) under the joists that lie over it, which are 600 mm above the ground."""
    if runs == "x":
        along, across = across, along
    frame = Frame("J", "main", "sawn", runs, 240.0, 38.0, 0.0, -10.0, -250.0, 18.0, (), *along, *across)
    crawl = HouseLevel("crawl", "c", 0, "ground", -850.0, 0.0)
    d = kit.design(book=IPC, edit={"C1": {"place": "crawl:crawl"}}, frames=(frame,),
                   levels=(crawl, *kit.house().levels))  # fmt: skip
    d = replace(d, cleanouts=(replace(d.cleanouts[0], point=at(d, (0, -500, -346))),))
    found = [f for f in kit.found("CLO006", d) if "crawl space" in f.found]
    assert [f.about for f in found] == [("CO1", "J")] * n
    assert all("crawl space is 600 mm" in f.found for f in found)


# --- right at the limit -----------------------------------------------------------------------------------------------


def test_a_level_that_is_known_leaves_no_doubt(kit):
    """A drain without fall to spare is DRN007's; where the level of the sewer is sure nobody is asked about it."""
    low = (0, -5000, -356)
    for doubt_mm, n in ((0.0, 0), (1.0, 1)):
        sewer = Sewer(Vec(0, -5000, -487), 4.0, "south", "sewer", invert_uncertainty_mm=doubt_mm)
        d = kit.design(edit={"S1": {"b": low}}, kinds={low: "sewer connection"}, sewer=sewer)
        assert len(kit.found("SEW002", d)) == n


@pytest.mark.parametrize(("off_mm", "n"), [(13.0, 0), (13.1, 1)])
def test_half_an_inch_off_its_mark(kit, off_mm, n):
    """1/2 in, common practice, no source: the flange 13 mm along the wall beside its outlet point is where it is."""
    d = kit.design(fixtures=(kit.LV1, replace(kit.WC1, outlet=Vec(388, 1421 + off_mm, 13))))
    assert len([f for f in kit.found("FLG002", d) if "outlet point" in f.found]) == n


def test_a_vent_that_grows_in_the_roof_itself(kit):
    z = 3000.0
    d = kit.design(
        book="irc-2021", edit={"V1": {"b": (0, 609, z)}},
        add={"V1b": {"system": "vent", "role": "stack vent", "a": (0, 609, z), "b": (0, 609, 3300), "size": 3,
                     "tags": "LV1", "load": 1}},
        climate=Climate(frost_prone_vents=True, winter_design_f=0.0, footing_depth_mm=None),
    )  # fmt: skip
    (f,) = [f for f in kit.found("TRM007", d) if "V1b" in f.about]
    assert ' 0 mm (0") below the roof' in f.found


@pytest.mark.parametrize(("about", "told"), [(("LV1",), []), (("LV1", "P"), []), (("WC1",), ["K1"])])
def test_a_box_asked_for_one_fixture(kit, about, told):
    """Who is asked about a box agrees to the pipes of those fixtures, of one alone too."""
    pipe = {"K1": branch((2000, 2000, 300), (1500, 2000, 290), place="room:bath")}
    d = kit.design(add=pipe, questions=(Question("Q-LV1-box", "box?", "owner", about=about),))
    assert [f.about[0] for f in kit.found("CLA006", d)] == told


def test_a_pipe_that_ends_on_the_edge_of_the_house(kit):
    """The footprint goes from -3000 to 3000 and from -50 to 4050: its edge belongs to the house."""
    for a, b, out in (
        ((0, 2000, -300), (0, 4050, -340), None), ((0, 2000, -300), (3000, 2000, -340), None),
        ((0, 2000, -300), (0, -50, -340), None), ((0, 2000, -300), (-3000, 2000, -340), None),
        ((0, 4050, -300), (0, 5050, -340), (0, 4050)), ((3000, 2000, -300), (4000, 2000, -340), (3000, 2000)),
        ((0, -50, -300), (0, -1050, -340), (0, -50)), ((-3000, 2000, -300), (-4000, 2000, -340), (-3000, 2000)),
    ):  # fmt: skip
        on = review(kit.design(add={"K1": branch(a, b)}))
        pipe = on.net.pipe("K1")
        crossed = [(round(p.x, 3), round(p.y, 3)) for q, p in surroundings.crossing(on) if q.id == "K1"]
        assert crossed == ([out] if out else [])
        assert {(round(p.x, 3), round(p.y, 3)) for p in surroundings.outside_points(on, pipe)} == (
            {out, b[:2]} if out else set()
        )


DEEP_MM = 190.0 + 1.25 * 25.4 / 2  # from the wall to the far side of the tailpiece of LV1


@pytest.mark.parametrize(
    ("drawer", "n"),
    [
        (Drawer(430.0, 600.0, back_gap_mm=DEEP_MM), 0),
        (Drawer(430.0, 600.0, back_gap_mm=DEEP_MM - 0.1), 1),
        (Drawer(430.0, 600.0, cut_width_mm=hub_od_mm(1.5), cut_depth_mm=400.0), 0),
        (Drawer(430.0, 600.0, cut_width_mm=hub_od_mm(1.5) - 0.1, cut_depth_mm=400.0), 1),
    ],
)
def test_a_drawer_just_clear_of_the_trap(kit, drawer, n):
    """It ends where the tailpiece ends, or its cut-out is as wide as the hub."""
    box = CabinetBox("V1.1", "V1", "box", "sink base", "P", "right", 309.0, 909.0,
                     Box(Vec(83, 309, 13), Vec(643, 909, 865)), 118.0, drawers=(drawer,))  # fmt: skip
    assert len(kit.found("STB005", kit.design(cabinets=(box,)))) == n


def test_a_fixture_that_loads_nothing_has_no_known_load(kit):
    on = review(kit.design(edit={"A1": {"load": 0}, "D1": {"load": 0}, "V1": {"load": 0}}))
    assert facts.fixture_load(on, "LV1") is None
    assert facts.fixture_load(on, "WC1") == 4.0


@pytest.mark.parametrize(("load", "n"), [(0.0, 0), (0.5, 1)])
def test_a_drain_that_carries_nothing_is_no_wet_vent(kit, load, n):
    """The closet breathes through the lavatory's drain: a wet vent as soon as water may come down it."""
    traps = ({"tag": "LV1", "arm": ("A1",)},
             {"tag": "WC1", "arm": ("A2", "A3"), "trap_in": 3.0, "method": "wet", "through": ("D1",)})  # fmt: skip
    d = kit.design(book=IPC, traps=traps, drop=("V2", "B1"),
                   edit={"D1": {"wet": True, "load": load}, "A3": {"b": (0, 609, -323.9)}})  # fmt: skip
    assert len(facts.wet_vents(review(d))) == n


@pytest.mark.parametrize(("z", "n"), [(2466.0, 1), (2467.0, 0), (0.0, 0), (1.0, 1)])
def test_a_hub_where_its_wall_ends(kit, z, n):
    """Wall P stands from 0 to 2467: at the top of its plates, and at the floor, a point is no longer in it."""
    other = -300.0 if z < 100.0 else 3300.0
    riser = {"system": "vent", "role": "vent", "size": 1.5, "tags": "LV1", "place": "wall:P"}
    add = {"K1": {**riser, "a": (60.0, 2500.0, z), "b": (60.0, 2500.0, 1200.0)},
           "K2": {**riser, "a": (60.0, 2500.0, other), "b": (60.0, 2500.0, z), "place": "room:x"}}  # fmt: skip
    found = [f for f in kit.found("CLA004", kit.design(add=add)) if "K1" in f.about]
    assert len([f for f in found if f.at[2] == z]) == n


def test_what_stands_at_a_seam_or_an_edge_of_the_roof_is_of_both(kit):
    boxes = tuple(
        CabinetBox(i, "K", i, "doors", "P", "right", lo, lo + 600.0, Box(Vec(83, lo, 0), Vec(643, lo + 600, 865)), None)
        for i, lo in (("K.1", 300.0), ("K.2", 900.0))
    )
    on = review(kit.design(cabinets=boxes))
    for station, names in ((299.9, []), (300.0, ["K.1"]), (900.0, ["K.1", "K.2"]), (1500.0, ["K.2"]), (1500.1, [])):
        assert [b.id for b in surroundings.boxes_at(on, "P", "right", station)] == names
    for x, y in ((-3000, 0), (3000, 0), (0, -500), (0, 4500), (-3000, -500), (3000, 4500)):
        assert on.house.roof_over(Vec(x, y)) is on.house.roof[0]
        out = Vec(x, y).plus(Vec(math.copysign(0.1, x) if x else 0.0, math.copysign(0.1, y) if y else 0.0))
        assert on.house.roof_over(out) is None


def test_the_storey_of_a_pipe_a_millimetre_below_its_floor(kit):
    on = review(kit.design())
    assert surroundings.level_of(on, -1.0) is on.house.levels[0]
    assert surroundings.level_of(on, -1.1) is None


@pytest.mark.parametrize(("z", "seen"), [(300.0, True), (2000.0, True), (299.9, False), (2000.1, False)])
def test_a_plug_level_with_the_sill_of_an_opening(kit, z, seen):
    """What opens right at the sill or the head opens through the opening."""
    door = Opening("G1", "Q", 300.0, 900.0, 300.0, 1700.0, 2240.0, "door")
    door = replace(door, head_z_mm=2000.0)
    wall = kit.wall(id="Q", start=Vec(370, 0, 0), end=Vec(370, 4000, 0), openings=(door,))
    end = (0.0, 609.0, z)
    add = {"C2": {"role": "cleanout extension", "a": end, "b": (0.0, 609.0, z - 5.0), "size": 2}}
    d = kit.design(walls=(kit.wall(), wall), add=add)
    assert (kit.found("CLO006", plug(d, at(d, end))) == []) is seen


@pytest.mark.parametrize(
    ("x", "y", "n"),
    [(60.0, -500.0, 1), (60.1, -500.0, 0), (-60.0, -500.0, 1), (-60.1, -500.0, 0), (0.0, -560.0, 1), (0.0, -560.1, 0),
     (0.0, -440.0, 1), (0.0, -439.9, 0)],
)  # fmt: skip
def test_a_thing_just_over_a_cleanout_in_a_crawl_space(kit, x, y, n):
    """A pier cap of 120 mm each way is over the cleanout at (0, -500) to its very edge; what lies on the ground not."""
    crawl = HouseLevel("crawl", "c", 0, "ground", -700.0, 0.0)
    cap = Obstacle("F1", "beam", Box(Vec(x - 60.0, y - 60.0, -300), Vec(x + 60.0, y + 60.0, -20)), "beam")
    flat = Obstacle("F2", "pad", Box(Vec(-900, -900, -700), Vec(900, 900, -650)), "post")
    d = kit.design(book=IPC, edit={"C1": {"place": "crawl:crawl"}}, obstacles=(cap, flat),
                   levels=(crawl, *kit.house().levels))  # fmt: skip
    d = replace(d, cleanouts=(replace(d.cleanouts[0], point=at(d, (0, -500, -346))),))
    assert [f.about[1] for f in kit.found("CLO006", d) if "crawl space" in f.found] == ["F1"] * n


@pytest.mark.parametrize(("x", "y", "n"), [(0.0, 500.0, 0), (100.0, 609.0, 0), (0.1, 609.0, 1), (50.0, 600.1, 1)])
def test_a_terminal_on_the_edge_of_a_closed_zone(kit, x, y, n):
    """A zone from (0, 600) to (100, 800) is closed within its edges; the terminal of LV1 stands at (x, y)."""
    zone = RoofZone("Z", 0.0, 600.0, 100.0, 800.0, "ridge")
    d = kit.design(edit={"V1": {"a": (x, y, 495.4), "b": (x, y, 3300)}}, kinds={(x, y, 3300): "terminal"},
                   roof_zones=(zone,), drop=("V2",))  # fmt: skip
    assert len(kit.found("TRM004", d)) == n
    corner = kit.design(edit={"V1": {"a": (50.0, 600.0, 495.4), "b": (50.0, 600.0, 3300)}}, roof_zones=(zone,),
                        kinds={(50.0, 600.0, 3300): "terminal"}, drop=("V2",))  # fmt: skip
    assert kit.found("TRM004", corner) == []


def test_a_vent_from_the_first_joint_of_a_combination_drain(kit):
    """UPC 910.3: down stream of the uppermost fixture; where that fixture joins is no longer up stream of it."""
    joint, end = (2000.0, 3000.0, -300.0), (2000.0, 1000.0, -341.6)
    head = (2000.0, 4000.0, -279.0)
    add = {
        "L1": branch(head, joint, size=3, tags=""),
        "L2": branch(joint, end, size=3, tags="FD1"),
        "T1": {"role": "trap arm", "a": (2500, 3000, -290), "b": joint, "size": 2, "tags": "FD1", "load": 2},
    }
    for spot, n in ((joint, 0), (head, 1)):
        vent = {"V9": {"system": "vent", "role": "vent", "a": spot, "b": (*spot[:2], 3500.0), "size": 3}}
        d = kit.design(book=UPC, add=add | vent, fixtures=(kit.fixture("FD1", "floor drain", group=""),),
                       traps=({"tag": "FD1", "arm": ("T1",), "trap_in": 2.0, "method": "combination"},))  # fmt: skip
        pipes = tuple(replace(p, vents_by=d.network.traps[0].method) if p.id[0] == "L" else p for p in d.network.pipes)
        d = replace(d, network=Network(d.network.nodes, pipes, d.network.traps))
        assert len(kit.found("CMB005", d)) == n


def test_a_fitting_just_within_its_play(kit):
    """The play of the catalogue, 3 degrees: as much is within it; a tee of two pipes has no run to judge."""
    corner = (1000.0, 3000.0, -260.0)
    add = {"K1": branch((2000, 3000, -240), corner), "K2": branch(corner, (1000, 2000, -280))}
    play = figure("fitting angle play").value
    use = FittingUse("F1", "N9", "wye", (2.0, 2.0), Vec(*corner), ("K1", "K2"), Status.MEMORY)
    for off_deg, n in ((play, 0), (-play, 0), (play + 0.1, 1)):
        d = kit.design(add=add, fabrication=replace(kit.EMPTY, fittings=(replace(use, off_deg=off_deg),)))
        assert len(kit.found("FIT008", d)) == n


def test_a_footing_half_as_long_again_as_wide_is_long(kit):
    """Up to 1.5 : 1 it is a pad, which bears all round; a trench that crosses a longer one is let be."""
    add = {"K1": branch((1000, 2000, -800), (5000, 2000, -800), place="under slab:main")}
    for long_mm, n in ((3000.0, 0), (2999.0, 1)):
        pad = Obstacle("F1", "footing", Box(Vec(2000, 2100, -200), Vec(4000, 2100 + long_mm, -30)), "footing")
        found = kit.found("GRD002", kit.design(add=add, obstacles=(pad,)))
        assert len([f for f in found if "K1" in f.about]) == n


@pytest.mark.parametrize(("end_y", "n"), [(1500.0, 1), (1499.9, 0)])
def test_a_trench_that_comes_to_the_corner_of_a_footing(kit, end_y, n):
    """A footing from y 1500 on: a trench along it that ends at its corner is beside it, one short of it is not."""
    thing = Obstacle("F1", "footing", Box(Vec(1100, 1500, -200), Vec(1500, 6000, -30)), "footing")
    add = {"K1": branch((1000, 500, -800), (1000, end_y, -800), place="under slab:main")}
    found = kit.found("GRD002", kit.design(add=add, obstacles=(thing,)))
    assert len([f for f in found if "K1" in f.about]) == n


@pytest.mark.parametrize(
    ("lo", "hi", "n"), [(496.0, 900.0, 1), (496.1, 900.0, 0), (100.0, 496.0, 1), (100.0, 495.9, 0)]
)
def test_a_stud_that_ends_at_the_mark(kit, lo, hi, n):
    """The mark of LV1 is at 496: a cripple that begins or ends just there is still in its way."""
    wall = kit.wall(studs=(Stud(609.0, 38.0, "cripple", lo_z_mm=lo, hi_z_mm=hi),))
    assert len(kit.found("STB003", kit.design(walls=(wall,)))) == n


def test_a_question_about_just_that(kit):
    """A question about nothing else is heard as well as one about more."""
    test = replace(kit.FACTS, test=replace(kit.FACTS.test, head_mm=None))
    for about, n in ((("test", "head"), 0), (("test", "head", "x"), 0), (("test",), 1)):
        d = kit.design(job=test, questions=(Question("Q1", "head?", "inspector", about=about),))
        assert len([f for f in kit.found("TST001", d) if f.about == ("test",)]) == n


def test_a_plug_on_no_drain_is_not_asked_its_size(kit):
    """A cleanout at the top of a vent opens no drain: no size is asked for, and nothing is left unjudged."""
    d = kit.design()
    d = plug(d, at(d, (0, 609, 3300)))
    assert kit.found("CLO007", d) == []
    assert kit.unjudged("CLO007", d) == []


@pytest.mark.parametrize(("level", "side"), [(863.0, "above"), (862.0, "below"), (864.0, "above")])
def test_a_vent_that_lies_level_with_the_rim(kit, level, side):
    """UPC 905.3: 6 in above the rim; just level with that of the lavatory, 863, it is said to lie 0 mm above it."""
    flat = {"X1": {"system": "vent", "role": "vent", "a": (0, 609, level), "b": (0, 900, level), "size": 1.5,
                   "tags": "LV1"}}  # fmt: skip
    (f,) = [f for f in kit.found("VNT003", kit.design(book=UPC, add=flat)) if f.about[0] == "X1"]
    assert f"{side} the rim" in f.found


@pytest.mark.parametrize(("z", "n"), [(13.0, 1), (12.9, 0), (865.0, 1), (865.1, 0)])
def test_a_plug_at_the_height_where_a_box_ends(kit, z, n):
    box = CabinetBox("K1.1", "K1", "sink", "sink base", "P", "right", 600.0, 1000.0,
                     Box(Vec(83, 600, 13), Vec(643, 1000, 865)), 118.0)  # fmt: skip
    end = (0.0, 609.0, z)
    d = kit.design(cabinets=(box,), add={"C2": {"role": "cleanout extension", "a": end, "b": (0.0, 609.0, z - 4.0),
                                                "size": 2}})  # fmt: skip
    assert len(kit.found("CLO010", plug(d, at(d, end)))) == n


@pytest.mark.parametrize(("z", "n"), [(0.0, 1), (-0.1, 0), (2467.0, 1), (2467.1, 0)])
def test_a_plug_at_the_height_where_a_wall_ends(kit, z, n):
    box = CabinetBox("K1.1", "K1", "sink", "sink base", "P", "right", 600.0, 1000.0,
                     Box(Vec(83, 600, -100), Vec(643, 1000, 3000)), 118.0)  # fmt: skip
    end = (0.0, 609.0, z)
    d = kit.design(cabinets=(box,), add={"C2": {"role": "cleanout extension", "a": end, "b": (0.0, 609.0, z - 4.0),
                                                "size": 2}})  # fmt: skip
    assert len(kit.found("CLO010", plug(d, at(d, end)))) == n


@pytest.mark.parametrize(("x", "n"), [(70.0, 1), (70.1, 0)])
def test_a_pipe_that_ends_at_the_face_of_the_studs(kit, x, n):
    """The hub of a pipe that ends just there stands out of the wall; one that goes on through the face is no riser."""
    riser = {"K1": {"system": "vent", "role": "vent", "a": (x, 2500.0, 900), "b": (0.0, 2500.0, 1200.0), "size": 1.5,
                    "tags": "LV1", "place": "wall:P"}}  # fmt: skip
    assert len([f for f in kit.found("CLA004", kit.design(add=riser)) if "K1" in f.about]) == n


def test_joists_level_with_a_plug_do_not_hang_over_it(kit):
    frame = Frame(
        "J", "main", "sawn", "x", 240.0, 38.0, 0.0, -106.0, -346.0, 18.0, (), -3000.0, 3000.0, -3000.0, 3000.0
    )
    crawl = HouseLevel("crawl", "c", 0, "ground", -850.0, 0.0)
    d = kit.design(book=IPC, edit={"C1": {"place": "crawl:crawl"}}, frames=(frame,),
                   levels=(crawl, *kit.house().levels))  # fmt: skip
    d = replace(d, cleanouts=(replace(d.cleanouts[0], point=at(d, (0, -500, -346))),))
    assert [f for f in kit.found("CLO006", d) if "crawl space" in f.found] == []


# --- what stands in the network ---------------------------------------------------------------------------------------


def test_all_vents_of_a_point(kit):
    """What rises from it and what comes to it."""
    low = {"system": "vent", "role": "vent", "a": (0, 900, 480), "b": (0, 609, 495.4), "size": 1.5}
    d = kit.design(add={"X1": low})
    net = d.network
    assert [p.id for p in facts.vents_at(net, net.node(at(d, (0, 609, 495.4))))] == ["V1", "X1"]


@pytest.mark.parametrize(("short", "n"), [("into", 0), ("out", 0), ("none", 1)])
def test_a_piece_without_length_turns_nowhere(kit, short, n):
    corner = Vec(1000.0, 3000.0, -260.0)
    a = corner.plus(Vec(0.5 if short == "into" else 900.0, 0.0, 0.0))
    b = corner.plus(Vec(0.0, -0.5 if short == "out" else -900.0, 0.0))
    add = {"K1": branch(tuple(a), tuple(corner)), "K2": branch(tuple(corner), tuple(b))}
    d = kit.design(add=add)
    use = FittingUse("F1", at(d, tuple(corner)), "1/4 bend", (2.0, 2.0), corner, ("K1", "K2"), Status.MEMORY)
    d = replace(d, fabrication=replace(kit.EMPTY, fittings=(use,)))
    assert len(list(facts.turns(review(d)))) == n


def test_a_fixture_of_little_load(kit):
    edit = {i: {"load": 0.5} for i in ("A1", "D1")}
    assert facts.fixture_load(review(kit.design(edit=edit)), "LV1") == 0.5


def test_a_long_arm_has_no_upper_end_of_its_own(kit):
    """UPC 707.4 speaks of drains; how long an arm may be is ARM001's."""
    add = {"K1": branch((3000, 3000, -240), (0, 3000, -300), role="trap arm")}
    drain = {"K1": {**add["K1"], "role": "branch"}}
    for pipe, n in ((add, 0), (drain, 1)):
        found = kit.found("CLO002", kit.design(book=UPC, add=pipe, cleanouts=()))
        assert len([f for f in found if f.about == ("K1",)]) == n


def test_an_arm_that_drops_first_and_then_lies_level(kit):
    """NPC 2.4.8.1 (1 in 50): the drop is passed over, the level piece behind it is told."""
    add = {"A0": {"role": "trap arm", "a": (230, 609, 700), "b": (230, 609, 500), "size": 1.5, "tags": "LV1"}}
    traps = ({"tag": "LV1", "arm": ("A0", "A1")}, kit.TRAPS[1])
    d = kit.design(add=add, traps=traps, edit={"A1": {"b": (0, 609, 500)}, "D1": {"a": (0, 609, 500)},
                                               "V1": {"a": (0, 609, 500)}})  # fmt: skip
    assert [f.about for f in kit.found("ARM004", d)] == [("LV1", "A1")]


@pytest.mark.parametrize(
    ("spots", "over_mm", "n"),
    [((5000.0,), 0.4, 0), ((5000.0,), 0.7, 1), ((2000.0, 5000.0), 0.4, 0), ((5000.0, 2000.0), 0.4, 0)],
)
def test_length_from_the_last_cleanout_of_a_pipe(kit, spots, over_mm, n):
    """NPC 2.4.7.2 (memory): 15 m of 4 in from the last of the cleanouts that open it, here 5 m from its start."""
    y0, z0 = 20000.0, 1000.0
    ys = [y0, *(y0 - mm for mm in sorted(spots)), y0 - 20000.0 - over_mm]
    add = {f"K{i}": branch((3000.0, a, z0), (3000.0, b, z0), size=4, place="under slab:main")
           for i, (a, b) in enumerate(pairwise(ys), start=1)}  # fmt: skip
    last = f"K{len(spots) + 1}"
    add |= {f"C{i}": {"role": "cleanout extension", "a": (3000.0, y0 - mm, z0 + 90.0), "b": (3000.0, y0 - mm, z0),
                      "size": 4} for i, mm in enumerate(spots, start=7)}  # fmt: skip
    d = kit.design(add=add)
    plans = tuple(
        CleanoutPlan(f"CO{mm:.0f}", at(d, (3000.0, y0 - mm, z0)), 4.0, Vec(0, 0, 1), 450.0, "drain", "here")
        for mm in spots
    )
    found = kit.found("CLO005", replace(d, cleanouts=plans))
    assert [f.about[0] for f in found if f.about[0] in add] == [last] * n
    assert all("15001 mm" in f.found for f in found if f.about[0] == last)


def test_of_two_kitchen_sinks_one_has_a_cleanout(kit):
    """NPC 2.4.7.1(10): the first has one at its arm, the second none within reach."""
    add, traps, bodies, spots = {}, [], [], {}
    for i, y in enumerate((12000.0, 20000.0), start=1):
        tag, weir, end = f"KS{i}", (300.0, y, 400.0), (0.0, y, 394.0)
        add[f"T{i}"] = {"role": "trap arm", "a": weir, "b": end, "size": 1.5, "tags": tag, "load": 1.5}
        traps.append({"tag": tag, "arm": (f"T{i}",)})
        bodies.append(kit.fixture(tag, "kitchen sink", group="", wall_id=""))
        spots[tag] = end
    d = kit.design(add=add, traps=(*kit.TRAPS, *traps), fixtures=(*bodies, kit.LV1, kit.WC1))
    d = plug(d, at(d, spots["KS1"]))
    assert [f.about[0] for f in kit.found("CLO009", d)] == ["KS2"]


@pytest.mark.parametrize(("below_mm", "offered"), [(255.0, False), (260.0, True)])
def test_a_trap_below_the_drawer_is_offered_within_the_band(kit, below_mm, offered):
    """The band of the stub-out begins at 250; the arm falls 10 mm to the trap, which hangs at 260 at the least."""
    drawer = Drawer(below_mm + hub_od_mm(1.5) / 2, 600.0)
    box = CabinetBox("V1.1", "V1", "box", "sink base", "P", "right", 309.0, 909.0,
                     Box(Vec(83, 309, 13), Vec(643, 909, 865)), 118.0, drawers=(drawer,))  # fmt: skip
    (f,) = kit.found("STB005", kit.design(cabinets=(box,), stubs=(kit.stub(arm_fall_mm=10.0),)))
    assert ("bring the trap below the drawer" in f.do) is offered


def test_a_standpipe_on_a_pipe_of_no_catalogue(kit):
    """Its bore is not known: it is not judged, and says so."""
    washer = kit.fixture("AW", "clothes washer", standpipe_top_z_mm=900.0, wall_id="")
    add = {"T1": {"role": "trap arm", "a": (300, 2600, 300), "b": (0, 2600, 294), "size": 20, "tags": "AW"}}
    d = kit.design(add=add, traps=(*kit.TRAPS, {"tag": "AW", "arm": ("T1",)}), fixtures=(washer, kit.LV1, kit.WC1))
    assert kit.found("STP001", d) == []
    assert kit.unjudged("STP001", d)


@pytest.mark.parametrize(("listed", "n"), [(True, 1), (False, 0)])
def test_supports_are_judged_as_soon_as_one_is_listed(kit, listed, n):
    """NPC 2.3.4: every 1.2 m. A list of supports without one of cut pieces is a list."""
    far = Hanger("H1", "K2", Vec(0, 0, 0), "hanger")
    made = replace(kit.EMPTY, hangers=(far,) if listed else ())
    d = kit.design(add={"K1": branch((2000, 3000, -240), (0, 3000, -280), place="attic:x")}, fabrication=made)
    assert len([f for f in kit.found("SUP001", d) if f.about == ("K1",)]) == n
    assert ("the design has no list of supports" in kit.unjudged("SUP001", d)) is not listed


@pytest.mark.parametrize(("far_mm", "n"), [(304.8 - 0.3, 0), (304.8 - 0.6, 1)])
def test_a_terminal_that_no_vent_comes_to(kit, far_mm, n):
    """UPC 906.1: 12 in, from the point itself where no pipe has a thickness."""
    tall = kit.wall(id="T", start=Vec(70.0 + far_mm, -4000, 0), end=Vec(70.0 + far_mm, 4000, 0), top_z_mm=5000.0)
    kinds = {(0, 609, 3300): "cap", (0, 1421, 3300): "cap", (0, -500, -250): "terminal"}
    assert len(kit.found("TRM008", kit.design(book=UPC, walls=(tall,), kinds=kinds))) == n


@pytest.mark.parametrize("runs", ["x", "y"])
@pytest.mark.parametrize(("deg", "word"), [(45.0, "in"), (20.0, "along")])
def test_a_pipe_slantwise_through_a_joist(kit, runs, deg, word):
    """Within some 25 degrees of its run a pipe lies along the joist, beyond that it goes through it."""
    frame = Frame("J", "main", "sawn", runs, 240.0, 38.0, 0.0, -10.0, -250.0, 18.0, (2000.0,), 0.0, 4000.0, 0.0, 4000.0)
    along, across = 300.0 * math.cos(math.radians(deg)), 300.0 * math.sin(math.radians(deg))
    ends = [(1000.0 - along, 2000.0 - across), (1000.0 + along, 2000.0 + across)]
    a, b = ((*(p if runs == "x" else p[::-1]), z) for p, z in zip(ends, (-100.0, -112.0), strict=True))
    found = kit.found("FRM007", kit.design(frames=(frame,), add={"K1": branch(a, b)}))
    (f,) = [f for f in found if f.about == ("K1", "J")]
    assert f" lies {word} the joist" in f.found
