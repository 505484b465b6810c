"""Which drain a vent is measured by, and vents of which the book says little. Rules named beside the values."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_systems import FT, roofs, settled, stack, telling, unsettled, without

from stubout.files.books import load_book
from stubout.sizing.need import Need
from stubout.sizing.vents import base_of, drain_of, size_vent


def vented(s, sizes=None, pipe_id="V0"):
    """The needs of one vent; drains as drawn."""
    sizes = sizes or settled(s, 3.0)
    size_vent(sizes, sizes.network.pipe(pipe_id))
    return sizes.needs[pipe_id]


# --- the drain -------------------------------------------------------------------------------------------------------


def test_a_trap_is_measured_by_its_own_wet_vent_only(sketch):
    s = roofs(sketch(), (1.5, 1.5, 1.5), ("LV1", "LV2", "LV3"))
    through = {"LV1": ("b0",), "LV2": ("b1",)}
    s.traps = [replace(t, wet_through=through.get(t.tag, ())) for t in s.traps]
    sizes = settled(s, 3.0)
    sizes.needed |= {"b0": 2.0, "b1": 4.0}
    assert [drain_of(sizes, t) for t in sizes.network.traps] == [2.0, 4.0, 1.25]


def test_a_trap_whose_drains_are_not_drawn_is_measured_by_its_trap(sketch):
    s = roofs(sketch(), (1.5,), ("LV1",))
    s.traps = [replace(t, arm_runs=("gone",), wet_through=("gone too",)) for t in s.traps]
    sizes = settled(s, 3.0)
    assert drain_of(sizes, sizes.network.traps[0]) == 1.25


@pytest.mark.parametrize("role", ["stack", "drain"])
def test_a_stack_vent_stands_on_a_stack_or_another_upright_drain(sketch, role):
    sizes = settled(stack(sketch(), role), 3.0)
    assert base_of(sizes, sizes.network.pipe("SV")).id == "U"


@pytest.mark.parametrize(("stack_in", "vent_in"), [(3.0, 1.5), (4.0, 2.0)])
def test_a_stack_vent_is_half_the_stack_however_small_the_arm(sketch, stack_in, vent_in):
    # irc-2021 P3113.1: half the drain served, 1-1/4 in at least; the arm is 1-1/4 in
    needs = vented(None, settled(stack(sketch(book_id="irc-2021"), stack_in=stack_in), 3.0), "SV")
    assert max(n.size_in for n in needs) == vent_in


def test_a_common_vent_is_half_the_larger_drain(sketch):
    # irc-2021 P3113.1: half of 3 in; beyond 40 ft one size larger
    s = roofs(sketch(book_id="irc-2021"), (1.25,), ("LV1",))
    s.at("r0", 500, 0, 41 * FT, "terminal")
    s.at("w", 600, 500, 40, "trap")
    s.drain("A", "w", "t0", "trap arm", 3.0, tag="FD2")
    s.fixture("FD2")
    s.trap("FD2", "w", "t0", ("A",), vent_runs=("V0",))
    assert vented(s)[1].size_in == 2.0


# --- the least vent --------------------------------------------------------------------------------------------------


def test_a_trap_the_book_does_not_know_hides_no_other(sketch):
    # invented: vents by trap for 2 in alone; the lavatory, trap 1-1/4 in, comes first
    s = roofs(sketch(), (1.25,), ("LV1",))
    s.book = telling(s.book, "vent_by_trap", {(2.0,): 1.5})
    s.fixture("FD2")
    s.trap("FD2", "w0", "t0", ("a0",), vent_runs=("V0",))
    assert vented(s)[0].words.endswith("for FD2, trap 2 in")


def test_that_no_trap_is_served_is_told_first(sketch):
    s = sketch()
    for i, z in enumerate((0, 3000, 6000)):
        s.at(f"p{i}", 0, 0, z, "terminal" if z == 6000 else "turn")
    s.vent("V1", "p0", "p1", "vent", 1.5)
    s.vent("V2", "p1", "p2", "vent", 1.5)
    sizes = unsettled(s)
    sizes.settle(sizes.network.pipe("V1"), [Need(1.5, "x")])
    assert [n.words[:24] for n in vented(s, sizes, "V2")] == ["no trap gets air through", "not smaller than what jo"]


# --- load and length -------------------------------------------------------------------------------------------------


def test_length_that_does_not_count_asks_for_no_size(sketch):
    # npc-2020 2.5.8.3
    assert vented(roofs(sketch(), (1.25,), ("LV1",)))[1].size_in == 0.0


def test_a_load_beyond_the_table_of_lengths_asks_for_no_size(sketch):
    s = roofs(sketch(), (1.25,), ("LV1",), ("branch vent",))
    s.book = telling(s.book, "vent_length", {(1.0, 1.25): 1.0})  # invented: 1 mm long at most
    gap = vented(s)[1]
    assert gap.size_in == 0.0
    assert gap.words.startswith("branch vent, 1 FU, ")
    assert "no size suffices" in gap.words


def test_a_uniform_vent_within_its_length_asks_for_no_more(sketch):
    # upc-2021 table 703.2: 1-1/4 in takes 1 DFU and may be 45 ft long
    s = roofs(sketch(book_id="upc-2021"), (1.25,), ("LV1",))
    within = vented(s)[2]
    assert ": within 45 ft" in within.words
    assert within.size_in == 0.0
    # a table for the lengths of stack vents beside it, as other books have, changes nothing
    stacks = load_book("npc-2020").tables["stack_vent_length"]
    s.book = replace(s.book, tables={**s.book.tables, "stack_vent_length": stacks})
    assert vented(s)[2] == within


def test_a_uniform_vent_without_a_length_in_the_book_goes_by_load(sketch):
    s = roofs(sketch(book_id="upc-2021"), (1.25,), ("LV1",))
    s.book = without(s.book, "vent_max_length")
    assert len(vented(s)) == 2
