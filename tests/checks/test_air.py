"""How air is found, and which fixtures make a common or a wet vent, by hand on the small bath."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.checks import facts
from stubout.checks.base import Review
from stubout.checks.methods import place_of, said_drains
from stubout.checks.registry import by_id
from stubout.layout.model import VentMethod
from stubout.network.model import Network


def review(design):
    return Review(design, by_id("VNT001"))


A, B, C = (0.0, 609.0, -323.9), (0.0, 300.0, -330.1), (0.0, -600.0, -350.0)


def beside(kit, *, wet=False, through=(), method="individual", upright=False, kind="lavatory", **kw):
    """Return a lavatory that drains past the arm of a second fixture BT1, which has no vent of its own."""
    end = (0.0, 609.0, -600.0) if upright else B
    add = {
        "T1": {"role": "trap arm", "a": (500.0, end[1], end[2] + 10), "b": end, "size": 1.5, "tags": "BT1", "load": 2},
        "W0": {"role": "drain", "a": A, "b": end, "size": 2, "tags": "LV1", "load": 1, "wet": wet},
        "W9": {"role": "branch", "a": end, "b": C, "size": 3, "tags": "LV1 BT1", "load": 3},
    }
    body = kit.fixture("BT1", kind, wall_id="", group=kw.pop("group", ""), level_id=kw.pop("level_id", "main"))
    trap = {"tag": "BT1", "arm": ("T1",), "method": method, "through": through}
    first = replace(kit.LV1, group=kw.pop("first", ""))
    return kit.design(
        drop=("D1", "B1", "B2"),
        edit={"A1": {"a": (230.0, 609.0, -319.3), "b": A}, "V1": {"a": A}},
        add=add | kw.pop("add", {}),
        traps=(*kit.TRAPS, trap, *kw.pop("traps", ())),
        fixtures=(first, kit.WC1, body, *kw.pop("more", ())),
        **kw,
    )


@pytest.mark.parametrize(
    ("change", "aired"),
    [
        ({}, False),  # it drains past, and nobody says that it gives air
        ({"wet": True}, True),
        ({"through": ("W0",)}, True),
        ({"through": ("W9",)}, False),
        ({"method": "wet"}, True),
        ({"upright": True}, True),  # air comes up an upright drain
    ],
)
def test_where_a_trap_gets_its_air(kit, change, aired):
    d = beside(kit, **change)
    assert [f.about[0] for f in kit.found("VNT001", d)] == ([] if aired else ["BT1"])
    arm = next(a for a in facts.arms(review(d)) if a.trap.tag == "BT1")
    path = facts.air_path(d.network, arm)
    assert facts.air_reaches(d.network, arm) is aired
    assert (None if path is None else [p.id for p in path]) == (["W0"] if aired else None)


@pytest.mark.parametrize("said", [{"wet": True}, {"method": "wet"}, {"upright": True}])
def test_air_past_the_arms_of_others(kit, said):
    """Two fixtures join in one point; neither arm brings air to the other, the drain from above does to both."""
    end = (0.0, 609.0, -600.0) if "upright" in said else B
    arm = {"role": "trap arm", "a": (-500.0, end[1], end[2] + 10), "b": end, "size": 1.5, "tags": "BT2", "load": 2}
    d = beside(
        kit,
        **said,
        add={"T2": arm},
        traps=({"tag": "BT2", "arm": ("T2",), "method": said.get("method", "individual")},),
        more=(kit.fixture("BT2", "bathtub", wall_id=""),),
    )
    assert kit.found("VNT001", d) == []
    (vent,) = facts.wet_vents(review(d))
    assert vent.through == {"BT1": frozenset({"W0"}), "BT2": frozenset({"W0"})}
    assert vent.tags == ("BT1", "BT2", "LV1")


def test_pipes_that_hang_together(kit):
    """By their starts or by their ends, whichever comes first in the list; each group from its first pipe on."""
    net = beside(kit).network
    pipes = [net.pipe(i) for i in ("V2", "W9", "T1", "A2", "W0", "A1")]
    groups = [[p.id for p in g] for g in facts.hanging_together(pipes)]
    assert groups == [["V2"], ["W9", "T1", "W0", "A1"], ["A2"]]


IRC = "irc-2021"  # has a table of common vents; the NPC has none


@pytest.mark.parametrize(
    ("change", "common"),
    [
        ({}, True),
        ({"book": "npc-2020"}, False),
        ({"group": "bath", "first": "bath"}, False),  # one bathroom: a wet vent
        ({"group": "bath"}, True),
        ({"group": "bath", "first": "other"}, True),
        ({"level_id": "upper"}, False),
        ({"upright": False, "wet": True}, False),
    ],
)
def test_what_is_a_common_vent_at_two_levels(kit, change, common):
    d = beside(kit, **({"book": IRC, "upright": True} | change))
    (vent,) = facts.wet_vents(review(d))
    assert facts.common_at_two_levels(review(d), vent) is common


def test_three_are_no_common_vent(kit):
    low = (0.0, 609.0, -900.0)
    more = {
        "T2": {"role": "trap arm", "a": (-500.0, 609.0, -890.0), "b": low, "size": 1.5, "tags": "BT2", "load": 2},
        "W9": {"role": "drain", "a": (0.0, 609.0, -600.0), "b": low, "size": 3, "tags": "LV1 BT1", "load": 3},
    }
    d = beside(
        kit, book=IRC, upright=True, add=more, traps=({"tag": "BT2", "arm": ("T2",)},),
        more=(kit.fixture("BT2", "bathtub", wall_id=""),),
    )  # fmt: skip
    (vent,) = facts.wet_vents(review(d))
    assert len(vent.tags) == 3
    assert not facts.common_at_two_levels(review(d), vent)


@pytest.mark.parametrize(("load", "n"), [(1, 0), (1.5, 1)])
@pytest.mark.parametrize("book", ["ipc-2021", IRC])
def test_load_above_the_lower_of_two(kit, book, load, n):
    """IPC Table 911.3, IRC P3107.3: 1 DFU above in 1-1/2 in."""
    d = beside(kit, book=book, upright=True)
    pipes = tuple(
        replace(p, size_in=1.5, load=load) if p.id == "W0" else replace(p, load=load) if p.id == "A1" else p
        for p in d.network.pipes
    )
    d = replace(d, network=Network(d.network.nodes, pipes, d.network.traps))
    found = kit.found("VNT014", d)
    assert [f.about for f in found] == [("W0", "LV1", "BT1")] * n
    assert all(f"at most 1 {d.book.load_unit} above" in f.wanted for f in found)


def test_the_smallest_piece_of_a_common_vent_decides(kit):
    """IPC Table 911.3: 1 DFU above in 1-1/2 in, 4 in 2 in. Its upper half is small, then its lower one."""
    d = beside(kit, book="ipc-2021", upright=True)
    own = next(p for p in d.network.pipes if p.id == "W0")
    half = own.a.plus(own.b).times(0.5)
    middle = replace(d.network.nodes[0], id="NM", at=half, inflow=("W0",), outflow=("W0b",))
    trap = next(t for t in d.network.traps if t.tag == "BT1")
    for sizes in ((1.5, 2.0), (2.0, 1.5)):
        up = replace(own, size_in=sizes[0], b=half, end="NM", load=2.0)
        low = replace(own, id="W0b", size_in=sizes[1], a=half, start="NM", load=2.0)
        pipes = (*(replace(p, load=2.0) if p.id == "A1" else p for p in d.network.pipes if p.id != "W0"), up, low)
        ends = tuple(
            replace(n, inflow=tuple("W0b" if i == "W0" else i for i in n.inflow)) if n.id == own.end else n
            for n in d.network.nodes
        )
        traps = tuple(replace(t, wet_through=("W0", "W0b")) if t.tag == trap.tag else t for t in d.network.traps)
        both = replace(d, network=Network((*ends, middle), pipes, traps))
        (f,) = kit.found("VNT014", both)
        assert f.about[0] == ("W0" if sizes[0] < sizes[1] else "W0b")


def test_a_closet_above_is_no_common_vent(kit):
    d = beside(kit, book=IRC, upright=True, kind="lavatory")
    closet = replace(kit.LV1, kind=kit.WC1.kind, group="")
    bodies = tuple(closet if b.tag == "LV1" else b for b in d.house.fixtures)
    assert len(kit.found("VNT014", replace(d, house=replace(d.house, fixtures=bodies)))) == 1


def test_a_side_drain_comes_in_at_its_joint(kit):
    """On a line of a said method, an arm that ends on a side drain counts where that drain joins the line."""
    line = [(2000.0, 3600.0, -300.0), (2000.0, 2600.0, -320.0), (2000.0, 1600.0, -340.0)]
    side = (2900.0, 2600.0, -302.0)
    add = {
        "L1": {"role": "branch", "a": line[0], "b": line[1], "size": 3, "tags": "LV1", "load": 3},
        "L2": {"role": "branch", "a": line[1], "b": line[2], "size": 3, "tags": "LV1", "load": 3},
        "L3": {"role": "branch", "a": side, "b": line[1], "size": 3, "tags": "LV1", "load": 3},
    }
    d = kit.design(add=add)
    pipes = tuple(replace(p, vents_by=VentMethod.CIRCUIT) if p.id[0] == "L" else p for p in d.network.pipes)
    d = replace(d, network=Network(d.network.nodes, pipes, d.network.traps))
    on = review(d)
    (drain,) = said_drains(on, VentMethod.CIRCUIT)
    assert [p.id for p in drain.trunk] == ["L1", "L2"]
    names = {n.id: n.at for n in d.network.nodes}
    where = {tuple(at): place_of(on, drain, i) for i, at in names.items()}
    assert [where[p] for p in line] == [0, 1, 2]
    assert where[side] == 1
    assert where[(0.0, 609.0, 495.4)] is None
