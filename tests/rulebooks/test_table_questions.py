"""Questions that one table answers: every row of every shipped book is found again, with its words and unit."""

from __future__ import annotations

import pytest
from small_books import NPC, cells_of, ladder, only, with_values

from stubout.files.books import load_book
from stubout.kinds import FixtureKind as K
from stubout.problems import NotInBook
from stubout.rulebooks import queries as q
from stubout.rulebooks import tables
from stubout.rulebooks.said_methods import LADDER_IN

BOOKS = ("npc-2020", "upc-2021", "irc-2021", "ipc-2021")
TABLES = {  # question: its table
    q.arm_max_length: "trap_arm",
    q.branch_capacity: "branch",
    q.stack_capacity: "stack",
    q.stack_storey_capacity: "stack_storey",
    q.cleanout_size: "cleanout_size",
    q.cleanout_clearance: "cleanout_clearance",
    q.cleanout_spacing: "cleanout_spacing",
    q.hanger_spacing: "hanger",
    q.max_closets: "max_closets",
    q.common_vent_capacity: "common_vent",
    q.single_stack_capacity: "single_stack",
    q.waste_stack_capacity: "waste_stack",
    q.waste_stack_interval_capacity: "waste_stack_interval",
    q.slope_by_approval: "approved_slope",
}


@pytest.mark.parametrize(("question", "name"), TABLES.items(), ids=TABLES.values())
def test_every_row_is_found_again(question, name):
    asked = 0
    for book in map(load_book, BOOKS):
        for inputs, cell in cells_of(book, name) if name in book.tables else ():
            found = question(book, **inputs)
            assert (found.id, found.value, found.unit, found.section) == (cell.id, cell.value, cell.unit, cell.section)
            asked += 1
    assert asked


@pytest.mark.parametrize(
    ("book_id", "size_in", "said"),
    # upc-2021 table 703.2: 4 in at 1/8 in/ft by approval only (708.1); npc-2020 table 2.4.10.8: 1:100 and steeper
    [("upc-2021", 4.0, ["1/4 in/ft"]), ("npc-2020", 4.0, ["1:100", "1:50", "1:25"])],
)
def test_a_slope_offered_is_said_as_the_page_has_it(book_id, size_in, said):
    offered = q.slopes_offered(load_book(book_id), size_in)
    assert [c.printed for c in offered] == said
    assert {c.what for c in offered} == {"Slope offered, 4 in"}


# --- cleanouts -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cleanout_in", "pipe_in", "trap", "opens"),
    # npc-2020 table 2.4.7.2: as large as the pipe up to 4 in; here a removable trap may be one size smaller (invented)
    [
        (3.0, 3.0, False, True),
        (2.5, 3.0, False, False),
        (2.5, 3.0, True, True),
        (2.0, 3.0, True, False),
        (4.0, 4.0, False, True),
        (3.0, 4.0, True, True),
        (4.0, 6.0, False, True),
    ],
)
def test_a_removable_trap_opens_a_larger_pipe_than_another_cleanout(cleanout_in, pipe_in, trap, opens):
    book = with_values(NPC, cleanout__trap_steps=1.0)
    assert q.cleanout_opens(book, cleanout_in, pipe_in, trap=trap) is opens
    silent = with_values(NPC, cleanout__trap_steps=None)
    assert q.cleanout_opens(silent, cleanout_in, pipe_in, trap=True) is (cleanout_in >= min(pipe_in, 4.0))


# --- loads and traps -------------------------------------------------------------------------------------------------


def test_an_open_number_of_heads_counts_as_one():
    # npc-2020: loads and traps of showers go by the heads; who asks reckons an open number himself
    assert q.fixture_load(NPC, K.SHOWER, heads=None) == q.fixture_load(NPC, K.SHOWER, heads=1)
    assert q.fixture_load(NPC, K.SHOWER, heads=2) != q.fixture_load(NPC, K.SHOWER, heads=1)
    one = q.trap_size(NPC, K.SHOWER, 1)
    assert q.trap_size(NPC, K.SHOWER, None) == q.trap_size(NPC, K.SHOWER) == one
    assert q.trap_size(NPC, K.SHOWER, 2) != one


# --- combination drain and vent --------------------------------------------------------------------------------------


def test_the_half_size_counts_as_a_step():
    # the ladder 3, 3-1/2, 4: two steps up from 3 in
    book = with_values(NPC, combination__sizes_up=2.0)
    cell = q.combination_least(book, q.branch_capacity(book, 3.0).number, building_drain=False)
    assert (cell.number, cell.unit) == (4.0, "in")


def test_one_step_above_the_largest_size_is_no_size():
    trap = q.trap_size(NPC, K.LAVATORY).number
    steps = len(LADDER_IN) - LADDER_IN.index(trap)
    with pytest.raises(NotInBook, match=f"no nominal size {steps} above"):
        q.combination_trap_least(with_values(NPC, combination__sizes_up=float(steps)), K.LAVATORY)
    last = q.combination_trap_least(with_values(NPC, combination__sizes_up=steps - 1.0), K.LAVATORY)
    assert last.number == LADDER_IN[-1]


def test_the_trap_of_a_shower_on_a_combination_drain_is_that_of_one_head():
    book = with_values(NPC, combination__sizes_up=1.0)
    assert q.combination_trap_least(book, K.SHOWER) == q.combination_trap_least(book, K.SHOWER, 1)
    assert q.combination_trap_least(book, K.SHOWER) != q.combination_trap_least(book, K.SHOWER, 2)


@pytest.mark.parametrize("lowest", [True, False])
def test_a_combination_drain_by_its_table_is_a_size_in_inches(lowest):
    cell = q.combination_least(load_book("ipc-2021"), 1.0, lowest)
    assert cell.unit == "in"
    assert cell.what == "Least combination drain"


# --- tolerances of a column ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("asked", "found"), [(0.02, True), (0.020001, True), (0.02005, False), (-40.001, True)])
def test_a_column_is_met_within_a_ten_thousandth(asked, found):
    # slopes are small, a temperature may lie below zero
    t = ladder(((0.02, 6.0), 1.0), ((-40.0, 6.0), 2.0))
    assert tables.has(only(table=t), "own", size_in=asked, load=6) is found
