"""Two books side by side, and the count of one."""

from __future__ import annotations

from dataclasses import replace
from importlib.resources import files

import pytest
from small_books import CELL, ladder, only

from stubout.files.books import book_ids, load_book
from stubout.problems import Status
from stubout.rulebooks.census import census, table_cells
from stubout.rulebooks.compare import NOT_PERMITTED, SILENT, compare
from stubout.rulebooks.frozen import Frozen
from stubout.rulebooks.model import RuleBook
from stubout.rulebooks.overlay import Amend
from stubout.rulebooks.spots import put, spot


@pytest.mark.parametrize("book_id", book_ids())
def test_a_book_is_like_itself(book_id: str) -> None:
    book = load_book(book_id)
    told = compare(book, book)
    assert not told.differ
    assert told.same == len(book.values) + sum(len(t.rows) for t in book.tables.values())


def test_one_changed_figure_is_the_one_difference() -> None:
    old = load_book("npc-2020")
    new = load_book("npc-2020", [Amend("trap_arm[1.5]", "1.5 m", "c", "a", "d")])
    (one,) = compare(old, new).differ
    assert (one.kind, one.id, one.a.printed, one.b.printed) == ("row", "trap_arm[1.5]", "1.8 m", "1.5 m")
    assert one.b.status is Status.JOB
    assert str(one.b) == "1.5 m (npc-2020 2.5.6.3; job)"


def test_what_is_missing_on_one_side_is_told_once() -> None:
    old = load_book("npc-2020")
    fewer = replace(
        old,
        values=Frozen({k: v for k, v in old.values.items() if k != "terminal.above_roof"}),
        tables=Frozen({k: v for k, v in old.tables.items() if k != "stack"}),
        clauses=Frozen({k: v for k, v in old.clauses.items() if k != "VNT004"}),
    )
    told = {d.id: d for d in compare(old, fewer).differ}
    assert set(told) == {"terminal.above_roof", "stack", "VNT004"}
    assert told["terminal.above_roof"].b.printed == SILENT
    assert told["stack"].a.printed.endswith("rows")


def test_a_row_not_permitted_differs_from_one_that_is() -> None:
    old = load_book("npc-2020")
    barred = put(old, spot(old, "trap_arm[1.5]"), None)
    (one,) = compare(old, barred).differ
    assert one.b.printed == NOT_PERMITTED


def test_six_inches_for_150_mm_are_round_figures() -> None:
    """NPC 2.5.6.5 and IRC P3103.1 ask for the same height in two systems."""
    told = {d.id: d for d in compare(load_book("npc-2020"), load_book("irc-2021")).differ}
    assert told["terminal.above_roof"].rounding
    # one fraction of a pipe's load is no round figure of another: 27 FU and 42 FU in a 3 in building drain
    assert not any(d.rounding for d in told.values() if d.id.startswith("building_drain"))


def test_columns_for_1_to_50_and_a_quarter_inch_per_foot_stand_side_by_side() -> None:
    told = {d.id: d for d in compare(load_book("npc-2020"), load_book("upc-2021")).differ}
    row = told["building_drain[4,0.02]"]
    assert "240" in row.a.printed
    assert row.b.printed not in (SILENT, "no such row")
    assert not any(k.startswith("building_drain[4,0.0208") for k in told)


@pytest.mark.parametrize("book_id", book_ids())
def test_the_count_leaves_nothing_out(book_id: str) -> None:
    book = load_book(book_id)
    c = census(book)
    assert sum(c.values.values()) == len(book.values)
    assert sum(c.cells.values()) == len(list(table_cells(book)))
    assert sum(c.clauses.values()) == len(book.clauses)
    own = census(book, own=True)
    assert own.figures + c.inherited == c.figures
    assert c.of(Status.CONFIRMED) == c.of(Status.JOB) == 0  # the user's own are never shipped
    assert c.sure == c.of(Status.READ)


@pytest.mark.parametrize(("book_id", "not_permitted"), [("npc-2020", 23), ("ipc-2021", 145), ("upc-2021", 0)])
def test_what_is_not_permitted_is_counted(book_id: str, not_permitted: int) -> None:
    """Counted in the files of the tables: `NP` in a column, `allowed = false` in a row."""
    folder = files("stubout.rulebooks") / "data" / book_id / "tables"
    text = "".join(p.read_text(encoding="utf-8") for p in folder.iterdir())
    assert text.count('"NP"') + text.count("allowed = false") == not_permitted
    assert census(load_book(book_id)).not_permitted == not_permitted


def test_what_a_book_holds_itself_is_inherited_from_nobody() -> None:
    assert census(load_book("irc-2021")).inherited > 0
    assert census(load_book("irc-2021"), own=True).inherited == 0


# --- small books -----------------------------------------------------------------------------------------------------

WORDS = replace(CELL, id="a.b", value="as drawn", unit="", printed="as drawn", what="How it goes")


def told(a: RuleBook, b: RuleBook) -> list[tuple[str, str, str, str, str]]:
    return [(d.kind, d.id, d.what, d.a.printed, d.b.printed) for d in compare(a, b).differ]


def test_each_kind_of_difference_is_told_with_its_words() -> None:
    old = load_book("npc-2020")
    clause = replace(CELL, id="DRN001", what="DRN001", value="keep it dry", printed="keep it dry")
    left = replace(only({"a.b": WORDS}, ladder(((1.5, 6.0), 1.0))), clauses=Frozen({"DRN001": clause}))
    gone = [
        ("value", "a.b", "How it goes", "as drawn", "silent"),
        ("table", "own", "Own table", "1 rows", "no such table"),
        ("clause", "DRN001", "keep it dry", "has a rule", "silent"),
    ]
    assert told(left, only()) == gone
    assert told(only(), left) == [(kind, i, what, b, a) for kind, i, what, a, b in gone]
    assert told(old, old) == []
    assert SILENT == "silent"


@pytest.mark.parametrize("other", ["by the maker", True, 1.0])
def test_words_differ_from_other_words_and_from_figures(other: object) -> None:
    new = replace(WORDS, value=other, printed="other")
    assert told(only({"a.b": WORDS}), only({"a.b": new})) == [("value", "a.b", "How it goes", "as drawn", "other")]
    assert told(only({"a.b": new}), only({"a.b": WORDS})) == [("value", "a.b", "How it goes", "other", "as drawn")]


def test_a_row_that_only_one_has_is_told_by_its_words() -> None:
    (one,) = compare(only(table=ladder(((1.5, 6.0), 1.0))), only(table=ladder())).differ
    assert (one.kind, one.id, one.what, one.b.printed) == ("row", "own[1.5,6]", CELL.what, "no such row")
    (one,) = compare(only(table=ladder(((1.5, 6.0), None))), only(table=ladder())).differ
    assert (one.what, one.a.printed) == ("own[1.5,6]", NOT_PERMITTED)


def rows(*inputs: tuple[float, ...]) -> RuleBook:
    """A book with a table of these rows; every cell has another figure."""
    return only(table=ladder(*((i, float(k)) for k, i in enumerate(inputs, start=1))))


@pytest.mark.parametrize(
    ("a", "b", "one"),
    [
        ((3.0, 0.02), (3.0, 1 / 48), True),  # 1:50 and 1/4 in per ft
        ((3.0, 0.01), (3.0, 1 / 96), True),  # 1:100 and 1/8 in per ft
        ((3.0, 0.02), (3.0, 1 / 96), False),
        ((3.0, 0.02), (4.0, 1 / 48), False),
        ((3.0, 0.99), (3.0, 1.0), False),  # as steep as that is no slope of a drain
        ((3.0, 0.98), (3.0, 1.02), False),
        ((3.0, 1.5), (3.0, 1.55), False),
        ((3.0,), (3.0, 0.02), False),
        ((), (3.0, 0.02), False),
    ],
)
def test_which_rows_stand_for_the_same_inputs(a: tuple[float, ...], b: tuple[float, ...], one: bool) -> None:
    found = compare(rows(a), rows(b))
    assert len(found.differ) + found.same == (1 if one else 2)


def test_a_row_with_its_like_takes_no_other() -> None:
    """1:50 stands in both; 1/4 in per ft in the one stands by itself, and twins are found in whatever order."""
    found = {
        d.id: (d.a.printed, d.b.printed) for d in compare(rows((3.0, 0.02)), rows((3.0, 0.02), (3.0, 1 / 48))).differ
    }
    assert set(found) == {"own[3,0.0208333]"}
    assert compare(rows((3.0, 0.02)), rows((3.0, 0.02), (3.0, 1 / 48))).same == 1
    crossed = compare(rows((3.0, 0.02), (4.0, 0.02)), rows((4.0, 1 / 48), (3.0, 1 / 48)))
    assert [d.id for d in crossed.differ] == ["own[3,0.02]", "own[4,0.02]"]
