"""Drains of a crawl space hang close under the joists over one drop of the building drain. Invented; mm by hand."""

from __future__ import annotations

from pathlib import Path

import pytest
from laid_out import design_anew

from stubout import run
from stubout.design import Design
from stubout.files.jobs import read_job_text
from stubout.layout.model import PointKind, Role
from stubout.problems import Level

CABIN = Path(__file__).parents[1] / "change" / "cabin.yaml"
GIRDER_MM = -488.0  # its underside: the drains of the kitchen and of the floor drain pass below it
GIRDER_X = (3284.0, 3422.0)


@pytest.fixture(scope="module")
def cabin() -> Design:
    """A cabin whose sewer lies 1.2 m below its joists, with a girder below them."""
    return design_anew(read_job_text(CABIN.read_text(encoding="utf-8")))


def hanging(design: Design):
    """Yield the drains that lie in the crawl space above the drop of the building drain."""
    drop = next(p for p in design.network.drains() if p.vertical and p.role is Role.BUILDING_DRAIN)
    for p in design.network.drains():
        if not p.vertical and p.place.kind == "crawl" and min(p.a.z, p.b.z) > drop.b.z + 1.0:
            yield p


def test_the_building_drain_drops_once_just_inside_the_house(cabin) -> None:
    drops = [p for p in cabin.network.drains() if p.vertical and p.role is Role.BUILDING_DRAIN]
    assert len(drops) == 1
    assert 0.0 < cabin.house.footprint.hi.y - drops[0].a.y < 1000.0  # it leaves by the north wall
    assert any("rises" in n and "hang close under the joists" in n for n in cabin.notes)


def test_what_passes_below_the_girder_touches_it_nearly(cabin) -> None:
    """How high all of them may lie is told by the one below the girder: 12 mm below it, and 6 to spare."""
    below = [p for p in hanging(cabin) if min(p.a.x, p.b.x) < GIRDER_X[0] and max(p.a.x, p.b.x) > GIRDER_X[1]]
    assert below
    free = [GIRDER_MM - (max(p.a.z, p.b.z) + p.size_in * 25.4 / 2) for p in below]
    assert min(free) >= 0.0
    assert min(free) < 60.0


def test_they_fall_as_before_and_nothing_is_found(cabin) -> None:
    """NPC 7.4.8.1: 1 in 50 for drains of 3 in and less; the building drain of 4 in not flatter than 1 in 100."""
    for p in hanging(cabin):
        least = 1 / 50 if p.size_in <= 3.0 else 1 / 100
        assert (p.a.z - p.b.z) / p.a.minus(p.b).plan_length >= least - 1e-4
    assert not [f for f in run.check(cabin).findings if f.level in (Level.STOP, Level.FIX)]


def test_no_trap_stands_deeper_below_its_outlet_than_the_floor_leaves(cabin) -> None:
    tub = next(n for n in cabin.network.nodes if n.kind is PointKind.TRAP and n.tag == "BT1")
    assert tub.at.z > -700.0  # it was 957 mm below the floor
