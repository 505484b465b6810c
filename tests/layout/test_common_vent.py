"""Two fixtures back to back on one wall share a vent fitting where the book and the wishes allow it."""

from types import SimpleNamespace

import pytest
from laid_out import design_named

from stubout import run
from stubout.design import Design
from stubout.files.books import book_ids
from stubout.files.demo import demo_text
from stubout.files.jobs import read_job_text
from stubout.layout.assemble import placed_marks
from stubout.layout.model import TrapPlan, VentMethod
from stubout.layout.takeup import TakeUp
from stubout.sheets.wall_facts import marks as wall_marks

BEHIND = """
  - tag: LV9
    kind: lavatory
    title: Basin on the other side of the wall
    room: bedroom
    wall: UP
    side: right
    at: 11'-5"
    counter: 34"
    counter thick: 1 1/4"
    bowl: 6"
    bowl from: counter top
    outlet: 1 1/4"
    from wall: 8"
    faucet: deck
  - tag: LV2
"""


def design(text: str) -> Design:
    """Return the design of a job as it is laid out first: how fixtures are vented is told before others are tried."""
    return run.judged(read_job_text(text, "demo.yaml", book_ids())).design


@pytest.fixture(scope="module")
def back_to_back() -> Design:
    """The demonstration house with a second basin behind the one of its upper bath."""
    return design(demo_text().replace("\n  - tag: LV2\n", BEHIND, 1))


def trap(d: Design, tag: str) -> TrapPlan:
    return next(t for t in d.network.traps if t.tag == tag)


def test_two_basins_back_to_back_share_one_fitting_and_one_vent(back_to_back):
    one, two = trap(back_to_back, "LV2"), trap(back_to_back, "LV9")
    assert {one.method, two.method} == {VentMethod.COMMON}
    assert (one.partner, two.partner) == ("LV9", "LV2")
    assert one.takeoff == two.takeoff
    assert one.vent_runs == two.vent_runs
    doubles = [f for f in back_to_back.fabrication.fittings if f.node == one.takeoff]
    assert [f.pattern for f in doubles] == ["double sanitary tee"]


def test_both_stubs_stand_at_the_height_of_the_fitting_and_in_their_bands(back_to_back):
    d = back_to_back
    marks = {s.tag: s for s in d.stubs}
    assert marks["LV2"].mark_z_mm == pytest.approx(marks["LV9"].mark_z_mm, abs=2.0)
    for tag in ("LV2", "LV9"):
        assert marks[tag].lo_z_mm - 0.5 <= marks[tag].mark_z_mm <= marks[tag].hi_z_mm + 0.5


def test_no_check_finds_fault_with_a_common_vent(back_to_back):
    said = [f for f in run.check(back_to_back).findings if {"LV2", "LV9"} & set(f.about)]
    assert [f for f in said if f.level.value in ("STOP", "FIX")] == []


def test_a_method_not_wanted_is_not_used():
    text = demo_text().replace("\n  - tag: LV2\n", BEHIND, 1)
    assert "methods not wanted: wet\n" in text
    text = text.replace("methods not wanted: wet\n", "methods not wanted: wet, common\n", 1)
    assert all(t.method is not VentMethod.COMMON for t in design(text).network.traps)


def test_a_basin_a_hand_aside_swings_its_trap_and_shares_all_the_same():
    """A trap of 1 1/2 in reaches 3 1/2 in from inlet to weir, and so far it swings: common practice, no source."""
    text = demo_text().replace("\n  - tag: LV2\n", BEHIND.replace("11'-5\"", "11'-2\"", 1), 1)
    d = design(text)
    one, two = trap(d, "LV2"), trap(d, "LV9")
    assert {one.method, two.method} == {VentMethod.COMMON}
    assert one.takeoff == two.takeoff
    marks = {s.tag: s for s in d.stubs}
    assert marks["LV9"].station_mm == pytest.approx(marks["LV2"].station_mm, abs=0.5)
    remarks = {m.about: m.remark for s in ("left", "right") for m in wall_marks(d, d.house.wall("UP"), s)}
    assert remarks["LV9"].endswith(', trap swings 3"')
    assert "swings" not in remarks["LV2"]
    said = [f for f in run.check(d).findings if {"LV2", "LV9"} & set(f.about)]
    assert [f for f in said if f.level.value in ("STOP", "FIX")] == []


def test_farther_aside_its_arm_turns_in_the_wall_with_room_for_a_bend():
    """5 in are too few for a bend and its fitting, and more than the trap swings: it swings the other way."""
    text = demo_text().replace("\n  - tag: LV2\n", BEHIND.replace("11'-5\"", "11'-0\"", 1), 1)
    d = design(text)
    assert trap(d, "LV9").takeoff == trap(d, "LV2").takeoff
    marks = {s.tag: s for s in d.stubs}
    fits = TakeUp(d.house.measured)
    room = fits.sweep(1.5) + fits.tee(2.0, 1.5)
    assert marks["LV2"].station_mm - marks["LV9"].station_mm == pytest.approx(room, abs=0.5)
    said = [f for f in run.check(d).findings if {"LV2", "LV9"} & set(f.about)]
    assert [f for f in said if f.level.value in ("STOP", "FIX")] == []


def test_a_mark_names_the_one_it_meets_and_nobody_else(back_to_back):
    # A stub-out with a vent fitting of its own used to be "set to the height of that of" nobody.
    for d in (back_to_back, design_named("03"), design_named("04")):
        partners = {t.tag: t.partner for t in d.network.traps}
        for s in d.stubs:
            words = [w for w in s.derivation.steps if "in one fitting" in w]
            assert all(partners[s.tag] and f"that of {partners[s.tag]} in one fitting" in w for w in words)
    assert [s.tag for s in back_to_back.stubs if any("in one fitting" in w for w in s.derivation.steps)] == [
        "LV2",
        "LV9",
    ]


@pytest.mark.parametrize(("by_mm", "words"), [(0.0, None), (40.0, "set higher"), (-40.0, "set lower")])
def test_a_mark_that_makes_way_for_an_arm_says_so(by_mm, words):
    d = design_named("04")
    mark = next(s for s in d.stubs if s.tag == "LV2")
    z = mark.mark_z_mm + by_mm
    trap = SimpleNamespace(stub_station=mark.station_mm, stub_z=z, partner="")
    (placed,) = placed_marks(SimpleNamespace(traps={"LV2": trap}, house=d.house), (mark,))
    assert placed.mark_z_mm == z
    more = placed.derivation.steps[len(mark.derivation.steps) :]
    assert more == () if words is None else more[0].startswith(words) and "clear of another" in more[0]
