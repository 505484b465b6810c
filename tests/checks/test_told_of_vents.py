"""What checks of vents, terminals and valves tell, and where they stay silent; by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.checks.registry import by_id
from stubout.geometry.vec import Box, Vec
from stubout.house.facts import Climate, Wishes
from stubout.house.model import Obstacle
from stubout.house.outside import RoofOpening, RoofPlane, RoofZone
from stubout.network.model import Network
from stubout.problems import Question
from stubout.rulebooks.frozen import Frozen

UPC, IPC, IRC = "upc-2021", "ipc-2021", "irc-2021"
FROST = Climate(frost_prone_vents=True, winter_design_f=0.0, footing_depth_mm=None)


def vent(a, b, **kw):
    return {"system": "vent", "role": "vent", "a": a, "b": b, "size": 1.5, "tags": "LV1", "load": 1.5, **kw}


def without(d, *ids):
    return replace(d, book=replace(d.book, values=Frozen({i: c for i, c in d.book.values.items() if i not in ids})))


# --- vents ------------------------------------------------------------------------------------------------------------


def test_a_vent_that_goes_down_to_a_drain_holds_nothing(kit):
    """A low point in a vent holds water; one that rises by half a millimetre on is level."""
    for rise_mm, n in ((0.4, 0), (0.6, 1), (60.0, 1)):
        low = (0, 800, 1400)
        parts = {
            "V1b": vent((0, 609, 1400 + rise_mm), low),
            "V1c": vent(low, (0, 800, 3300)),
        }
        d = kit.design(edit={"V1": {"b": (0, 609, 1400 + rise_mm)}}, add=parts, kinds={(0, 800, 3300): "terminal"})
        assert len(kit.found("VNT008", d)) == n, rise_mm


def test_vents_that_meet_at_the_end_of_one(kit):
    """Two vents that come in and none that goes on, a vent that splits: each is a place where vents meet."""
    z = 863.0
    end = {"V1": {"b": (0, 1421, z)}, "V2": {"b": (0, 1421, z)}}
    (f,) = kit.found("VNT004", kit.design(book=UPC, edit=end))
    assert "152 mm" in f.do
    assert set(f.about[1:3]) == {"V1", "V2"}
    split = {
        "V1": {"b": (0, 609, z)},
    }
    both = {"X1": vent((0, 609, z), (0, 609, 3300)), "X2": vent((0, 609, z), (0, 1421, 1000))}
    assert len(kit.found("VNT004", kit.design(book=UPC, edit=split, add=both))) == 1
    through = {"X1": vent((0, 609, z), (0, 609, 3300))}
    assert kit.found("VNT004", kit.design(book=UPC, edit=split, add=through)) == []


def test_vents_of_a_fixture_without_a_rim(kit):
    """They cannot be judged and do not hide those that can."""
    sink = kit.fixture("KS", "kitchen sink", group="")
    z = 900.0
    other = {
        "X1": vent((0, 2600, 100), (0, 2600, z), tags="KS"),
        "X2": vent((0, 2900, 100), (0, 2600, z), tags="KS"),
        "X3": vent((0, 2600, z), (0, 2600, 3300), tags="KS"),
        "F1": vent((0, 2200, 700), (0, 2500, 710), tags="KS"),
        "F2": vent((0, 609, 700), (0, 909, 710)),
    }
    fixtures = (sink, kit.LV1, kit.WC1)
    tie = {"V1": {"b": (0, 1421, z)}, "V2": {"b": (0, 1421, z)}}
    d = kit.design(book=UPC, edit=tie, add=other, fixtures=fixtures)
    assert [f.about[-1] for f in kit.found("VNT004", d)] == ["LV1"]
    assert kit.unjudged("VNT004", d) == ["KS: the flood rim is not known"]
    flat = [f for f in kit.found("VNT003", d) if f.about[0] == "F2"]
    assert [f.about[1] for f in flat] == ["LV1"]
    assert "163 mm" in flat[0].found
    assert "below the rim" in flat[0].found


def test_a_vent_by_the_size_of_the_stack_below_it(kit):
    """NPC Table 2.5.8.4: a stack vent is read by its stack; where it begins higher up, by the stack it stands on."""
    parts = {
        "V1": {"b": (0, 609, 1400), "role": "stack vent", "load": 10, "vent_mm": 13001.0},
        "D1": {"size": 3, "load": 10},
        "V2": {"vent_mm": 0},
    }
    on = {"V1b": vent((0, 609, 1400), (0, 609, 3300), role="stack vent", load=10, vent_mm=13001.0)}
    found = kit.found("VNT006", kit.design(edit=parts, add=on))
    assert {f.about for f in found} == {("V1",), ("V1b",)}  # 13 m for 3 in, 10 FU
    assert all("10 FU" in f.found and "13001 mm" in f.found for f in found)
    small = {**parts, "D1": {"size": 2, "load": 10}}
    assert kit.found("VNT006", kit.design(edit=small, add=on)) == []  # 2 in, 12 FU: 23 m
    aside = {"K1": {"role": "branch", "a": (0, 609, 495.4), "b": (900, 609, 480), "size": 4, "tags": "LV1"}}
    assert kit.found("VNT006", kit.design(edit=small, add=on | aside)) == []  # what lies there is no stack


def test_a_load_that_needs_no_more_than_its_vent(kit):
    """UPC 904.2: a vent one size larger than its load asks may be of any length."""
    long = {"V1": {"vent_mm": 60000.0, "size": 1.5, "load": 1.0}, "V2": {"vent_mm": 0}}
    assert kit.found("VNT006", kit.design(book=UPC, edit=long)) == []  # 1 DFU asks for 1-1/4 in
    assert len(kit.found("VNT006", kit.design(book=UPC, edit={**long, "V1": {**long["V1"], "load": 8.0}}))) == 1


def test_the_return_of_a_loop_is_no_open_end(kit):
    """It leaves a vent that goes on to the air and comes down into a drain; a vent led into a drain brings no air."""
    split = (0, 609, 1400)
    parts = {
        "V1b": vent(split, (0, 609, 3300)),
        "R1": vent(split, (300, 609, 1400)),
        "R2": vent((300, 609, 1400), (300, 609, -318)),
        "K1": {"role": "branch", "a": (300, 609, -318), "b": (0, 609, -323.9), "size": 2, "tags": ""},
    }
    d = kit.design(edit={"V1": {"b": split}}, add=parts)
    assert by_id("VNT009").run(d) == ((), ())  # at a split the way to the air comes first
    dead = kit.design(edit={"V1": {"b": split}}, add={i: p for i, p in parts.items() if i != "V1b"})
    (f,) = by_id("VNT009").run(dead)[0]
    assert f.level.value == "STOP"
    assert f.at == (300.0, 609.0, -318.0)
    open_end = kit.design(edit={"V1": {"b": split}}, add={i: p for i, p in parts.items() if i != "K1"})
    assert len(by_id("VNT009").run(open_end)[0]) == 1


def test_a_take_off_beside_a_drop_may_lie(kit):
    """Only a vent off a drain that lies there is told; the foot vent and the vents of a loop are not."""
    flat = {"X1": vent((0, 1421, -307.8), (300, 1421, -300), tags="WC1")}
    (f,) = kit.found("VNT010", kit.design(add=flat))
    assert f.about[0] == "X1"
    assert kit.found("VNT010", kit.design(add={"X1": {**flat["X1"], "role": "foot vent"}})) == []
    assert kit.found("VNT010", kit.design(add={"X1": vent((0, 609, 495.4), (300, 609, 510))})) == []
    traps = (
        {"tag": "LV1", "arm": ("A1",)},
        {"tag": "WC1", "arm": ("A2", "A3"), "trap_in": 3.0, "method": "island loop"},
    )
    assert kit.found("VNT010", kit.design(add=flat, traps=traps)) == []
    assert len(kit.found("VNT010", kit.design(add={"X1": {**flat["X1"], "tags": "LV1 WC1"}}, traps=traps))) == 1


def test_the_narrowest_pipe_of_the_widest_way(kit):
    """NPC 2.5.8.4(5): one vent of 3 in all the way."""
    neck = {"V2": {"b": (0, 1421, 2000)}}
    more = {"V2b": vent((0, 1421, 2000), (0, 1421, 3300), size=2, tags="WC1")}
    (f,) = kit.found("VNT011", kit.design(edit=neck, add=more))
    assert "2 in" in f.found
    assert "3 in" in f.wanted
    small = kit.design(edit={"V1": {"size": 1.25}, "V2": {"size": 1.25}})
    (f,) = kit.found("VNT011", small)
    assert "1-1/4 in" in f.found


@pytest.mark.parametrize(("load", "closets", "need"), [(5.5, 1, "7.07"), (35, 1, "7.07"), (36, 1, "12.57")])
def test_area_of_the_required_sewer(kit, load, closets, need):
    """UPC 904.1 with Table 703.2: 35 DFU on 3 in, 216 on 4 in; a closet 3 in at least. One vent of 1-1/4 in is 1.23."""
    assert closets == 1
    sewer = {"b": (0, -5000, -440), "load": load}  # it falls 1/4 in per ft
    d = kit.design(
        book=UPC,
        edit={"V1": {"size": 1.25}, "V2": {"size": 1.25}, "S1": sewer},
        kinds={(0, -5000, -440): "sewer connection"},
    )
    (f,) = kit.found("VNT012", d)
    assert f"at least {need} sq in" in f.wanted
    assert "1-1/4 in + 1-1/4 in: 2.45 sq in" in f.found
    bare = kit.design(book=UPC, drop=("V1", "V2"))
    (f,) = kit.found("VNT012", bare)
    assert f.found.startswith("no vents")


# --- terminals --------------------------------------------------------------------------------------------------------


def test_a_terminal_beside_an_opening(kit):
    """NPC 2.5.6.5: 3.5 m away or 1 m above. What is told are the distances in plan and in height."""
    sky = RoofOpening("SK", Box(Vec(1000, 0, 3400), Vec(1500, 4000, 3500)))
    found = kit.found("TRM002", kit.design(roof_openings=(sky,)))
    assert [f.about[1] for f in found] == ["SK", "SK"]
    assert all("1000 mm" in f.found and "and 0 mm" in f.found for f in found)
    assert all("2500 mm" in f.do and "1200 mm" in f.do for f in found)
    low = RoofOpening("SK", Box(Vec(1000, 0, 2400), Vec(1500, 4000, 2700)))
    assert all("and 600 mm" in f.found for f in kit.found("TRM002", kit.design(roof_openings=(low,))))


def test_a_terminal_without_a_roof(kit):
    """Of two terminals one stands beside every roof the job knows; the other is judged."""
    plane = RoofPlane("roof", -3000, 1000, 3000, 4500, Vec(0, 0, 3200), 0.0, 0.0)
    d = kit.design(roof=(plane,))
    assert [f.about[1] for f in kit.found("TRM001", d)] == ["roof"]
    assert len(kit.unjudged("TRM001", d)) == 1
    tall = kit.wall(id="T", start=Vec(300, 0, 0), end=Vec(300, 4000, 0), top_z_mm=5000.0)
    found = kit.found("TRM008", kit.design(book=UPC, roof=(plane,), walls=(tall, kit.wall())))
    assert [f.about[1] for f in found] == ["T"]
    other = kit.wall(id="T", start=Vec(-300, 0, 0), end=Vec(-300, 4000, 0), top_z_mm=5000.0)
    found = kit.found("TRM008", kit.design(book=UPC, walls=(other,)))
    assert len(found) == 2
    gap = 300 - 70 - 24.13
    assert any(f"{gap:.0f} mm" in f.found for f in found)  # from the outside of a 1-1/2 in pipe


@pytest.mark.parametrize(
    ("z", "words"), [(2900.0, '100 mm (3 15/16") below the roof'), (3100.0, '100 mm (3 15/16") above')]
)
def test_frost_size_above_or_below(kit, z, words):
    d = kit.design(
        book=IRC,
        edit={"V1": {"b": (0, 609, z)}},
        add={"V1b": vent((0, 609, z), (0, 609, 3300), size=3)},
        climate=FROST,
    )
    (f,) = kit.found("TRM007", d)
    assert words in f.found


def test_the_widest_vent_that_comes_in_counts_against_frost(kit):
    """Where a small and a large vent meet, the large one keeps its size: nothing grows there."""
    z = 2950.0
    parts = {
        "X1": vent((0, 900, z - 30), (0, 1421, z)),
        "V2b": vent((0, 1421, z), (0, 1421, 3300), size=3, tags="WC1"),
    }
    d = kit.design(book=IRC, edit={"V2": {"b": (0, 1421, z)}}, add=parts, climate=FROST)
    assert [f for f in kit.found("TRM007", d) if "V2b" in f.about] == []


def test_no_roof_above_an_enlarged_vent(kit):
    d = kit.design(
        book=IRC,
        edit={"V1": {"b": (0, 609, 2950)}},
        add={"V1b": vent((0, 609, 2950), (0, 609, 3300), size=3)},
        climate=FROST,
        roof=(),
    )
    assert kit.found("TRM007", d) == []
    assert kit.unjudged("TRM007", d) == ["no roof is known above an enlarged vent"]


def test_a_closed_zone_ends_at_its_edge(kit):
    for x1, n in ((0.5, 1), (-0.5, 0)):
        zone = RoofZone("Z", -500.0, 500.0, x1, 800.0, "ridge")
        found = kit.found("TRM004", kit.design(roof_zones=(zone,)))
        assert [f.about[1] for f in found] == ["Z"] * n
        assert all("ridge" in f.found for f in found)


def test_one_terminal_too_many(kit):
    (f,) = kit.found("TRM005", kit.design(wishes=Wishes(max_terminals=0)))
    assert (f.level.value, f.owner, len(f.about)) == ("ASK", "owner", 2)
    assert f.found.startswith("2 vents go")
    assert "for 2 more" in f.do
    (f,) = kit.found("TRM005", kit.design(wishes=Wishes(max_terminals=0), kinds={(0, 609, 3300): "cap"}))
    assert f.found.startswith("1 vent goes")


# --- valves -----------------------------------------------------------------------------------------------------------


def valve(kit, book=IPC, **kw):
    return kit.design(book=book, kinds={(0, 609, 3300): "air admittance valve"}, **kw)


@pytest.mark.parametrize(
    ("role", "tags", "method", "word"),
    [
        ("vent", "LV1", "individual", "individual"),
        ("vent", "LV1 WC1", "individual", "common"),
        ("branch vent", "LV1", "individual", "branch"),
        ("vent header", "LV1 WC1", "individual", "branch"),
        ("stack vent", "LV1", "individual", "stack"),
        ("vent", "LV1", "circuit", "circuit"),
    ],
)
def test_what_kind_of_vent_a_valve_ends(kit, role, tags, method, word):
    """Under a book that names none of them every kind is told by its name; one that names it lets it pass."""
    traps = ({"tag": "LV1", "arm": ("A1",), "method": method}, kit.TRAPS[1])
    d = valve(kit, edit={"V1": {"role": role, "tags": tags}}, traps=traps)
    cell = replace(d.book.value("aav.methods"), value="none", printed="none")
    strict = replace(d, book=replace(d.book, values=Frozen({**d.book.values, "aav.methods": cell})))
    (f,) = kit.found("VAL003", strict)
    assert f"ends a {word} vent" in f.found
    lenient = replace(cell, value=f"other, {word}")
    d = replace(d, book=replace(d.book, values=Frozen({**d.book.values, "aav.methods": lenient})))
    assert kit.found("VAL003", d) == []


def test_a_valve_of_one_storey(kit):
    up = replace(kit.WC1, level_id="upper")
    d = valve(kit, edit={"V1": {"tags": "LV1 WC1"}}, fixtures=(kit.LV1, up))
    (f,) = kit.found("VAL004", d)
    assert f.about[1:] == ("LV1", "WC1")
    assert "2 storeys" in f.found
    assert kit.found("VAL004", valve(kit, edit={"V1": {"tags": "LV1 WC1"}})) == []
    assert kit.found("VAL004", without(d, "aav.same_floor")) == []
    stack = valve(kit, edit={"V1": {"tags": "LV1 WC1", "role": "stack vent"}}, fixtures=(kit.LV1, up))
    assert kit.found("VAL004", stack) == []


def test_a_valve_in_the_cold_and_in_the_attic(kit):
    cold = {"V1": {"place": "attic:loft"}}
    for spaces, n in ((("attic",), 1), (("loft",), 1), (("crawl",), 0), ((), 0)):
        d = valve(kit, edit=cold, wishes=Wishes(cold_spaces=spaces, aav="yes"), climate=FROST)
        assert len(kit.found("VAL002", d)) == n
    assert kit.found("VAL005", valve(kit, edit=cold)) == []
    assert any("how thick the insulation is" in r for r in kit.unjudged("VAL005", valve(kit, edit=cold)))
    assert kit.unjudged("VAL005", valve(kit)) == []
    warm = replace(FROST, winter_design_f=50.0)
    assert kit.found("VAL002", valve(kit, edit=cold, wishes=Wishes(cold_spaces=("attic",)), climate=warm)) == []


def test_a_stack_valve_above_the_rim(kit):
    """IPC 918.4: 6 in (152.4 mm) above the highest rim, 863."""
    for z, n in ((1015.0, 0), (1014.0, 1)):
        d = kit.design(
            book=IPC, edit={"V1": {"role": "stack vent", "b": (0, 609, z)}}, kinds={(0, 609, z): "air admittance valve"}
        )
        found = kit.found("VAL005", d)
        assert [f.about[1] for f in found] == ["LV1"] * n
        assert all("151 mm" in f.found and "1 mm" in f.do for f in found)


def test_which_question_about_a_valve_is_open(kit):
    """One of several questions is about this valve: it is asked already."""
    d = valve(kit, wishes=Wishes(aav="ask"))
    nodes = tuple(replace(x, tag="LV1") if x.kind.value == "air admittance valve" else x for x in d.network.nodes)
    d = replace(d, network=Network(nodes, d.network.pipes, d.network.traps))
    mine = Question("Q1", "accepted?", "inspector", about=("LV1", "aav"))
    other = Question("Q2", "heads?", "owner", about=("SH1",))
    assert kit.found("VAL001", replace(d, questions=(other, mine))) == []
    (f,) = kit.found("VAL001", replace(d, questions=(other,)))
    assert (f.level.value, f.owner, f.about[1]) == ("ASK", "inspector", "LV1")
    assert "aav: yes" in f.do
    (f,) = kit.found("VAL001", replace(d, house=replace(d.house, wishes=Wishes(aav="no"))))
    assert (f.level.value, f.owner, f.wanted) == ("FIX", "", "no valve")
    assert f.do == "carry the vent to the open air"


def test_a_valve_above_no_drain(kit):
    """A vent that comes from nowhere, one that goes round in its own pipes, and a book without a height."""
    lone = {"X1": vent((0, 2600, 500), (0, 2600, 900))}
    d = kit.design(book=IPC, add=lone, kinds={(0, 2600, 900): "air admittance valve"})
    assert kit.found("VAL002", d) == []
    assert any("no drain found" in r for r in kit.unjudged("VAL002", d))
    silent = without(valve(kit), "aav.above_drain")
    assert kit.found("VAL002", silent) == []
    assert kit.unjudged("VAL002", silent) == ["the book gives no height of a valve above its drain"]


def test_hubs_reach_farther_than_pipes(kit):
    """A skylight box 30 mm beside the lavatory's turn: clear of the pipe of 48.3 mm, not of a hub of 57.2 mm."""
    z = 1500.0
    turn = {"V1": {"b": (0, 609, z)}}
    more = {"V1b": vent((0, 609, z), (0, 609, 3300))}
    for gap_mm, n in ((57.15 / 2 - 0.9, 0), (57.15 / 2 - 1.1, 2)):
        thing = Obstacle("O1", "duct", Box(Vec(gap_mm, 500, z - 100), Vec(300, 700, z + 100)), "duct")
        found = kit.found("CLA001", kit.design(edit=turn, add=more, obstacles=(thing,)))
        assert len(found) == n
        assert all("the hub of" in f.found and f.at == (0.0, 609.0, z) for f in found)
    thing = Obstacle("O1", "duct", Box(Vec(20, 500, 2500), Vec(300, 700, 2600)), "duct")
    (f,) = kit.found("CLA001", kit.design(edit=turn, add=more, obstacles=(thing,)))
    assert "the pipe of" in f.found
    assert "4 mm" in f.do
