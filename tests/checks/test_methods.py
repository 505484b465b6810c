"""Circuit vents, combination drains, single and waste stacks, suds: numbers of the books, one tolerance either side.

The lines are by hand: floor drains on a line that runs south at x 2000, its vent between the first and the second.
Limits: i-family reference 6.2, u-family reference 5 (909 to 911), n-family reference 6 (2.5.3.1) and 8 (2.4.2.1).
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from stubout.geometry.vec import Vec
from stubout.layout.model import VentMethod
from stubout.network.model import Network

TOP_Y = 3600.0
STEP_MM = 400.0


def row(
    kit,
    way,
    *,
    count=3,
    slope=1 / 48,
    book="ipc-2021",
    line=None,
    vent_after=1,
    size=3.0,
    vent=3.0,
    kind="floor drain",
    arm_mm=500.0,
    more=None,
):
    """Return floor drains on one line of a said method, `count` of them `STEP_MM` apart, with one vent."""
    joints = line or [(2000.0, TOP_Y - i * STEP_MM, -300.0 - i * STEP_MM * slope) for i in range(count + 1)]
    mid = tuple((a + b) / 2 for a, b in zip(joints[vent_after - 1], joints[vent_after], strict=True))
    spots = [*joints[:vent_after], mid, *joints[vent_after:]]
    add, traps, bodies, tags = {}, [], [], []
    for i in range(count):
        tag, at = f"FD{i + 1}", joints[i]
        weir = (at[0] + arm_mm, at[1], at[2] + arm_mm / 48)
        add[f"A-{tag}"] = {"role": "trap arm", "a": weir, "b": at, "size": 2, "tags": tag, "load": 2}
        traps.append({"tag": tag, "arm": (f"A-{tag}",), "trap_in": 2.0, "method": way.value})
        bodies.append(kit.fixture(tag, kind, group="", outlet=Vec(*weir)))
    for i, (a, b) in enumerate(pairwise(spots)):
        tags = [f"FD{k + 1}" for k in range(count) if joints[k] in spots[: i + 1]]
        add[f"L{i + 1}"] = {
            "role": "branch",
            "a": a,
            "b": b,
            "size": size,
            "tags": " ".join(tags),
            "load": 2 * len(tags),
        }
    add["V-L"] = {"system": "vent", "role": "vent", "a": mid, "b": (mid[0], mid[1], 3500.0), "size": vent,
                  "tags": " ".join(tags), "load": 2 * len(tags)}  # fmt: skip
    d = kit.design(book=book, add=add | (more or {}), traps=tuple(traps), kinds={(mid[0], mid[1], 3500.0): "terminal"},
                   fixtures=tuple(bodies))  # fmt: skip
    pipes = tuple(replace(p, vents_by=way) if p.id[0] == "L" else p for p in d.network.pipes)
    return replace(d, network=Network(d.network.nodes, pipes, d.network.traps))


def test_a_row_of_three_is_clean_under_its_book(kit):
    d = row(kit, VentMethod.CIRCUIT)
    for check in ("MTH001", "CIR001", "CIR002", "CIR003", "CIR004", "CIR008", "VNT001", "WET001", "WET003"):
        assert kit.found(check, d) == [], check


@pytest.mark.parametrize(("count", "n"), [(8, 0), (9, 1)])
@pytest.mark.parametrize("book", ["npc-2020", "upc-2021", "ipc-2021", "irc-2021"])
def test_eight_fixtures_on_one_circuit_vent(kit, book, count, n):
    assert len(kit.found("CIR001", row(kit, VentMethod.CIRCUIT, count=count, book=book))) == n


@pytest.mark.parametrize(("after", "n"), [(1, 0), (2, 1)])
def test_vent_between_the_two_most_upstream(kit, after, n):
    assert len(kit.found("CIR002", row(kit, VentMethod.CIRCUIT, vent_after=after))) == n


@pytest.mark.parametrize(("slope", "n"), [(1 / 12, 0), (0.0839, 1)])
@pytest.mark.parametrize("book", ["upc-2021", "ipc-2021", "irc-2021"])
def test_circuit_branch_at_one_in_twelve(kit, book, slope, n):
    assert bool(kit.found("CIR003", row(kit, VentMethod.CIRCUIT, slope=slope, book=book))) == bool(n)


@pytest.mark.parametrize(("aside_mm", "n"), [(400.0, 0), (440.0, 1)])
def test_circuit_branch_turns_by_45_degrees(kit, aside_mm, n):
    """From the vent south, then aside: 400 mm on 400 are 45 degrees, 440 are 47.7, over the play of a fitting."""
    line = [(2000.0, 3600.0, -300.0), (2000.0, 3200.0, -308.0), (2000.0, 2800.0, -316.0),
            (2000.0 + aside_mm, 2400.0, -328.0), (2000.0 + aside_mm, 2000.0, -336.0)]  # fmt: skip
    assert len(kit.found("CIR006", row(kit, VentMethod.CIRCUIT, count=4, line=line, book="npc-2020"))) == n


@pytest.mark.parametrize(("size", "n"), [(3.0, 0), (2.0, 1)])
def test_circuit_branch_of_traps_of_two_inch(kit, size, n):
    assert bool(kit.found("CIR007", row(kit, VentMethod.CIRCUIT, size=size, book="npc-2020"))) == bool(n)


def test_relief_is_asked_where_the_book_asks_for_it(kit):
    """NPC always; the I and U families below the load of upper storeys only."""
    assert len(kit.found("CIR008", row(kit, VentMethod.CIRCUIT, book="npc-2020"))) == 1
    assert kit.found("CIR008", row(kit, VentMethod.CIRCUIT, book="upc-2021")) == []


@pytest.mark.parametrize(("closets", "above", "n"), [(3, 4.0, 0), (4, 4.0, 1), (4, 0.0, 0)])
@pytest.mark.parametrize("book", ["upc-2021", "ipc-2021", "irc-2021"])
def test_relief_below_a_stack_from_four_closets_on(kit, book, closets, above, n):
    """IPC 914.4 (i-family reference 6.2), UPC 911: four or more closets and upper branches on the stack."""
    foot = (2000.0, TOP_Y - closets * STEP_MM, -300.0 - closets * STEP_MM / 48)
    stack = {"role": "stack", "a": (*foot[:2], 3000.0), "b": foot, "size": 4, "tags": "LV1", "load": above}
    onward = {"role": "building drain", "a": foot, "b": (2000.0, -900.0, -420.0), "size": 4, "tags": "LV1", "load": 20}
    d = row(kit, VentMethod.CIRCUIT, count=closets, kind="water closet", book=book, more={"K": stack, "K2": onward})
    assert len(kit.found("CIR008", d)) == n


@pytest.mark.parametrize(("to_vent_mm", "n"), [(4572.0, 0), (4573.0, 1)])
def test_combination_branch_of_15_ft(kit, to_vent_mm, n):
    """Two drains 2 x `to_vent_mm` apart with the vent half way: each lies that far from it."""
    line = [(2000.0, 9200.0, -300.0), (2000.0, 9200.0 - 2 * to_vent_mm, -300.0), (2000.0, -900.0, -320.0)]
    d = row(kit, VentMethod.COMBINATION, count=2, line=line, book="upc-2021")
    assert bool(kit.found("CMB004", d)) == bool(n)


@pytest.mark.parametrize(("vent", "n"), [(2.5, 0), (2.0, 1)])
def test_combination_vent_of_half_the_area(kit, vent, n):
    d = row(kit, VentMethod.COMBINATION, vent=vent, book="upc-2021")
    assert len(kit.found("CMB005", d)) == n


@pytest.mark.parametrize(("slope", "n"), [(1 / 24, 0), (0.0423, 1)])
def test_combination_drain_at_half_an_inch_a_foot(kit, slope, n):
    assert bool(kit.found("CMB003", row(kit, VentMethod.COMBINATION, slope=slope))) == bool(n)


@pytest.mark.parametrize(
    ("kind", "book", "n"),
    [
        ("lavatory", "ipc-2021", 0),
        ("shower", "ipc-2021", 3),
        ("shower", "upc-2021", 0),
        ("water closet", "upc-2021", 3),
    ],
)
def test_fixtures_of_a_combination_drain(kit, kind, book, n):
    assert len(kit.found("CMB001", row(kit, VentMethod.COMBINATION, kind=kind, book=book))) == n


@pytest.mark.parametrize(("closets", "n"), [(2, 0), (3, 1)])
def test_closets_on_a_single_stack_of_three_inch(kit, closets, n):
    d = row(kit, VentMethod.SINGLE_STACK, count=closets, kind="water closet")
    assert len([f for f in kit.found("SGL001", d) if "closets" in f.found]) == n


@pytest.mark.parametrize(("way", "book", "levels"), [
    (VentMethod.SINGLE_STACK, "ipc-2021", []), (VentMethod.SINGLE_STACK, "irc-2021", ["FIX"]),
    (VentMethod.SINGLE_STACK, "upc-2021", ["ASK"]), (VentMethod.COMBINATION, "upc-2021", ["ASK"]),
    (VentMethod.CIRCUIT, "npc-2020", []), (VentMethod.WASTE_STACK, "irc-2021", []),
])  # fmt: skip
def test_which_book_has_which_method(kit, way, book, levels):
    assert [f.level.value for f in kit.found("MTH001", row(kit, way, book=book))] == levels


def test_a_book_that_is_silent_on_a_method_is_not_checked(kit):
    for way in (VentMethod.SINGLE_STACK, VentMethod.WASTE_STACK, VentMethod.COMBINATION):
        d = row(kit, way, book="npc-2020")
        assert kit.found("MTH001", d) == []
        assert kit.unjudged("MTH001", d)


@pytest.mark.parametrize(("gap_mm", "n"), [(305.0, 0), (303.0, 1)])
def test_terminal_from_a_wall_that_goes_on_above_the_roof(kit, gap_mm, n):
    """UPC 906.1: 12 in from the outside of the pipe, 88.9 mm for 3 in, to the studs of the taller wall."""
    tall = kit.wall(
        id="T", start=Vec(70 + 44.45 + gap_mm, 0, 0), end=Vec(70 + 44.45 + gap_mm, 4000, 0), top_z_mm=5000.0
    )
    d = kit.design(book="upc-2021", walls=(kit.wall(), tall), drop=("V1",))
    assert len(kit.found("TRM008", d)) == n


@pytest.mark.parametrize(("down_mm", "n"), [(1016.5, 0), (1014.0, 1)])
def test_suds_zone_after_a_turn(kit, down_mm, n):
    """NPC 2.4.2.1(4): nothing joins within 10 sizes after the turn; the sewer is 4 in, 1016 mm."""
    at = (3000.0, 2000.0, -300.0)
    join = (3000.0, 2000.0 - down_mm, -320.0)
    add = {
        "A-W1": {
            "role": "trap arm",
            "a": (2600, 2000, 400),
            "b": (3000, 2000, 392),
            "size": 2,
            "tags": "W1",
            "load": 1.5,
        },
        "A-W2": {
            "role": "trap arm",
            "a": (3400, 2000, 400),
            "b": (3000, 2000, 392),
            "size": 2,
            "tags": "W2",
            "load": 1.5,
        },
        "D-W": {"role": "drain", "a": (3000, 2000, 392), "b": at, "size": 4, "tags": "W1 W2", "load": 3},
        "L1": {"role": "branch", "a": at, "b": join, "size": 4, "tags": "W1 W2", "load": 3},
        "L2": {"role": "branch", "a": join, "b": (3000, -900, -400), "size": 4, "tags": "W1 W2 FD", "load": 5},
        "A-FD": {"role": "trap arm", "a": (2500, join[1], -310), "b": join, "size": 2, "tags": "FD", "load": 2},
    }
    bodies = (
        *(kit.fixture(t, "clothes washer", group="") for t in ("W1", "W2")),
        kit.fixture("FD", "floor drain", group=""),
    )
    traps = tuple({"tag": t, "arm": (f"A-{t}",), "trap_in": 2.0} for t in ("W1", "W2", "FD"))
    d = kit.design(add=add, fixtures=bodies, traps=traps)
    assert [f.about for f in kit.found("SUD001", d)] == [("A-FD", "L1")] * n


def laundry(kit, *, size=4.0, guest_up=None, turn_deg=0.0, washers=2):
    """Return washers on one drop of 4 m, a lying drain of 5 m that then turns, and a floor drain that joins.

    It joins `guest_up` mm above the foot of the drop, else half a metre beyond the turn of the lying drain.
    """
    foot, far = Vec(3000.0, 8000.0, -300.0), Vec(3000.0, 3000.0, -400.0)
    top = foot.at_z(foot.z + 4000.0)
    a = math.radians(turn_deg)
    way = Vec(math.sin(a), -math.cos(a), -0.02)
    drop = [top, *([foot.at_z(foot.z + guest_up)] if guest_up else []), foot]
    line = [foot, far, far.plus(way.times(500.0)), far.plus(way.times(3000.0))]
    joint = drop[1] if guest_up else line[2]
    names = [f"W{i + 1}" for i in range(washers)]
    tags = " ".join(names)
    add = {
        f"A-{t}": {"role": "trap arm", "a": top.plus(Vec(400.0 - 800.0 * i, 0.0, 8.0)), "b": top, "size": 2, "tags": t}
        for i, t in enumerate(names)
    }
    for name, pts in (("D", drop), ("L", line)):
        for i, (p, q) in enumerate(pairwise(pts)):
            add[f"{name}{i + 1}"] = {"role": "branch", "a": p, "b": q, "size": size, "tags": tags, "load": 3}
    add["A-FD"] = {"role": "trap arm", "a": joint.plus(Vec(-400.0, -300.0, 10.0)), "b": joint, "size": 2, "tags": "FD"}
    bodies = (
        *(kit.fixture(t, "clothes washer", group="") for t in names),
        kit.fixture("FD", "floor drain", group=""),
    )
    traps = tuple({"tag": t, "arm": (f"A-{t}",), "trap_in": 2.0} for t in (*names, "FD"))
    return kit.found("SUD001", kit.design(add=add, fixtures=bodies, traps=traps))


@pytest.mark.parametrize(
    ("size", "up_mm", "n"),
    [(2.0, 2032.0, 0), (2.0, 2031.0, 1), (4.0, 2440.0, 0), (4.0, 2439.0, 1)],
)
def test_suds_zone_before_a_turn(kit, size, up_mm, n):
    """NPC 2.4.2.1(4): 40 sizes before the turn, 2032 mm for 2 in; upright 2440 mm at most, where 4 in has 4064."""
    found = laundry(kit, size=size, guest_up=up_mm)
    assert len(found) == n
    if n:
        assert "1 mm" in found[0].do


@pytest.mark.parametrize(("turn_deg", "n"), [(45.0, 0), (46.0, 1)])
def test_turn_that_makes_suds(kit, turn_deg, n):
    """NPC 2.4.2.1(4): turns of more than 45 degrees. The guest joins 500 mm behind it, where 1016 mm are asked."""
    assert len(laundry(kit, turn_deg=turn_deg)) == n


@pytest.mark.parametrize(("washers", "n"), [(1, 0), (2, 1), (3, 1)])
def test_washers_that_make_suds(kit, washers, n):
    """NPC 2.4.2.1(4): drains that serve more than one washer."""
    assert [f.about for f in laundry(kit, turn_deg=90.0, washers=washers)] == [("A-FD", "L2")] * n


@pytest.mark.parametrize(("load", "n"), [(2.0, 0), (2.5, 1)])
def test_vented_load_on_a_wet_vent(kit, load, n):
    """NPC 2.5.2.1: up to 2 FU of separately vented drains may join a wet vent of the same storey."""

    def arm(tag, a, b, size, load):
        return {"role": "trap arm", "a": a, "b": b, "size": size, "tags": tag, "load": load}

    upper, joint, lower = (0, 1800, 294), (0, 1421, -307.8), (0, 1000, -316)
    add = {
        "B0": {"role": "branch", "a": joint, "b": lower, "size": 3, "tags": "WC1 LT", "load": 4 + load},
        "A-LT": arm("LT", (300, 1800, 300), upper, 1.5, load),
        "D-LT": {"role": "drain", "a": upper, "b": joint, "size": 1.5, "tags": "LT", "load": load},
        "A-SH": arm("SH", (400, 1000, -306), lower, 2, 1.5),
        "V-LT": {"system": "vent", "role": "vent", "a": upper, "b": (0, 1800, 3300), "size": 1.5, "tags": "LT"},
    }
    traps = (*kit.TRAPS, {"tag": "LT", "arm": ("A-LT",)},
             {"tag": "SH", "arm": ("A-SH",), "trap_in": 2.0, "method": "wet", "through": ("B0",)})  # fmt: skip
    bodies = (kit.LV1, kit.WC1, kit.fixture("LT", "laundry tray"), kit.fixture("SH", "shower"))
    d = kit.design(add=add, traps=traps, fixtures=bodies)
    assert len(kit.found("WET008", d)) == n


@pytest.mark.parametrize(
    ("kind", "arm_mm", "n"),
    [("floor drain", 3656.0, 0), ("floor drain", 3658.0, 3), ("water closet", 1218.0, 0), ("water closet", 1220.0, 3)],
)
def test_way_to_a_single_stack(kit, kind, arm_mm, n):
    """IPC 917: 12 ft for others, 4 ft for a closet that joins by another fitting than a tee."""
    d = row(kit, VentMethod.SINGLE_STACK, kind=kind, arm_mm=arm_mm)
    assert len(kit.found("SGL002", d)) == n
    assert kit.found("ARM001", d) == []


def offset(kit, book, length_mm, load):
    """Return a 3 in stack with a lying piece in the middle, at 1 in 48."""
    top, a, b = (2000, 3000, 3000), (2000, 3000, 1000), (2000, 3000 - length_mm, 1000 - length_mm / 48)
    foot = (b[0], b[1], -300.0)
    part = {"size": 3, "tags": "LV1 WC1", "load": load}
    add = {
        "K1": {"role": "stack", "a": top, "b": a, **part},
        "K2": {"role": "branch", "a": a, "b": b, **part},
        "K3": {"role": "stack", "a": b, "b": foot, **part},
    }
    return [f for f in kit.found("DRN001", kit.design(book=book, add=add)) if "K2" in f.about]


@pytest.mark.parametrize(
    ("book", "length_mm", "load", "n"),
    [
        ("npc-2020", 1498.0, 30, 0),  # shorter than 1.5 m it is a piece of the stack: 102 FU
        ("npc-2020", 1499.0, 30, 0),
        ("npc-2020", 1499.4, 30, 1),  # half a millimetre short counts as 1.5 m (along the slope it is 1499.7)
        ("npc-2020", 1501.0, 30, 1),  # else a lying drain: 27 FU at 1 in 50
        ("npc-2020", 1501.0, 27, 0),
        ("ipc-2021", 600.0, 42, 0),  # as a building drain: 42 at 1/4 in per ft, not 20 as a branch
        ("ipc-2021", 600.0, 43, 1),
    ],
)
def test_offset_of_a_stack(kit, book, length_mm, load, n):
    assert len(offset(kit, book, length_mm, load)) == n
