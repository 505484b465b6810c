"""Who looked at which value: what a watched book tells, and what it keeps to itself."""

from __future__ import annotations

import pytest
from small_books import CELL, ladder, only

from stubout.problems import NotInBook
from stubout.rulebooks import tables
from stubout.rulebooks.watch import Watch, watched

BOOK = only(
    {"x.y": CELL, "x.z": CELL},
    ladder(((1.5, 6.0), 10.0), ((2.0, 6.0), 20.0), ((3.0, 6.0), None)),
)


@pytest.fixture
def watch():
    one = Watch()
    one.begin("DRN001")
    return one


def test_a_single_value_that_is_found_is_told_and_silence_is_not(watch):
    book = watched(BOOK, watch)
    assert book.find("x.y") == CELL
    assert book.find("x.gone") is None
    assert watch.used() == {CELL.id: ("DRN001",)}


def test_the_cell_that_answers_is_told_and_no_other(watch):
    book = watched(BOOK, watch)
    t = book.tables["own"]
    assert tables.at(t, size_in=1.5, load=6).number == 10.0
    assert tables.row_at(t, size_in=9.0, load=6) is None
    with pytest.raises(NotInBook, match="not permitted"):
        tables.at(t, size_in=3.0, load=6)
    assert watch.used() == {"own[1.5,6]": ("DRN001",)}
    watch.begin("DRN002")
    assert tables.least(t, "size_in", 15.0, load=6)[0] == 2.0
    assert watch.used() == {"own[1.5,6]": ("DRN001",), "own[2,6]": ("DRN002",)}
    assert list(watch.used()) == sorted(watch.used())


def test_a_book_that_nobody_watches_tells_nothing(watch):
    watched(BOOK, watch)
    assert BOOK.find("x.y") == CELL
    assert tables.at(BOOK.tables["own"], size_in=1.5, load=6).number == 10.0
    assert watch.used() == {}


def test_being_watched_is_no_difference_between_books(watch):
    book = watched(BOOK, watch)
    assert book == BOOK
    assert book.tables["own"] == BOOK.tables["own"]
    assert repr(book) == repr(BOOK)
