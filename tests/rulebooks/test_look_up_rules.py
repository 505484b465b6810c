"""Rows, ids, places and words at their edges: a small table of our own, expected values by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_books import CELL, NPC, ladder

from stubout.kinds import FixtureKind as K
from stubout.problems import AskInspector, NotInBook, Question, RuleBookError, Status
from stubout.rulebooks import amend, asks, compare, confirm, lookup, queries, spots, tables
from stubout.rulebooks.frozen import Frozen
from stubout.rulebooks.model import Asked
from stubout.rulebooks.overlay import Confirm

T = ladder(((1.5, 6.0), 10.0), ((1.5, 20.0), 20.0), ((2.0, 6.0), 30.0), ((2.0, 20.0), None), ((3.0, 6.0), 40.0))


@pytest.mark.parametrize(
    ("size_in", "load", "value"),
    [(1.5, 1, 10.0), (1.5, 6, 10.0), (1.5, 6.01, 20.0), (1.5, 20, 20.0), (2.0, 6, 30.0), (1.50001, 6, 10.0)],
)
def test_row_by_exact_size_and_next_larger_load(size_in, load, value):
    assert tables.at(T, size_in=size_in, load=load).number == value


@pytest.mark.parametrize(
    ("size_in", "load", "words"),
    [
        (1.5, 20.1, "has no row for size_in 1.5, load 20.1"),
        (1.25, 6, "has no row for size_in 1.25, load 6"),
        (2.0, 20, "size_in 2, load 20 is not permitted"),
        (1.51, 6, "has no row"),
    ],
)
def test_outside_the_table_is_no_answer(size_in, load, words):
    with pytest.raises(NotInBook, match=words):
        tables.at(T, size_in=size_in, load=load)


@pytest.mark.parametrize(
    ("turn", "words"),
    [
        ("h-v", "lying into upright"),
        ("v-h", "upright into lying"),
        ("h-h", "lying into lying"),
        ("v-v", "upright into upright"),
        ("round", "round"),
    ],
)
def test_a_turn_is_told_in_words(turn, words):
    with pytest.raises(NotInBook, match=f"has no row for size_in 1.5, load {words}$"):
        tables.at(T, size_in=1.5, load=turn)


def test_next_smaller():
    t = ladder(((1.5, 6.0), 10.0), ((1.5, 20.0), 20.0), inputs=(("size_in", "exact"), ("load", "next_smaller")))
    assert [tables.at(t, size_in=1.5, load=x).number for x in (6, 19.9, 20, 99)] == [10.0, 10.0, 20.0, 20.0]
    with pytest.raises(NotInBook):
        tables.at(t, size_in=1.5, load=5.9)


def test_words_answer_to_words_only():
    t = ladder((("x", 6.0), 1.0), (("y", 6.0), 2.0), inputs=(("size_in", "exact"), ("load", "next_larger")))
    assert tables.at(t, size_in="y", load=6).number == 2.0
    assert tables.row_at(t, size_in="z", load=6) is None
    assert tables.row_at(t, size_in=1.5, load=6) is None
    assert tables.rows(t, size_in="x", load="six") == ()
    yes = ladder(((True, 6.0), 1.0), inputs=(("size_in", "exact"), ("load", "next_larger")))
    assert tables.row_at(yes, size_in=False, load=6) is None
    assert tables.at(yes, size_in=True, load=6).number == 1.0
    with pytest.raises(NotInBook, match="has no input colour; it has size_in, load"):
        tables.rows(T, colour="red")


@pytest.mark.parametrize(("need", "size_in"), [(1, 1.5), (10, 1.5), (10.1, 2.0), (30, 2.0), (40, 3.0)])
def test_least_size_that_suffices(need, size_in):
    size, cell = tables.least(T, "size_in", need, load=6)
    assert (size, cell.number >= need) == (size_in, True)


def test_least_size_skips_what_is_not_permitted_and_ends():
    assert tables.least(T, "size_in", 5, load=20)[0] == 1.5
    with pytest.raises(NotInBook, match=r"no size suffices for 41 \(load 6\)"):
        tables.least(T, "size_in", 41, load=6)


def test_a_row_that_waits_for_the_inspector_is_no_silence():
    asked = replace(T, rows=(replace(T.rows[0], asked="ask him"), *T.rows[1:]))
    with pytest.raises(AskInspector, match="ask him"):
        tables.at(asked, size_in=1.5, load=6)
    with pytest.raises(AskInspector, match="ask him"):
        tables.least(asked, "size_in", 5, load=6)
    assert tables.at(asked, size_in=2.0, load=6).number == 30.0


def test_find_and_has():
    book = replace(NPC, tables=Frozen({"own": T}))
    assert tables.find(book, "own", size_in=1.5, load=6).number == 10.0
    assert tables.find(book, "own", size_in=2.0, load=20) is None
    assert tables.find(book, "own", size_in=9.0, load=20) is None
    assert tables.find(book, "other", size_in=9.0) is None
    assert tables.has(book, "own", size_in=2.0, load=20)
    assert not tables.has(book, "own", size_in=9.0)
    assert not tables.has(book, "other")
    with pytest.raises(NotInBook):
        tables.table(book, "other")


@pytest.mark.parametrize(
    ("said", "id_"),
    [
        ("own[1.50, 6]", "own[1.5,6]"),
        ("own[size_in=1.5,load=6]", "own[1.5,6]"),
        (" own [2]", "own[2]"),
        ("own[a=x]", "own[x]"),
        ("own[1.5", "own[1.5"),
        ("terminal.above_roof ", "terminal.above_roof"),
    ],
)
def test_one_spelling_of_an_id(said, id_):
    assert tables.canonical(said) == id_


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (0.0, "0"),
        (0.5, "1/2"),
        (0.0625, "1/16"),
        (1.25, "1-1/4"),
        (2.75, "2-3/4"),
        (3.0, "3"),
        (3.1, "3.1"),
        (0.03, "0.03"),
    ],
)
def test_inches(number, text):
    assert tables.inch_text(number) == text


def test_a_made_value_is_as_weak_as_the_weakest():
    weak = replace(CELL, id="b", status=Status.MEMORY)
    cell = tables.made(replace(CELL, id="a"), 7.0, "in", "seven", "", weak, replace(CELL, id="a"))
    assert (cell.value, cell.unit, cell.printed, cell.what) == (7.0, "in", "seven", CELL.what)
    assert cell.status is Status.MEMORY
    assert cell.ids == ("a", "b")


# --- places ----------------------------------------------------------------------------------------------------------


def test_a_place_of_a_table_can_be_emptied_and_filled():
    book = replace(NPC, tables=Frozen({"own": T}))
    place = spots.spot(book, "own[1.5,20]")
    assert (place.id, place.row, place.cell.number, place.unit) == ("own[1.5,20]", ("own", 1), 20.0, "mm")
    assert place.said == place.cell.printed
    gone = spots.put(book, place, None, "ask him")
    assert (gone.tables["own"].rows[1].cell, gone.tables["own"].rows[1].permitted) == (None, False)
    assert gone.tables["own"].rows[1].asked == "ask him"
    assert gone.tables["own"].rows[0] == T.rows[0]
    assert gone.tables["own"].rows[2:] == T.rows[2:]
    back = spots.put(gone, spots.spot(book, "own[1.5,20]"), place.cell)
    assert back.tables["own"].rows[1].permitted is True
    empty = spots.spot(book, "own[2,20]")
    assert (empty.cell, empty.said) == (None, "not permitted")
    assert empty.what == tables.row_id("Own table", (2.0, 20.0))
    assert empty.unit == "mm"  # as the other cells


def test_a_single_value_can_be_taken_away_and_put_back():
    place = spots.spot(NPC, "closet.side_clear")
    assert place.row is None
    gone = spots.put(NPC, place, None)
    assert "closet.side_clear" not in gone.values
    silent = spots.spot(gone, "closet.side_clear")
    assert (silent.cell, silent.said, silent.section, silent.unit) == (None, "nothing", "", "mm")
    assert spots.put(gone, silent, place.cell).values == NPC.values
    assert list(spots.put(gone, silent, place.cell).values) == sorted(NPC.values)


def test_a_place_that_is_not_there_names_what_is_near():
    with pytest.raises(RuleBookError, match=r"to amend; did you mean .*'closet.side_clear'"):
        spots.spot(NPC, "closet.side_cler")
    with pytest.raises(RuleBookError, match=r"no value 'zzzzzz' to amend$"):
        spots.spot(NPC, "zzzzzz")
    with pytest.raises(RuleBookError, match="to amend"):
        spots.spot(NPC, "nosuch[1]")
    none = replace(NPC, tables=Frozen({"own": ladder(((1.5, 6.0), None))}))
    with pytest.raises(RuleBookError, match="the table has no value to go by"):
        spots.spot(none, "own[1.5,6]")


# --- asking ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("source", "line"), [("", 12), ("town.yaml", 0)])
def test_a_question_stands_on_the_line_of_the_job_only_if_it_is_from_the_job(source, line):
    asked = Asked(id="x.y", what="X", question="how much?", cite="by-law", book="npc-2020", under=None, assumed="none",
                  line=12, source=source)  # fmt: skip
    (one,) = asks.questions(replace(NPC, asked=Frozen({"x.y": asked})), "inspector")
    assert isinstance(one, Question)
    assert (one.line, one.id, one.owner, one.about) == (line, "ask-x.y", "inspector", ("x.y",))


# --- comparing, confirming, searching --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("unit", "a", "b", "near"),
    [("mm", 150.0, 152.4, True), ("m/m", 0.02, 0.0204, True), ("FU", 100.0, 102.0, False), ("mm", 150.0, 160.0, False)],
)
def test_one_figure_in_two_units_is_near(unit, a, b, near):
    def book(value):
        return replace(NPC, values=Frozen({"x.y": replace(CELL, id="x.y", unit=unit, value=value)}), tables=Frozen({}))

    result = compare.compare(book(a), book(b))
    assert [d.rounding for d in result.differ] == [near]
    assert compare.compare(book(a), book(a)).differ == ()
    assert compare.compare(book(a), book(a * 1.00005)).same == 1


@pytest.mark.parametrize(
    ("value", "printed", "said", "differs"),
    [
        (True, "yes", "no", True),
        (True, "yes", "yes", False),
        (38.1, "1-1/2 in", "38.1 mm", False),
        (38.1, "1-1/2 in", "1 1/2 in", False),
        (38.1, "1-1/2 in", "40 mm", True),
        (38.1, "1-1/2 in", "rubbish", True),
    ],
)
def test_confirming_what_is_printed(value, printed, said, differs):
    cell = replace(CELL, id="closet.side_clear", value=value, printed=printed, unit="" if value is True else "mm")
    book = replace(NPC, values=Frozen({**NPC.values, "closet.side_clear": cell}))
    one = Confirm(value_id="closet.side_clear", printed=said, author="a", date="2026-01-01", copy="own")
    assert (confirm.printed_differs(book, one, cell) != "") == differs


def test_suggestions_are_two_a_word():
    near = lookup.suggestions(NPC, ["standpip", "closet"])
    assert 1 <= len(near) <= 2
    assert "standpipe" in near
    assert lookup.suggestions(NPC, ["closet"]) == ()
    many = lookup.search(NPC, "trap", limit=3)
    assert len(many) == 4
    assert many[-1] == f"... and {len(lookup.search(NPC, 'trap', limit=9999)) - 3} more"


def test_groups_are_exactly_their_fixtures():
    bath = [K.WATER_CLOSET, K.LAVATORY, K.BATHTUB]
    assert queries.group_load(NPC, bath).number == 6  # house 01, fact 1
    assert queries.group_load(NPC, list(reversed(bath))).number == 6
    assert queries.group_load(NPC, bath[:2]) is None
    assert queries.group_load(NPC, [*bath, K.LAVATORY]) is None
    assert queries.group_load(NPC, [K.LAVATORY] * 3) is None
    assert queries.group_load(replace(NPC, tables=Frozen({})), bath) is None


@pytest.mark.parametrize(
    ("said", "value"), [("yes", True), ("true", True), ("Yes", True), ("no", False), ("false", False), ("No", False)]
)
def test_yes_and_no(said, value):
    assert amend.read_value("x.y", said, "bool", ()) is value


def test_a_place_of_yes_or_no_is_read_as_that():
    book = replace(NPC, tables=Frozen({"own": ladder(((1.5, 6.0), True))}))
    assert spots.spot(book, "own[1.5,6]").unit == "bool"
    assert spots.spot(replace(book, known=Frozen({})), "wet_vent.same_floor").unit == "bool"


def test_three_ids_are_suggested_at_most():
    with pytest.raises(RuleBookError) as told:
        spots.spot(NPC, "trap_arms[1.5]")
    assert str(told.value).count(" or ") == 2
