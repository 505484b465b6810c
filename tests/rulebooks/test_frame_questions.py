"""Holes and notches in the frame at their limits: two framing books, sums by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.files.books import load_book
from stubout.problems import NotInBook
from stubout.rulebooks import queries as q
from stubout.rulebooks.frozen import Frozen

IRC = load_book("irc-framing-2021")
NBC = load_book("nbc-9.23.5")


def value(book, value_id, new):
    """The book with one value changed or, with None, gone."""
    cells = dict(book.values)
    if new is None:
        cells.pop(value_id, None)
    else:
        base = cells.get(value_id) or next(iter(cells.values()))
        cells[value_id] = replace(base, id=value_id, value=new)
    return replace(book, values=Frozen(cells))


@pytest.mark.parametrize(
    ("bearing", "exterior", "doubled", "part", "words"),
    # IRC R602.6: 40 % of a bearing stud, 60 % of a non-bearing one, and of a bearing one that is doubled
    [
        (True, False, False, 0.40, "bearing stud"),
        (True, True, False, 0.40, "bearing stud"),
        (False, True, False, 0.40, "bearing or exterior stud"),
        (False, False, False, 0.60, "non-bearing stud"),
        (True, False, True, 0.60, "bearing stud"),
        (False, False, True, 0.60, "non-bearing stud"),
    ],
)
def test_hole_in_a_stud(bearing, exterior, doubled, part, words):
    cell = q.stud_bore_limit(IRC, 139.7, bearing=bearing, exterior=exterior, doubled=doubled)
    assert cell.number == pytest.approx(part * 139.7)
    assert cell.what.endswith(f" {words}")
    assert cell.what.startswith("Largest hole in a 5 1/2")
    assert cell.unit == "mm"


def test_an_exterior_stud_is_only_bearing_where_the_book_says_so():
    free = value(IRC, "stud_bore.exterior_as_bearing", False)
    assert q.stud_bore_limit(free, 100.0, bearing=False, exterior=True).number == pytest.approx(60.0)
    assert q.stud_notch_limit(free, 100.0, bearing=False, exterior=True).number == pytest.approx(40.0)
    assert q.stud_notch_limit(IRC, 100.0, bearing=False, exterior=True).number == pytest.approx(25.0)


def test_doubling_lifts_nothing_where_the_book_does_not_say_so():
    plain = value(IRC, "stud_bore.bearing_doubled_fraction", None)
    assert q.stud_bore_limit(plain, 100.0, bearing=True, exterior=False, doubled=True).number == pytest.approx(40.0)


@pytest.mark.parametrize(("bearing", "part"), [(True, 0.25), (False, 0.40)])
def test_notch_in_a_stud(bearing, part):
    # IRC R602.6: 25 % of a bearing stud, 40 % of another
    cell = q.stud_notch_limit(IRC, 88.9, bearing=bearing, exterior=False)
    assert cell.number == pytest.approx(part * 88.9)
    assert cell.what.startswith("Deepest notch in a 3 1/2")
    assert cell.what.endswith(" bearing stud" if bearing else " non-bearing stud")


def test_limits_are_rounded_down_in_the_unit_of_the_book():
    # 0.40 x 88.9 = 35.56 mm = 1.40 in; 0.6 x 88.9 = 53.34 = 2.10 in: never printed larger
    assert q.stud_bore_limit(IRC, 88.9, bearing=True, exterior=False).printed.startswith("1.40 in (")
    assert q.stud_bore_limit(IRC, 90.0, bearing=True, exterior=False).printed.startswith("1.41 in (")  # 1.4173
    # NBC 9.23.5.3: 40 mm of wood stay in a non-bearing stud, two thirds in a bearing one
    leave = NBC.value("stud_bore.nonbearing_leave").number
    assert q.stud_bore_limit(NBC, 89.06, bearing=False, exterior=False).printed.startswith(f"{49.0:g} mm (")
    assert q.stud_bore_limit(NBC, 89.0, bearing=False, exterior=False).number == pytest.approx(89.0 - leave)
    assert "89 mm" in q.stud_bore_limit(NBC, 89.0, bearing=False, exterior=False).what


def test_what_must_stay_may_leave_no_hole():
    assert q.stud_bore_limit(NBC, 30.0, bearing=False, exterior=False).number == 0.0
    assert q.joist_bore_limit(value(IRC, "joist_bore.edge", 200.0), 184.0).number == 0.0


def test_a_rule_missing_is_not_answered():
    gone = value(value(NBC, "stud_bore.nonbearing_leave", None), "stud_bore.nonbearing_fraction", None)
    with pytest.raises(NotInBook):
        q.stud_bore_limit(gone, 89.0, bearing=False, exterior=False)


@pytest.mark.parametrize(
    ("depth", "limit", "by_edge"),
    # IRC R502.8: a third of the depth, 2 in from the edges: 2x8 (184.15) leaves a third, 61.4; at 140 a third is 46.7
    # and between the edges 38.1
    [(184.15, 184.15 / 3, False), (139.7, 139.7 - 2 * 50.8, True), (152.4, 50.8, False), (152.0, 50.4, True)],
)
def test_hole_in_a_joist(depth, limit, by_edge):
    cell = q.joist_bore_limit(IRC, depth)
    assert cell.number == pytest.approx(limit, rel=1e-3)
    assert ("from both edges" in cell.printed) == by_edge
    assert cell.what.endswith(" joist")
    assert cell.unit == "mm"


def test_notch_in_a_joist():
    # IRC R502.8: a sixth of the depth, a quarter at the ends
    assert q.joist_notch_limit(IRC, 240.0).number == pytest.approx(40.0)
    assert q.joist_notch_limit(IRC, 240.0, at_end=True).number == pytest.approx(60.0)
    no_ends = value(IRC, "joist_notch.end_fraction", None)
    assert q.joist_notch_limit(no_ends, 240.0, at_end=True).number == pytest.approx(40.0)


def test_top_plate_and_edges():
    # IRC R602.6.1: more than half the width of the plate cut needs a tie
    assert q.top_plate_limit(IRC, 88.9).number == pytest.approx(44.45)
    assert "top plate without tie" in q.top_plate_limit(IRC, 88.9).what
    assert q.stud_edge(IRC) == IRC.values["stud_bore.edge"]
    assert q.joist_edge(IRC) == IRC.values["joist_bore.edge"]


def test_air_on_plastic_is_yes_or_no():
    book = load_book("npc-2020")
    for said in (True, False):
        assert q.air_on_plastic(value(book, "test.air_on_plastic", said)).value is said
    with pytest.raises(NotInBook, match="wanted yes or no"):
        q.air_on_plastic(value(book, "test.air_on_plastic", "perhaps"))


def test_a_length_that_comes_out_even_is_printed_whole():
    # 89.1 less 40 mm is 49.1, in floating point a hair less
    assert q.stud_bore_limit(NBC, 89.1, bearing=False, exterior=False).printed.startswith("49.1 mm (")
    assert q.stud_bore_limit(NBC, 89.1, bearing=False, exterior=False).unit == "mm"


def test_where_fraction_and_edges_leave_the_same_the_fraction_is_named():
    book = value(value(IRC, "joist_bore.fraction", 0.5), "joist_bore.edge", 25.0)
    cell = q.joist_bore_limit(book, 100.0)
    assert (cell.number, cell.ids) == (50.0, ("joist_bore.fraction",))
