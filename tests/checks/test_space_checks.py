"""Pipes against obstacles, openings, walls, each other, members, ground; clearances, flanges, supports, tests."""

from dataclasses import replace

import pytest

from stubout.catalog.model import fitting_key
from stubout.checks.registry import run_all
from stubout.fabrication.model import Bore, CutPiece, Fabrication, FittingUse, Hanger, Plate
from stubout.geometry.vec import Box, Vec
from stubout.house.facts import Climate, Reading, TestPlanFacts, Wishes
from stubout.house.framing import Opening, Stud
from stubout.house.model import CabinetBox, Frame, HouseLevel, Obstacle, Room
from stubout.house.outside import Ground, Sewer
from stubout.layout.model import Blocked, CleanoutPlan
from stubout.problems import Level, Question, Status


def thing(lo, hi, kind="duct", **kw):
    return Obstacle("O1", kind, Box(Vec(*lo), Vec(*hi)), kind, **kw)


@pytest.mark.parametrize(("x", "n"), [(24.0, 1), (25.5, 0)])
def test_vent_against_a_medicine_cabinet(kit, x, n):
    """A 1-1/2 in vent reaches 24.15 mm from its line; less than 1 mm in counts as touching."""
    cabinet = thing((x - 1, 500, 1200), (x + 100, 700, 1800), "box")
    d = kit.design(obstacles=(cabinet,))
    hits = [f for f in kit.found("CLA001", d) if f.about == ("V1", "O1")]
    assert len(hits) == (1 if x - 1 < 24.15 - 1 else 0) == n


def test_hub_reaches_where_the_pipe_does_not(kit):
    duct = thing((26, 590, 480), (120, 630, 520))
    (f,) = [f for f in kit.found("CLA001", kit.design(obstacles=(duct,))) if f.about[0] == "D1"]
    assert "hub" in f.found
    assert f.at == (0.0, 609.0, 495.4)


def test_soffits_and_footings_are_not_in_the_way(kit):
    for kind in ("soffit", "footing", "pad", "zone"):
        assert kit.found("CLA001", kit.design(obstacles=(thing((-50, 500, 1200), (50, 700, 1800), kind),))) == []


def opening(start, **kw):
    base = Opening("G1", "P", start, 600.0, 1000.0, 2000.0, 2240.0, "window", opens=True)
    return replace(base, **kw)


@pytest.mark.parametrize(("start", "window", "header"), [(300.0, 1, 1), (635.0, 0, 1), (700.0, 0, 0)])
def test_window_and_header(kit, start, window, header):
    d = kit.design(walls=(kit.wall(openings=(opening(start),)),), edit={"V2": {"b": (0, 1421, 900)}}, drop=())
    assert len([f for f in kit.found("CLA002", d) if f.about[0] == "V1"]) == window
    assert len([f for f in kit.found("CLA003", d) if f.about[0] == "V1"]) == header


@pytest.mark.parametrize(("depth", "size", "n"), [(140, 3, 0), (89, 3, 1), (89, 1.5, 0)])
def test_hub_wider_than_wall(kit, depth, size, n):
    """House 01: the 3 in hub (102 mm) does not fit a 2x4; with a fitting half way up the vent."""
    d = kit.design(
        walls=(kit.wall(depth_mm=float(depth)),),
        edit={"V1": {"b": (0, 609, 1500), "size": size}},
        add={
            "V1b": {
                "system": "vent",
                "role": "vent",
                "a": (0, 609, 1500),
                "b": (0, 609, 3300),
                "size": size,
                "tags": "LV1",
            }
        },
    )
    hits = [f for f in kit.found("CLA004", d) if f.at is not None and f.at[1] == 609.0 and f.at[2] == 1500.0]
    assert len(hits) == n


@pytest.mark.parametrize(("x", "n"), [(60, 0), (40, 1), (0, 1)])
def test_pipes_through_each_other(kit, x, n):
    """Two 1-1/2 in pipes, 48.3 mm: centre lines 60 apart are clear, 40 are not."""
    other = {
        "Z1": {"system": "vent", "role": "vent", "a": (x, 300, 1000), "b": (x, 1000, 1000), "size": 1.5, "tags": "LV1"}
    }
    assert len(kit.found("CLA005", kit.design(add=other))) == n


def test_joined_pipes_do_not_meet(kit):
    assert kit.found("CLA005", kit.design()) == []


def test_pipe_in_a_room(kit):
    spec = {"V1": {"place": "room:bath"}}
    assert [f.about for f in kit.found("CLA006", kit.design(edit=spec))] == [("V1", "bath")]
    shown = Room("bath", "main", 83.0, 13.0, 2500.0, 3900.0, 13.0, exposed_pipe_ok=True)
    assert kit.found("CLA006", kit.design(edit=spec, rooms=(shown,))) == []


@pytest.mark.parametrize(("id_", "about", "n"), [("Q-LV1-box", "LV1", 0), ("Q-WC1-box", "WC1", 1), ("Q9", "LV1", 1)])
def test_pipe_in_a_box_that_is_being_asked_for(kit, id_, about, n):
    asked = Question(id_, "may its drain drop in a box?", "builder", about=(about, "P"))
    d = kit.design(edit={"D1": {"place": "room:bath"}}, questions=(asked,))
    assert len(kit.found("CLA006", d)) == n


def test_refused_wall(kit):
    assert {f.about[0] for f in kit.found("CLA007", kit.design(wishes=Wishes(no_vent_in_walls=("P",))))} == {"V1", "V2"}
    assert {f.about[0] for f in kit.found("CLA007", kit.design(wishes=Wishes(no_drain_in_walls=("P",))))} == {
        "A1",
        "D1",
    }
    assert kit.found("CLA007", kit.design()) == []


@pytest.mark.parametrize(("clear", "y", "n"), [(True, 609, 1), (False, 609, 0), (True, 2000, 0)])
def test_pipe_over_panel(kit, clear, y, n):
    panel = thing((-60, y - 150, 1000), (60, y + 150, 1300), "panel", keep_clear_above_below=clear)
    high = kit.design(
        obstacles=(panel,),
        edit={
            "V1": {"a": (0, 609, 1500)},
            "V2": {"a": (0, 1421, 1500)},
            "D1": {"a": (0, 300, 495.4), "b": (0, 300, -323.9)},
        },
        drop=("A1",),
    )
    assert len([f for f in kit.found("CLA008", high) if f.about[0] == "V1"]) == n


def bore(**kw):
    base = Bore(
        "B1", "P stud at 812", "stud", "P", 812.0, "A1", Vec(0, 812, 480), 52.0, 140.0, 44.0, 84.0, 16.0, "ok", 480, 467
    )
    return replace(base, **kw)


def fab(bores=(), plates=(), hangers=(), pieces=()):
    return Fabrication((), tuple(pieces), tuple(bores), tuple(plates), tuple(hangers), (), (), ())


@pytest.mark.parametrize(("hole", "limit", "n"), [(52.0, 53.3, 0), (52.0, 35.6, 1), (53.4, 53.34, 0), (54.0, 53.34, 1)])
def test_bore_size(kit, hole, limit, n):
    """A 2 in hole in a non-bearing 2x4 (2.10 in) passes, in a bearing one (1.40 in) not: IRC R602.6, read."""
    verdict = "too big" if hole > limit else "ok"
    d = kit.design(fabrication=fab([bore(hole_mm=hole, limit_mm=limit, verdict=verdict)]))
    assert len(kit.found("FRM001", d)) == n


def test_a_hole_in_a_stud_is_judged_by_the_section_on_studs(kit):
    """R602.6 is about studs, R502.8.1 about joists: the finding cites what decided, not the check's general clause."""
    limit = kit.design().framing.value("stud_bore.nonbearing_fraction").basis
    d = kit.design(fabrication=fab([bore(hole_mm=65.0, limit_mm=53.3, verdict="too big", bases=(limit,))]))
    (f,) = kit.found("FRM001", d)
    assert [b.section for b in f.bases] == ["R602.6"]
    bare = kit.design(fabrication=fab([bore(hole_mm=65.0, limit_mm=53.3, verdict="too big")]))
    assert [b.section for b in kit.found("FRM001", bare)[0].bases] == ["R502.8.1"]


@pytest.mark.parametrize(("edge", "n"), [(50.8, 0), (30.0, 1)])
def test_bore_edge(kit, edge, n):
    b = bore(member_kind="joist", edge_mm=edge, edge_limit_mm=50.8, verdict="ok" if edge > 50 else "edge")
    assert len(kit.found("FRM002", kit.design(fabrication=fab([b])))) == n


@pytest.mark.parametrize(
    ("kind", "verdict", "levels"),
    [
        ("i-joist", "engineer", ["ASK"]),
        ("truss", "not allowed", ["STOP"]),
        ("stud", "ok", []),
        ("stud", "not allowed", []),
    ],
)
def test_engineered_member(kit, kind, verdict, levels):
    d = kit.design(fabrication=fab([bore(member_kind=kind, verdict=verdict)]))
    assert [f.level.value for f in kit.found("FRM003", d)] == levels


def test_strap(kit):
    cut = bore(member_kind="top plate", verdict="strap")
    assert len(kit.found("FRM004", kit.design(fabrication=fab([cut])))) == 1
    strap = Plate("NP1", "strap", "B1", "top", 300, 0)
    assert kit.found("FRM004", kit.design(fabrication=fab([cut], [strap]))) == []


@pytest.mark.parametrize(
    ("depth", "size", "book", "n"),
    [(89, 1.5, "upc-2021", 1), (140, 1.5, "upc-2021", 0), (140, 3, "irc-2021", 1), (140, 2, "irc-2021", 0)],
)
def test_nail_plate(kit, depth, size, book, n):
    """House 03 fact 20: 1-1/2 in a 2x4 0.80 in, 2 in a 2x6 1.56, 3 in a 2x6 1.00; UPC trigger 1 in, IRC 1-1/4 in."""
    d = kit.design(
        book=book,
        walls=(kit.wall(depth_mm=float(depth)),),
        edit={"A1": {"size": size}},
        fabrication=fab([bore(depth_mm=float(depth))]),
    )
    assert len(kit.found("FRM005", d)) == n
    plated = replace(
        d, fabrication=fab([bore(depth_mm=float(depth))], [Plate("NP1", "nail plate", "B1", "both", 120, 20)])
    )
    assert kit.found("FRM005", plated) == []


def test_nail_plate_where_the_book_is_silent(kit):
    d = kit.design(fabrication=fab([bore()]))
    assert kit.found("FRM005", d) == []
    assert kit.unjudged("FRM005", d)


def frame(centres=(600.0, 1006.0, 1412.0), runs="y", kind="sawn", **kw):
    base = Frame(
        "floor",
        "main",
        kind,
        runs,
        235.0,
        38.0,
        0.0,
        -18.0,
        -253.0,
        18.0,
        tuple(centres),
        -50.0,
        4050.0,
        -3000.0,
        3000.0,
    )
    return replace(base, **kw)


@pytest.mark.parametrize(("joist_x", "n"), [(388 + 71, 0), (388 + 68, 1), (388, 1)])
def test_flange_on_joist(kit, joist_x, n):
    """House 01 fact 11: a 3 in hub wants 19 + 51 = 70 mm from the joist line."""
    assert len(kit.found("FRM006", kit.design(frames=(frame((joist_x,)),)))) == n


def test_pipe_across_a_joist(kit):
    spec = {"A3": {"a": (388, 1421, -100), "b": (-100, 1421, -110)}, "A2": {"b": (388, 1421, -100)}}
    d = kit.design(frames=(frame((200.0,)),), edit=spec)
    (f,) = [f for f in kit.found("FRM007", d) if f.about == ("A3", "floor")]
    assert "200" in f.found
    bored = bore(member="floor joist at 200 E", member_kind="joist", wall_or_frame="floor", station_mm=200.0, pipe="A3")
    assert [f for f in kit.found("FRM007", replace(d, fabrication=fab([bored]))) if f.about == ("A3", "floor")] == []


@pytest.mark.parametrize(
    ("kind", "units", "words"),
    [
        ("sawn", "mm", "the joist at 200 of floor"),
        ("sawn", "inch", 'the joist at 7 7/8" of floor'),
        ("i-joist", "mm", "the I-joist at 200 of floor"),
    ],
)
def test_a_member_is_named_in_the_units_of_the_job(kit, kind, units, words):
    spec = {"A3": {"a": (388, 1421, -100), "b": (-100, 1421, -110)}, "A2": {"b": (388, 1421, -100)}}
    members = replace(frame((200.0,)), kind=kind)
    d = kit.design(frames=(members,), edit=spec, job=replace(kit.FACTS, units=units))
    assert any(words in f.found for f in kit.found("FRM007", d))


def test_a_pipe_that_lies_in_a_plate(kit):
    """Square through a plate is the riser's usual way; along it is a notch. Common practice, no source."""
    d = kit.design()
    cut = bore(member="P top plate", member_kind="top plate", wall_or_frame="P", pipe="A3", verdict="not allowed")
    (f,) = [f for f in kit.found("FRM007", replace(d, fabrication=fab([cut]))) if f.about == ("A3", "P")]
    assert f.level is Level.FIX
    assert "lies in the top plate of P" in f.found
    square = replace(cut, verdict="ok")
    assert [f for f in kit.found("FRM007", replace(d, fabrication=fab([square]))) if f.about == ("A3", "P")] == []


def test_riser_in_a_stud(kit):
    end = kit.wall(studs=(Stud(609.0, 38.0, "end"),))
    assert any("the end stud at 609 of P" in f.found for f in kit.found("FRM007", kit.design(walls=(end,))))
    wall = kit.wall(studs=(Stud(609.0, 38.0),))
    d = kit.design(walls=(wall,))
    hits = {f.about[0] for f in kit.found("FRM007", d)}
    assert {"D1", "V1"} <= hits
    fake = bore(station_mm=609.0, pipe="V1")
    assert "V1" in {f.about[0] for f in kit.found("FRM007", replace(d, fabrication=fab([fake])))}
    assert kit.found("FRM007", kit.design()) == []


@pytest.mark.parametrize(("y", "n"), [(1421 - 381, 0), (1421 - 379, 1)])
def test_closet_side(kit, y, n):
    """15 in (381 mm) from the centre: UPC 402.5, IPC 405.3.1 (read)."""
    vanity = thing((83, y - 600, 13), (600, y, 865), "appliance")
    assert len(kit.found("CLR001", kit.design(book="upc-2021", obstacles=(vanity,)))) == n


def test_closet_side_wall_and_far_things(kit):
    near = Room("bath", "main", 83.0, 1421 - 300, 2500.0, 3900.0, 13.0, title="bath")
    assert len(kit.found("CLR001", kit.design(book="upc-2021", rooms=(near,)))) == 1
    far = thing((1000, 1300, 13), (1500, 1500, 865), "appliance")
    assert kit.found("CLR001", kit.design(book="upc-2021", obstacles=(far,))) == []


@pytest.mark.parametrize(("gap", "n"), [(610, 0), (608, 1)])
def test_closet_front(kit, gap, n):
    """UPC 24 in (610 mm) in front."""
    body = replace(kit.WC1, extent=Box(Vec(83, 1221, 13), Vec(783, 1621, 800)))
    wall = Room("bath", "main", 83.0, 13.0, 783.0 + gap, 3900.0, 13.0, title="bath")
    assert len(kit.found("CLR002", kit.design(book="upc-2021", fixtures=(kit.LV1, body), rooms=(wall,)))) == n


@pytest.mark.parametrize(("z", "n"), [(13, 0), (19, 0), (20, 1), (0, 1)])
def test_flange_height(kit, z, n):
    """On the finished floor (13 mm here) to 1/4 in above it."""
    d = kit.design(edit={"A2": {"a": (388, 1421, z)}}, kinds={(388, 1421, z): "flange"})
    assert len(kit.found("FLG001", d)) == n


def test_flange_given_only_as_its_bend_is_not_checked(kit):
    d = kit.design(
        drop=("A2",), kinds={(388, 1421, -300): "flange"}, traps=(kit.TRAPS[0], {"tag": "WC1", "arm": ("A3",)})
    )
    assert kit.found("FLG001", d) == []
    assert kit.unjudged("FLG001", d)


@pytest.mark.parametrize(("ring_z", "n"), [(13.0, 0), (-19.0, 1)])
def test_flange_on_the_drop_above_its_bend(kit, ring_z, n):
    """Where the point is the bend, the flange that the cut list sets on its drop is judged."""
    d = kit.design(
        drop=("A2",), kinds={(388, 1421, -300): "flange"}, traps=(kit.TRAPS[0], {"tag": "WC1", "arm": ("A3",)})
    )
    node = next(x.id for x in d.network.nodes if x.kind.value == "flange")
    ring = FittingUse("F1", node, "closet flange", (3.0,), Vec(388, 1421, ring_z), ("A3",), Status.ESTIMATE)
    d = replace(d, fabrication=replace(kit.EMPTY, fittings=(ring,)))
    assert len(kit.found("FLG001", d)) == n
    assert kit.unjudged("FLG001", d) == []


@pytest.mark.parametrize(("rough", "n"), [(305.0, 0), (300.0, 0), (254.0, 1)])
def test_rough_in(kit, rough, n):
    """Outlet at x 388, finished wall at x 83: 305 mm."""
    d = kit.design(fixtures=(kit.LV1, replace(kit.WC1, from_wall_mm=rough)))
    assert len(kit.found("FLG002", d)) == n


def test_flange_beside_its_outlet(kit):
    moved = replace(kit.WC1, outlet=Vec(388, 1460, 13), from_wall_mm=305.0)
    assert len(kit.found("FLG002", kit.design(fixtures=(kit.LV1, moved)))) == 1
    allowed = replace(moved, may_move_mm=50.0)
    assert kit.found("FLG002", kit.design(fixtures=(kit.LV1, allowed))) == []


COLD = Climate(frost_prone_vents=True, winter_design_f=-8.0, footing_depth_mm=1067.0)


def test_cold_wall(kit):
    cold_wall = kit.wall(exterior=True, insulated=True)
    assert {f.about[0] for f in kit.found("CLD001", kit.design(walls=(cold_wall,), climate=COLD))} == {
        "A1",
        "D1",
        "V1",
        "V2",
    }
    assert kit.found("CLD001", kit.design(walls=(cold_wall,))) == []
    assert kit.found("CLD001", kit.design(climate=COLD)) == []


def test_cold_space(kit):
    spec = {"B1": {"place": "crawl:crawl"}}
    d = kit.design(edit=spec, climate=COLD, wishes=Wishes(cold_spaces=("crawl",)))
    assert [f.about for f in kit.found("CLD002", d)] == [("crawl", "B1")]
    assert kit.found("CLD002", kit.design(edit=spec, climate=COLD)) == []


@pytest.mark.parametrize(("ground", "levels"), [(26.0, []), (24.0, ["FIX"])])
def test_cover(kit, ground, levels):
    """UPC 718.3 (memory): 12 in, 305 mm; the sewer's top where it leaves is at -337 + 57 = -280."""
    d = kit.design(book="upc-2021", ground=Ground(ground, ground + 100))
    assert [f.level.value for f in kit.found("GRD001", d)] == levels


def test_cover_names_every_pipe_that_lacks_it_worst_first(kit):
    """S1 leaves at -280 (top) and ends at -379; S2 goes on level and less deep."""
    more = {"S2": {"role": "building sewer", "a": (0, -5000, -436), "b": (0, -6000, -240), "size": 4, "tags": "LV1"}}
    d = kit.design(book="upc-2021", add=more, ground=Ground(0.0, 0.0))
    (f,) = kit.found("GRD001", d)
    assert f.about == ("S2", "B2", "S1")
    assert "183 mm" in f.found  # 240 less half of a 4 in pipe, 57 mm
    assert "B2, S1" in f.found
    deep = kit.design(book="upc-2021", add=more, ground=Ground(26.0, 26.0))
    assert [f.about for f in kit.found("GRD001", deep)] == [("S2",)]


def test_cover_by_the_book_and_by_frost_are_told_apart(kit):
    more = {"S2": {"role": "building sewer", "a": (0, -5000, -436), "b": (0, -6000, -240), "size": 4, "tags": "LV1"}}
    d = kit.design(book="upc-2021", add=more, ground=Ground(26.0, 26.0), climate=COLD)
    found = kit.found("GRD001", d)
    assert [(f.level.value, f.about) for f in found] == [("FIX", ("S2",)), ("ASK", ("B2", "S1"))]
    assert "1067" in found[1].wanted


def test_cover_above_frost_depth_is_a_question(kit):
    d = kit.design(book="irc-2021", climate=COLD)
    assert [f.level.value for f in kit.found("GRD001", d)] == ["ASK"]
    (why,) = kit.unjudged("GRD001", kit.design(book="irc-2021"))
    assert "gives no `footing depth`" in why
    (why,) = kit.unjudged("GRD001", kit.design(book="irc-2021", climate=replace(COLD, frost_prone_vents=False)))
    assert "says that vents do not frost shut" in why


@pytest.mark.parametrize(("x", "n"), [(200, 1), (600, 0)])
def test_trench_beside_footing(kit, x, n):
    """Along a footing whose underside is at -200; the pipe's bottom is 165 to 200 lower."""
    footing = thing((x, -100, -200), (x + 400, 4100, -30), "footing")
    hits = [f for f in kit.found("GRD002", kit.design(obstacles=(footing,))) if "B1" in f.about]
    assert len(hits) == n


def test_crossing_a_footing_squarely_is_not_undermining(kit):
    footing = thing((-2000, -150, -100), (2000, 250, -30), "footing")
    assert kit.found("GRD002", kit.design(obstacles=(footing,))) == []


def test_pipe_in_footing(kit):
    footing = thing((-2000, -150, -500), (2000, 250, -300), "footing")
    assert {f.about[0] for f in kit.found("GRD003", kit.design(obstacles=(footing,)))} == {"B2"}
    deep = replace(footing, box=Box(Vec(-2000, -150, -250), Vec(2000, 250, -100)))
    assert kit.found("GRD003", kit.design(obstacles=(deep,))) == []


@pytest.mark.parametrize(
    ("z0", "z1", "deep"),
    [
        (-131.0, -133.0, None),  # a 2 in pipe, 60.3 mm thick, under 100 mm of concrete
        (-120.0, -160.0, "10 mm"),  # its upper end only
        (-50.0, -52.0, "60 mm"),  # all of it
        (40.0, 38.0, None),  # in a wall above it
    ],
)
def test_a_pipe_that_lies_in_the_slab(kit, z0, z1, deep):
    """Common practice, no source: what lies is laid below the concrete, what stands goes through it."""
    lies = {"role": "branch", "a": (2000, 3000, z0), "b": (1000, 3000, z1), "size": 2, "tags": "LV1"}
    hits = [f for f in kit.found("GRD004", kit.design(add={"K1": lies})) if "K1" in f.about]
    assert len(hits) == (deep is not None)
    if deep:
        (f,) = hits
        assert f.about == ("K1", "main")
        assert deep in f.found
        assert f.at == pytest.approx((2000.0, 3000.0, z0))


@pytest.mark.parametrize(
    ("x0", "x1", "at"),
    [
        (900.0, 2100.0, None),  # all of it lies where the concrete is left out
        (1900.0, 2100.0, (1900.0, 3000.0, -124.0)),  # its upper end, in the box for the trap: out of that it is cast in
        (1200.0, 1800.0, (2000.0, 3000.0, -120.0)),
    ],
)
def test_a_pipe_lies_in_no_concrete_where_that_is_left_out(kit, x0, x1, at):
    """Falls 40 mm from x = 2000 to x = 1000; by hand."""
    lies = {"role": "branch", "a": (2000, 3000, -120), "b": (1000, 3000, -160), "size": 2, "tags": "LV1"}
    (level,) = kit.design().house.levels
    hole = ("box for the trap", Box(Vec(x0, 2900, -100), Vec(x1, 3100, 0)))
    d = kit.design(add={"K1": lies}, levels=(replace(level, recesses=(hole,)),))
    assert [f.at for f in kit.found("GRD004", d) if "K1" in f.about] == ([pytest.approx(at)] if at else [])


def test_what_stands_goes_through_the_slab(kit):
    up = {"role": "drain", "a": (2000, 3000, 300), "b": (2000, 3000, -300), "size": 2, "tags": "LV1"}
    assert kit.found("GRD004", kit.design(add={"K1": up})) == []


@pytest.mark.parametrize(("spots", "n"), [((300, 1500, 2700), 0), ((1500,), 1), ((), 1)])
def test_supports(kit, spots, n):
    """ABS every 1.2 m (NPC 2.3.4): 3 m of branch under the frame."""
    spec = {"K1": {"role": "branch", "a": (3000, 609, -260), "b": (0, 609, -323.9), "size": 2, "tags": "LV1", "load": 1,
                   "place": "below frame:floor"}}  # fmt: skip
    piece = CutPiece("K1-1", "K1", "drain", 2, 3000, 0, 0, 3000, "", "", Status.READ)
    hangers = [Hanger(f"H{i}", "K1", Vec(3000 - s, 609, -260), "hanger") for i, s in enumerate(spots)]
    d = kit.design(add=spec, fabrication=fab(hangers=hangers, pieces=[piece]))
    assert len(kit.found("SUP001", d)) == n


def test_bored_joists_carry_a_pipe(kit):
    spec = {"K1": {"role": "branch", "a": (2000, 609, -283), "b": (0, 609, -323.9), "size": 2, "tags": "LV1", "load": 1,
                   "place": "joist bay:floor"}}  # fmt: skip
    piece = CutPiece("K1-1", "K1", "drain", 2, 2000, 0, 0, 2000, "", "", Status.READ)
    holes = [
        bore(id=f"B{i}", member_kind="joist", pipe="K1", centre=Vec(x, 609, -300)) for i, x in enumerate((1500, 600))
    ]
    assert kit.found("SUP001", kit.design(add=spec, fabrication=fab(holes, pieces=[piece]))) == []
    assert len(kit.found("SUP001", kit.design(add=spec, fabrication=fab(pieces=[piece])))) == 1


@pytest.mark.parametrize(("head", "levels"), [(3050.0, []), (3000.0, []), (1500.0, ["FIX"]), (None, ["ASK"])])
def test_head(kit, head, levels):
    facts = replace(kit.FACTS, test=TestPlanFacts("water", head, 15.0))
    assert [f.level.value for f in kit.found("TST001", kit.design(job=facts))] == levels


def test_unknown_head_is_asked_once(kit):
    facts = replace(kit.FACTS, test=TestPlanFacts("water", None, None))
    asked = Question("Q3", "10 ft or 5 ft?", "inspector", about=("test", "head"))
    assert len(kit.found("TST001", kit.design(job=facts))) == 1
    assert kit.found("TST001", kit.design(job=facts, questions=(asked,))) == []


def test_head_no_section_reaches(kit):
    low = {"V1": {"b": (0, 609, 2000)}, "V2": {"b": (0, 1421, 2000)}}
    assert len(kit.found("TST001", kit.design(edit=low))) == 1


@pytest.mark.parametrize(
    ("method", "book", "n"), [("air", "irc-2021", 1), ("water", "irc-2021", 0), ("air", "upc-2021", 1)]
)
def test_air_on_plastic(kit, method, book, n):
    facts = replace(kit.FACTS, test=TestPlanFacts(method, 3050.0, 15.0))
    assert len(kit.found("TST002", kit.design(book=book, job=facts))) == n


def test_joint_to_unknown_pipe(kit):
    old = Sewer(Vec(0, -5000, -487), 4.0, "south", "existing pipe")
    assert len(kit.found("MAT001", kit.design(sewer=old))) == 1
    assert kit.found("MAT001", kit.design()) == []


def test_questions_and_blocks(kit):
    q = Question("Q1", "Which heads?", "owner", blocks="size of SH3", assumed="two heads", about=("SH3",), line=12)
    (f,) = kit.found("ASK001", kit.design(questions=(q,)))
    assert (f.level.value, f.owner, f.line, f.about) == ("ASK", "owner", 12, ("Q1", "SH3"))
    assert "two heads" in f.found
    b = Blocked(("KS",), "no arm reaches a wall", "another place")
    (f,) = kit.found("BLK001", kit.design(blocked=(b,)))
    assert (f.level.value, f.do) == ("STOP", "another place")
    assert kit.found("ASK001", kit.design()) == kit.found("BLK001", kit.design()) == []


def test_levels_are_looked_up_by_height(kit):
    lv = (HouseLevel("crawl", "c", 0, "ground", -900.0, 0.0), HouseLevel("main", "m", 1, "frame", 0.0, 2467.0))
    panel = thing((-60, 459, 1000), (60, 759, 1300), "panel", keep_clear_above_below=True)
    d = kit.design(obstacles=(panel,), levels=lv, edit={"V1": {"a": (0, 609, 2600)}})
    assert [f for f in kit.found("CLA008", d) if f.about[0] == "V1"] == []


@pytest.mark.parametrize(("faucet", "n"), [("wall", 1), ("deck", 0)])
def test_wall_faucet(kit, faucet, n):
    lv = replace(kit.LV1, faucet=faucet)
    assert [f.about for f in kit.found("CLA009", kit.design(fixtures=(lv, kit.WC1)))] == [("V1", "LV1")] * n


@pytest.mark.parametrize(("value", "n"), [("0.9 deg", 1), ("1.2 deg", 0), ("1:50", 0), ("15 mm/m", 1)])
def test_as_built_slope(kit, value, n):
    """A digital level shows degrees; tan 0.9 = 1.57 %, tan 1.2 = 2.09 %."""
    d = kit.design(readings=(Reading("B1", "slope", value),), edit={"B1": {"size": 3}})
    assert len(kit.found("REC001", d)) == n


def test_as_built_records_that_say_nothing(kit):
    d = kit.design(
        readings=(Reading("B1", "slope", "steep"), Reading("ZZ", "slope", "2%"), Reading("B1", "photo", "x.jpg"))
    )
    assert kit.found("REC001", d) == []
    assert len(kit.unjudged("REC001", d)) == 2


@pytest.mark.parametrize(("lo", "n"), [(565.0, 1), (550.0, 0)])
def test_cleanout_at_a_seam(kit, lo, n):
    box = CabinetBox(
        "K1.1", "K1", "sink", "sink base", "P", "right", lo, 1000, Box(Vec(83, lo, 0), Vec(643, 1000, 865)), 118.0
    )
    d = kit.design(cabinets=(box,))
    node = next(n.id for n in d.network.nodes if n.at.to(Vec(0, 609, 495.4)) < 1)
    d = replace(d, cleanouts=(CleanoutPlan("CO1", node, 2.0, Vec(1, 0, 0), 450.0, "sink", "sink base"),))
    assert len(kit.found("CLO010", d)) == n


def test_the_pipe_deepest_in_a_footing_is_named_first(kit):
    """Two drains in one pad, the second in the order of the network with more of it inside."""
    pad = thing((3000, 3000, -500), (4000, 4000, -300), "pad")
    lying = {"role": "branch", "size": 2, "tags": "LV1", "load": 1}
    add = {"K1": {**lying, "a": (2500, 3300, -280), "b": (4500, 3300, -281)},
           "K2": {**lying, "a": (2500, 3500, -400), "b": (4500, 3500, -401)}}  # fmt: skip
    (f,) = [f for f in kit.found("GRD003", kit.design(obstacles=(pad,), add=add)) if "K1" in f.about]
    assert f.about[:2] == ("K2", "K1")


SIGNED = ("2030-01-02", "Inspector I")


@pytest.mark.parametrize(
    ("reading", "n"),
    [
        (Reading("B1", "slope", "2%"), 0),
        (Reading("V1", "slope", "2%"), 1),  # a vent
        (Reading("ZZ", "fall", "2%"), 1),
        (Reading("LV1", "stub height", "480 mm"), 0),
        (Reading("LV9", "Stub height", "480 mm"), 1),
        (Reading("LV9", "height of cleanout", "480 mm"), 1),
        (Reading("B1", "height", "480 mm"), 0),
        (Reading("section Q", "test", "held"), 0),
        (Reading("LV9", "photo", "x.jpg"), 0),
    ],
)
def test_a_record_of_nothing(kit, reading, n):
    """REC002: what is about no part of the layout; tests and kinds of the user's own are not looked at."""
    told = kit.found("REC002", kit.design(readings=(reading,)))
    assert [(f.about, f.level.value) for f in told] == [((reading.about,), "NOTE")] * n


def test_a_measured_fitting_that_is_not_used(kit):
    d = kit.design(measured=(("wye 6 x 6 x 6", "branch", 200.0), ("wye 6 x 6 x 6", "inlet", 200.0)))
    (f,) = kit.found("REC002", d)
    assert f.about == ("wye 6 x 6 x 6",)
    use = FittingUse("F1", "n", "wye", (6.0, 6.0, 6.0), Vec(0, 0, 0), (), Status.MEMORY)
    assert fitting_key(use.pattern, use.sizes_in) == "wye 6 x 6 x 6"
    assert kit.found("REC002", replace(d, fabrication=replace(d.fabrication, fittings=(use,)))) == []


def test_an_acceptance_of_nothing_is_told(kit):
    d = kit.design(
        readings=(Reading("B1", "slope", "0.9 deg"), Reading("REC001 B1", "waiver", "as it lies", *SIGNED)),
        edit={"B1": {"size": 3}},
    )
    told = [f for f in run_all(d)[0] if f.check in ("REC001", "REC002")]
    assert [f.check for f in told] == ["REC001"]
    for about in ("REC001 B9", "REC009 B1"):
        idle = replace(d, house=replace(d.house, readings=(Reading(about, "waiver", "as it lies", *SIGNED, 41),)))
        (f,) = [f for f in run_all(idle)[0] if f.check == "REC002"]
        assert (f.about, f.line, f.level.value) == ((about,), 41, "NOTE")
