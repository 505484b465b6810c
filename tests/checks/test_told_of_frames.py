"""What checks of holes, members, the ground and clearances tell: amounts, sides, names, and where they stay silent."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.fabrication.model import Bore, CutPiece, FittingUse
from stubout.geometry.vec import Box, Vec
from stubout.house.facts import Climate, Wishes
from stubout.house.framing import Stud
from stubout.house.model import Frame, Obstacle, Room
from stubout.house.outside import Ground
from stubout.problems import Basis, Status

UPC, IRC = "upc-2021", "irc-2021"


def branch(a, b, **kw):
    return {"role": "branch", "a": a, "b": b, "size": 2, "tags": "LV1", "load": 1, **kw}


# --- holes and members ------------------------------------------------------------------------------------------------


def bore(**kw):
    base = Bore("B1", "P stud at 406", "stud", "P", 406.0, "A1", Vec(0, 406, 480), 60.0, 140.0, 10.0, None, 15.9,
                "edge", 0.0, 0.0)  # fmt: skip
    return replace(base, **kw)


def holes(kit, *bores, **kw):
    return kit.design(fabrication=replace(kit.EMPTY, bores=bores), **kw)


@pytest.mark.parametrize("verdict", ["engineer", "not allowed", "strap", "too big"])
def test_an_edge_that_another_check_tells(kit, verdict):
    assert len(kit.found("FRM002", holes(kit, bore()))) == 1
    assert kit.found("FRM002", holes(kit, bore(verdict=verdict))) == []


def test_how_far_a_hole_must_move(kit):
    (f,) = kit.found("FRM002", holes(kit, bore(edge_mm=5.9)))
    assert "6 mm" in f.found
    assert "10 mm" in f.do
    (f,) = kit.found("FRM002", holes(kit, bore(edge_limit_mm=None, edge_mm=0.2)))
    assert "move the hole 0 mm" in f.do  # no limit, nothing short of it
    assert "at least 0 mm" in f.wanted
    (f,) = kit.found("FRM002", holes(kit, bore(edge_limit_mm=None)))
    assert "by" not in f.do
    assert "move the hole 0 mm" in f.do
    assert kit.found("FRM002", holes(kit, bore(edge_limit_mm=None, verdict="ok"))) == []


def test_wood_between_three_holes(kit):
    """IRC R502.8.1: 2 in between holes in one joist: each pair by itself, and only in one joist."""
    one = bore(id="B1", member="joist at 812", member_kind="joist", wall_or_frame="main", pipe="A1", hole_mm=60.0,
               edge_limit_mm=None, verdict="ok", centre=Vec(0, 812, 480))  # fmt: skip
    near = replace(one, id="B2", pipe="A3", centre=Vec(100.0, 812, 480))
    same_pipe = replace(one, id="B3", centre=Vec(10.0, 812, 480))
    elsewhere = replace(near, id="B4", member="joist at 1218")
    (f,) = kit.found("FRM002", holes(kit, same_pipe, elsewhere, one, near))[:1]
    found = kit.found("FRM002", holes(kit, elsewhere, one, near))
    assert [f.about for f in found] == [("B1", "B2", "joist at 812")]
    assert "40 mm" in found[0].found
    assert "11 mm" in found[0].do
    assert f.about[-1] == "joist at 812"


@pytest.mark.parametrize("kind", ["stud", "bottom plate", "top plate", "joist", "rafter"])
def test_sawn_members_are_not_the_makers_business(kit, kind):
    """A pipe that lies in a sawn member is FRM007; an engineer is asked of any."""
    assert kit.found("FRM003", holes(kit, bore(member_kind=kind, verdict="not allowed"))) == []
    (f,) = kit.found("FRM003", holes(kit, bore(member_kind=kind, verdict="engineer")))
    assert (f.level.value, f.owner) == ("ASK", "builder")
    assert "maker's chart" in f.do
    (f,) = kit.found("FRM003", holes(kit, bore(member_kind="truss", verdict="not allowed")))
    assert (f.level.value, f.owner, f.wanted) == ("STOP", "", "no hole")


def test_a_pipe_in_the_face_of_a_stud(kit):
    """A pipe that comes out of the stud is 0 mm from its face and not less."""
    deep = bore(centre=Vec(75, 406, 480), verdict="ok", edge_limit_mm=None)
    (f,) = kit.found("FRM005", holes(kit, deep, book=UPC))
    assert " 0 mm" in f.found


def joists(*centres, **kw):
    base = Frame("floor", "main", "sawn", "y", 235.0, 38.0, 0.0, -18.0, -253.0, 18.0, centres, -50.0, 4050.0, -3000.0,
                 3000.0)  # fmt: skip
    return replace(base, **kw)


def test_an_outlet_on_one_of_two_joists_is_told_once(kit):
    """The hub of 102 mm at x 388 overlaps both joists; the first is named."""
    (f,) = kit.found("FRM006", kit.design(frames=(joists(370.0, 420.0),)))
    assert "overlaps the joist at 370" in f.found
    assert "52 mm" in f.do
    beyond = joists(388.0, along_lo_mm=1421.0, along_hi_mm=4050.0)
    assert len(kit.found("FRM006", kit.design(frames=(beyond,)))) == 1
    assert kit.found("FRM006", kit.design(frames=(replace(beyond, along_lo_mm=1422.0),))) == []
    assert len(kit.found("FRM006", kit.design(frames=(joists(388.0, along_hi_mm=1421.0),)))) == 1
    across = joists(1421.0, runs="x", along_lo_mm=-3000.0, along_hi_mm=3000.0)
    assert len(kit.found("FRM006", kit.design(frames=(across,)))) == 1


def test_a_pipe_in_several_members(kit):
    """A bored joist, then one without a bore; the amount is how deep the pipe lies in the wood."""
    spec = {"A3": {"a": (388, 1421, -100), "b": (-500, 1421, -110)}, "A2": {"b": (388, 1421, -100)}}
    hole = bore(member="joist", member_kind="joist", wall_or_frame="floor", station_mm=200.0, pipe="A3", verdict="ok")
    d = kit.design(frames=(joists(200.0, -206.0),), edit=spec, fabrication=replace(kit.EMPTY, bores=(hole,)))
    (f,) = [f for f in kit.found("FRM007", d) if f.about == ("A3", "floor")]
    assert "in the joist at -206 of floor" in f.found
    assert "44 mm" in f.do  # half of 88.9: its centre line passes the wood
    assert "bore that the framing book allows" in f.wanted
    for x in (230, 170):  # on either side of it
        lying = {"K1": branch((x, 500, -100), (x, 3500, -100), size=1.5)}
        (f,) = [f for f in kit.found("FRM007", kit.design(frames=(joists(200.0),), add=lying)) if f.about[0] == "K1"]
        assert "along the joist at 200" in f.found
        assert "13 mm" in f.do  # 24.13 less the 11 mm from the centre line to the joist's side
        assert f.wanted == "a pipe in the bay"


def test_studs_at_the_ends_of_a_wall(kit):
    """The last stud stands half beyond the end of the wall; a pipe beside the wall is in none."""
    wall = kit.wall(studs=(Stud(0.0, 38.0, "end"), Stud(4000.0, 38.0, "end")))
    for y in (-15.0, 4015.0):
        pipe = {"system": "vent", "role": "vent", "a": (0, y, 500), "b": (0, y, 2000), "size": 1.5, "tags": "LV1"}
        found = [f for f in kit.found("FRM007", kit.design(walls=(wall,), add={"K1": pipe})) if f.about[0] == "K1"]
        assert len(found) == 1
        beside = {**pipe, "a": (70 + 23.2, y, 500), "b": (70 + 23.2, y, 2000)}
        found = [f for f in kit.found("FRM007", kit.design(walls=(wall,), add={"K1": beside})) if f.about[0] == "K1"]
        assert found == []
        touching = {**pipe, "a": (70 + 23.0, y, 500), "b": (70 + 23.0, y, 2000)}
        found = [f for f in kit.found("FRM007", kit.design(walls=(wall,), add={"K1": touching})) if f.about[0] == "K1"]
        assert len(found) == 1


# --- ground -----------------------------------------------------------------------------------------------------------


def footing(x, *, wide=400.0, y0=-100.0, y1=4100.0, lo=-200.0, kind="footing", name="F1"):
    return Obstacle(name, "footing", Box(Vec(x, y0, lo), Vec(x + wide, y1, -30)), kind)


def trench(kit, *things, place="under slab:main", z=-800.0, **kw):
    pipe = {"K1": branch((1000, 500, z), (1000, 3500, z), size=2, place=place, **kw)}
    d = kit.design(add=pipe, obstacles=things)
    return [f for f in kit.found("GRD002", d) if "K1" in f.about]


@pytest.mark.parametrize("place", ["under slab:main", "buried:main", "crawl:main"])
def test_a_trench_beside_a_footing(kit, place):
    """45 degrees (common practice): the bottom of the pipe is at -830.2, 630.2 below the footing's."""
    for gap_mm, n in ((630.2 + 30.2 - 0.4, 0), (630.2 + 30.2 - 0.6, 1), (100.0, 1)):
        found = trench(kit, footing(1000.0 + gap_mm), place=place)
        assert len(found) == n
        if n and gap_mm == 100.0:
            assert "560 mm" in found[0].found  # 630.2 less 69.8 to the pipe's side
            assert "560 mm" in found[0].do
    assert trench(kit, footing(1100.0), place="below frame:floor") == []


def test_a_pipe_under_a_footing_is_at_its_worst_there(kit):
    (f,) = trench(kit, footing(900.0))
    assert "630 mm" in f.found


@pytest.mark.parametrize(
    ("wide", "long", "n"),
    [(400.0, 4200.0, 1), (2000.0, 2900.0, 1), (2000.0, 3100.0, 1)],  # along it; nearly square: along any side
)
def test_what_runs_along_a_footing(kit, wide, long, n):
    thing = footing(1100.0, wide=wide, y0=0.0, y1=long)
    assert len(trench(kit, thing)) == n
    across = {"K1": branch((1000, 2000, -800), (5000, 2000, -800), place="under slab:main")}
    crosswise = replace(thing, box=Box(Vec(2000, 2100, -200), Vec(2000 + wide, 2100 + long, -30)))
    found = [f for f in kit.found("GRD002", kit.design(add=across, obstacles=(crosswise,))) if "K1" in f.about]
    assert len(found) == (1 if long < 1.5 * wide else 0)


def test_the_end_of_a_footing_and_a_pad(kit):
    """Beyond the end of a long footing nothing bears; a pad bears all around, over its corners too."""
    past = footing(1100.0, y0=3600.0, y1=9000.0)
    assert trench(kit, past) == []
    pad = footing(1100.0, wide=500.0, y0=3600.0, y1=4100.0, kind="pad")
    (f,) = trench(kit, pad)  # hypot(100, 100) less half of the pipe
    assert "519 mm" in f.found


def test_the_worst_trench_is_named_first(kit):
    deeper = {"K2": branch((1000, 500, -900), (1000, 3500, -900), place="buried:main")}
    d = kit.design(add={"K1": branch((1000, 500, -800), (1000, 3500, -800), place="buried:main"), **deeper},
                   obstacles=(footing(1100.0),))  # fmt: skip
    (f,) = [f for f in kit.found("GRD002", d) if "K1" in f.about]
    assert f.about == ("K2", "K1", "F1")
    assert "660 mm" in f.found


def test_an_upright_pipe_has_no_trench(kit):
    plumb = branch((1000, 2000, -100), (1000, 2000, -900), place="buried:main")
    d = kit.design(add={"K1": plumb}, obstacles=(footing(1100.0),), drop=("B1", "B2", "S1"))
    assert kit.found("GRD002", d) == []


# --- clearances, cold spaces, panels ----------------------------------------------------------------------------------


def body(kit, tag, kind, y, **kw):
    """Return a fixture against wall P with a body of 700 mm before it."""
    extent = Box(Vec(83, y - 200, 13), Vec(783, y + 200, 800))
    base = kit.fixture(tag, kind, station_mm=y, outlet=Vec(388, y, 13), floor_outlet=True, from_wall_mm=305.0,
                       outlet_in=3.0, extent=extent)  # fmt: skip
    return replace(base, **kw)


def test_closets_of_which_little_is_known(kit):
    """One has no body, one no wall, one no outlet; the one that is known is judged (UPC: 24 in, 610 mm, in front)."""
    room = Room("bath", "main", 83.0, 13.0, 783.0 + 500.0, 3900.0, 13.0, title="bath")
    bodies = (
        body(kit, "W1", "water closet", 600.0, extent=None),
        body(kit, "W2", "water closet", 1400.0, wall_id=""),
        body(kit, "W3", "water closet", 2200.0, outlet=None),
        body(kit, "W5", "water closet", 2600.0, room_id="hall"),  # a room the job does not describe
        body(kit, "W4", "water closet", 3000.0),
    )
    d = kit.design(book=UPC, fixtures=(*bodies, kit.LV1), rooms=(room,))
    (f,) = kit.found("CLR002", d)
    assert f.about == ("W4", "bath")
    assert "500 mm" in f.found
    assert "110 mm" in f.do
    assert kit.unjudged("CLR002", d) == ["W1: the body of the closet is not known"]


def test_lavatories_of_which_little_is_known(kit):
    """UPC 402.5: 24 in before a lavatory."""
    room = Room("bath", "main", 83.0, 13.0, 783.0 + 500.0, 3900.0, 13.0, title="bath")
    bodies = (
        body(kit, "L1", "lavatory", 600.0, wall_id=""),
        body(kit, "L2", "lavatory", 1400.0, extent=None),
        body(kit, "L3", "lavatory", 2200.0),
    )
    d = kit.design(book=UPC, fixtures=bodies, rooms=(room,))
    assert [f.about for f in kit.found("CLR003", d)] == [("L3", "bath")]
    assert any("L2" in r for r in kit.unjudged("CLR003", d))


def test_three_closets_in_a_row(kit):
    """Each pair on one side of one wall: the two that are too near are told, those on the other side are not."""
    bodies = (
        body(kit, "W1", "water closet", 600.0, side="left"),
        body(kit, "W2", "water closet", 700.0),
        body(kit, "W3", "water closet", 1400.0),
        body(kit, "W4", "bidet", 2200.0),
    )
    found = kit.found("CLR001", kit.design(book=UPC, fixtures=bodies))
    apart = [f for f in found if f.about in (("W1", "W2"), ("W2", "W3"), ("W3", "W4"), ("W1", "W3"))]
    assert [f.about for f in apart] == [("W2", "W3")]
    assert "stand 700 mm" in apart[0].found
    assert "62 mm" in apart[0].do
    assert apart[0].at == (388.0, 700.0, 13.0)


def test_cold_spaces_where_it_does_not_freeze(kit):
    crawl = {"B1": {"place": "crawl:crawl"}, "B2": {"place": "crawl:crawl"}}
    cold = Climate(frost_prone_vents=True, winter_design_f=10.0, footing_depth_mm=None)
    d = kit.design(edit=crawl, climate=cold, wishes=Wishes(cold_spaces=("attic", "crawl")))
    (f,) = kit.found("CLD002", d)
    assert f.about == ("crawl", "B1", "B2")
    assert "2 drains lie" in f.found
    one = kit.design(edit={"B1": crawl["B1"]}, climate=cold, wishes=Wishes(cold_spaces=("crawl",)))
    assert "a drain lies" in kit.found("CLD002", one)[0].found
    warm = replace(cold, winter_design_f=50.0)
    assert kit.found("CLD002", kit.design(edit=crawl, climate=warm, wishes=Wishes(cold_spaces=("crawl",)))) == []
    assert kit.found("CLD002", kit.design(edit=crawl, climate=cold)) == []


def test_a_panel_below_every_storey(kit):
    low = Obstacle("O1", "panel", Box(Vec(-60, 459, -900), Vec(60, 759, -600)), "panel", keep_clear_above_below=True)
    d = kit.design(obstacles=(low,))
    assert kit.found("CLA008", d) == []
    assert kit.unjudged("CLA008", d) == ["the storey of O1 is not known"]


def test_the_smallest_way_on_counts(kit):
    """A drain of 4 in splits into one of 4 in and one of 3 in: the smaller is told."""
    split = {"X1": branch((0, -500, -346), (900, -500, -360), size=3, tags="LV1 WC1")}
    (f,) = kit.found("DRN003", kit.design(add=split))
    assert f.about == ("X1", "B2")
    assert "at least 4 in" in f.wanted


def test_the_clause_of_a_hole_is_that_of_the_framing_book(kit):
    """The limit of a hole carries its section; the clause of the check is named where it does not."""
    d = holes(kit, bore())
    clause = d.framing.clauses.get("FRM002") or d.book.clauses.get("FRM002")
    (f,) = kit.found("FRM002", d)
    assert clause is None or f.bases[0].section == clause.basis.section
    own = Basis("edge of a stud", "5/8 in", d.framing.id, "R602.6", Status.READ)
    (f,) = kit.found("FRM002", holes(kit, bore(bases=(own,))))
    assert [b.section for b in f.bases] == ["R602.6"]


@pytest.mark.parametrize("kind", ["joist bay", "below frame", "soffit", "crawl", "attic", "room"])
def test_where_pipes_hang(kit, kind):
    """NPC 2.3.4: a support every 1.2 m wherever a lying pipe is not borne by studs or ground."""
    piece = CutPiece("K1-1", "K1", "drain", 2, 2000, 0, 0, 2000, "", "", Status.READ)
    for place, n in ((f"{kind}:x", 1), ("under slab:main", 0), ("wall:P", 0)):
        spec = {"K1": branch((2000, 609, -283), (0, 609, -323.9), place=place)}
        d = kit.design(add=spec, fabrication=replace(kit.EMPTY, pieces=(piece,)))
        assert len([f for f in kit.found("SUP001", d) if f.about == ("K1",)]) == n


@pytest.mark.parametrize(("frost_mm", "n"), [(279.0, 0), (281.0, 1), (300.0, 1)])
def test_a_sewer_above_the_frost(kit, frost_mm, n):
    """The top of the sewer where it leaves is 280 mm below the house's ground at 0 (337 less half of 114.3)."""
    cold = Climate(frost_prone_vents=True, winter_design_f=0.0, footing_depth_mm=frost_mm)
    found = kit.found("GRD001", kit.design(book=IRC, climate=cold, ground=Ground(0.0, 300.0)))
    assert [f.level.value for f in found] == ["ASK"] * n
    assert not any("as well" in f.found for f in found)  # it is the only one
    if frost_mm == 300.0:
        assert "20 mm" in found[0].do


@pytest.mark.parametrize(("service_mm", "n"), [(279.0, 0), (281.0, 1)])
@pytest.mark.parametrize("prone", [True, False])
def test_where_the_job_says_how_deep_services_lie_the_sewer_is_held_to_that(kit, service_mm, n, prone):
    """The same sewer, 280 mm deep; the footings' 900 mm do not count then, nor whether vents close with frost."""
    cold = Climate(prone, winter_design_f=0.0, footing_depth_mm=900.0, service_depth_mm=service_mm)
    found = kit.found("GRD001", kit.design(book=IRC, climate=cold, ground=Ground(0.0, 300.0)))
    assert ["services" in f.wanted for f in found] == [True] * n


def test_a_connection_that_is_too_shallow_itself_is_told_as_that(kit):
    """Laying the sewer deeper helps nothing where it ends in a pipe that lies no deeper."""
    cold = Climate(frost_prone_vents=True, winter_design_f=0.0, footing_depth_mm=1500.0)
    (f,) = kit.found("GRD001", kit.design(book=IRC, climate=cold, ground=Ground(0.0, 300.0)))
    assert "have the connection set deeper" in f.do
    assert "deeper there" not in f.do


@pytest.mark.parametrize(("what", "word"), [("strip footing", "strip footing F1"), ("", "footing F1")])
def test_a_footing_is_called_by_its_name(kit, what, word):
    (f,) = trench(kit, replace(footing(1100.0), what=what))
    assert word in f.found


# --- couplings in a run -----------------------------------------------------------------------------------------------


def coupled(kit, z=1000.0, y=609.0, x=0.0, **kw):
    """Return the house with a coupling of 1-1/2 in on the vent that rises in wall P."""
    use = FittingUse("F9", "", "coupling", (1.5, 1.5), Vec(x, y, z), ("V1", "V1"), Status.MEMORY)
    return kit.design(fabrication=replace(kit.EMPTY, fittings=(use,)), **kw)


@pytest.mark.parametrize(("z", "deep"), [(2391.0, 19), (2420.0, None), (2360.0, None), (19.0, None), (1200.0, 0)])
def test_a_coupling_in_a_plate(kit, z, deep):
    """By hand: the hubs of 1-1/2 in are 38 mm long together, 19 each side; plates at 0..38 and 2391..2467."""
    found = [f for f in kit.found("FRM007", coupled(kit, z)) if "F9" in f.about]
    assert [f.about for f in found] == ([] if deep == 0 or z == 2360.0 else [("V1", "F9", "P")])
    if deep:
        assert f"{deep} mm" in found[0].found


def test_a_coupling_beside_a_stud_and_in_one(kit):
    """By hand: the hub is 57.2 thick; the stud of 38 at 655 begins 27 from the pipe's centre, that at 700 farther."""
    for station, met in ((655.0, True), (700.0, False)):
        wall = kit.wall(studs=(Stud(station, 38.0, "stud"),))
        found = [f for f in kit.found("FRM007", coupled(kit, walls=(wall,))) if "F9" in f.about]
        assert bool(found) is met


def test_the_hub_of_a_coupling_meets_what_the_pipe_passes(kit):
    """By hand: a duct 26 mm from the centre line: the pipe of 48.3 clears it, the hub of 57.2 does not."""
    box = Box(Vec(26.0, 500.0, 900.0), Vec(300.0, 700.0, 1100.0))
    duct = Obstacle("O1", "duct", box, "duct")
    (f,) = [f for f in kit.found("CLA001", coupled(kit, obstacles=(duct,))) if "V1" in f.about]
    assert "the coupling of" in f.found
    assert kit.found("CLA001", kit.design(obstacles=(duct,))) == []
    assert kit.found("CLA001", coupled(kit, z=1500.0, obstacles=(duct,))) == []


def test_the_hub_of_a_coupling_stands_out_of_its_wall(kit):
    shallow = kit.wall(depth_mm=52.0)
    found = {f.about: f for f in kit.found("CLA004", coupled(kit, walls=(shallow,)))}
    assert ("V1", "F9", "P") in found
    assert "hub at F9" in found["V1", "F9", "P"].found
