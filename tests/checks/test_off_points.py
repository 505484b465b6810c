"""FIT009: a fitting that has to stand beside the point its branch is drawn from. Places by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.fabrication.model import FittingUse
from stubout.geometry.vec import Vec
from stubout.problems import Status

CORNER = (1000.0, 3000.0, -260.0)


def turned(kit, beside_mm, *, pipes=("K1", "K2", "V3"), **kw):
    """Return the bath with a lying drain that turns square at (1000, 3000), where a vent rises."""
    add = {
        "K1": {"role": "branch", "a": (2000, 3000, -240), "b": CORNER, "size": 2, "tags": "LV1"},
        "K2": {"role": "branch", "a": CORNER, "b": (1000, 2000, -280), "size": 2, "tags": "LV1"},
        "V3": {"system": "vent", "role": "vent", "a": CORNER, "b": (1000, 3000, 2000), "size": 1.5, "tags": "LV1"},
    }
    use = FittingUse("F1", "N9", "combination", (2.0, 2.0, 1.5), Vec(*CORNER), pipes, Status.MEMORY,
                     beside_mm=beside_mm, **kw)  # fmt: skip
    return kit.design(add=add, fabrication=replace(kit.EMPTY, fittings=(use,)))


@pytest.mark.parametrize("beside_mm", [0.0, 0.5, -0.5])
def test_a_fitting_at_its_point(kit, beside_mm):
    assert kit.found("FIT009", turned(kit, beside_mm)) == []


@pytest.mark.parametrize(
    ("beside_mm", "way", "pipe", "at"),
    [
        (0.6, "0.6 mm", "K2", None),
        (-0.6, "0.6 mm", "K1", None),
        (150.0, '150 mm (5 7/8") down stream', "K2", (1000.0, 2850.0, -263.0)),
        (-150.0, '150 mm (5 7/8") up stream', "K1", (1150.0, 3000.0, -257.0)),
    ],
)
def test_how_far_and_which_way(kit, beside_mm, way, pipe, at):
    """150 mm along a pipe that falls 20 mm a metre: 3 mm."""
    (f,) = kit.found("FIT009", turned(kit, beside_mm))
    assert f.about == ("F1", "V3", "N9")
    assert f.found.endswith(f", in {pipe}")
    assert not f.status.verified
    if at:
        assert way in f.found
        assert way in f.do
        assert [b.value for b in f.bases] == ['150 mm (5 7/8") by the make-ups of the fittings']
        assert f.at == pytest.approx(at, abs=0.06)


@pytest.mark.parametrize("pipes", [("K1", "K2"), ("K1", "K2", ""), ("K1", "K2", "gone"), ("K1", "", "V3")])
def test_what_has_no_branch_marks_no_hole(kit, pipes):
    assert kit.found("FIT009", turned(kit, 150.0, pipes=pipes)) == []


def test_two_branches_of_one_fitting_are_told_together(kit):
    (f,) = kit.found("FIT009", turned(kit, 150.0, pipes=("K1", "K2", "V3", "V1")))
    assert f.about == ("F1", "V3", "V1", "N9")
    assert f.found.startswith("V3, V1 are drawn")
