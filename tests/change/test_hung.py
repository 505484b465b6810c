"""Drains of a crawl space hung close under the joists over one drop of the building drain. Invented; mm by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout import laying, run
from stubout.change.hung import hung, where_eased
from stubout.design import Design
from stubout.files.books import book_ids
from stubout.files.jobs import read_job_text
from stubout.house.model import House
from stubout.job.model import Job
from stubout.job.starter import starter_text
from stubout.layout.engine import Known
from stubout.layout.model import Layout, PointKind, Role, Run
from stubout.layout.takeup import TakeUp
from stubout.layout.weights import HANG_GAP_MM
from stubout.problems import Level

FITS = TakeUp(())


def starter(invert: str = "") -> Job:
    """The starter house - one bath over a crawl space -, its sewer deeper where that is asked."""
    text = starter_text("inch")
    line = next(v for v in text.splitlines() if v.strip().startswith("invert:"))
    return read_job_text(text.replace(line, f"  invert: {invert}", 1) if invert else text, "starter.yaml", book_ids())


def bare(job: Job) -> tuple[Layout, House]:
    known = Known()
    laid = run.lay(job, None, known)
    return known.bare(laid.layout), laid.house


@pytest.fixture(scope="module")
def deep() -> tuple[Layout, House]:
    """Its sewer some 4 ft deeper, so that the building drain drops inside the house already."""
    return bare(starter("-7'-0\""))


@pytest.fixture(scope="module")
def planned() -> Design:
    return run.design(starter("-7'-0\""))


def lying(layout: Layout) -> list[Run]:
    return [r for r in layout.runs if r.system == "drain" and r.place.kind == "crawl" and not plumb(layout, r)]


def plumb(layout: Layout, r: Run) -> bool:
    at = {p.id: p.at for p in layout.points}
    return at[r.start].minus(at[r.end]).plan_length < 1.0


def test_all_are_raised_as_one_in_their_ways(deep: tuple[Layout, House]) -> None:
    layout, house = deep
    up = hung(layout, house, FITS)
    assert up is not None
    was, now = {p.id: p.at for p in layout.points}, {p.id: p.at for p in up.points}
    raised = {i: now[i].z - was[i].z for r in lying(layout) for i in (r.start, r.end)}
    assert {i for i, by in raised.items() if by > 0.0} >= {t.weir for t in layout.traps if t.weir in raised}
    assert len({round(by, 3) for by in raised.values() if by}) == 1
    assert all((now[i].x, now[i].y) == (was[i].x, was[i].y) for i in was)


def test_the_highest_hub_keeps_its_gap_to_the_joists(deep: tuple[Layout, House]) -> None:
    """12 mm are kept under the joists (common practice, no source), and what the makers' hubs take."""
    layout, house = deep
    up = hung(layout, house, FITS)
    assert up is not None
    at = {p.id: p.at for p in up.points}
    under = {f.id: f.bottom_z_mm for f in house.frames}
    for r in lying(up):
        top = max(at[r.start].z, at[r.end].z) + FITS.parts.hub_od_mm(r.size_in) / 2
        assert top <= under[r.place.ref] - HANG_GAP_MM + 1e-6


def test_a_building_drain_that_does_not_drop_is_let_drop_inside_the_house() -> None:
    """A lying drain of a deep crawl space: its layout is put 700 mm lower by hand, as a deeper sewer would have it."""
    layout, house = bare(starter())
    low = {n for r in lying(layout) for n in (r.start, r.end)} | {p.id for p in layout.points if p.at.z < -700.0}
    sunk = replace(
        layout, points=tuple(replace(p, at=p.at.at_z(p.at.z - 700.0)) if p.id in low else p for p in layout.points)
    )
    up = hung(sunk, house, FITS)
    assert up is not None
    drops = [r for r in up.runs if r.role is Role.BUILDING_DRAIN and plumb(up, r)]
    assert len(drops) == 1
    (drop,) = drops
    at = {p.id: p.at for p in up.points}
    assert at[drop.start].z - at[drop.end].z >= FITS.drop(drop.size_in)
    lo, hi = house.footprint.lo, house.footprint.hi
    assert lo.x + 300.0 <= at[drop.start].x <= hi.x - 300.0
    assert lo.y + 300.0 <= at[drop.start].y <= hi.y - 300.0
    sewer = next(p for p in up.points if p.kind is PointKind.SEWER)
    assert sewer.at == next(p.at for p in sunk.points if p.id == sewer.id)


def test_little_is_not_worth_it() -> None:
    """A connection little below the joists leaves less than two bends take."""
    layout, house = bare(starter("-2'-9 1/2\""))
    assert hung(layout, house, FITS) is None


def test_a_drawing_stays_as_it_is_drawn(deep: tuple[Layout, House]) -> None:
    layout, house = deep
    first, *rest = layout.runs
    assert hung(replace(layout, runs=(replace(first, drawn=True), *rest)), house, FITS) is None


def test_points_are_where_easing_put_them(deep: tuple[Layout, House]) -> None:
    layout, house = deep
    first, *rest = layout.points
    eased = replace(layout, points=(replace(first, at=first.at.at_z(first.at.z + 5.0)), *rest))
    assert where_eased(layout, eased, house).points[0].at.z == pytest.approx(first.at.z + 5.0)
    other = replace(layout, runs=layout.runs[1:])
    assert where_eased(layout, other, house) is layout, "in another shape it is begun from as it was drawn"


def test_a_plan_is_hung_where_that_costs_less(planned: Design, monkeypatch: pytest.MonkeyPatch) -> None:
    assert any("hang close under the joists" in n for n in planned.notes)
    assert not [f for f in run.check(planned).findings if f.level in (Level.STOP, Level.FIX)]
    reach = [h.reach_mm for h in planned.fabrication.hangers if h.kind == "hanger"]
    assert min(r for r in reach if r > 0.0) < 60.0
    monkeypatch.setattr(laying, "_hung", lambda one, *_: one)
    assert planned.costing().minutes < run.design(starter("-7'-0\"")).costing().minutes
