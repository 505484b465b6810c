"""Cleanouts and their extensions grow with the drain they open. Expected: the book's own table of cleanouts."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_systems import settled, telling, without

from stubout.geometry.vec import Vec
from stubout.layout.model import CleanoutPlan
from stubout.network.build import build
from stubout.problems import Basis, Status
from stubout.rulebooks import queries
from stubout.sizing.cleanouts import raise_extensions, sized_cleanouts

SAID = Basis("cleanout", "", "job", "", Status.JOB)


def drain_with_extension(s, size=4.0, ext=2.0, drawn=False, turned=False):
    """A drain D1, D2 in line; the extension E (two pieces) goes up from where they meet, drawn with or against flow."""
    s.at("a", 0, 0, 0, "trap")
    s.at("j", 1000, 0, -20, "junction")
    s.at("end", 3000, 0, -60, "sewer connection")
    s.at("k", 1000, 300, 300)
    s.at("co", 1000, 300, 800, "cleanout")
    s.at("air", 1000, 0, 6000, "terminal")
    s.drain("D1", "a", "j", "branch", size, drawn=drawn)
    s.drain("D2", "j", "end", "branch", size, drawn=drawn)
    s.drain("E1", *(("j", "k") if turned else ("k", "j")), "cleanout extension", ext)
    s.drain("E2", *(("k", "co") if turned else ("co", "k")), "cleanout extension", ext)
    s.vent("V", "j", "air", "vent", 6.0)
    return s


def network(s):
    return build(s.layout(), s.house(), s.book)


def plan(size_in=2.0, clearance=100.0, point="co"):
    return CleanoutPlan("CO1", point, size_in, Vec(0, 1, 0), clearance, "drain", "wall", basis=(SAID,))


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("book_id", ["npc-2020", "upc-2021", "irc-2021", "ipc-2021"])
def test_a_cleanout_grows_with_its_drain(sketch, book_id, turned):
    s = drain_with_extension(sketch(book_id=book_id), 4.0, turned=turned)
    (grown,) = sized_cleanouts((plan(),), network(s), s.book)
    assert grown.size_in == queries.cleanout_size(s.book, 4.0).number > 2.0
    spaced = "cleanout_clearance" in s.book.tables  # npc-2020 has none
    assert grown.clearance_mm == (queries.cleanout_clearance(s.book, 4.0).number if spaced else 100.0)
    assert spaced == (grown.clearance_mm > 100.0)
    assert grown.basis[0] == SAID
    assert len(grown.basis) == 2 + spaced  # what was said, the size, the free space
    assert (grown.id, grown.point) == ("CO1", "co")


def test_more_free_space_than_asked_is_kept(sketch):
    s = drain_with_extension(sketch(book_id="upc-2021"))
    assert sized_cleanouts((plan(clearance=5000.0),), network(s), s.book)[0].clearance_mm == 5000.0


@pytest.mark.parametrize(("size_in", "stays"), [(3.5, False), (4.0, True), (6.0, True)])
def test_a_cleanout_as_large_as_asked_stays(sketch, size_in, stays):
    s = drain_with_extension(sketch(), 4.0)
    assert queries.cleanout_size(s.book, 4.0).number == 4.0  # npc-2020 table 2.4.7.2
    (after,) = sized_cleanouts((plan(size_in),), network(s), s.book)
    assert (after == plan(size_in)) == stays


def test_a_drawn_drain_keeps_its_cleanout(sketch):
    s = drain_with_extension(sketch(), 4.0, drawn=True)
    assert sized_cleanouts((plan(),), network(s), s.book) == (plan(),)


def test_a_cleanout_in_the_drain_itself(sketch):
    s = drain_with_extension(sketch(), 4.0)
    s.runs = [r for r in s.runs if not r.id.startswith("E")]
    assert sized_cleanouts((plan(point="j"),), network(s), s.book)[0].size_in == 4.0


def test_a_cleanout_at_nothing_stays(sketch):
    s = drain_with_extension(sketch())
    s.at("lost", 9000, 0, 0, "cleanout")
    assert sized_cleanouts((plan(point="lost"),), network(s), s.book) == (plan(point="lost"),)


def test_a_book_without_cleanout_sizes_leaves_them(sketch):
    s = drain_with_extension(sketch(book_id="upc-2021"))
    assert sized_cleanouts((plan(),), network(s), without(s.book, "cleanout_size")) == (plan(),)
    (grown,) = sized_cleanouts((plan(),), network(s), without(s.book, "cleanout_clearance"))
    assert (grown.size_in, grown.clearance_mm, len(grown.basis)) == (3.5, 100.0, 2)  # upc-2021: 3-1/2 in for 4 in


@pytest.mark.parametrize("turned", [False, True])
def test_extensions_are_as_large_as_their_cleanout(sketch, turned):
    sizes = settled(drain_with_extension(sketch(), 4.0, turned=turned), 0.0)
    raise_extensions(sizes)
    assert [sizes.final[i] for i in ("E1", "E2", "D1", "D2")] == [4.0, 4.0, 4.0, 4.0]
    assert sizes.needs["E1"][-1].words.startswith("cleanout of a 4 in drain: ")
    assert [len(sizes.needs[i]) for i in ("E1", "E2", "D1", "D2")] == [2, 2, 1, 1]


def two_sizes(s, drawn=""):
    """Two drains meet where the extension goes up: 3 in comes in, 4 in goes on."""
    s = drain_with_extension(s, 4.0)
    s.runs = [replace(r, size_in=3.0 if r.id == "D1" else r.size_in, drawn=r.id == drawn) for r in s.runs]
    return s


def test_the_larger_of_the_drains_that_meet_counts(sketch):
    # npc-2020 table 2.4.7.2: 4 in for 4 in
    s = two_sizes(sketch())
    sizes = settled(s, 0.0)
    raise_extensions(sizes)
    assert sizes.final["E1"] == 4.0
    assert sized_cleanouts((plan(),), network(s), s.book)[0].size_in == 4.0


@pytest.mark.parametrize("drawn", ["D1", "D2"])
def test_one_drawn_drain_keeps_the_cleanout(sketch, drawn):
    s = two_sizes(sketch(), drawn)
    assert sized_cleanouts((plan(),), network(s), s.book) == (plan(),)


def test_what_opens_no_drain_asks_for_nothing(sketch):
    # invented: 2 in or more for whatever drain
    s = drain_with_extension(sketch(), ext=1.25)
    s.book = telling(s.book, "cleanout_size", {(4.0,): 2.0}, "next_larger")
    s.at("lost", 9000, 0, 0, "cleanout")
    assert sized_cleanouts((plan(1.25, point="lost"),), network(s), s.book) == (plan(1.25, point="lost"),)
    s.runs = [r for r in s.runs if r.id not in ("D1", "D2")]
    sizes = settled(s, 0.0)
    raise_extensions(sizes)
    assert sizes.final["E1"] == 1.25
    assert len(sizes.needs["E1"]) == 1
