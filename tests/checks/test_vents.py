"""Vents, terminals, valves, wet vents."""

from dataclasses import replace

import pytest

from stubout.files.books import load_book
from stubout.geometry.vec import Box, Vec
from stubout.house.facts import Climate, Wishes
from stubout.house.outside import RoofOpening, RoofPlane, RoofZone
from stubout.problems import Question


def test_unvented_trap(kit):
    assert [f.about[0] for f in kit.found("VNT001", kit.design(drop=("V1",)))] == ["LV1"]
    assert kit.found("VNT001", kit.design()) == []


def test_what_the_plan_calls_vented_does_not_count(kit):
    d = kit.design(drop=("V1",), traps=({"tag": "LV1", "arm": ("A1",), "method": "individual"}, kit.TRAPS[1]))
    assert len(kit.found("VNT001", d)) == 1


@pytest.mark.parametrize(("fall_mm", "n"), [(40, 0), (42, 1)])
def test_vent_below_weir_by_more_than_the_bore(kit, fall_mm, n):
    d = kit.design(edit={"A1": {"a": (230, 609, 495.4 + fall_mm)}})
    assert len(kit.found("VNT002", d)) == n


def flat_vent(kit, z, book="upc-2021", **kw):
    """Return the bath whose lavatory vent turns flat at a height and goes up 500 mm north of it."""
    return kit.design(
        book=book,
        edit={"V1": {"b": (0, 609, z)}},
        add={
            "V1b": {"system": "vent", "role": "branch vent", "a": (0, 609, z), "b": (0, 900, z + 3), "size": 1.5,
                    "tags": "LV1", "load": 1.5},
            "V1c": {"system": "vent", "role": "branch vent", "a": (0, 900, z + 3), "b": (0, 900, 3300), "size": 1.5,
                    "tags": "LV1", "load": 1.5},
        },
        kinds={(0, 900, 3300): "terminal"},
        **kw,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("z", "book", "n"),
    [(863 + 153, "upc-2021", 0), (863 + 151, "upc-2021", 1), (864, "npc-2020", 0), (860, "npc-2020", 1)],
)
def test_flat_vent_below_rim(kit, z, book, n):
    """UPC 905.3 and the I family ask for 6 in above the rim; the NPC for the rim itself."""
    assert len(kit.found("VNT003", flat_vent(kit, z, book))) == n


def tie(kit, z, book="upc-2021", **kw):
    """Return the bath whose lavatory vent joins the closet's vent at a height."""
    return kit.design(
        book=book,
        edit={"V1": {"b": (0, 609, z - 8)}, "V2": {"b": (0, 1421, z)}},
        add={
            "V1b": {"system": "vent", "role": "branch vent", "a": (0, 609, z - 8), "b": (0, 1421, z), "size": 1.5,
                    "tags": "LV1", "load": 1.5},
            "V3": {"system": "vent", "role": "stack vent", "a": (0, 1421, z), "b": (0, 1421, 3300), "size": 3,
                   "tags": "LV1 WC1", "load": 5.5},
        },
        kinds={(0, 1421, z): "vent tie-in"},
        **kw,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("z", "book", "n"),
    [(863 + 153, "upc-2021", 0), (863 + 151, "upc-2021", 1), (864, "npc-2020", 0), (861, "npc-2020", 1)],
)
def test_tie_in_too_low(kit, z, book, n):
    assert len(kit.found("VNT004", tie(kit, z, book))) == n


def test_rim_that_no_sheet_gives_is_named_as_usual(kit):
    d = tie(kit, 400, fixtures=(replace(kit.LV1, flood_rim_z_mm=None, kind=kit.WC1.kind), kit.WC1))
    (f,) = kit.found("VNT004", d)
    assert any("not said" in b.what for b in f.bases)


@pytest.mark.parametrize(("size", "trap_in", "n"), [(1.5, 2.0, 0), (1.25, 2.0, 1), (1.25, 1.5, 0)])
def test_vent_by_trap(kit, size, trap_in, n):
    """NPC Table 2.5.7.1: 1-1/2 in vent for a 2 in trap, 1-1/4 in for 1-1/2 in."""
    d = kit.design(
        edit={"V1": {"size": size}}, traps=({"tag": "LV1", "arm": ("A1",), "trap_in": trap_in}, kit.TRAPS[1])
    )
    assert len(kit.found("VNT005", d)) == n


@pytest.mark.parametrize(("length_m", "size", "n"), [(29.9, 1.5, 0), (30.1, 1.5, 1), (35, 2, 0)])
def test_branch_vent_by_load_and_length(kit, length_m, size, n):
    """D5: 8 FU over 35 m: 1-1/2 in (30 m) fails, 2 in (61 m) passes (NPC Table 2.5.8.3)."""
    d = kit.design(edit={"V1": {"role": "branch vent", "load": 8, "vent_mm": length_m * 1000, "size": size}})
    assert len(kit.found("VNT006", d)) == n


def test_individual_vent_length_is_ignored_by_the_npc(kit):
    d = kit.design(edit={"V1": {"load": 8, "vent_mm": 40000}})
    assert kit.found("VNT006", d) == []


def test_vent_reduced(kit):
    d = tie(kit, 1100)
    assert kit.found("VNT007", d) == []
    specs = {
        "V3": {
            "system": "vent",
            "role": "stack vent",
            "a": (0, 1421, 1100),
            "b": (0, 1421, 3300),
            "size": 2,
            "tags": "LV1 WC1",
        }
    }
    spoiled = kit.design(
        edit={"V1": {"b": (0, 609, 1092)}, "V2": {"b": (0, 1421, 1100)}},
        add={"V1b": {"system": "vent", "role": "branch vent", "a": (0, 609, 1092), "b": (0, 1421, 1100),
                     "size": 1.5, "tags": "LV1"}} | specs,
    )  # fmt: skip
    assert [f.about for f in kit.found("VNT007", spoiled)] == [("V3", "V2")]


def test_vent_that_holds_water(kit):
    dip = kit.design(
        edit={"V1": {"b": (0, 609, 1500)}},
        add={
            "V1b": {
                "system": "vent",
                "role": "vent",
                "a": (0, 609, 1500),
                "b": (0, 800, 1400),
                "size": 1.5,
                "tags": "LV1",
            },
            "V1c": {
                "system": "vent",
                "role": "vent",
                "a": (0, 800, 1400),
                "b": (0, 800, 3300),
                "size": 1.5,
                "tags": "LV1",
            },
        },
        kinds={(0, 800, 3300): "terminal"},
    )
    assert len(kit.found("VNT008", dip)) == 1
    assert kit.found("VNT008", flat_vent(kit, 1100)) == []


def test_vent_that_ends_indoors(kit):
    assert len(kit.found("VNT009", kit.design(kinds={(0, 609, 3300): "turn"}))) == 1
    assert kit.found("VNT009", kit.design()) == []


def test_take_off_lying_flat(kit):
    d = kit.design(
        edit={"V2": {"a": (300, 1421, -307.8)}},
        add={
            "V2a": {
                "system": "vent",
                "role": "vent",
                "a": (0, 1421, -307.8),
                "b": (300, 1421, -307.8),
                "size": 3,
                "tags": "WC1",
            }
        },
    )
    assert [f.about[0] for f in kit.found("VNT010", d)] == ["V2a"]
    assert kit.found("VNT010", kit.design()) == []


def test_one_vent_of_three_inches(kit):
    """NPC 2.5.8.4(5): one vent of 3 in for the building drain; W8: the stack vent stays 3 in to open air."""
    assert kit.found("VNT011", kit.design()) == []
    assert len(kit.found("VNT011", kit.design(edit={"V2": {"size": 2}}))) == 1


def test_vent_area_of_the_upc(kit):
    """W2: vents of 2, 2 and 1-1/2 in have over 8 sq in, enough for a 3 in sewer (answers on the UPC, chapter 9)."""
    two = {
        "V1": {"size": 2},
        "V2": {"size": 2},
        "B1": {"size": 3},
        "B2": {"size": 3},
        "S1": {"size": 3, "b": (0, -5000, -440)},
    }
    end = {(0, -5000, -440): "sewer connection"}
    short = kit.design(book="upc-2021", edit=two, kinds=end)
    (f,) = kit.found("VNT012", short)
    assert "6.28" in f.found
    assert "7.07" in f.wanted
    third = {
        "V9": {"system": "vent", "role": "vent", "a": (0, 700, 2000), "b": (0, 700, 3300), "size": 1.5, "tags": "LV1"}
    }
    assert (
        kit.found("VNT012", kit.design(book="upc-2021", edit=two, add=third, kinds=end | {(0, 700, 3300): "terminal"}))
        == []
    )


@pytest.mark.parametrize(("up_mm", "n"), [(151, 0), (149, 1)])
def test_terminal_height(kit, up_mm, n):
    plane = RoofPlane("north slope", -3000, -500, 3000, 4500, Vec(0, 0, 3300 - up_mm), 0.0, 0.0)
    assert len(kit.found("TRM001", kit.design(roof=(plane,)))) == 2 * n


def test_terminal_height_on_a_slope(kit):
    """House 01, fact 18: the roof at y 8150 is 5708 where it rises 0.4167 from 5520 at y 8600."""
    plane = RoofPlane("north slope", 0, 4300, 9800, 8600, Vec(0, 8600, 5520), 0.0, -0.4167)
    assert round(plane.z_at(5412, 8150)) == 5708


@pytest.mark.parametrize(("x", "top", "n"), [(3499, 3400, 2), (3560, 3400, 0), (1000, 2290, 0), (1000, 2310, 2)])
def test_terminal_near_opening(kit, x, top, n):
    """NPC 2.5.6.5: 3.5 m away or 1 m above; terminals end at 3300."""
    sky = RoofOpening("SK", Box(Vec(x, 0, top - 100), Vec(x + 500, 4000, top)))
    assert len(kit.found("TRM002", kit.design(roof_openings=(sky,)))) == n


def test_shut_skylight_does_not_count(kit):
    sky = RoofOpening("SK", Box(Vec(500, 0, 3000), Vec(900, 4000, 3300)), opens=False)
    assert kit.found("TRM002", kit.design(roof_openings=(sky,))) == []


def test_frost_size(kit):
    cold = Climate(frost_prone_vents=True, winter_design_f=-8.0, footing_depth_mm=1200.0)
    assert [f.about[1] for f in kit.found("TRM003", kit.design(climate=cold))] == ["V1"]
    assert kit.found("TRM003", kit.design()) == []


COLD_VENTS = Climate(frost_prone_vents=True, winter_design_f=-8.0, footing_depth_mm=1200.0)


def grown(kit, z, book="irc-2021", roof=3000.0, ceiling_below=None, **kw):
    """Return the bath whose lavatory vent becomes 3 in at a height; the roof is flat at 3000."""
    plane = RoofPlane("roof", -3000, -500, 3000, 4500, Vec(0, 0, roof), 0.0, 0.0, ceiling_below_mm=ceiling_below)
    return kit.design(
        book=book,
        edit={"V1": {"b": (0, 609, z)}},
        add={"V1b": {"system": "vent", "role": "stack vent", "a": (0, 609, z), "b": (0, 609, 3300), "size": 3,
                     "tags": "LV1", "load": 1}},
        roof=(plane,),
        climate=kw.pop("climate", COLD_VENTS),
        **kw,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("z", "ceiling_below", "book", "n"),
    [
        (3000 - 305, None, "irc-2021", 0),  # 1 ft inside (IRC P3103.2, secondary)
        (3000 - 303, None, "irc-2021", 1),
        (3000 - 305, None, "ipc-2021", 0),
        (3000 - 303, None, "ipc-2021", 1),
        (3000 - 305, None, "upc-2021", 0),  # 12 in (UPC 906.7, memory)
        (3000 - 303, None, "upc-2021", 1),
        (3000 - 381 - 305, 381.0, "irc-2021", 0),  # house 03: ceiling on the rafters 1'-3" below the surface
        (3000 - 305, 381.0, "irc-2021", 1),
    ],
)
def test_frost_size_begins_inside_the_warm_part(kit, z, ceiling_below, book, n):
    found = kit.found("TRM007", grown(kit, z, book, ceiling_below=ceiling_below))
    assert len(found) == n
    if n:
        assert found[0].bases[0].book == book
        assert found[0].about[2] == "V1b"


def test_frost_size_moved_by_what_the_finding_says(kit):
    (f,) = kit.found("TRM007", grown(kit, 2900))
    assert "205 mm" in f.do
    assert kit.found("TRM007", grown(kit, 2900 - 205)) == []


SLOPED = {"z": 2600, "ceiling_below": 300.0}  # to come 205 mm down, to 2395: below the plates of the wall, 2467


@pytest.mark.parametrize(
    ("depth_mm", "said"),
    [
        (89.0, ', and have P built of 2x6 studs or furred out to 102 mm (4"): the hubs of a 3 in vent stand out of its '
         '89 mm (3 1/2") studs'),
        (140.0, ""),
    ],
)  # fmt: skip
def test_the_wall_that_a_larger_vent_would_come_down_into(kit, depth_mm, said):
    """A hub of 3 in is 4 in outside (estimate of the catalogue), a 2x4 stud 89 mm deep, a 2x6 stud 140 mm (PS 20)."""
    (f,) = kit.found("TRM007", grown(kit, **SLOPED, walls=(kit.wall(depth_mm=depth_mm),)))
    assert f.do == f'set the enlargement 205 mm (8 1/16") lower{said}'


def test_a_wall_above_which_the_larger_vent_stays_is_not_spoken_of(kit):
    (f,) = kit.found("TRM007", grown(kit, 2900, walls=(kit.wall(depth_mm=89.0),)))
    assert " 2x6 " not in f.do


@pytest.mark.parametrize(
    ("framing", "bearing", "depth_mm", "told"),
    [
        ("irc-framing-2021", True, 157.0, True),  # 40 % of a bearing stud (R602.6): 62.8
        ("irc-framing-2021", True, 158.0, False),  # 63.2
        ("irc-framing-2021", False, 104.0, True),  # 60 % of another: 62.4
        ("irc-framing-2021", False, 106.0, False),  # 63.6
        ("nbc-9.23.5", True, 188.0, True),  # a third: 62.7
        ("nbc-9.23.5", True, 190.0, False),  # 63.3
        ("nbc-9.23.5", False, 102.0, True),  # all but 40 mm: 62
        ("nbc-9.23.5", False, 104.0, False),  # 64
    ],
)
def test_studs_that_take_no_hole_for_the_larger_vent(kit, framing, bearing, depth_mm, told):
    """It lies in the wall; the least bit for 2 in is 2-1/2 in, 63.5 mm (secondary); half a millimetre is let pass."""
    flat = {
        "V1": {"b": (0, 609, 2300)},
        "V1a": {"a": (0, 609, 2300), "b": (0, 1030, 2310)},
        "V1b": {"a": (0, 1030, 2310), "b": (0, 1030, 2500)},
        "V1c": {"a": (0, 1030, 2500), "b": (0, 1030, 3300), "size": 2},
    }
    vent = {"system": "vent", "role": "vent", "size": 1.5, "tags": "LV1", "load": 1}
    plane = RoofPlane("roof", -3000, -500, 3000, 4500, Vec(0, 0, 3000), 0.0, 0.0, ceiling_below_mm=500.0)
    d = kit.design(
        book="irc-2021",
        edit={"V1": flat.pop("V1")},
        add={i: vent | said for i, said in flat.items()},
        roof=(plane,),
        kinds={(0, 1030, 3300): "terminal"},
        climate=COLD_VENTS,
        walls=(kit.wall(bearing=bearing, depth_mm=depth_mm),),
    )
    (f,) = kit.found("TRM007", replace(d, framing=load_book(framing)))
    assert (f"P built of deeper studs: its {depth_mm:.0f} mm" in f.do) is told


def test_frost_size_under_a_cold_attic(kit):
    """An attic the job calls cold ends the warm part at its ceiling; one it says nothing of is named as not judged."""
    level = replace(kit.house().levels[0], ceiling_z_mm=2467.0)
    z = 3000 - 305
    cold = grown(kit, z, levels=(level,), wishes=Wishes(cold_spaces=("attic",)))
    assert len(kit.found("TRM007", cold)) == 1
    below = grown(kit, 2467 - 305, levels=(level,), wishes=Wishes(cold_spaces=("attic",)))
    assert kit.found("TRM007", below) == []
    unsaid = grown(kit, z, levels=(level,))
    assert kit.found("TRM007", unsaid) == []
    assert any("attic" in r for r in kit.unjudged("TRM007", unsaid))


def test_no_enlargement_no_frost_or_a_silent_book(kit):
    assert kit.found("TRM007", kit.design(book="irc-2021", climate=COLD_VENTS)) == []
    warm = replace(COLD_VENTS, frost_prone_vents=False)
    assert kit.found("TRM007", grown(kit, 2990, climate=warm)) == []
    assert kit.found("TRM007", grown(kit, 2990, "npc-2020")) == []
    assert any("frost_inside" in r for r in kit.unjudged("TRM007", grown(kit, 2990, "npc-2020")))


def test_closed_roof(kit):
    zone = RoofZone("solar", -500, 500, 500, 800, "solar array")
    assert [f.about[1] for f in kit.found("TRM004", kit.design(roof_zones=(zone,)))] == ["solar"]
    shut = RoofPlane("south slope", -3000, -500, 3000, 4500, Vec(0, 0, 3000), 0.0, 0.0, may_pierce=False)
    assert len(kit.found("TRM004", kit.design(roof=(shut,)))) == 2
    assert kit.found("TRM004", kit.design()) == []


@pytest.mark.parametrize(("most", "n"), [(1, 1), (2, 0), (None, 0)])
def test_terminals_over_the_wish(kit, most, n):
    assert len(kit.found("TRM005", kit.design(wishes=Wishes(max_terminals=most)))) == n


def test_no_vent_outdoors(kit):
    d = kit.design(kinds={(0, 609, 3300): "air admittance valve", (0, 1421, 3300): "air admittance valve"})
    assert len(kit.found("TRM006", d)) == 1
    assert kit.found("TRM006", kit.design()) == []


@pytest.mark.parametrize(("wish", "levels"), [("no", ["FIX"]), ("ask", ["ASK"]), ("last resort", ["ASK"]), ("yes", [])])
def test_valve_agreed(kit, wish, levels):
    d = kit.design(kinds={(0, 609, 3300): "air admittance valve"}, wishes=Wishes(aav=wish))
    assert [f.level.value for f in kit.found("VAL001", d)] == levels


@pytest.mark.parametrize(("about", "n"), [(("LV1", "aav"), 0), (("LV1", "outlet"), 1), (("KS", "aav"), 1)])
def test_valve_asked_about_once(kit, about, n):
    net = kit.design(kinds={(0, 609, 3300): "air admittance valve"}).network
    nodes = tuple(replace(x, tag="LV1") if x.kind.value == "air admittance valve" else x for x in net.nodes)
    asked = Question("Q1", "Is a valve accepted?", "inspector", about=about)
    for wish, hits in (("ask", n), ("no", 1)):  # a valve the job refuses is told whatever is asked
        d = kit.design(wishes=Wishes(aav=wish), questions=(asked,))
        d = replace(d, network=type(net)(nodes, net.pipes, net.traps))
        assert len(kit.found("VAL001", d)) == hits


@pytest.mark.parametrize(("up_mm", "n"), [(100.0, 0), (98.0, 1)])
def test_valve_height(kit, up_mm, n):
    d = kit.design(edit={"V1": {"b": (0, 609, 495.4 + up_mm)}}, kinds={(0, 609, 495.4 + up_mm): "air admittance valve"})
    assert len(kit.found("VAL002", d)) == n


def test_valve_in_the_cold(kit):
    d = kit.design(
        edit={"V1": {"place": "attic:attic"}},
        kinds={(0, 609, 3300): "air admittance valve"},
        wishes=Wishes(cold_spaces=("attic",)),
        climate=Climate(frost_prone_vents=True, winter_design_f=0.0, footing_depth_mm=None),
    )
    assert len(kit.found("VAL002", d)) == 1


def wet(kit, load=1.5, size=2, book="npc-2020", tags="LV1", extra=(), **kw):
    """Return a wet-vented bath: lavatory with the vent, tub vented through the lavatory's drain, closet last."""
    z = -323.9
    add = {
        "D1": {"role": "drain", "a": (0, 609, 495.4), "b": (0, 609, z), "size": size, "tags": tags, "load": load,
               "wet": True},
        "W1": {"role": "branch", "a": (0, 609, z), "b": (0, 400, z - 4.2), "size": size, "tags": f"{tags} BT1",
               "load": load + 1.5},
        "T1": {"role": "trap arm", "a": (500, 609, z + 10), "b": (0, 609, z), "size": 1.5, "tags": "BT1", "load": 1.5},
    }  # fmt: skip
    tub = kit.fixture("BT1", "bathtub", wall_id="", floor_outlet=True, flood_rim_z_mm=400.0)
    return kit.design(
        book=book,
        drop=("D1", "B1", "B2"),
        add=add,
        traps=(*kit.TRAPS, {"tag": "BT1", "arm": ("T1",), "method": "wet", "through": ("D1",)}),
        fixtures=kw.pop("fixtures", (kit.LV1, kit.WC1, tub, *extra)),
        **kw,
    )


@pytest.mark.parametrize(("load", "size", "n"), [(4, 2, 0), (4.5, 2, 1), (4.5, 3, 0), (2, 1.5, 0), (2.5, 1.5, 1)])
def test_wet_vent_size(kit, load, size, n):
    """NPC Table 2.5.8.1: 2 FU on 1-1/2 in, 4 on 2 in; W2: 4.5 FU needs 3 in."""
    assert len(kit.found("WET001", wet(kit, load, size))) == n


def test_closet_above_a_tub_on_a_wet_vent(kit):
    assert kit.found("WET002", wet(kit)) == []
    (f,) = kit.found("WET002", wet(kit, load=5.5, size=3, tags="LV1 WC1"))
    assert f.about[0] == "BT1"


def test_stranger_on_wet_vent(kit):
    sink = kit.fixture("KS", "kitchen sink", group="", flood_rim_z_mm=900.0)
    d = wet(kit, load=3, book="irc-2021", tags="KS LV1", extra=(sink,))
    assert [f.about[0] for f in kit.found("WET003", d)] == ["KS"]
    assert kit.found("WET003", wet(kit, book="irc-2021")) == []
    assert kit.found("WET003", wet(kit, load=3, tags="KS LV1", extra=(sink,))) == []  # the NPC has no groups


def test_wet_vent_across_storeys(kit):
    up = replace(kit.LV1, level_id="upper")
    tub = kit.fixture("BT1", "bathtub", wall_id="")
    assert len(kit.found("WET004", wet(kit, book="irc-2021", fixtures=(up, kit.WC1, tub)))) == 1
    assert kit.found("WET004", wet(kit, book="irc-2021")) == []


def test_closets_on_a_wet_vent(kit):
    wc = [kit.fixture(f"W{i}", "water closet", wall_id="") for i in range(3)]
    z = -323.9
    for n, hits in ((2, 0), (3, 1)):
        arms = {
            f"X{i}": {
                "role": "trap arm",
                "a": (400 + i, 609, z + 8),
                "b": (0, 609, z),
                "size": 3,
                "tags": f"W{i}",
                "load": 4,
            }
            for i in range(n)
        }
        d = kit.design(
            edit={"D1": {"wet": True, "size": 3}},
            add=arms,
            traps=(
                *kit.TRAPS,
                *({"tag": f"W{i}", "arm": (f"X{i}",), "method": "wet", "through": ("D1",)} for i in range(n)),
            ),
            fixtures=(kit.LV1, kit.WC1, *wc[:n]),
        )
        assert len(kit.found("WET005", d)) == hits


@pytest.mark.parametrize(("size", "n"), [(2, 0), (2.5, 1)])
def test_large_arm_on_wet_vent(kit, size, n):
    d = wet(kit)
    net = d.network
    pipes = tuple(replace(p, size_in=float(size)) if p.id == "T1" else p for p in net.pipes)
    d = replace(d, network=type(net)(net.nodes, pipes, net.traps))
    assert len(kit.found("WET006", d)) == n


@pytest.mark.parametrize(("load", "n"), [(4, 0), (4.5, 1)])
def test_storey_on_a_wet_vent(kit, load, n):
    """NPC 2.5.2.1: 4 FU from any one storey above the first."""
    up = replace(kit.LV1, level_id="upper")
    tub = kit.fixture("BT1", "bathtub", wall_id="")
    levels = (*kit.house().levels, replace(kit.house().levels[0], id="upper", order=1, subfloor_z_mm=2600.0))
    d = wet(kit, load=load, size=3, fixtures=(up, kit.WC1, tub), levels=levels)
    assert len(kit.found("WET007", d)) == n


def test_a_plan_that_says_wet_still_needs_a_vent_above(kit):
    d = wet(kit)
    specs = {i: s for i, s in kit.PIPES.items() if i not in ("D1", "B1", "B2", "V1")}
    assert specs
    assert kit.found("VNT001", d) == []
    net = d.network
    cut = type(net)(
        tuple(replace(x, outflow=tuple(i for i in x.outflow if i != "V1")) for x in net.nodes),
        tuple(p for p in net.pipes if p.id != "V1"),
        net.traps,
    )
    assert {f.about[0] for f in kit.found("VNT001", replace(d, network=cut))} == {"LV1", "BT1"}


def long_vent(kit, size, flat_ft=120, up_ft=60):
    """Return the bath with a vent of so many feet flat and so many upright, needing 2 in for its load."""
    flat, up = flat_ft * 304.8, up_ft * 304.8
    return kit.design(
        book="upc-2021",
        edit={"V1": {"b": (0, 609, 1100), "size": size, "load": 20}},
        add={
            "V1b": {"system": "vent", "role": "vent", "a": (0, 609, 1100), "b": (flat, 609, 1110), "size": size,
                    "tags": "LV1", "load": 20},
            "V1c": {"system": "vent", "role": "vent", "a": (flat, 609, 1110), "b": (flat, 609, 1110 + up), "size": size,
                    "tags": "LV1", "load": 20},
        },
        kinds={(flat, 609, 1110 + up): "terminal"},
    )  # fmt: skip


@pytest.mark.parametrize(("size", "flat_ft", "n"), [(2, 39.99, 0), (2, 40.01, 1), (2.5, 120, 0)])
def test_third_of_a_vent_may_lie(kit, size, flat_ft, n):
    """UPC 904.2 and W1 (code-body answers): a third of 120 ft for 2 in; 2-1/2 in all the way is free."""
    assert len([f for f in kit.found("VNT013", long_vent(kit, size, flat_ft)) if f.about[0] == "V1b"]) == n


def test_one_size_larger_lifts_the_length(kit):
    """UPC 904.2: one size larger over the whole length lifts the limits; 200 ft of 2 in is too long, of 2-1/2 not."""
    for size, n in ((2, 3), (2.5, 0)):
        d = long_vent(kit, size, 30)
        pipes = tuple(replace(p, vent_length_mm=200 * 304.8) if p.id.startswith("V1") else p for p in d.network.pipes)
        d = replace(d, network=type(d.network)(d.network.nodes, pipes, d.network.traps))
        assert len([f for f in kit.found("VNT006", d) if f.about[0].startswith("V1")]) == n
