"""Which of several checks tells a fault, and who is left out: the bath by hand, fittings by the books' own tables."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.fabrication.model import Bore, FittingUse
from stubout.geometry.vec import Vec
from stubout.problems import NotInBook, Status
from stubout.rulebooks import queries

# a branch that comes into the building drain from the side: lying into lying
SIDE = {"K1": {"role": "branch", "a": (300, 609, -318), "b": (0, 609, -323.9), "size": 2, "load": 1.5, "tags": "LV1"}}
TURNS = {"h-v": ("A1", "D1", 1.5), "v-h": ("D1", "B2", 1.5), "h-h": ("K1", "B2", 2.0)}
FITTINGS = ("FIT001", "FIT002", "FIT003", "FIT005")


def owner(pattern, kind):
    if "sanitary tee" in pattern and kind in ("h-h", "v-h"):
        return "FIT001"
    if "bend" in pattern and kind in ("v-h", "h-h"):
        return {"v-h": "FIT002", "h-h": "FIT003"}[kind]
    return "FIT005"


@pytest.mark.parametrize("kind", TURNS)
@pytest.mark.parametrize(
    "pattern", ["1/4 bend", "1/8 bend", "sanitary tee", "double sanitary tee", "wye", "combination"]
)
@pytest.mark.parametrize("book", ["npc-2020", "upc-2021", "ipc-2021"])
def test_a_fitting_against_its_use_is_told_by_one_check(kit, book, pattern, kind):
    into, out, size_in = TURNS[kind]
    d = kit.design(book=book, add=SIDE)
    node = next(p.end for p in d.network.pipes if p.id == into)
    use = FittingUse("F1", node, pattern, (size_in, size_in), Vec(0, 609, 0), (into, out), Status.READ)
    d = replace(d, fabrication=replace(kit.EMPTY, fittings=(use,)))
    try:
        allowed = queries.fitting_allowed(d.book, pattern, kind, size_in=size_in, fixture_drain=into == "A1").value
    except NotInBook:
        assert [c for c in FITTINGS if kit.unjudged(c, d)] == [owner(pattern, kind)]
        return
    assert [c for c in FITTINGS if kit.found(c, d)] == ([] if allowed else [owner(pattern, kind)])


SHORT = {
    "A1": {"a": (20, 609, 496)},
    "A3": {"a": (20, 1421, -307.4)},
    "A2": {"a": (20, 1421, 13), "b": (20, 1421, -307.4)},
}


def test_an_arm_too_short_is_that_of_a_vented_trap_but_no_closet(kit):
    # two diameters at least under the NPC: 20 mm are too short for 1-1/2 in; a closet siphons on purpose
    assert [f.about[0] for f in kit.found("ARM002", kit.design(edit=SHORT))] == ["LV1"]
    unvented = ({**kit.TRAPS[0], "vented": False}, kit.TRAPS[1])
    assert kit.found("ARM002", kit.design(edit=SHORT, traps=unvented)) == []


@pytest.mark.parametrize("check", ["ARM001", "ARM002", "ARM003", "ARM004"])
def test_an_arm_of_a_trap_without_vent_is_told_elsewhere(kit, check):
    unvented = ({**kit.TRAPS[0], "vented": False}, kit.TRAPS[1])
    long_and_steep = {"A1": {"a": (3000, 609, 900)}}
    assert [f for f in kit.found(check, kit.design(edit=long_and_steep, traps=unvented)) if f.about[0] == "LV1"] == []


def bore(name, **kw):
    base = Bore(
        name, "P stud at 812", "stud", "P", 812.0, "A1", Vec(0, 812, 480), 52.0, 140.0, 44.0, 84.0, 16.0, "ok", 480, 467
    )
    return replace(base, **kw)


def test_a_hole_that_others_judge_hides_none_after_it(kit):
    # 100 mm where 84 are allowed; what an engineer or a strap sees to is told by other checks
    big = {"hole_mm": 100.0, "verdict": "too big"}
    holes = [
        bore("B1", verdict="engineer"),
        bore("B2", **big),
        bore("B3"),
        bore("B4", **big),
        bore("B5", verdict="strap"),
    ]
    d = kit.design(fabrication=replace(kit.EMPTY, bores=tuple(holes)))
    assert [f.about[0] for f in kit.found("FRM001", d)] == ["B2", "B4"]
    none_allowed = bore("B1", limit_mm=None, verdict="too big")
    (f,) = kit.found(
        "FRM001", kit.design(fabrication=replace(kit.EMPTY, bores=(bore("B9", limit_mm=None), none_allowed)))
    )
    assert f.wanted == "at most no hole of this size"
