"""What a check passes over hides nothing that comes after it: one cleared thing first, the faulty one behind it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.fabrication.model import Bore
from stubout.geometry.vec import Box, Vec
from stubout.house.facts import RouteLeg
from stubout.house.framing import Stud
from stubout.house.model import CabinetBox, Drawer, Frame
from stubout.network.model import Network
from stubout.rulebooks.frozen import Frozen

UPC, NPC, IPC = "upc-2021", "npc-2020", "ipc-2021"


def branch(a, b, **kw):
    return {"role": "branch", "a": a, "b": b, "size": 2, "tags": "LV1", "load": 1, **kw}


def vent(a, b, **kw):
    return {"system": "vent", "role": "vent", "a": a, "b": b, "size": 1.5, "tags": "LV1", "load": 1.5, **kw}


MET = Drawer(lo_z_mm=440.0, hi_z_mm=600.0)


@pytest.mark.parametrize(
    "first",
    [
        Drawer(lo_z_mm=20.0, hi_z_mm=120.0),  # below all of it
        Drawer(lo_z_mm=430.0, hi_z_mm=600.0, back_gap_mm=400.0),  # it ends before the tailpiece
        Drawer(lo_z_mm=430.0, hi_z_mm=600.0, cut_width_mm=400.0, cut_depth_mm=400.0),  # cut out wide and deep enough
    ],
)
def test_drawers_over_each_other(kit, first):
    box = CabinetBox("V1.1", "V1", "box", "sink base", "P", "right", 300.0, 900.0,
                     Box(Vec(83, 300, 13), Vec(643, 900, 865)), 118.0, drawers=(first, MET))  # fmt: skip
    assert [f.about for f in kit.found("STB005", kit.design(cabinets=(box,)))] == [("LV1", "V1.1")]
    alone = replace(box, drawers=(first,))
    assert kit.found("STB005", kit.design(cabinets=(alone,))) == []


def test_a_shower_of_unknown_heads_and_a_fixture_without_trap_size(kit):
    """Traps before it whose size nobody knows: the heads are an open question, the book has no row."""
    shower = kit.fixture("SH1", "shower", heads=None, wall_id="")
    small = {"A1": {"size": 1.0}}
    d = kit.design(edit=small, fixtures=(shower, kit.LV1, kit.WC1),
                   traps=({"tag": "SH1", "arm": ("A0",)}, *kit.TRAPS),
                   add={"A0": {"role": "trap arm", "a": (900, 3000, 300), "b": (0, 3000, 290), "size": 2,
                               "tags": "SH1", "load": 2}})  # fmt: skip
    assert [f.about[0] for f in kit.found("ARM007", d)] == ["LV1"]
    assert any("SH1" in r for r in kit.unjudged("ARM007", d))
    shower = replace(shower, heads=1)
    silent = replace(d.book, tables=Frozen({k: t for k, t in d.book.tables.items() if k != "trap_size_by_heads"}))
    d = replace(d, book=silent, house=replace(d.house, fixtures=(shower, kit.LV1, kit.WC1)))
    assert [f.about[0] for f in kit.found("ARM007", d)] == ["LV1"]
    assert any("shower" in r for r in kit.unjudged("ARM007", d))


def test_washers_of_which_little_is_known(kit):
    """NPC 2.4.9.3: one without a standpipe, one whose rim nobody said; the third stands 60 mm too low."""
    bodies = (
        kit.fixture("W1", "clothes washer"),
        kit.fixture("W2", "clothes washer", standpipe_top_z_mm=900.0),
        kit.fixture("W3", "clothes washer", standpipe_top_z_mm=900.0, flood_rim_z_mm=900.0),
        kit.fixture("W4", "clothes washer", standpipe_top_z_mm=900.0, flood_rim_z_mm=960.0),
    )
    d = kit.design(book=NPC, fixtures=(*bodies, kit.LV1, kit.WC1))
    assert [f.about for f in kit.found("STP003", d)] == [("W4",)]
    assert len(kit.unjudged("STP003", d)) == 2


def test_members_a_pipe_is_clear_of(kit):
    """A pipe that touches the first stud, goes through the second by its bore, and lies in the third, which is told.

    A 1-1/2 in pipe is 48.26 mm thick: its end is 0.5 mm in the first stud, half a millimetre less than counts.
    """
    wall = kit.wall(studs=(Stud(1000.0, 38.0), Stud(1406.0, 38.0), Stud(1812.0, 38.0)))
    pipe = {"K1": branch((0, 1019.0 + 24.13 - 0.5, 500), (0, 1900.0, 490), size=1.5, place="wall:P")}
    hole = Bore(
        "B1", "M-P stud at 1406", "stud", "P", 1406.0, "K1", Vec(0, 1406, 495), 51.0, 140.0, 40.0, None, None, "ok",
        495.0, 482.0,
    )  # fmt: skip
    d = kit.design(walls=(wall,), add=pipe, drop=("V2",), fabrication=replace(kit.EMPTY, bores=(hole,)))
    (f,) = [f for f in kit.found("FRM007", d) if f.about[0] == "K1"]
    assert "at 1812" in f.found


def test_a_joist_is_told_once_and_hides_not_the_next(kit):
    """An I-joist is a web and two flanges, all at one place: a pipe that goes through web and flange is told once."""
    frame = Frame("J", "main", "i-joist", "x", 240.0, 60.0, 10.0, -10.0, -250.0, 18.0, (2000.0, 2400.0), 0.0, 4000.0,
                  1500.0, 3000.0)  # fmt: skip
    pipe = {"K1": branch((1000, 1900.0, -200), (1000, 2500.0, -240), size=2)}
    found = [f for f in kit.found("FRM007", kit.design(frames=(frame,), add=pipe)) if f.about[0] == "K1"]
    assert sorted(w for f in found for w in ("2000", "2400") if f"at {w}" in f.found) == ["2000", "2400"]


def test_a_stack_valve_beside_another_vent(kit):
    """A branch vent and one whose rims nobody knows come to the valve before the stack vent does."""
    z, top = 1000.0, (0, 609, 1000.0)
    sink = kit.fixture("KS", "kitchen sink", group="")
    add = {
        "X1": vent((0, 900, 990.0), top, role="branch vent"),
        "X2": vent((0, 1000, 990.0), top, role="stack vent", tags="KS"),
    }
    d = kit.design(book=IPC, edit={"V1": {"role": "stack vent", "b": top}}, add=add, fixtures=(sink, kit.LV1, kit.WC1),
                   kinds={(0, 609, z): "air admittance valve"})  # fmt: skip
    assert [f.about[1] for f in kit.found("VAL005", d)] == ["LV1"]
    assert kit.unjudged("VAL005", d) == ["KS: the flood rim is not known"]


@pytest.mark.parametrize(("closets", "need"), [(0, "3.14"), (1, "7.07"), (3, "7.07"), (4, "12.57")])
def test_a_size_too_small_for_its_closets_hides_no_larger_one(kit, closets, need):
    """UPC Table 703.2: 3 in for closets, at most three of them lying; 2 in carries 8 DFU, 4 in 216."""
    bodies = tuple(kit.fixture(f"W{i}", "water closet", wall_id="") for i in range(closets))
    tags = " ".join(("LV1", *(b.tag for b in bodies)))
    d = kit.design(
        book=UPC, fixtures=(kit.LV1, kit.WC1, *bodies), kinds={(0, -5000, -440): "sewer connection"},
        edit={"V1": {"size": 1.25}, "V2": {"size": 1.25},
              "S1": {"b": (0, -5000, -440), "load": 6, "tags": tags, "size": 4}},
    )  # fmt: skip
    found = kit.found("VNT012", d)
    if need == "3.14":
        assert all(f"{need} sq in" in f.wanted for f in found)
    else:
        assert [f"at least {need} sq in" in f.wanted for f in found] == [True]


def test_pipes_carry_on_where_one_is_of_a_size_nobody_makes(kit):
    """The first of two pipes in a stud is of a size without a row: the second is judged."""
    wall = kit.wall(studs=(Stud(1406.0, 38.0),))
    pipes = {
        "K0": branch((0, 1300.0, 900), (0, 1500.0, 890), size=20, place="wall:P"),
        "K1": branch((0, 1300.0, 500), (0, 1500.0, 490), size=1.5, place="wall:P"),
    }
    d = kit.design(walls=(wall,), add=pipes, drop=("V2",))
    assert [f.about[0] for f in kit.found("FRM007", d) if f.about[0] in pipes] == ["K1"]


def test_of_two_combination_drains_one_has_no_vent(kit):
    """UPC 910.3: the first has none (VNT001 tells), the vent of the second is too small; a sink on it may be there."""
    add, traps, bodies = {}, [], []
    for i, x in enumerate((2000.0, 6000.0), start=1):
        head, joint, end = (x, 5000.0, -300.0), (x, 4000.0, -320.8), (x, 1000.0, -383.3)
        add |= {
            f"L{i}": branch(head, joint, size=3, tags=f"FD{i}"),
            f"M{i}": branch(joint, end, size=3, tags=f"FD{i} KS{i}"),
        }
        for tag, to, kind in ((f"FD{i}", head, "floor drain"), (f"KS{i}", joint, "water closet")):
            add[f"T-{tag}"] = {"role": "trap arm", "a": (to[0] + 500.0, to[1], to[2] + 10.0), "b": to, "size": 2,
                               "tags": tag, "load": 2}  # fmt: skip
            traps.append({"tag": tag, "arm": (f"T-{tag}",), "trap_in": 2.0, "method": "combination"})
            bodies.append(kit.fixture(tag, kind, group="", wall_id=""))
    add["V9"] = vent((6000.0, 4000.0, -320.8), (6000.0, 4000.0, 3500.0), tags="FD2")
    d = kit.design(book=UPC, add=add, traps=tuple(traps), fixtures=tuple(bodies))
    way = d.network.traps[0].method
    pipes = tuple(replace(p, vents_by=way) if p.id[0] in "LM" else p for p in d.network.pipes)
    d = replace(d, network=Network(d.network.nodes, pipes, d.network.traps))
    assert [f.about[0] for f in kit.found("CMB005", d)] == ["V9"]
    assert [f.about[0] for f in kit.found("CMB001", d)] == ["KS1", "KS2"]  # a floor drain may, a closet may not


def test_a_stack_whose_first_fixture_has_no_known_load(kit):
    """NPC (memory): 18 FU from one storey on 3 in; what nobody knows the load of is passed over."""
    add = {
        "K1": {"role": "stack", "a": (0, 3000, 2400), "b": (0, 3000, -295), "size": 3, "tags": "X0 X1", "load": 19},
        "T1": {"role": "trap arm", "a": (-400, 3000, 2420), "b": (0, 3000, 2400), "size": 2, "tags": "X1", "load": 19},
        "E1": {"role": "building drain", "a": (0, 3000, -295), "b": (0, 9000, -395), "size": 4, "tags": "X0 X1",
               "load": 19},
    }  # fmt: skip
    bodies = tuple(kit.fixture(t, "shower", wall_id="") for t in ("X0", "X1"))
    d = kit.design(book=NPC, add=add, fixtures=(*bodies, kit.LV1, kit.WC1))
    assert [f.about for f in kit.found("DRN002", d)] == [("K1", "main")]
    assert any("X0" in r for r in kit.unjudged("DRN002", d))


@pytest.mark.parametrize(("sizes", "worst"), [((1.5, 4.0), "4"), ((1.25, 2.5), "1-1/4"), ((1.25, 3.0), "3")])
def test_of_two_pieces_of_a_route_the_farther_off_is_told(kit, sizes, worst):
    """Drawn in 2 in: what it is told to be is the size farthest from that, larger or smaller."""
    a, b, c = (3000.0, 3000.0, 100.0), (2000.0, 3000.0, 80.0), (1000.0, 3000.0, 60.0)
    add = {"R.1": branch(a, b, size=sizes[0]), "R.2": branch(b, c, size=sizes[1])}
    leg = RouteLeg("R", "drain", (Vec(*a), Vec(*b), Vec(*c)), 2.0)
    (f,) = kit.found("DRN014", kit.design(add=add, routes=(leg,)))
    assert f"the design needs {worst} in" in f.found
    assert f.about == ("R", "R.1", "R.2")


def test_a_small_drain_to_the_sewer_hides_no_large_one(kit):
    """UPC Table 703.2: four closets ask for 4 in, 12.57 sq in; a second drain comes to the sewer with a lavatory."""
    bodies = tuple(kit.fixture(f"W{i}", "water closet", wall_id="") for i in range(4))
    tags = " ".join(("LV1", *(b.tag for b in bodies)))
    aside = {"role": "building drain", "a": (900, -5000, -420), "b": (0, -5000, -440), "size": 3, "tags": "LV1"}
    d = kit.design(
        book=UPC, fixtures=(kit.LV1, kit.WC1, *bodies), kinds={(0, -5000, -440): "sewer connection"},
        edit={"V1": {"size": 1.25}, "V2": {"size": 1.25},
              "S1": {"b": (0, -5000, -440), "load": 6, "tags": tags, "size": 4}},
        add={"S2": {**aside, "load": 1}},
    )  # fmt: skip
    assert ["at least 12.57 sq in" in f.wanted for f in kit.found("VNT012", d)] == [True]


def test_a_wide_piece_of_an_offset_makes_it_a_wide_one(kit):
    """NPC 2.5.2.1: an offset of a wet vent of two storeys: 1.2 m up to 2 in (read), 2.5 m in larger (secondary)."""
    up = replace(kit.LV1, level_id="upper")
    tub = kit.fixture("BT1", "bathtub", wall_id="")
    levels = (*kit.house().levels, replace(kit.house().levels[0], id="upper", order=1, subfloor_z_mm=2600.0))
    for wide, n in ((2, 1), (3, 0)):
        a, b, c = (0, 609, -323.9), (0, -391, -343.9), (0, -891, -353.9)
        add = {
            "D1": {"role": "drain", "a": (0, 609, 495.4), "b": a, "size": 2, "tags": "LV1", "load": 1.5, "wet": True},
            "W1": {"role": "branch", "a": a, "b": b, "size": 2, "tags": "LV1", "load": 1.5, "wet": True},
            "W2": {"role": "branch", "a": b, "b": c, "size": wide, "tags": "LV1", "load": 1.5, "wet": True},
            "W3": {"role": "branch", "a": c, "b": (0, -1500, -366), "size": 3, "tags": "LV1 BT1", "load": 3},
            "T1": {"role": "trap arm", "a": (500, -891, -343.9), "b": c, "size": 1.5, "tags": "BT1", "load": 1.5},
        }  # fmt: skip
        trap = {"tag": "BT1", "arm": ("T1",), "method": "wet", "through": ("W2", "W1", "D1")}
        d = kit.design(book=NPC, drop=("D1", "B1", "B2"), add=add, traps=(*kit.TRAPS, trap), levels=levels,
                       fixtures=(up, kit.WC1, tub))  # fmt: skip
        assert len(kit.found("WET011", d)) == n, wide


def test_a_wet_vent_that_lies_in_part_is_no_upright_one(kit):
    """UPC 908.1 (secondary): 6 ft at most for an upright one; the other rules are for those that lie."""
    z = 495.4 - 1900.0
    a, b = (0, 609, z), (0, 100, z - 10.6)
    add = {
        "D1": {"role": "drain", "a": (0, 609, 495.4), "b": a, "size": 2, "tags": "LV1", "load": 1, "wet": True},
        "W1": {"role": "branch", "a": a, "b": b, "size": 2, "tags": "LV1", "load": 1, "wet": True},
        "W2": {"role": "branch", "a": b, "b": (0, -500, z - 25), "size": 2, "tags": "LV1 BT1", "load": 3},
        "T1": {"role": "trap arm", "a": (500, 100, z), "b": b, "size": 1.5, "tags": "BT1", "load": 2},
    }
    tub = kit.fixture("BT1", "bathtub", wall_id="", floor_outlet=True, flood_rim_z_mm=400.0)
    trap = {"tag": "BT1", "arm": ("T1",), "method": "wet", "through": ("W1", "D1")}
    d = kit.design(
        book=UPC, drop=("D1", "B1", "B2"), add=add, traps=(*kit.TRAPS, trap), fixtures=(kit.LV1, kit.WC1, tub)
    )
    assert not [f for f in kit.found("WET003", d) if "1829" in f.wanted]
