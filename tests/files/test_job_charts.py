"""What a job copies from the maker's paper of engineered members: slips of it are told before anything is laid out."""

from __future__ import annotations

from pathlib import Path

import pytest

from stubout.files.books import book_ids, framing_ids
from stubout.files.jobs import read_job_text
from stubout.job.model import Job
from stubout.problems import JobFileError

JOB = (Path(__file__).parents[1] / "houses" / "engineered-floor.yaml").read_text(encoding="utf-8")
OPENINGS = 'openings: {round: 8", height: 7", first: 18", spacing: 24"}'
CHART = 'chart: {hole: 4", from bearing: 1\'-6", apart: 8"}'


def read(said: str, member: str = "open-web") -> Job:
    text = JOB.replace("maker chart: yes", said, 1).replace("member: open-web", f"member: {member}")
    return read_job_text(text, "house.yaml", book_ids(), framing_ids())


def told(said: str, member: str = "open-web") -> list[str]:
    with pytest.raises(JobFileError) as caught:
        read(said, member)
    return [str(f) for f in caught.value.faults]


def test_one_row_stands_for_a_list_of_one() -> None:
    frame = read(f"maker chart: yes, {CHART}", "i-joist").frames[0]
    assert [(r.hole, r.from_bearing, r.apart) for r in frame.chart] == [pytest.approx((101.6, 457.2, 203.2))]
    rows = '[{hole: 2", from bearing: 6", apart: 4"}, {hole: 4", from bearing: 18", apart: 8"}]'
    several = read(f"maker chart: yes, chart: {rows}", "i-joist").frames[0].chart
    assert [r.hole for r in several] == pytest.approx([50.8, 101.6])


def test_openings_are_read_as_members_are() -> None:
    said = read(f"maker chart: yes, {OPENINGS}").frames[0].openings
    assert said is not None
    assert (said.round, said.height, said.first, said.spacing, said.wide) == pytest.approx(
        (203.2, 177.8, 457.2, 609.6, None)
    )


@pytest.mark.parametrize(
    ("member", "old", "new", "says"),
    [
        ("i-joist", 'hole: 4"', 'hole: 11 1/4"', "found 11 1/4\", wanted at most 11\": the depth less a flange"),
        ("i-joist", 'hole: 4"', 'hole: 0"', "chart.hole: found 0\", wanted more than nothing"),
        ("i-joist", "bearing: 1'-6\"", "bearing: -2\"", "from bearing: found -2\", wanted more than nothing"),
        ("i-joist", 'apart: 8"', 'apart: 0"', "apart: found 0\", wanted more than nothing"),
        ("i-joist", "chart: yes", "chart: no", "found `maker chart: no` beside it, wanted `maker chart: yes`"),
        ("sawn", "chart: yes", "chart: yes", "found it is said of `member: sawn`, wanted `member: i-joist`"),
        ("open-web", "chart: yes", "chart: yes", "Of open-web joists the openings are said: `openings`."),
    ],
)  # fmt: skip
def test_a_slip_of_the_hole_chart(member: str, old: str, new: str, says: str) -> None:
    said = f"maker chart: yes, {CHART}"
    assert old in said
    found = told(said.replace(old, new, 1), member)
    assert any(says in line for line in found), found


@pytest.mark.parametrize(
    ("member", "old", "new", "says"),
    [
        ("open-web", 'round: 8"', 'round: 14"', "round: found 1'-2\", wanted less than the depth, 1'-2\""),
        ("open-web", 'round: 8"', 'round: -8"', "round: found -8\", wanted more than nothing"),
        ("open-web", 'height: 7"', 'height: 3 7/8"', "found 3 7/8\", wanted 4\" to 10\": the round lies within"),
        ("open-web", 'height: 7"', 'height: 10 1/8"', "the round lies within the joist"),
        ("open-web", 'height: 7"', 'height: 7", wide: 7"', "wide: found 7\", wanted at least 8\", the `round`"),
        ("open-web", 'spacing: 24"', 'spacing: 7"', "spacing: found 7\", wanted at least 8\""),
        ("open-web", 'spacing: 24"', 'spacing: 24", count: 0', "count: found 0, wanted 1 to 1000"),
        ("open-web", 'first: 18", ', "", "found no place for the first, wanted `first`, or `at` alone"),
        ("open-web", 'first: 18"', "first: 18'-1\"", "first: found 18'-1\", wanted 0\" to 18'-0\", where the joists"),
        ("open-web", "chart: yes", "chart: no", "found `maker chart: no` beside it, wanted `maker chart: yes`"),
        ("i-joist", "chart: yes", "chart: yes", "Of I-joists the hole chart is said: `chart`."),
        ("truss", "chart: yes", "chart: yes", "found it is said of `member: truss`, wanted `member: open-web`"),
    ],
)  # fmt: skip
def test_a_slip_of_the_openings(member: str, old: str, new: str, says: str) -> None:
    said = f"maker chart: yes, {OPENINGS}"
    assert old in said
    found = told(said.replace(old, new, 1), member)
    assert any(says in line for line in found), found


def test_what_just_fits_is_no_fault() -> None:
    read(f"maker chart: yes, {CHART}".replace('hole: 4"', 'hole: 11"'), "i-joist")
    read(f"maker chart: yes, {OPENINGS}".replace('height: 7"', 'height: 4", wide: 8"').replace('24"', '8"'))
