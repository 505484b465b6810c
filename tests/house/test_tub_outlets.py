"""What a tub or shower stands on, and how high its outlet is taken where no sheet says it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from stubout.house.model import House
from stubout.house.resolve import resolve
from stubout.job.model import Job
from stubout.problems import Question

IN = 25.4
Resolved = Callable[[str], tuple[House, tuple[Question, ...]]]


def with_fixture(job: Job, tag: str, **changes: object) -> Job:
    fixtures = tuple(f.model_copy(update=changes) if f.tag == tag else f for f in job.fixtures)
    return job.model_copy(update={"fixtures": fixtures})


@pytest.mark.parametrize(
    ("name", "tag", "above_subfloor", "doubt"),
    [
        ("03", "BT1", 2 * IN, 2 * IN),  # set to studs: on the subfloor, 7/8 in of tile laid up to it
        ("01", "BT2", 50.0, 50.0),
        ("01", "BT3", 50.0 + 32.0, 50.0),  # stands free, on 32 mm of heated stone
        ("01", "SH3", 38.0, 38.0),  # set to studs
        ("02", "SH1", 1.5 * IN, 1.5 * IN),
    ],
)
def test_an_outlet_is_taken_as_high_as_it_may_stand(
    resolved: Resolved, name: str, tag: str, above_subfloor: float, doubt: float
) -> None:
    """2 in (50 mm) for tubs, 1 1/2 in (38 mm) for showers, above what they stand on: from memory, no source."""
    f = resolved(name)[0].fixture(tag)
    assert f.drop_from_z_mm is not None
    assert f.drop_from_z_mm - f.subfloor_z_mm == pytest.approx(above_subfloor)
    assert f.outlet_doubt_mm == pytest.approx(doubt)
    assert f.outlet_z_mm is None


def test_a_tub_a_board_off_the_studs_stands_on_the_finished_floor(job_of: Callable[[str], Job]) -> None:
    said = job_of("03")
    tub = next(f for f in said.fixtures if f.tag == "BT1")
    assert tub.x is not None
    assert tub.y is not None
    away = {"x": tuple(v + 0.5 * IN for v in tub.x), "y": tuple(v - 0.5 * IN for v in tub.y)}
    f = resolve(with_fixture(said, "BT1", **away))[0].fixture("BT1")
    assert f.drop_from_z_mm == pytest.approx(f.finished_z_mm + 2 * IN)
    assert f.outlet_least_z_mm == f.finished_z_mm


def test_an_outlet_height_that_is_said_is_counted_from_the_finished_floor_and_not_doubted(
    job_of: Callable[[str], Job],
) -> None:
    f = resolve(with_fixture(job_of("03"), "BT1", outlet_height=30.0))[0].fixture("BT1")
    assert f.drop_from_z_mm == f.finished_z_mm + 30.0
    assert f.outlet is not None
    assert f.outlet.z == f.drop_from_z_mm
    assert f.outlet_doubt_mm == 0.0


def test_no_house_is_asked_for_the_outlet_of_its_tub(resolved: Resolved) -> None:
    assert not [q for q in resolved("03")[1] if q.about and q.about[0] == "BT1"]
