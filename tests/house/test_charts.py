"""What is asked of engineered floor members, and what they bear on as far as the job says it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from stubout.files.books import book_ids, framing_ids
from stubout.files.jobs import read_job_text
from stubout.geometry.vec import Box, Vec
from stubout.house.bearings import bearings, from_bearing, strips_of
from stubout.house.model import House, Obstacle
from stubout.house.resolve import resolve
from stubout.problems import Question

JOB = (Path(__file__).parents[1] / "houses" / "engineered-floor.yaml").read_text(encoding="utf-8")
IN = 25.4


def told(said: str, member: str = "i-joist", *changes: tuple[str, str]) -> tuple[House, dict[str, Question]]:
    text = JOB.replace("maker chart: yes", f"maker chart: yes, {said}" if said else "maker chart: yes", 1)
    text = text.replace("member: open-web", f"member: {member}")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    house, questions = resolve(read_job_text(text, "house.yaml", book_ids(), framing_ids()))
    return house, {q.id: q for q in questions}


CHART = 'chart: {hole: 4", from bearing: 1\'-6", apart: 8"}'


def test_a_whole_chart_asks_nothing() -> None:
    house, questions = told(CHART)
    assert not questions
    chart = house.frames[0].chart
    assert chart is not None
    assert chart.rows[0].hole_mm == pytest.approx(4 * IN)
    assert JOB.splitlines()[chart.line - 1].strip().startswith("- {id: upper floor")


@pytest.mark.parametrize(
    ("member", "said", "asks", "asks_not"),
    [
        ("i-joist", "", "(`hole`), how far from a bearing (`from bearing`) and how far from the next", "not at hand"),
        ("i-joist", "chart: {hole: 4\", apart: 8\"}", "does not say how far from a bearing (`from", "`hole`"),
        ("open-web", "", "(`round`), how high its middle lies (`height`) and where the openings are", "not at hand"),
        ("open-web", "openings: {round: 8\", first: 18\", spacing: 24\"}", "how high its middle lies", "(`round`)"),
        ("open-web", "openings: {round: 8\", height: 7\"}", "where the openings are (`first` and", "(`height`)"),
    ],
)  # fmt: skip
def test_what_is_not_copied_is_asked_and_nothing_is_crossed(member: str, said: str, asks: str, asks_not: str) -> None:
    house, questions = told(said, member)
    text = questions["ask-chart-upper-floor"].text
    assert asks in text
    assert asks_not not in text
    assert house.frames[0].chart is house.frames[0].openings is None


def test_walls_nobody_says_bear_are_taken_to_and_asked() -> None:
    house, questions = told(CHART, "i-joist", ("role: non-bearing, ", ""))
    assert "bear on G?" in questions["ask-bearing-upper-floor"].text
    frame = house.frames[0]
    assert len(bearings(frame, 340 * IN, strips_of(house, frame))) == 3
    assert len(bearings(frame, 300 * IN, strips_of(house, frame))) == 2  # beside the end of G


def test_an_end_that_nothing_carries_is_asked() -> None:
    _, questions = told(CHART, "i-joist", ('[213 1/4", 0], to: [213 1/4", 408]', '[190", 0], to: [190", 408]'))
    assert "at their east end, and how wide is it?" in questions["ask-ends-upper-floor"].text


def test_distances_count_from_the_face_of_the_bearing() -> None:
    house, _ = told(CHART)
    frame = house.frames[0]
    found = strips_of(house, frame)
    assert from_bearing(frame, 30 * IN, 300 * IN, found) == pytest.approx(24.5 * IN)  # wall W ends at 5 1/2
    assert from_bearing(frame, 3 * IN, 300 * IN, found) == 0
    beam = Obstacle("B", "beam", Box(Vec(100 * IN, 0, 80 * IN), Vec(104 * IN, 400 * IN, 97 * IN)), "beam")
    with_beam = replace(house, obstacles=(*house.obstacles, beam))
    assert from_bearing(frame, 110 * IN, 300 * IN, strips_of(with_beam, frame)) == pytest.approx(6 * IN)
    low = replace(beam, box=Box(beam.box.lo, Vec(104 * IN, 400 * IN, 85 * IN)))
    assert from_bearing(frame, 110 * IN, 300 * IN, strips_of(replace(house, obstacles=(low,)), frame)) > 90 * IN
