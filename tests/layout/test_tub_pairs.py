"""Tub and shower back to back on one wall: one stack, one vent, one double tee or two. Expected: by the tape. Inches.

That two fixtures at one level may breathe through one vent: IPC 911.2 and UPC 905.6 (from memory), IRC P3107; at two
levels: IPC 911.3 and IRC P3107.3 (from memory); that what comes in from across comes in the same size: `FIT004`, common
practice.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from stubout import laying, run
from stubout.files.books import book_ids, load_book
from stubout.files.jobs import read_job_text
from stubout.layout.model import Role, VentMethod
from stubout.problems import Level
from stubout.rulebooks import queries

JOB = (Path(__file__).parent / "back-to-back.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def laid():
    """Return what lays the two out, the tub and the shower so far along the axes; an invented house."""

    def design(tub: int = 60, shower: int = 387, more: str = "", book: str = "irc-2021"):
        text = JOB.replace("book: irc-2021", f"book: {book}")
        text = text.replace("drain: [60,", f"drain: [{tub},").replace(", 387]", f", {shower}]") + more
        job = read_job_text(text, "house.yaml", book_ids())
        return run.judged(job).design

    return design


def methods(design) -> dict[str, tuple[VentMethod, str]]:
    return {t.tag: (t.method, t.partner) for t in design.network.traps}


def stacks(design) -> int:
    """Count the upright drains through the floor."""
    drains = design.network.drains()
    return len({(round(p.a.x), round(p.a.y)) for p in drains if p.vertical and p.tags and p.fall_mm > 1000.0})


def test_both_go_straight_across_into_one_tee(laid):
    design = laid()
    assert methods(design) == {"BT2": (VentMethod.COMMON, "SH3"), "SH3": (VentMethod.COMMON, "BT2")}
    assert stacks(design) == 1
    net = design.network
    a, b = (net.pipe(t.arm_runs[-1]) for t in net.traps)
    assert a.end == b.end
    ways = [math.degrees(math.atan2(p.b.y - p.a.y, p.b.x - p.a.x)) for p in (a, b)]
    assert abs(abs(ways[0] - ways[1]) - 180.0) < 3.0, "a hub gives a few degrees, no more"
    assert a.size_in == b.size_in == 2.0, "the tub's arm is laid as large as the shower's"
    assert not [f for f in run.check(design).findings if f.level in (Level.STOP, Level.FIX)]


def ends(design) -> list[float]:
    """Return the heights at which the arms come to their stack, the lower one first [mm]."""
    return sorted(design.network.pipe(t.arm_runs[-1]).b.z for t in design.network.traps)


def test_a_tub_too_near_for_the_larger_trap_joins_the_stack_at_a_height_of_its_own(laid):
    # from outlet to the middle of the wall 7 in: a 2 in trap and a 2 in tee take more
    design = laid(tub=65)
    assert methods(design) == {"BT2": (VentMethod.COMMON, "SH3"), "SH3": (VentMethod.COMMON, "BT2")}
    assert stacks(design) == 1
    low, high = ends(design)
    assert high - low > 80.0, "a tee over a tee"
    between = next(p for p in design.network.drains() if p.vertical and p.a.z == pytest.approx(high))
    assert len(between.tags) == 1
    assert between.size_in == 2.0, "takes 4 fixture units past the lower one (IRC P3107.3); a tub or shower has 2"
    assert {p.size_in for p in design.network.drains() if p.role is Role.TRAP_ARM} == {1.5, 2.0}, "each as it is"
    assert not [f for f in run.check(design).findings if f.level in (Level.STOP, Level.FIX)]


def test_what_shares_a_stack_at_two_heights_may_be_asked_to_go_without():
    text = JOB.replace("drain: [60,", "drain: [65,")
    chosen = laying.lay(read_job_text(text, "house.yaml", book_ids())).layout.chosen
    assert {(tag, "common") for tag in ("BT2", "SH3")} <= set(chosen.made)


def test_no_two_heights_where_the_book_has_no_table_for_them(laid):
    """UPC 905.6 lets two share a vent at one level only (from memory)."""
    design = laid(tub=65, book="upc-2021")
    low, high = ends(design)
    assert stacks(design) == 2 or high - low < 1.0


def test_no_two_heights_where_the_upper_one_drains_too_much(laid, monkeypatch):
    capacity = queries.common_vent_capacity(load_book("irc-2021"), 2.0)
    monkeypatch.setattr(queries, "common_vent_capacity", lambda *_: replace(capacity, value=1.0))
    assert stacks(laid(tub=65)) == 2


def test_two_that_do_not_face_each_other_stay_apart(laid):
    assert stacks(laid(shower=372)) == 2


def test_a_job_may_forbid_it(laid):
    apart = laid(
        more="choices:\n  - {fixture: BT2, not vented by: common}\n  - {fixture: SH3, not vented by: common}\n"
    )
    assert stacks(apart) == 2
