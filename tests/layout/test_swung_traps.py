"""The trap of a floor outlet is swung round its outlet where it would stand in a joist. [mm].

That a P-trap turns round its inlet and its arm leaves it any way is common practice, no source; the reach of a 2 in
trap is the catalogue's (from memory).
"""

from __future__ import annotations

import math

import pytest
from laid_out import design_of
from three_storeys import JOB

from stubout import run
from stubout.catalog import queries as catalog
from stubout.design import Design
from stubout.files.books import book_ids
from stubout.files.jobs import read_job_text
from stubout.layout.swung_traps import places_round

REACH = catalog.trap_reach_mm(2.0)
HALF = catalog.od_mm(2.0) / 2
WATER_CLOSET = JOB[JOB.index("  - {tag: WC,") : JOB.index("  - {tag: LV,")]


def shower(x: float) -> Design:
    """Return the house of three storeys with a shower at the top, its joists along the wall of its stack."""
    said = f"""  - {{tag: SH, kind: shower, room: bath, wall: T, side: left, at: 2060, drain: [{x:g}, 2200],
     outlet: 2", heads: 1}}
"""
    text = JOB.replace(WATER_CLOSET, said).replace(
        "carries: top, member: sawn, runs: east-west", "carries: top, member: sawn, runs: north-south"
    )
    return design_of(read_job_text(text, "shower.yaml", book_ids()))


@pytest.fixture(scope="module")
def joist() -> float:
    """Return the centre of the last joist before the wall of the stack."""
    frame = shower(2112.0).house.frame_carrying("top")
    assert frame is not None
    assert frame.runs == "y"
    return max(c for c in frame.centres_mm if c < 2420.0)


@pytest.mark.parametrize("before_mm", [60.0, 90.0, 130.0])
def test_a_trap_beside_a_joist_turns_along_it(joist: float, before_mm: float) -> None:
    """The joist is 38 thick and the trap 60: an outlet 50 before its middle and farther is clear of it by itself."""
    design = shower(joist - before_mm)
    assert not design.blocked
    trap = next(t for t in design.network.traps if t.tag == "SH")
    weir, outlet = design.network.node(trap.weir).at, design.house.fixture("SH").outlet
    assert outlet is not None
    assert math.dist(weir[:2], outlet[:2]) <= REACH + 1.0
    assert max(weir.x, outlet.x) + HALF <= joist - 19.0
    assert not [f for f in run.check(design).findings if f.check == "FRM007"]


def test_one_far_from_any_joist_stays_in_line_with_its_arm(joist: float) -> None:
    design = shower(joist - 200.0)
    trap = next(t for t in design.network.traps if t.tag == "SH")
    weir, outlet = design.network.node(trap.weir).at, design.house.fixture("SH").outlet
    assert outlet is not None
    assert weir.x - outlet.x == pytest.approx(REACH, abs=60.0)  # as far as it swings into line with its arm


def test_places_round_an_outlet(joist: float) -> None:
    """By hand: 60 before the middle of a joist only what does not come nearer to it is clear."""
    frame = shower(2112.0).house.frame_carrying("top")
    assert frame is not None
    at = (joist - 60.0, 2200.0)
    found = places_round(frame, at, REACH, HALF)
    assert {(round(p[0] - at[0]), round(p[1] - at[1])) for p in found} == {
        (0, round(REACH)), (0, -round(REACH)), (-round(REACH), 0),
        *((-round(REACH * math.sqrt(0.5)), s * round(REACH * math.sqrt(0.5))) for s in (-1, 1)),
    }  # fmt: skip
    assert len(places_round(frame, (joist - 200.0, 2200.0), REACH, HALF)) == 8
    assert places_round(frame, (joist, 2200.0), REACH, HALF) == []
