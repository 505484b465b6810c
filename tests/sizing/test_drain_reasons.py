"""What closets, kinds of fixtures and a silent book ask of a drain. The rule, or the invented book, stands beside."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_systems import placed, saying, telling, unsettled, without, words

from stubout.problems import CatalogError
from stubout.sizing import need
from stubout.sizing.drains import size_drain
from stubout.sizing.need import Need, size_derivation


def drained(s, *tags, role="branch", upright=False, slope=1 / 48):
    """Fixtures at the head of one pipe D to the sewer; D is settled."""
    s.at("w", 0, 0, 0, "trap")
    s.at("end", *((0, 0, -3000) if upright else (3000, 0, -3000 * slope)), "sewer connection")
    s.drain("D", "w", "end", role, 1.25)
    for tag in tags:
        s.fixture(tag)
        s.trap(tag, "w", "", ("D",), "none")
    sizes = unsettled(placed(s, "room"))
    size_drain(sizes, sizes.network.pipe("D"))
    return sizes


def closets(n):
    return [f"WC{i}" for i in range(n)]


# --- load and traps --------------------------------------------------------------------------------------------------


def test_a_lying_drain_of_one_storey_is_called_a_branch(sketch):
    # npc-2020 table 2.4.10.7: 1-1/4 in carries 2 FU
    assert words(drained(sketch(), "LV1"), "D").startswith("branch: 1-1/4 in carries 2 FU, load 1 FU")


def test_where_branch_and_slope_carry_the_same_the_branch_is_named(sketch):
    # upc-2021 table 703.2: 35 DFU on 3 in at 1/4 in/ft, in the table of branches and in that of slopes
    sizes = drained(sketch(book_id="upc-2021"), *[f"LV{i}" for i in range(35)])
    assert sizes.needed["D"] == 3.0
    assert sizes.needs["D"][0].bases[0].what.startswith("Load on a horizontal drain at 1/4 in/ft")


def test_a_fixture_without_a_trap_size_in_the_book_is_a_remark(sketch):
    s = sketch()
    s.book = without(s.book, "trap_size")
    sizes = drained(s, "LV1", role="trap arm")
    gap, chosen = sizes.needs["D"]
    assert gap == Need(0.0, "trap of LV1: the book gives no trap size for a lavatory")
    assert (chosen.size_in, chosen.words) == (1.25, "arm not smaller than its trap: 1-1/4 in chosen")


# --- closets ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("count", "size_in"), [(6, 3.0), (7, 4.0)])
def test_more_than_six_closets_on_an_upright_pipe_take_4_in(sketch, count, size_in):
    # npc-2020 2.4.9.2(3), by the twin article of Ontario's Part 7; 28 FU are far below the 102 of a 3 in stack
    sizes = drained(sketch(), *closets(count), upright=True)
    assert sizes.needed["D"] == size_in
    assert ("7 closets: 3 in may carry 6 (more than 6 need 4 in)" in words(sizes, "D")) == (count > 6)


def test_sizes_below_that_of_a_closet_are_not_counted_on(sketch):
    # npc-2020: the least drain of a closet is 3 in; that 2-1/2 in carries none need not be told again
    assert "closets:" not in words(drained(sketch(), "WC1"), "D")


def test_a_book_that_only_counts_closets_begins_with_the_least_size_of_the_trade(sketch):
    # invented: no least drain of a closet; one closet on 1-1/4 in, no limit beyond
    s = sketch()
    s.book = telling(saying(s.book, {"closet.drain_least": None}), "max_closets", {("horizontal", 1.25): 1.0})
    assert "2 closets: 1-1/4 in may carry" in words(drained(s, "WC1", "WC2"), "D")
    s = sketch()
    s.book = saying(s.book, {"closet.drain_least": None})
    need_of = drained(s, "WC1").needs["D"][-1]
    assert (need_of.size_in, need_of.words) == (3.0, "1 closets: 2-1/2 in may carry 0")  # npc-2020 2.4.9.2(1)


# --- the branch of a washer (ipc-2021 406: 3 in beyond its trap arm, its own drain 2 in as far as the joint) ---------


@pytest.mark.parametrize(
    ("tags", "role", "asked"),
    [
        (["AW"], "branch", False),
        (["AW"], "drain", False),
        (["AW"], "building drain", True),
        (["AW", "LV1"], "branch", True),
        (["AW", "LV1", "LV2"], "branch", True),
    ],
)
def test_the_least_branch_begins_where_a_fixtures_own_drain_joins(sketch, tags, role, asked):
    sizes = drained(sketch(book_id="ipc-2021"), *tags, role=role)
    assert ("beyond the trap arm of AW: 3 in at least" in words(sizes, "D")) == asked
    s = sketch(book_id="ipc-2021")
    s.book = saying(s.book, {"branch_least.from_joint": False})
    assert "beyond the trap arm of AW: 3 in at least" in words(drained(s, *tags, role=role), "D")


# --- what is made, and who decided -----------------------------------------------------------------------------------


def test_a_size_missing_in_the_catalogue_is_passed_over(monkeypatch):
    real = need.catalog.pipe

    def gapped(material, size_in):
        if size_in in (2.0, 3.0):
            raise CatalogError("invented: not made")
        return real(material, size_in)

    monkeypatch.setattr(need.catalog, "pipe", gapped)
    assert need.stocked("abs", 2.0) == 4.0


def told(sketch, drawn_in, *needs):
    sizes = drained(sketch(), "LV1")
    pipe = replace(sizes.network.pipe("D"), size_in=drawn_in)
    sizes.settle(pipe, list(needs))
    return size_derivation(sizes, pipe).steps[-1]


def test_next_size_made_is_told_where_half_an_inch_was_missing(sketch):
    assert told(sketch, 2.0, Need(2.5, "branch: x")) == "2-1/2 in decided by branch; hardly made in plastic, so 3 in"


def test_a_need_of_one_inch_is_a_need(sketch):
    # less than the trade lays in a house, as a drain of condensate may be
    assert told(sketch, 1.0, Need(1.0, "branch: x")) == "size 1 in: decided by branch"
    assert told(sketch, 1.25, Need(1.0, "branch: x")) == "size 1-1/4 in as reckoned by the layout; 1 would do"
