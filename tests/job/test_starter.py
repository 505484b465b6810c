"""The starter job reads without fault in both unit systems and is the same sensible house in both."""

from __future__ import annotations

from typing import Any

import pytest

from stubout.files.jobs import read_job_text
from stubout.job.model import Job
from stubout.job.starter import starter_text


@pytest.fixture(params=["inch", "mm"])
def job(request: pytest.FixtureRequest) -> Job:
    units: Any = request.param
    return read_job_text(starter_text(units))


def test_says_its_units(job: Job) -> None:
    assert job.job.units == ("inch" if job.job.book == "upc-2021" else "mm")


def test_fixtures_stand_in_their_room(job: Job) -> None:
    bath = next(r for r in job.rooms if r.id == "bath")
    for fixture in job.fixtures:
        assert fixture.room == "bath"
        if fixture.drain:
            assert bath.x[0] < fixture.drain[0] < bath.x[1]
            assert bath.y[0] < fixture.drain[1] < bath.y[1]


def test_fixtures_stand_between_studs(job: Job) -> None:
    # The stub-outs of the wall fixtures, and the closet's arm, must find a free bay of the plumbing wall.
    wall = next(w for w in job.walls if w.id == "P")
    for tag in ("LV1", "WC1"):
        fixture = next(f for f in job.fixtures if f.tag == tag)
        assert fixture.at is not None
        off = fixture.at % wall.spacing
        assert min(off, wall.spacing - off) > 38 / 2 + 60  # half a stud and a 2-1/2 in hole's room


def test_closet_drains_between_joists_and_stands_off_the_wall(job: Job) -> None:
    wall = next(w for w in job.walls if w.id == "P")
    closet = next(f for f in job.fixtures if f.tag == "WC1")
    frame = next(f for f in job.frames if f.carries == "main")
    assert closet.drain is not None
    assert closet.rough_in is not None
    face = wall.from_[0] - wall.stud / 2 - wall.left[0].thick
    assert face - closet.drain[0] == pytest.approx(closet.rough_in, abs=1.0)
    assert frame.members.first is not None
    assert frame.members.spacing is not None
    off = (closet.drain[1] - frame.members.first) % frame.members.spacing
    assert min(off, frame.members.spacing - off) > frame.width / 2 + 44.45 + 10  # a 3 in pipe and a finger's room


def test_closet_keeps_fifteen_inches_to_its_neighbours(job: Job) -> None:
    # 15 in centre to side wall, vanity or tub: plumbing codes of the U and I families (read).
    wall = next(w for w in job.walls if w.id == "P")
    closet = next(f for f in job.fixtures if f.tag == "WC1")
    tub = next(f for f in job.fixtures if f.tag == "BT1")
    vanity = job.cabinets[0]
    assert closet.drain is not None
    assert tub.y is not None
    assert vanity.to is not None
    assert tub.y[0] - closet.drain[1] >= 381
    assert closet.drain[1] - (wall.from_[1] + vanity.to) >= 381


def test_sewer_lies_below_and_outside(job: Job) -> None:
    assert job.sewer.at[1] < 0
    assert job.sewer.invert < job.site.ground_at_sewer
    assert job.sewer.invert < job.frames[0].top - job.frames[0].depth


def test_both_are_the_same_house() -> None:
    inch, mm = (read_job_text(starter_text(u)) for u in ("inch", "mm"))
    assert [w.id for w in inch.walls] == [w.id for w in mm.walls]
    assert [f.tag for f in inch.fixtures] == [f.tag for f in mm.fixtures]
    for one, other in zip(inch.walls, mm.walls, strict=True):
        for a, b in zip((*one.from_, *one.to), (*other.from_, *other.to), strict=True):
            assert a == pytest.approx(b, abs=30)  # each in the modules of its own trade


def test_comments_stand_in_one_column() -> None:
    for units in ("inch", "mm"):
        text = starter_text(units)
        assert text.endswith("\n")
        assert "$" not in text
        assert "\t" not in text
        for line in text.splitlines():
            assert len(line) <= 120
            value, mark, _ = line.partition(" # ")
            if mark and value.strip():
                assert len(value) >= 33 or len(value.rstrip()) >= 33
