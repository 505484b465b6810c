"""Joists and trusses along a plumbing wall are asked about before they are set. Expected: by the tape, from each plan.

Common practice, no source: a framer who is told in time sets a joist or a truss beside a plumbing wall.
"""

from __future__ import annotations

import pytest

from stubout import run
from stubout.files.jobs import read_job_text
from stubout.job.starter import starter_text
from stubout.layout.members_along import members_asked

TRUSSES = '      first: 24"\n      spacing: 24"'
HOLE_MM = 92.1  # of a 3 in pipe
CHORD_MM = 38.1


@pytest.fixture
def starter(tmp_path, desk):
    """Return what makes a desk of the starter house with its trusses set out from another place."""

    def made(first_in: float):
        path = tmp_path / "job.yaml"
        text = starter_text("inch")
        assert TRUSSES in text
        path.write_text(text.replace(TRUSSES, TRUSSES.replace("first: 24", f"first: {first_in}")), encoding="utf-8")
        return desk(path)

    return made


def test_a_truss_over_the_middle_of_a_wall_is_asked_about(starter):
    """The third truss over the middle of P, at 5 ft 8 1/4 in: half a hole and half a chord have to pass each other."""
    (one,) = members_asked(starter(20.25))
    assert one.about == ("P", "roof trusses")
    assert "no vent gets out through its plates" in one.text
    by_mm = (HOLE_MM + CHORD_MM) / 2
    assert f'{round(by_mm / 25.4 * 16) // 16} {round(by_mm / 25.4 * 16) % 16}/16"' in one.text


@pytest.mark.parametrize("first_in", [24.0, 23.0, 17.0])
def test_a_truss_beside_the_wall_or_at_its_edge_is_not(starter, first_in):
    """From 2 3/4 in beside the middle on it leaves half of a 2x6 free, which takes the smallest vent."""
    assert not list(members_asked(starter(first_in)))


def test_the_question_stands_among_those_of_the_job():
    text = starter_text("inch").replace(TRUSSES, TRUSSES.replace("first: 24", "first: 20 1/4"))
    asked = run.lay(read_job_text(text)).layout.questions
    assert [q.about for q in asked if q.about[-1] == "roof trusses"] == [("P", "roof trusses")]
    assert {q.owner for q in asked if q.about[-1] == "roof trusses"} == {"builder"}
