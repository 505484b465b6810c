"""Properties that hold for every book: more never needs less, and nothing is answered beyond the page."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stubout.files.books import load_book
from stubout.kinds import FixtureKind
from stubout.problems import NotInBook
from stubout.rulebooks import queries as q
from stubout.rulebooks.tables import at, inch_text, least, next_size, size_up, table

PLUMBING = ("npc-2020", "upc-2021", "ipc-2021", "irc-2021")
BOOKS = st.sampled_from(PLUMBING)
LOADS = st.floats(0.5, 120)
LENGTHS = st.floats(100, 60_000)
BEYOND = 1e9  # stands for "no size of the book suffices"


def size_or_beyond(question: Callable[[], float]) -> float:
    try:
        return question()
    except NotInBook:
        return BEYOND


@settings(max_examples=200, deadline=None)
@given(BOOKS, LOADS, LOADS, st.sampled_from(["branch", "stack"]))
def test_more_load_never_a_smaller_drain(book_id: str, a: float, b: float, table_id: str) -> None:
    t = table(load_book(book_id), table_id)
    small, large = sorted((a, b))
    assert size_or_beyond(lambda: least(t, "size_in", small)[0]) <= size_or_beyond(
        lambda: least(t, "size_in", large)[0]
    )


@settings(max_examples=300, deadline=None)
@given(BOOKS, LOADS, LOADS, LENGTHS, LENGTHS, st.booleans(), st.sampled_from([1.5, 2.0, 3.0, 4.0]))
def test_more_load_or_length_never_a_smaller_vent(
    book_id: str, a: float, b: float, c: float, d: float, stack: bool, stack_in: float
) -> None:
    book = load_book(book_id)
    (lo, hi), (short, long) = sorted((a, b)), sorted((c, d))

    def size(load: float, length: float) -> float:
        return size_or_beyond(
            lambda: q.vent_capacity(book, load=load, length_mm=length, stack=stack, stack_in=stack_in).number
        )

    assert size(lo, short) <= size(hi, short)
    assert size(lo, short) <= size(lo, long)


@settings(max_examples=200, deadline=None)
@given(BOOKS, LOADS, LOADS, st.integers(0, 2))
def test_more_load_never_a_smaller_wet_vent(book_id: str, a: float, b: float, closets: int) -> None:
    book = load_book(book_id)

    def size(load: float) -> float:
        return size_or_beyond(lambda: q.wet_vent_size(book, load=load, closets=closets, other_load=load).number)

    small, large = sorted((a, b))
    assert size(small) <= size(large)


@settings(max_examples=200, deadline=None)
@given(BOOKS, st.sampled_from([2.0, 3.0, 4.0]), st.floats(0.002, 0.08), st.floats(0.002, 0.08))
def test_steeper_never_carries_less(book_id: str, size: float, a: float, b: float) -> None:
    book = load_book(book_id)
    flat, steep = sorted((a, b))
    try:
        low = q.building_drain_capacity(book, size, flat).number
    except NotInBook:
        return
    assert q.building_drain_capacity(book, size, steep).number >= low


@pytest.mark.parametrize("book_id", PLUMBING)
def test_larger_drain_never_a_smaller_vent(book_id: str) -> None:
    book = load_book(book_id)
    sizes = [q.vent_least_size(book, trap_in=s, drain_in=s).number for s in (1.25, 1.5, 2.0, 3.0, 4.0)]
    assert sizes == sorted(sizes)


@pytest.mark.parametrize("book_id", PLUMBING)
def test_every_fixture_has_a_load_and_a_trap(book_id: str) -> None:
    book = load_book(book_id)
    for kind in FixtureKind:
        assert q.fixture_load(book, kind).number >= 0
        assert q.trap_size(book, kind).number >= 1.25


@pytest.mark.parametrize("book_id", PLUMBING)
def test_shallow_slope_outside_the_table_is_an_error(book_id: str) -> None:
    with pytest.raises(NotInBook):
        q.building_drain_capacity(load_book(book_id), 3.0, 1 / 1000)


def test_slope_laid_to_the_millimetre_is_the_slope_of_the_column() -> None:
    t = table(load_book("irc-2021"), "building_drain")
    assert at(t, size_in=3.0, slope=0.0208333).number == 42
    assert at(t, size_in=3.0, slope=0.0206).number == 36


def test_sizes_of_the_trade() -> None:
    assert [next_size(x) for x in (0.6, 1.5, 1.51, 2.0)] == [1.25, 1.5, 2.0, 2.0]
    assert size_up(1.25) == 1.5
    assert size_up(2.0) == 2.5
    with pytest.raises(NotInBook):
        size_up(15.0)
    assert [inch_text(x) for x in (1.25, 0.5, 3.0, 0.0575, 0.0625)] == ["1-1/4", "1/2", "3", "0.0575", "1/16"]
