"""Windows whose limit is a published number, worked out by hand; the table of checks; the step; the words."""

import pytest

from stubout.checks.base import LEVEL_TOL_MM, TOUCH_TOL_MM
from stubout.checks.registry import CHECKS
from stubout.reports.plain import windows_text
from stubout.rulebooks import queries
from stubout.windows import table
from stubout.windows.solve import MOST, STEPS, windows


def one(found, about, direction):
    return next(w for w in found if w.about == about and w.direction == direction)


def down_to(value, step):
    """Return a length rounded down to whole steps."""
    return (value + 1e-9) // step * step


def test_every_check_is_in_one_list():
    lists = (
        table.BODIES, table.FALLS, table.BURIED, table.PAIRS, table.LINES, table.SPANS, table.LENGTHS, table.REACH,
        table.ROOF, table.VALVES, table.STUBS, table.DRAWERS, table.FLOOR, table.BODY, table.OPENINGS,
        tuple(table.UNMOVED),
    )  # fmt: skip
    named = [i for ids in lists for i in ids]
    assert sorted(named) == sorted(c.id for c in CHECKS)


def test_stub_goes_up_to_the_end_of_its_band(demo, demo_windows):
    """Nothing else binds at the sink: the closed form of its band and the search agree."""
    w = one(demo_windows, "KS", "up")
    mark = next(s for s in demo.stubs if s.tag == "KS")
    assert w.check == "STB001"
    assert w.amount_mm == pytest.approx(down_to(mark.hi_z_mm - mark.mark_z_mm + LEVEL_TOL_MM, STEPS["inch"]))


def test_flange_goes_up_to_a_quarter_inch(demo_windows):
    """Top of the ring at most 1/4 in above the finished floor: it stands on it."""
    w = one(demo_windows, "WC1", "up")
    assert (w.check, w.amount_mm) == ("FLG001", pytest.approx(6.35))


@pytest.mark.parametrize(("bore", "size_in", "sixteenths"), [("B13", 2.0, 5), ("B18", 1.5, 9), ("B20", 1.5, 9)])
def test_hole_goes_out_until_a_plate_is_wanted(demo, demo_windows, bore, size_in, sixteenths):
    """A plate is wanted where the pipe is nearer to the face than the book's depth of a screw, here 1-1/4 in.

    2x6 wood, 1-1/2 in pipe (1.900 in outside, ASTM D2665) in its middle: 5.5/2 - 1.9/2 - 1.25 = 0.55 in, with the
    tolerance of a touch (1 mm) 0.589 in, rounded down 9/16 in; 2 in pipe (2.375 in outside) 0.352 in, 5/16 in.
    """
    assert queries.plate_trigger(demo.book).number == pytest.approx(31.75)
    hole = next(b for b in demo.fabrication.bores if b.id == bore)
    assert demo.network.pipe(hole.pipe).size_in == size_in
    w = one(demo_windows, bore, "out")
    assert w.check == "FRM005"
    assert TOUCH_TOL_MM == 1.0
    assert w.amount_mm == pytest.approx(sixteenths / 16 * 25.4)


def test_arm_at_least_fall_does_not_let_its_fitting_rise(demo_windows):
    fittings = [w for w in demo_windows if w.kind == "fitting" and w.direction == "up" and w.check == "ARM004"]
    assert fittings
    assert {w.amount_mm for w in fittings} == {0.0}


def test_whole_steps_and_a_cap(demo, demo_windows):
    step = STEPS[demo.house.job.units]
    most = MOST[demo.house.job.units] * step
    for w in demo_windows:
        assert w.amount_mm / step == pytest.approx(round(w.amount_mm / step))
        assert 0.0 <= w.amount_mm <= most
        assert w.bound == bool(w.check) == bool(w.bases)
        assert w.bound or w.amount_mm == pytest.approx(most)


def test_one_mark_alone_has_the_same_windows(demo, demo_windows):
    assert windows(demo, "ks") == tuple(w for w in demo_windows if w.about == "KS")


def test_said_on_the_terminal(demo, demo_windows):
    text = windows_text(demo, (one(demo_windows, "KS", "up"), one(demo_windows, "KS", "down")))
    assert "STB001 stub-out-too-high" in text
    assert "down: more than 4" in text
