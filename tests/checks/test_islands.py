"""Island loops by hand: how they are read off the pipes, and each check of them on both sides of its limit.

The sink stands at (2000, 2000); its vent goes up in the cabinet, over 300 mm and down beside it, and splits below the
floor: a dry drain back into the sink's own drain, and a foot vent that rises 1/4 in per ft (1:48) to the wall at x 0.
Rules: u-family reference, 909; i-family reference, 916.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.catalog import queries as catalog
from stubout.checks.base import Review
from stubout.checks.islands import loops
from stubout.checks.registry import by_id
from stubout.geometry.vec import Box, Vec
from stubout.house.model import CabinetBox
from stubout.layout.model import CleanoutPlan
from stubout.network.model import Network

UPC, IPC, IRC = "upc-2021", "ipc-2021", "irc-2021"
TAKE_OFF, CORNER, SPLIT, JOINT = (2000, 2000, 415), (1700, 2000, 856), (1700, 2000, -320), (2000, 1500, -326)
WALL = (0, 2000, -320 + 1700 / 48)


def island(kit, *, book=UPC, top=856.0, wall=WALL, weir_z=400.0, under=880.0, add=None, drop=(), **body):
    """Return the bath with the island; `top` is where its loop turns down, `under` the underside of its counter."""
    high, corner = (2000, 2000, top - 6.0), (*CORNER[:2], top)
    vent = {"system": "vent", "role": "vent", "size": 1.5, "tags": "KS", "load": 2}
    own = {"role": "drain", "size": 2, "tags": "KS", "load": 2}
    pipes = {
        "AK": {**own, "role": "trap arm", "a": (2000, 2300, 421), "b": TAKE_OFF},
        "DK1": {**own, "a": TAKE_OFF, "b": (2000, 2000, -314)},
        "DK2": {**own, "role": "branch", "a": (2000, 2000, -314), "b": JOINT},
        "RK": {"role": "branch", "a": SPLIT, "b": JOINT, "size": 2},
        "DK3": {**own, "role": "branch", "a": JOINT, "b": (2000, -600, -370)},
        "VK1": {**vent, "a": TAKE_OFF, "b": high},
        "VK2": {**vent, "a": high, "b": corner},
        "VK3": {**vent, "a": corner, "b": SPLIT},
        "FK": {**vent, "role": "foot vent", "a": SPLIT, "b": wall},
        "UK": {**vent, "a": wall, "b": (*wall[:2], 3300)},
    }
    pipes = {i: p for i, p in pipes.items() if i not in drop}
    sink = kit.fixture("KS", "kitchen sink", group="", cabinet_id="I1", flood_rim_z_mm=910.0, outlet_z_mm=700.0)
    box = Box(Vec(1500, 1700, 0), Vec(2500, 2300, under))
    base = CabinetBox("I1", "I", "", "sink base", "", "left", 0.0, 1000.0, box, 118.0)
    d = kit.design(
        book=book,
        add=pipes | (add or {}),
        traps=(*kit.TRAPS, {"tag": "KS", "arm": ("AK",), "method": "island loop"}),
        fixtures=(kit.LV1, kit.WC1, replace(sink, **body)),
        cabinets=(base,),
        kinds={(*wall[:2], 3300): "terminal", (2000, 2300, 421): "trap"},
    )
    traps = tuple(replace(t, weir_z_mm=weir_z) if t.tag == "KS" else t for t in d.network.traps)
    return replace(d, network=Network(d.network.nodes, d.network.pipes, traps))


def node(d, xyz):
    return next(n.id for n in d.network.nodes if n.at.to(Vec(*xyz)) < 1e-6)


def the_loop(d):
    (loop,) = loops(Review(d, by_id("ISL001")))
    return loop


def test_a_loop_is_read_off_its_pipes(kit):
    d = island(kit)
    loop = the_loop(d)
    assert (loop.fixture.tag, loop.weir_z_mm, loop.top.id) == ("KS", 400.0, "VK2")
    assert [p.id for p in loop.foot] == ["FK"]
    assert [p.id for p in loop.riser] == ["UK"]
    assert [p.id for p in loop.drain] == ["DK1", "DK2"]
    assert loop.joint == node(d, JOINT)


def test_a_riser_ends_where_another_vent_joins(kit):
    half = (0, 2000, 1500)
    joined = {
        "UK": {"system": "vent", "role": "vent", "a": WALL, "b": half, "size": 1.5, "tags": "KS"},
        "UK2": {"system": "vent", "role": "vent", "a": half, "b": (0, 2000, 2500), "size": 2, "tags": "KS LV1"},
        "UK3": {"system": "vent", "role": "vent", "a": (0, 2000, 2500), "b": (0, 2000, 3300), "size": 2, "tags": "KS"},
        "X1": {"system": "vent", "role": "vent", "a": (0, 2600, 1480), "b": half, "size": 1.5, "tags": "LV1"},
    }
    assert [p.id for p in the_loop(island(kit, drop=("UK",), add=joined)).riser] == ["UK"]


def test_a_loop_that_does_not_come_back(kit):
    loop = the_loop(island(kit, drop=("RK",)))
    assert (loop.joint, loop.drain) == ("", ())


def test_a_return_that_is_called_a_vent(kit):
    back = {"system": "vent", "role": "vent", "a": SPLIT, "b": JOINT, "size": 2, "tags": "KS"}
    d = island(kit, drop=("RK",), add={"RK": back})
    assert the_loop(d).joint == node(d, JOINT)
    assert [p.id for p in the_loop(d).foot] == ["FK"]  # the way to the air comes first


def test_a_sink_with_a_vent_of_its_own_has_no_loop(kit):
    d = island(kit)
    traps = tuple(replace(t, method=d.network.traps[0].method) for t in d.network.traps)
    plain = replace(d, network=Network(d.network.nodes, d.network.pipes, traps))
    assert list(loops(Review(plain, by_id("ISL001")))) == []


@pytest.mark.parametrize(("kind", "n"), [("kitchen sink", 0), ("clothes washer", 1)])
def test_who_may_be_on_a_loop(kit, kind, n):
    d = island(kit, book=IPC, kind=kit.fixture("X", kind).kind)
    assert [f.about for f in kit.found("ISL001", d)] == [("KS",)] * n


# --- the height of the loop -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("book", "level_z", "word"), [(UPC, 910.0, "drainboard"), (IPC, 700.0, "outlet"), (IRC, 700.0, "outlet")]
)
def test_how_high_a_loop_goes(kit, book, level_z, word):
    """UPC 909.1: as high as the drainboard; IPC 916.3: above the outlet. The counter stands far above here."""
    assert kit.found("ISL002", island(kit, book=book, top=level_z - 0.4, under=2000.0)) == []
    (f,) = kit.found("ISL002", island(kit, book=book, top=level_z - 54.0, under=2000.0))
    assert (f.level.value, f.about, f.owner) == ("FIX", ("KS", "VK2"), "")
    assert f'54 mm (2 1/8") below the {word}' in f.found
    assert "54 mm" in f.do
    assert f.at == (1700.0, 2000.0, level_z - 54.0)
    assert len(f.bases) == 2  # the clause and the rule


def test_where_the_counter_leaves_no_room_it_is_a_question(kit):
    """Less than 25 mm above the hub of the bend is no room (common practice, no source)."""
    hub = catalog.hub_od_mm(1.5)
    for room_mm, level, owner in ((25.0, "FIX", ""), (24.9, "ASK", "inspector")):
        (f,) = kit.found("ISL002", island(kit, top=856.0, under=856.0 + hub / 2 + room_mm))
        assert (f.level.value, f.owner) == (level, owner)
        assert ("as high as the counter lets it" in f.found) is (level == "ASK")
        assert any("25 mm" in b.value for b in f.bases) is (level == "ASK")
    (f,) = kit.found("ISL002", island(kit, top=856.0, cabinet_id="elsewhere"))
    assert f.level.value == "FIX"
    (f,) = kit.found("ISL002", island(kit, book=IPC, top=690.0, under=690.0))
    assert f.level.value == "FIX"  # below its outlet it is not the counter that stops it


@pytest.mark.parametrize(("book", "unknown", "word"), [(UPC, "flood_rim_z_mm", "rim"), (IPC, "outlet_z_mm", "outlet")])
def test_a_loop_against_what_is_not_known(kit, book, unknown, word):
    d = island(kit, book=book, top=300.0, **{unknown: None})
    assert kit.found("ISL002", d) == []
    assert kit.unjudged("ISL002", d) == [f"the {word} of KS is not known"]


# --- the foot vent, the drain, the cleanout, the trap -----------------------------------------------------------------


@pytest.mark.parametrize(("rise_mm", "n"), [(34.7, 0), (34.4, 1), (0.0, 1)])
def test_slope_of_a_foot_vent(kit, rise_mm, n):
    """UPC 909.1: 1/4 in per ft, 35.4 mm in 1700; half a millimetre in a metre less is passed."""
    found = kit.found("ISL003", island(kit, wall=(0, 2000, -320 + rise_mm)))
    assert [f.about for f in found] == [("FK", "KS")] * n
    if n:
        assert f"{35.4 - rise_mm:.0f} mm" in found[0].do
    assert kit.found("ISL003", island(kit, book=IPC, wall=(0, 2000, -320))) == []


def test_nothing_joins_before_the_loop_comes_back(kit):
    """UPC 909.1: the drain up stream of the return serves the island alone."""
    guest = {"role": "branch", "a": (2600, 2000, -300), "b": (2000, 2000, -314), "size": 2, "tags": "LV1", "load": 2}
    (f,) = kit.found("ISL004", island(kit, add={"GK": guest}))
    assert (f.about, f.at) == (("GK", "KS"), (2000.0, 2000.0, -314.0))
    for harmless in (
        {**guest, "b": JOINT, "a": (2600, 1500, -300)},  # where it comes back
        {**guest, "role": "cleanout extension"},
        {**guest, "tags": "KS"},
    ):
        assert kit.found("ISL004", island(kit, add={"GK": harmless})) == []
    assert kit.found("ISL004", island(kit, book=IPC, add={"GK": guest})) == []


def test_a_cleanout_in_the_foot_vent(kit):
    d = island(kit)
    (f,) = kit.found("ISL005", d)
    assert (f.about, f.at) == (("KS", "FK"), (0.0, 2000.0, pytest.approx(-284.6, abs=0.1)))
    for at, n in ((WALL, 0), (SPLIT, 0), ((0, 2000, 3300), 0), (TAKE_OFF, 1)):
        plan = CleanoutPlan("CO2", node(d, at), 1.5, Vec(1, 0, 0), 450.0, "foot vent", "wall")
        assert len(kit.found("ISL005", replace(d, cleanouts=(*d.cleanouts, plan)))) == n
    assert kit.found("ISL005", island(kit, drop=("FK", "UK"))) == []  # no foot vent, no cleanout of it


@pytest.mark.parametrize(("weir_z", "n"), [(13.0, 0), (12.5, 0), (12.0, 1), (-87.0, 1)])
def test_trap_of_an_island_above_the_floor(kit, weir_z, n):
    """UPC 909.1; the finished floor is at 13."""
    found = kit.found("ISL006", island(kit, weir_z=weir_z))
    assert [f.about for f in found] == [("KS",)] * n
    if n:
        assert f"{13 - weir_z:.0f} mm" in found[0].found
