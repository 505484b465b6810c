"""What checks of drains, arms, fittings and flanges tell: amounts, sides, names, and where they stay silent."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.fabrication.model import FittingUse
from stubout.geometry.vec import Vec
from stubout.house.model import HouseLevel
from stubout.problems import Status
from stubout.rulebooks.frozen import Frozen

UPC, NPC = "upc-2021", "npc-2020"


def branch(a, b, **kw):
    return {"role": "branch", "a": a, "b": b, "size": 2, "tags": "LV1", "load": 1, **kw}


def without(d, *ids):
    """Return the design under a book that is silent on some values."""
    return replace(d, book=replace(d.book, values=Frozen({i: c for i, c in d.book.values.items() if i not in ids})))


# --- drains -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("fall_mm", [0.0, 0.3, -0.3])
def test_a_level_drain_is_too_flat_and_does_not_climb(kit, fall_mm):
    z = -307.8 - fall_mm
    d = kit.design(edit={"B1": {"b": (0, 609, z)}, "D1": {"b": (0, 609, z)}, "B2": {"a": (0, 609, z)}})
    (f,) = [f for f in kit.found("DRN007", d) if f.about == ("B1",)]
    assert f"{8.12 - fall_mm:.0f} mm" in f.do
    assert f.at == (0.0, 609.0, pytest.approx(z, abs=0.1))
    assert kit.found("DRN008", d) == []


def test_a_closet_arm_is_judged_as_a_drain(kit):
    d = kit.design(edit={"A3": {"b": (0, 1421, -300)}})
    assert "A3" in {f.about[0] for f in kit.found("DRN007", d)}
    assert kit.found("ARM004", d) == []


def test_a_drain_that_carries_a_little_is_no_dead_end(kit):
    spec = {"Z1": branch((600, 609, -311), (0, 609, -323.9), tags="", load=0.5)}
    assert kit.found("DRN009", kit.design(add=spec)) == []
    spec["Z1"]["load"] = 0.0
    (f,) = kit.found("DRN009", kit.design(add=spec))
    assert "600 mm" in f.found


@pytest.mark.parametrize(("title", "word"), [("Bar sink", "Bar sink"), ("", "bar sink")])
def test_a_fixture_is_called_by_its_title_or_its_kind(kit, title, word):
    bar = kit.fixture("BS", "bar sink", title=title)
    (f,) = kit.found("DRN013", kit.design(fixtures=(kit.LV1, kit.WC1, bar)))
    assert f.found.startswith(f"{word} BS ")
    small = replace(kit.fixture("LV1", "bar sink", title=title), station_mm=609.0)
    traps = ({"tag": "LV1", "arm": ("A1",), "trap_in": 1.25}, kit.TRAPS[1])
    (f,) = kit.found("ARM007", kit.design(fixtures=(small, kit.WC1), edit={"A1": {"size": 1.25}}, traps=traps))
    assert f.found.endswith(f"for {word}")
    traps = ({"tag": "LV1", "arm": ("A1",), "trap_in": 4.0}, kit.TRAPS[1])
    (f,) = kit.found("TRP005", kit.design(book=UPC, fixtures=(small, kit.WC1), traps=traps))
    assert f.found.endswith(f"for {word}")


def stack_of(kit, *, foot_load=18.0, loads=(9, 9.5), **more):
    """Return two upper showers on a 3 in stack with a single drain behind it."""
    add = {
        "K1": {"role": "stack", "a": (0, 3000, 2400), "b": (0, 3000, -295), "size": 3, "tags": "X0 X1",
               "load": foot_load},
        "T0": {"role": "trap arm", "a": (400, 3000, 2420), "b": (0, 3000, 2400), "size": 2, "tags": "X0",
               "load": loads[0]},
        "T1": {"role": "trap arm", "a": (-400, 3000, 2420), "b": (0, 3000, 2400), "size": 2, "tags": "X1",
               "load": loads[1]},
        "E1": {"role": "building drain", "a": (0, 3000, -295), "b": (0, 9000, -395), "size": 4, "tags": "X0 X1",
               "load": foot_load},
        **more,
    }  # fmt: skip
    levels = (
        HouseLevel("main", "Main", 0, "slab", 0.0, 2300.0),
        HouseLevel("upper", "Upper", 1, "frame", 2300.0, 2467.0),
    )
    bodies = tuple(kit.fixture(f"X{i}", "shower", level_id="upper", wall_id="") for i in range(2))
    traps = (*kit.TRAPS, {"tag": "X0", "arm": ("T0",)}, {"tag": "X1", "arm": ("T1",)})
    return kit.design(add=add, fixtures=(kit.LV1, kit.WC1, *bodies), levels=levels, traps=traps)


@pytest.mark.parametrize(("foot_load", "n"), [(18.0, 0), (18.5, 1), (20.0, 1)])
def test_a_group_counts_less_than_its_fixtures(kit, foot_load, n):
    """NPC Table 2.4.10.6: 18 FU from one storey on 3 in. Single fixtures of 18.5 that count as a group of 18 are 18."""
    found = kit.found("DRN002", stack_of(kit, foot_load=foot_load))
    assert [f.about for f in found] == [("K1", "upper")] * n
    if n:
        assert "18.5 FU" in found[0].found


def test_a_stack_foot_with_one_pipe_behind_it(kit):
    """30 FU and more: 1.5 m. Nothing joins the pipe of 6 m behind the foot; then something does after 1 m."""
    assert kit.found("DRN012", stack_of(kit, foot_load=30.0)) == []
    half = {
        "E1": {"role": "building drain", "a": (0, 3000, -295), "b": (0, 4000, -310), "size": 4, "tags": "X0 X1",
               "load": 30},
        "E2": {"role": "building drain", "a": (0, 4000, -310), "b": (0, 9000, -395), "size": 4, "tags": "X0 X1 LV1",
               "load": 31},
        "G1": branch((900, 4000, -290), (0, 4000, -310)),
    }  # fmt: skip
    (f,) = kit.found("DRN012", stack_of(kit, foot_load=30.0, **half))
    assert (f.about, f.at) == (("G1", "K1"), (0.0, 4000.0, -310.0))
    assert "500 mm" in f.do


# --- arms -------------------------------------------------------------------------------------------------------------


def test_a_closet_is_measured_flat_and_upright(kit):
    """NPC 2.5.6.3(3): 3 m flat, 1 m upright."""
    deep = {"A2": {"a": (388, 1421, 1703)}}
    (f,) = kit.found("ARM008", kit.design(edit=deep))
    assert "of upright pipe" in f.found
    assert "of upright pipe" in f.wanted
    assert "1003 mm" in f.do
    far = {
        "A2": {"a": (3388, 1421, 13), "b": (3388, 1421, -240)},
        "A3": {"a": (3388, 1421, -240)},
    }
    (f,) = kit.found("ARM008", kit.design(edit=far))
    assert "of flat pipe" in f.found


def test_what_joins_an_arm_rests_on_the_book(kit):
    shared = kit.design(add={"K1": branch((388, 2000, -288), (388, 1421, -300))})
    (f,) = kit.found("ARM009", shared)
    assert f.bases[0].of or f.bases[0].book == NPC
    silent = without(shared, "closet.branch_of_stub_free", "trap.one_per_fixture")
    (f,) = kit.found("ARM009", silent)
    assert [b.value for b in f.bases][-1] == "one trap and no other drain"


# --- fittings ---------------------------------------------------------------------------------------------------------


def double_tee(kit, book, pattern):
    side = {"X1": branch((-300, 609, 501), (0, 609, 495.4), tags="BS")}
    d = kit.design(book=book, add=side)
    node = d.network.pipe("A1").end
    use = FittingUse("F1", node, pattern, (3.0, 3.0), Vec(0, 609, 495), ("A1", "X1", "D1"), Status.READ)
    return replace(d, fabrication=replace(kit.EMPTY, fittings=(use,)))


@pytest.mark.parametrize("pattern", ["double sanitary tee", "double fixture fitting"])
def test_unlike_inlets_rest_on_the_book_that_names_them(kit, pattern):
    (f,) = kit.found("FIT004", double_tee(kit, "irc-2021", pattern))
    assert f.about == ("F1", "A1", "X1")
    assert f.found.startswith(f"{pattern} F1 takes ")
    assert "1-1/2 in and 2 in" in f.found
    assert f.bases[-1].of == ("fitting.double_rule",)
    (f,) = kit.found("FIT004", double_tee(kit, UPC, pattern))  # it speaks of the barrel only
    assert f.bases[-1].value == "same size"


# --- floor drains and flanges -----------------------------------------------------------------------------------------


def test_a_bare_floor_drain_under_a_book_without_a_length(kit):
    pipe = {"role": "fixture drain", "a": (500, 609, -313.9), "b": (0, 609, -323.9), "size": 3, "tags": "FD"}
    bare = {"tag": "FD", "arm": ("F1", "B2", "S1"), "trap_in": 3.0, "vented": False, "method": "none"}
    body = kit.fixture("FD", "floor drain", wall_id="", primer=True)
    d = kit.design(add={"F1": pipe}, traps=(*kit.TRAPS, bare), fixtures=(kit.LV1, kit.WC1, body))
    assert kit.found("FLD001", without(d, "floor_drain.unvented_min")) == []
    assert "the book gives no length for a floor drain without a vent" in " ".join(
        kit.unjudged("FLD001", without(d, "floor_drain.unvented_min"))
    )


def test_a_flange_against_a_silent_book(kit):
    d = kit.design(edit={"A2": {"a": (388, 1421, 60)}}, kinds={(388, 1421, 60): "flange"})
    (f,) = kit.found("FLG001", d)
    assert "47 mm" in f.found
    assert "above the finished floor" in f.found
    assert f.do.startswith("lower the flange by 41 mm")
    for gone in ("flange.above_floor_lo", "flange.above_floor_hi"):
        assert kit.found("FLG001", without(d, gone)) == []
        assert kit.unjudged("FLG001", without(d, gone)) == [
            "the book gives no height of a flange above the finished floor"
        ]
    low = kit.design(edit={"A2": {"a": (388, 1421, 3)}}, kinds={(388, 1421, 3): "flange"})
    (f,) = kit.found("FLG001", low)
    assert '10 mm (3/8") below the finished floor' in f.found
    assert f.do.startswith("raise the flange by 10 mm")


@pytest.mark.parametrize(
    ("rough_mm", "may_move", "told"),
    [
        (254.0, 0.0, '51 mm (2") nearer to the wall'),
        (356.0, 0.0, '51 mm (2") away from the wall'),
        (254.0, 50.4, '51 mm (2") nearer to the wall'),
        (254.0, 51.0, None),
        (0.0, 0.0, None),  # no rough-in is said
    ],
)
def test_rough_in_of_a_closet(kit, rough_mm, may_move, told):
    """The flange is 305 mm from the finished wall."""
    body = replace(kit.WC1, from_wall_mm=rough_mm, may_move_mm=may_move)
    found = kit.found("FLG002", kit.design(fixtures=(kit.LV1, body)))
    assert [told in f.do for f in found] == ([True] if told else [])
    assert all(f.about == ("WC1", "P") for f in found)


def test_a_closet_without_a_wall_has_no_rough_in(kit):
    """One closet of the job stands free; the other is judged all the same."""
    free = kit.fixture("WC2", "water closet", wall_id="", outlet=Vec(388, 2500, 13), floor_outlet=True, outlet_in=3.0)
    more = {
        "A5": {"role": "trap arm", "a": (388, 2500, 13), "b": (388, 2500, -280), "size": 3, "tags": "WC2", "load": 4},
    }
    traps = (*kit.TRAPS, {"tag": "WC2", "arm": ("A5",), "trap_in": 3.0})
    d = kit.design(
        add=more,
        traps=traps,
        kinds={(388, 2500, 13): "flange"},
        fixtures=(kit.LV1, replace(kit.WC1, from_wall_mm=254.0), free),
    )
    assert [f.about for f in kit.found("FLG002", d)] == [("WC1", "P")]
