"""Two books side by side, and the count of one."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.files.books import book_ids, load_book
from stubout.problems import Status
from stubout.rulebooks.census import census, table_cells
from stubout.rulebooks.compare import NOT_PERMITTED, SILENT, compare
from stubout.rulebooks.frozen import Frozen
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
