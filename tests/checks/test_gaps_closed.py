"""What the seeded faults of `tests/faults` showed to be passed by silence, each with the case that must stay silent."""

from dataclasses import replace

import pytest

from stubout.geometry.vec import Box, Vec
from stubout.house.model import CabinetBox
from stubout.layout.model import CleanoutPlan


def at(d, xyz):
    return next(n.id for n in d.network.nodes if n.at.to(Vec(*xyz)) < 1)


def opening(node, size, opens=(0, 0, 1), clear=450.0):
    return CleanoutPlan("CO1", node, size, Vec(*opens), clear, "building drain", "here")


@pytest.mark.parametrize(("size", "n"), [(4.0, 0), (2.0, 1)])
def test_a_small_plug_does_not_open_the_building_drain(kit, size, n):
    """IPC 708.1.5: the cleanout of a 4 in drain is 4 in; one of 2 in on a sink near by is none of it."""
    d = kit.design(book="ipc-2021")
    d = replace(d, cleanouts=(opening(at(d, (0, -500, -346)), size),))
    assert len(kit.found("CLO004", d)) == n


@pytest.mark.parametrize(("size", "n"), [(4.0, 0), (1.5, 1)])
def test_a_small_plug_does_not_serve_a_turn(kit, size, n):
    turned = {
        "S2": {"role": "building sewer", "a": (0, -500, -346), "b": (0, -3000, -400), "size": 4, "tags": "LV1 WC1",
               "load": 5.5, "place": "buried:main"},
        "S3": {"role": "building sewer", "a": (0, -3000, -400), "b": (3000, -3000, -470), "size": 4, "tags": "LV1 WC1",
               "load": 5.5, "place": "buried:main"},
    }  # fmt: skip
    d = kit.design(book="irc-2021", drop=("S1",), add=turned)
    d = replace(d, cleanouts=(opening(at(d, (0, -500, -346)), size),))
    assert len([f for f in kit.found("CLO003", d) if f.about[0] == "S3"]) == n


@pytest.mark.parametrize(("size", "n"), [(3.0, 0), (2.0, 1)])
def test_a_small_plug_does_not_open_a_stack(kit, size, n):
    stack = {
        "K1": {"role": "stack", "a": (0, 3000, 2400), "b": (0, 3000, -295), "size": 3, "tags": "LV1", "load": 4},
        "E1": {"role": "building drain", "a": (0, 3000, -295), "b": (0, 1421, -307.8), "size": 4, "tags": "LV1",
               "load": 4, "place": "under slab:main"},
    }  # fmt: skip
    d = kit.design(add=stack)
    d = replace(d, cleanouts=(opening(at(d, (0, 3000, -295)), size),))
    assert len(kit.found("CLO001", d)) == n


@pytest.mark.parametrize(("size", "n"), [(4.0, 0), (2.0, 1)])
def test_a_small_plug_over_a_drain_does_not_part_its_length(kit, size, n):
    """NPC (memory): 15 m of 4 in drain. From y 1421 to y -14500 are 15.9 m; the plug stands at y -500."""
    d = kit.design(edit={"S1": {"b": (0, -14500, -346 - 14000 / 50)}})
    d = replace(d, cleanouts=(opening(at(d, (0, -500, -346)), size),))
    assert len(kit.found("CLO005", d)) == n


@pytest.mark.parametrize(("size", "n"), [(2.0, 0), (1.25, 1)])
def test_a_small_plug_does_not_open_an_upper_end(kit, size, n):
    """UPC Table 707.1 (memory): 1-1/2 in for a 2 in drain."""
    long = {"role": "branch", "a": (2000, 609, -280), "b": (0, 609, -323.9), "size": 2, "tags": "LV1", "load": 1}
    d = kit.design(book="upc-2021", add={"K1": long})
    d = replace(d, cleanouts=(opening(at(d, (2000, 609, -280)), size),))
    assert len([f for f in kit.found("CLO002", d) if f.about[0] == "K1"]) == n


@pytest.mark.parametrize(("kind", "n"), [("drawers", 1), ("sink base", 0)])
def test_a_plug_carried_into_a_drawer_bank_is_shut_in(kit, kind, n):
    around = Box(Vec(-300, -700, -400), Vec(900, -300, 900))
    box = CabinetBox("K1.1", "K1", "box", kind, "", "right", 0, 600, around, 118.0)
    d = kit.design(cabinets=(box,))
    d = replace(d, cleanouts=(opening(d.cleanouts[0].point, 4.0, (1, 0, 0)),))
    assert len(kit.found("CLO006", d)) == n


def test_no_space_asked_and_none_planned_is_named(kit):
    d = kit.design()  # the NPC names no space
    d = replace(d, cleanouts=(opening(d.cleanouts[0].point, 4.0, clear=0.0),))
    assert kit.found("CLO006", d) == []
    assert any("CO1" in r for r in kit.unjudged("CLO006", d))


@pytest.mark.parametrize(("lo", "n"), [(565.0, 1), (550.0, 0)])
def test_seam_beside_a_plug_carried_into_the_cabinet(kit, lo, n):
    box = CabinetBox(
        "K1.1", "K1", "sink", "sink base", "P", "right", lo, 1000, Box(Vec(83, lo, 0), Vec(643, 1000, 865)), 118.0
    )
    out = {"C2": {"role": "cleanout extension", "a": (220, 609, 300), "b": (0, 609, 296), "size": 2}}
    d = kit.design(cabinets=(box,), add=out)
    d = replace(d, cleanouts=(opening(at(d, (220, 609, 300)), 2.0, (1, 0, 0)),))
    assert len(kit.found("CLO010", d)) == n


@pytest.mark.parametrize(("end", "n"), [((0, 609, -323.9), 1), ((0, 1000, 480.0), 0)])
def test_closet_above_a_tub_on_an_upright_wet_vent(kit, end, n):
    """IPC 912.1.1 (memory): on an upright wet vent other fixtures join above the closets, or level with them."""
    tub = kit.fixture("BT1", "bathtub", wall_id="", floor_outlet=True, flood_rim_z_mm=400.0)
    wet = {"role": "drain", "a": (0, 609, 495.4), "b": end, "size": 3, "tags": "LV1 WC1", "load": 5, "wet": True}
    arm = {
        "role": "trap arm",
        "a": (end[0] + 500, end[1], end[2] + 10),
        "b": end,
        "size": 1.5,
        "tags": "BT1",
        "load": 2,
    }
    traps = (*kit.TRAPS, {"tag": "BT1", "arm": ("T1",), "method": "wet", "through": ("D1",)})
    d = kit.design(
        book="ipc-2021", drop=("D1",), add={"D1": wet, "T1": arm}, traps=traps, fixtures=(kit.LV1, kit.WC1, tub)
    )
    assert len(kit.found("WET002", d)) == n


@pytest.mark.parametrize(("book", "n"), [("npc-2020", 0), ("irc-2021", 1), ("ipc-2021", 1), ("upc-2021", 1)])
def test_floor_drain_without_vent_where_the_book_lets_none_go(kit, book, n):
    """NPC 2.5.1.1(3) lets a floor drain go without a vent; no other book does."""
    pipe = {"role": "fixture drain", "a": (500, -500, -336), "b": (0, -500, -346), "size": 3, "tags": "FD", "load": 3,
            "place": "under slab:main"}  # fmt: skip
    bare = {"tag": "FD", "arm": ("F1", "B2", "S1"), "trap_in": 3.0, "vented": False, "method": "none"}
    body = kit.fixture("FD", "floor drain", wall_id="", primer=True)
    d = kit.design(book=book, add={"F1": pipe}, traps=(*kit.TRAPS, bare), fixtures=(kit.LV1, kit.WC1, body))
    assert len(kit.found("VNT001", d)) == n


@pytest.mark.parametrize(("trap_in", "n"), [(3.0, 0), (2.0, 1)])
def test_trap_of_a_floor_drain_without_vent(kit, trap_in, n):
    """NPC 2.5.1.1(3): 3 in at least."""
    pipe = {"role": "fixture drain", "a": (500, 609, -313.9), "b": (0, 609, -323.9), "size": 3, "tags": "FD", "load": 3,
            "place": "under slab:main"}  # fmt: skip
    bare = {"tag": "FD", "arm": ("F1", "B2", "S1"), "trap_in": trap_in, "vented": False, "method": "none"}
    body = kit.fixture("FD", "floor drain", wall_id="", primer=True)
    d = kit.design(add={"F1": pipe}, traps=(*kit.TRAPS, bare), fixtures=(kit.LV1, kit.WC1, body))
    assert len(kit.found("FLD001", d)) == n


@pytest.mark.parametrize(("flat_ft", "n"), [(19.99, 0), (20.01, 1)])
def test_a_branch_vent_is_judged_by_its_own_load(kit, flat_ft, n):
    """UPC 904.2: a third of 60 ft for 1-1/2 in, whatever larger trunk the vent joins on its way up."""
    far = flat_ft * 304.8 - (1421 - 609)
    z = 1100 + far / 100
    vent = {"system": "vent", "role": "vent", "size": 1.5, "tags": "LV1", "load": 2}
    trunk = {"system": "vent", "role": "branch vent", "size": 3, "tags": "LV1 WC1", "load": 30}
    d = kit.design(
        book="upc-2021",
        edit={"V1": {"b": (0, 609, 1100), "load": 2}, "V2": {"b": (0, 1421, z + 30)}},
        add={
            "V1b": {**vent, "a": (0, 609, 1100), "b": (far, 609, z)},
            "V1c": {**vent, "a": (far, 609, z), "b": (far, 609, z + 20)},
            "V1d": {**vent, "a": (far, 609, z + 20), "b": (far, 1421, z + 30)},
            "V3": {**trunk, "a": (far, 1421, z + 30), "b": (far, 1421, 3300)},
        },
        kinds={(far, 1421, 3300): "terminal"},
    )
    assert len([f for f in kit.found("VNT013", d) if f.about[1] == "V1"]) == n
