"""Engineered floor members are crossed where the job copies the maker's paper, and only there.

All charts and openings here are made up: no maker's.
"""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from stubout import run
from stubout.catalog.shipped import SHIPPED
from stubout.design import Design
from stubout.export.csv_ import lists
from stubout.fabrication.openings import passings
from stubout.files.books import book_ids, framing_ids
from stubout.files.jobs import read_job_text
from stubout.house.crossings import ChartRow, HoleChart, WebOpenings
from stubout.house.model import Frame
from stubout.layout.charted import EVERY_MM, PLAY_MM, crossing_lines, crossing_spans, holes_of
from stubout.layout.space_shapes import Gauge
from stubout.layout.traffic import Traffic
from stubout.reports.model import TableBlock
from stubout.reports.shop import bores_page

JOB = (Path(__file__).parents[1] / "houses" / "engineered-floor.yaml").read_text(encoding="utf-8")
THREE = Gauge(3.0, 88.9, 77.9, 102.0, 90.0)
WEB = Frame("floor", "up", "open-web", "x", 350.0, 90.0, 90.0, 0.0, -350.0, 18.0, (0.0, 400.0, 800.0), 0.0, 5000.0,
            -10.0, 1000.0)  # fmt: skip
OPEN = WebOpenings(180.0, 175.0, 180.0, (500.0, 1100.0), 7)
CHART = HoleChart((ChartRow(60.0, 300.0, 100.0), ChartRow(100.0, 600.0, 200.0)), 9)
I_JOIST = replace(WEB, kind="i-joist", web_mm=10.0, chart=CHART)


def at(frame: Frame, along: float, g: Gauge = THREE) -> list[tuple[float, float]] | None:
    spans = crossing_spans(frame, (), along, (100.0, 900.0), g)
    return None if spans is None else [(s.lo, s.hi) for s in spans]


def test_an_opening_passes_a_pipe_within_its_round() -> None:
    """By hand: (180 - 88.9) / 2 less the play leaves 44.05 all round, from the middle at -175."""
    frame = replace(WEB, openings=OPEN)
    half = (180.0 - 88.9) / 2 - PLAY_MM
    assert at(frame, 500.0) == [pytest.approx((-175.0 - half, -175.0 + half))]
    assert at(frame, 1100.0 + half - 0.1) is not None
    assert at(frame, 1100.0 + half + 0.1) is None
    assert at(frame, 800.0) is None
    (lo, hi), *_ = at(frame, 500.0 + half / 2) or [(0.0, 0.0)]
    assert hi - lo == pytest.approx(2 * half * 0.75**0.5)  # beside its middle a round is lower


def test_a_wide_opening_passes_it_along_its_width() -> None:
    frame = replace(WEB, openings=replace(OPEN, wide_mm=380.0))
    assert at(frame, 600.0) == at(frame, 400.0) == at(frame, 500.0)
    assert at(frame, 500.0 + 100.0 + 44.2) is None


def test_a_pipe_that_fills_the_round_does_not_pass() -> None:
    assert at(replace(WEB, openings=replace(OPEN, round_mm=88.9 + 2 * PLAY_MM - 0.1, wide_mm=91.9)), 500.0) is None
    assert at(replace(WEB, openings=replace(OPEN, round_mm=88.9 + 2 * PLAY_MM + 0.1, wide_mm=92.1)), 500.0) is not None


def test_a_hole_keeps_between_flanges_and_off_bearings() -> None:
    """Nothing carries the ends here: they are bearings. The flange is 38, the hole 90."""
    (lo, hi), *_ = at(I_JOIST, 700.0) or [(0.0, 0.0)]
    assert (lo, hi) == pytest.approx((-350.0 + 38 + PLAY_MM + 45, -38 - PLAY_MM - 45))
    assert at(I_JOIST, 600.0) is not None
    assert at(I_JOIST, 599.0) is None
    assert at(I_JOIST, 5000.0 - 599.0) is None
    assert at(I_JOIST, 310.0, replace(THREE, hole_mm=60.0)) is not None  # a smaller hole may be nearer
    assert at(I_JOIST, 2000.0, replace(THREE, hole_mm=100.2)) is None


def test_without_the_paper_nothing_crosses() -> None:
    assert at(WEB, 500.0) is None
    assert at(replace(I_JOIST, chart=None), 2000.0) is None


def test_places_to_look_for_a_crossing() -> None:
    assert list(crossing_lines(replace(WEB, openings=OPEN), (), 0.0, 1000.0)) == [500.0]
    lines = list(crossing_lines(I_JOIST, (), 0.0, 1500.0))
    assert lines == sorted(lines)
    assert {301.0, 601.0} <= set(lines)
    assert all(301.0 <= v <= 1500.0 for v in lines)
    assert max(b - a for a, b in pairwise(lines)) <= EVERY_MM


def test_holes_keep_apart_where_both_cross_one_joist() -> None:
    """By hand: 200 of web and two halves of 90 make 290 from centre to centre; the joists stand at y 0, 400 and 800."""
    holes = holes_of(I_JOIST, (700.0, 100.0), (700.0, 500.0), THREE, THREE)
    assert holes is not None
    assert holes.joists == (400.0,)
    assert Traffic((), THREE.r, holes=(holes,)).cost((411.0, 300.0), (411.0, 500.0), None, None, None) is None
    for p, q in (
        ((410.0, 300.0), (410.0, 500.0)),  # far enough
        ((700.0, 500.0), (700.0, 900.0)),  # on in line, through the next joist
        ((900.0, 450.0), (700.0, 450.0)),  # beside the hole, along the bay
    ):
        assert Traffic((), THREE.r, holes=(holes,)).cost(p, q, None, None, None) == 0.0
    assert holes_of(I_JOIST, (700.0, 100.0), (2000.0, 100.0), THREE, THREE) is None
    assert holes_of(replace(WEB, openings=OPEN), (500.0, 100.0), (500.0, 900.0), THREE, THREE) is None


OPENINGS = 'maker chart: yes, openings: {round: 8", height: 7", first: 18", spacing: 24"}'
ROWS = 'maker chart: yes, chart: {hole: 4", from bearing: 1\'-6", apart: 8"}'


@cache
def planned(said: str = "", member: str = "open-web") -> tuple[Design, run.Verdict]:
    text = JOB.replace("maker chart: yes", said or "maker chart: yes").replace("member: open-web", f"member: {member}")
    if member == "i-joist":
        text = text.replace('depth: 14", width: 3 1/2"', 'depth: 14", width: 2 1/2", web: 3/8"')
    design = run.design(read_job_text(text, "house.yaml", book_ids(), framing_ids()))
    return design, run.check(design)


@pytest.mark.parametrize("member", ["open-web", "i-joist"])
def test_a_chart_in_hand_that_is_not_copied_lets_nothing_cross(member: str) -> None:
    design, verdict = planned(member=member)
    assert design.blocked
    assert not [b for b in design.fabrication.bores if b.member_kind in ("i-joist", "truss") and b.centre.z < 3000]
    assert "ask-chart-upper-floor" in {q.id for q in design.questions}
    assert [f for f in verdict.open if f.check == "BLK001"]


def test_both_closets_drain_through_the_openings() -> None:
    design, verdict = planned(OPENINGS)
    assert not design.blocked
    assert not verdict.open
    passed = passings(design.network, design.house, SHIPPED)
    assert {round(p.at.y / 25.4) for p in passed} >= {300, 316}  # WC2 at y 292 goes over both to the stack
    assert {round((p.along_mm / 25.4 - 18) % 24, 1) for p in passed} <= {0.0}
    assert not [b for b in design.fabrication.bores if b.wall_or_frame == "upper floor"]


def test_both_closets_drain_through_holes_of_the_chart() -> None:
    design, verdict = planned(ROWS, "i-joist")
    assert not design.blocked
    assert not verdict.open
    holes = [b for b in design.fabrication.bores if b.wall_or_frame == "upper floor"]
    assert {round(b.station_mm / 25.4) for b in holes} >= {300, 316}
    for b in holes:
        assert b.verdict == "ok"
        assert b.hole_mm <= b.limit_mm == pytest.approx(4 * 25.4)
        assert (5.5 + 18) * 25.4 <= b.centre.x <= (216 - 5.5 - 18) * 25.4
        assert b.edge_mm >= 0
        assert b.bases[0].book == "maker's chart, as said in the job"


def test_a_run_through_several_joists_is_cut_so_that_it_goes_in() -> None:
    """By hand: a bay is 16 in less the joist, and no piece through two joists is longer than the one beside them."""
    for said, member, wide in ((OPENINGS, "open-web", 3.5), (ROWS, "i-joist", 2.5)):
        design, _ = planned(said, member)
        rows = [p for p in design.fabrication.put_in if p.owner == "upper floor"]
        assert rows
        for row in rows:
            assert row.goes
            assert row.couplings >= 1
            assert row.room_mm == pytest.approx((16 - wide) * 25.4, abs=0.1)  # it falls


def test_a_smaller_round_is_no_way() -> None:
    design, _ = planned(OPENINGS.replace('8"', '3 1/2"'))
    assert not passings(design.network, design.house, SHIPPED)
    assert design.blocked


def test_the_lists_say_where_a_pipe_goes_through() -> None:
    design, _ = planned(OPENINGS)
    found = passings(design.network, design.house, SHIPPED)
    (table,) = [
        b for b in bores_page(design).blocks if isinstance(b, TableBlock) and "Above underside of joist" in b.head
    ]
    assert [r[0] for r in table.rows] == [p.pipe for p in found]
    assert {r[5] for r in table.rows} == {"through the opening, no cut"}
    assert all(r[6].startswith("maker's chart, as said in the job (line ") for r in table.rows)
    rows = list(csv.DictReader(io.StringIO(lists(design, ())["openings"].decode("utf-8-sig"))))
    assert [(r["pipe"], r["joist"]) for r in rows] == [(p.pipe, p.member) for p in found]
    assert "openings" not in lists(planned(ROWS, "i-joist")[0], ())
