"""A plumbing wall that is said higher than the roof: its vents leave it through plate and roof, and go on up."""

from __future__ import annotations

from pathlib import Path

import pytest

from stubout import laying
from stubout.files.books import book_ids
from stubout.files.jobs import read_job_text

HOUSE = Path(__file__).parents[2] / "examples" / "04-stacked-baths.yaml"
UPPER_WALL = "  - id: UP "


@pytest.fixture(scope="module")
def high():
    """The stacked baths with the upper plumbing wall said 14 ft high: the roof over it is 9 to 14 ft up."""
    lines = HOUSE.read_text(encoding="utf-8").splitlines()
    at = next(n for n, line in enumerate(lines) if line.startswith(UPPER_WALL))
    lines.insert(at + 1, "    height: 14'-0\"")
    return laying.judged(read_job_text("\n".join(lines), "high.yaml", book_ids())).design


def test_nothing_is_found_of_the_roof(high):
    """As said it was above the roof, and a terminal near it stood too near a wall (`TRM008`)."""
    assert not {f.check for f in laying.check(high).findings} & {"TRM008", "CLA005"}


def test_the_vents_rise_and_never_come_back(high):
    assert high.blocked == ()
    assert all(p.b.z >= p.a.z - 0.5 for p in high.network.pipes if p.system == "vent" and p.place.kind == "roof")


def test_holes_in_its_plates_are_as_high_as_the_plates_there(high):
    wall = high.house.wall("UP")
    holes = [b for b in high.fabrication.bores if b.member == "UP top plate"]
    assert holes
    for b in holes:
        middle = (wall.top_at(b.station_mm) + wall.under_plates_at(b.station_mm)) / 2 - wall.bottom_z_mm
        assert b.height_subfloor_mm == pytest.approx(middle, abs=5.0)


def test_the_builder_is_asked_how_thick_the_roof_is(high):
    (q,) = [q for q in high.questions if q.id == "ask-roof-over-UP"]
    assert q.assumed == '8" (203 mm)'
    assert "14'-0\" (4267 mm) high" in q.text
