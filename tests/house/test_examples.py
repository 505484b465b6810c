"""The jobs that ship: drawn to the rules they name, readable, and with no answers in the three houses."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest

from stubout.files.demo import demo_text
from stubout.geometry.vec import Vec
from stubout.house.facts import RouteLeg
from stubout.house.model import House
from stubout.job.model import Job

EXAMPLES = Path(__file__).parents[2] / "examples"
IN = 25.4
Resolved = Callable[[str], tuple[House, tuple[object, ...]]]


def legs(house: House) -> dict[str, RouteLeg]:
    return {r.id: r for r in house.routes}


@pytest.mark.parametrize("name", ["01", "02", "03", "demo"])
def test_no_solution_in_the_plan_sets(name: str, job_of: Callable[[str], Job]) -> None:
    job = job_of(name)
    assert (job.routes, job.records, job.measured) == ((), (), ())


def test_files_are_commented_and_name_no_machine() -> None:
    texts = [p.read_text(encoding="utf-8") for p in sorted(EXAMPLES.glob("*.yaml"))] + [demo_text()]
    assert len(texts) >= 5
    for text in texts:
        assert text.startswith("# ")
        assert not any(word in text for word in ("/work", "/tmp", "http", "www."))
        assert max(len(line) for line in text.splitlines()) <= 140


def test_every_drawn_leg_ends_on_a_point_of_the_next(resolved: Resolved) -> None:
    house = resolved("drawn")[0]
    known = legs(house)
    for leg in house.routes:
        if leg.joins in known:
            assert leg.points[-1] in known[leg.joins].points, leg.id


def test_drawn_arms_start_at_the_weir_and_keep_their_length(resolved: Resolved) -> None:
    # UPC Table 1002.2 (read in an old edition): 1-1/2 in 42 in, closet 72 in; at least 2 pipe sizes long
    house = resolved("drawn")[0]
    for leg in house.routes:
        if not leg.fixture:
            continue
        run = sum(a.to(b) for a, b in pairwise(leg.points))
        assert leg.size_in is not None
        assert 2 * leg.size_in * IN <= run <= (72 if leg.size_in == 3 else 42) * IN, leg.id
    for tag in ("LV1", "KS"):
        out, start = house.fixture(tag).outlet, legs(house)[f"A-{tag}"].points[0]
        assert out is not None
        # trap inlet to outlet about 3 1/2 in on a 1-1/2 in trap (dimensions, from memory)
        assert abs(out.x - start.x) == pytest.approx(3.5 * IN)
        assert out.y == pytest.approx(start.y)


def test_drawn_drains_fall_a_quarter_inch_per_foot_or_stand_plumb(resolved: Resolved) -> None:
    # UPC 708.1: 1/4 in per ft
    for leg in resolved("drawn")[0].routes:
        if leg.system != "drain":
            continue
        for a, b in pairwise(leg.points):
            run = b.minus(a).plan_length
            assert a.z > b.z, leg.id
            assert run < 1e-6 or (a.z - b.z) / run >= 1 / 48 - 1e-6, leg.id


def test_drawn_vents_rise_and_join_six_inches_over_the_highest_rim(resolved: Resolved) -> None:
    # UPC 905.3: 6 in above the flood rim before a vent turns or joins
    house = resolved("drawn")[0]
    rim = max(f.flood_rim_z_mm or 0.0 for f in house.fixtures)
    for leg in house.routes:
        if leg.system != "vent":
            continue
        for a, b in pairwise(leg.points):
            assert b.z > a.z, leg.id
            if b.minus(a).plan_length > 1:
                assert a.z >= rim + 6 * IN
    top = legs(house)["V-WC1"].points[-1]
    roof = next(p for p in house.roof if p.y0_mm <= top.y <= p.y1_mm)
    assert top.z >= roof.z_at(top.x, top.y) + 6 * IN  # UPC 906.1


def test_drawn_pipes_miss_joists_and_studs(resolved: Resolved) -> None:
    house = resolved("drawn")[0]
    joists = house.frame_carrying("main")
    assert joists is not None
    hub = {1.5: 2.25, 2.0: 2.75, 3.0: 4.0}  # hub diameters of the dimensions page, memory and estimate
    for leg in house.routes:
        for a, b in pairwise(leg.points):
            if b.minus(a).plan_length > 1 or a.y < 0:
                continue
            lo, hi = min(a.z, b.z), max(a.z, b.z)
            assert leg.size_in is not None
            half = hub[leg.size_in] * IN / 2
            if lo < joists.top_z_mm and hi > joists.bottom_z_mm:
                assert any(p + half <= a.y <= q - half for p, q in joists.bays), leg.id
            wall = house.wall("P")
            if hi > 50 and abs(wall.offset(a)) < 1:
                bay = wall.bay_at(wall.station(a))
                assert bay is not None, leg.id
                assert bay.lo_mm + half <= wall.station(a) <= bay.hi_mm - half, leg.id


def test_drawn_system_reaches_the_sewer_above_its_invert(resolved: Resolved) -> None:
    house = resolved("drawn")[0]
    end = legs(house)["BD"].points[-1]
    assert (end.x, end.y) == pytest.approx((house.sewer.at.x, house.sewer.at.y))
    assert 0 <= end.z - 3.042 / 2 * IN - house.sewer.at.z <= IN


def test_demo_stacks_its_bays(resolved: Resolved) -> None:
    # the closet upstairs, the wall below and both floors share one gap, so that a 3 in stack passes
    house = resolved("demo")[0]
    y = house.fixture("WC2").outlet
    assert y is not None
    for wall in (house.wall("P"), house.wall("UP")):
        bay = wall.bay_at(wall.station(Vec(wall.start.x, y.y)))
        assert bay is not None
        assert bay.clear_mm >= 4 * IN
    for frame in house.frames:
        if frame.runs == "x":
            assert any(lo + 2 * IN <= y.y <= hi - 2 * IN for lo, hi in frame.bays)
    assert len({f.kind for f in house.fixtures}) >= 5
    assert len({f.group for f in house.fixtures if f.group}) == 2
