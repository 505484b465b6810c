"""Vents: which rule decides, at its limits. Sums by hand; tables are the books' own, read row by row."""

from __future__ import annotations

import math

import pytest
from small_books import cells_of, with_values

from stubout.files.books import load_book
from stubout.kinds import FixtureKind as K
from stubout.problems import NotInBook
from stubout.rulebooks import queries as q
from stubout.rulebooks.tables import next_size, size_text, size_up

FT = 304.8


# --- the least vent ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("book_id", ["irc-2021", "ipc-2021", "upc-2021"])
@pytest.mark.parametrize(
    ("drain_in", "least"), [(1.25, 1.25), (2.0, 1.25), (2.5, 1.25), (3.0, 1.5), (4.0, 2.0), (6.0, 3.0)]
)
def test_half_the_drain_and_1_1_4_at_least(book_id, drain_in, least):
    # IRC P3113.1, IPC 906.2, UPC 904.1: half the drain served, 1-1/4 in at least
    cell = q.vent_least_size(load_book(book_id), trap_in=9.0, drain_in=drain_in)
    assert (cell.number, cell.unit) == (least, "in")
    assert cell.printed == f"{size_text(least)} (half of {size_text(drain_in)}, 1-1/4 in at least)"
    assert cell.what == f"Least vent of a {size_text(drain_in)} drain"
    assert set(cell.ids) == {"vent.half_drain", "vent.least_size"}


def test_by_the_trap_in_canada():
    book = load_book("npc-2020")
    for inputs, cell in cells_of(book, "vent_by_trap"):
        assert q.vent_least_size(book, trap_in=inputs["trap_in"], drain_in=15.0).number == cell.number


def test_a_closet_may_ask_for_more():
    book = with_values(load_book("irc-2021"), vent__closet_least=2.0)
    ask = {"trap_in": 3.0, "drain_in": 3.0}
    assert q.vent_least_size(book, **ask, kind=K.WATER_CLOSET).number == 2.0
    assert q.vent_least_size(book, **ask, kind=K.LAVATORY).number == 1.5
    assert q.vent_least_size(book, **ask).number == 1.5
    less = with_values(book, vent__closet_least=1.25)
    assert q.vent_least_size(less, **ask, kind=K.WATER_CLOSET).number == 1.5
    none = with_values(book, vent__closet_least=None)
    assert q.vent_least_size(none, **ask, kind=K.WATER_CLOSET).number == 1.5


# --- half the drain, longer one size up -------------------------------------------------------------------------------


@pytest.mark.parametrize(("length_ft", "size_in"), [(39.9, 1.5), (40.0, 1.5), (40.1, 2.0)])
@pytest.mark.parametrize("stack", [True, False])
def test_residential_vent_over_40_ft(length_ft, size_in, stack):
    # P3113.1: longer than 40 ft, one size larger over the whole length
    book = load_book("irc-2021")
    ask = {"load": 6.0, "stack": stack, "stack_in": 3.0}
    cell = q.vent_capacity(book, length_mm=length_ft * FT, **ask)
    assert (cell.number, cell.unit) == (size_in, "in")
    if size_in == 2.0:
        assert cell.printed.startswith("2 in (over 40 ft")
        assert cell.printed.endswith(": one size larger)")
        assert "vent.long_from" in cell.ids
        assert "vent.long_steps" in cell.ids


def test_the_drain_served_goes_before_the_stack():
    book = load_book("irc-2021")
    ask = {"load": 6.0, "length_mm": 100.0, "stack": False, "stack_in": 3.0}
    assert q.vent_capacity(book, **ask).number == 1.5
    assert q.vent_capacity(book, **ask, drain_in=4.0).number == 2.0


def test_international_stack_vents_go_by_their_table_and_others_by_half():
    book = load_book("ipc-2021")
    assert q.vent_capacity(book, load=6.0, length_mm=100.0, stack=False, stack_in=4.0).number == 2.0
    by_table = q.vent_capacity(book, load=60.0, length_mm=25 * FT, stack=True, stack_in=4.0)
    assert by_table.number == 2.0  # 27 ft in 2 in (worked example O2)
    assert "dfu)" in by_table.printed
    assert by_table.what == "Least vent for load and length"
    longer = q.vent_capacity(book, load=60.0, length_mm=28 * FT, stack=True, stack_in=4.0)
    assert longer.number > 2.0


def test_canadian_vents_by_their_two_tables():
    book = load_book("npc-2020")
    for name, stack in (("vent_length", False), ("stack_vent_length", True)):
        for inputs, cell in cells_of(book, name):
            if not math.isfinite(cell.number):
                continue
            more = {"stack": stack, "stack_in": inputs.get("stack_in", 4.0), "load": inputs["load"]}
            got = q.vent_capacity(book, length_mm=cell.number, **more)
            assert got.number <= max(inputs["vent_in"], inputs.get("stack_in", 0.0) / 2)
            longest = q.vent_max_length(book, vent_in=inputs["vent_in"], **more)
            assert longest is not None
            assert longest.number == cell.number


def test_a_stack_vent_may_be_a_part_of_its_stack():
    book = with_values(load_book("npc-2020"), vent__stack_fraction=0.6)
    ask = {"load": 6.0, "length_mm": 100.0, "stack": True, "stack_in": 4.0}
    cell = q.vent_capacity(book, **ask)
    assert (cell.number, cell.unit, cell.what) == (2.5, "in", "Least stack vent")  # 2.4 in and so 2-1/2
    assert "of 4 in" in cell.printed
    by_table = q.vent_capacity(with_values(book, vent__stack_fraction=None), **ask)
    small = q.vent_capacity(with_values(book, vent__stack_fraction=0.5), **ask)
    assert small.number == by_table.number == 2.0  # equal: the table speaks
    assert small.what == "Least vent for load and length"


# --- one table of loads and lengths -----------------------------------------------------------------------------------

UPC = "upc-2021"


@pytest.mark.parametrize(
    ("load", "length_ft", "flat_ft", "size_in"),
    # table 703.2: 1-1/4 in carries 1 DFU over 45 ft, 1-1/2 in 8 over 60 ft, 2 in 24 over 120 ft; a third may lie
    [
        (1, 45, 15, 1.25), (1, 45.1, 0, 1.5), (1, 45, 15.1, 1.5), (8, 60, 20, 1.5), (8, 60.1, 0, 2.0),
        (8.5, 120, 40, 2.0), (24, 120, 40.1, 2.5),
    ],
)  # fmt: skip
def test_uniform_vent_at_its_limits(load, length_ft, flat_ft, size_in):
    ask = {"stack": False, "stack_in": 3.0}
    cell = q.vent_capacity(load_book(UPC), load=load, length_mm=length_ft * FT, horizontal_mm=flat_ft * FT, **ask)
    assert (cell.number, cell.unit) == (size_in, "in")
    assert f"({load:g} DFU, {length_ft:.0f} ft" in cell.printed
    assert cell.what == "Least vent for load and length"


def test_without_the_lift_the_next_size_that_is_long_enough():
    book = with_values(load_book(UPC), vent__horizontal_lift=None)
    ask = {"stack": False, "stack_in": 3.0, "load": 1.0}
    cell = q.vent_capacity(book, length_mm=100 * FT, **ask)
    assert (cell.number, cell.printed) == (2.0, "2 in (1 DFU, 100 ft)")
    assert q.vent_capacity(book, length_mm=45 * FT, horizontal_mm=16 * FT, **ask).number == 1.5
    with pytest.raises(NotInBook, match="no size suffices for 1 DFU"):
        q.vent_capacity(book, length_mm=1e9, **ask)
    free = with_values(book, vent__horizontal_part=None)  # all of it may lie
    assert q.vent_capacity(free, length_mm=45 * FT, horizontal_mm=45 * FT, **ask).number == 1.25
    assert q.vent_capacity(free, length_mm=45 * FT, horizontal_mm=46 * FT, **ask).number == 1.5


def test_longest_vent_of_a_size():
    for inputs, cell in cells_of(load_book(UPC), "vent_max_length"):
        got = q.vent_max_length(load_book(UPC), vent_in=inputs["vent_in"], load=1.0, stack=True, stack_in=3.0)
        assert got == cell
    assert q.vent_max_length(load_book("irc-2021"), vent_in=1.5, load=1.0, stack=False, stack_in=3.0) is None


# --- wet vents --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("book_id", ["npc-2020", "upc-2021", "irc-2021", "ipc-2021"])
def test_wet_vent_of_every_row(book_id):
    book = load_book(book_id)
    rows = cells_of(book, "wet_vent")
    by_closets = {i["closets"] for i, _ in rows} != {0.0}
    floor = book.find("wet_vent.least")
    for inputs, cell in rows:
        closets = int(inputs["closets"])
        load = {"other_load": cell.number, "load": 999.0} if closets else {"load": cell.number, "other_load": 999.0}
        got = q.wet_vent_size(book, closets=closets, **load)
        assert got.number == max(inputs["size_in"], floor.number if floor else 0.0)
        assert got.unit == "in"
        if not by_closets:  # one column for all: closets count with the rest
            assert q.wet_vent_size(book, closets=2, **load) == got
    with pytest.raises(NotInBook):
        q.wet_vent_size(book, closets=99 if by_closets else 0, load=1e9, other_load=1e9)


def test_wet_vent_says_how_much_it_takes():
    cell = q.wet_vent_size(load_book("npc-2020"), load=3.0, closets=1, other_load=3.0)
    assert (cell.printed, cell.what) == ("2 in (up to 3 FU)", "Least wet vent")  # worked example D2
    floor = with_values(load_book("npc-2020"), wet_vent__least=4.0)
    assert q.wet_vent_size(floor, load=3.0, closets=1, other_load=3.0).ids == ("wet_vent.least",)


# --- the one open vent ------------------------------------------------------------------------------------------------


def test_vent_of_the_building_drain():
    book = load_book("irc-2021")
    fixed = with_values(book, vent__building_drain_least=3.0)
    assert q.building_vent_least(fixed, 4.0).number == 3.0
    half = with_values(book, vent__building_drain_least=None, vent__building_drain_fraction=0.5, vent__least_size=1.25)
    for drain_in, least in ((2.0, 1.25), (3.0, 1.5), (4.0, 2.0), (5.0, 2.5)):
        cell = q.building_vent_least(half, drain_in)
        assert (cell.number, cell.unit) == (least, "in")
        assert cell.printed == f"{size_text(least)} (half of the required {size_text(drain_in)})"
        assert cell.what == "Vent of the building drain to open air"
        assert set(cell.ids) == {"vent.building_drain_fraction", "vent.least_size"}
    none = with_values(half, vent__building_drain_fraction=None)
    assert q.building_vent_least(none, 4.0) is None


def test_sizes_of_the_trade():
    # nominal sizes as the tables of the books have them, one above the other
    assert [size_up(1.25, k) for k in range(12)] == [1.25, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15]
    assert [next_size(x) for x in (0.5, 1.25, 1.26, 3.0, 3.2, 15.0)] == [1.25, 1.25, 1.5, 3.0, 4.0, 15.0]
    assert (size_up(3.0), size_up(2.6), size_up(2.0, 2), size_up(12.0)) == (4.0, 4.0, 3.0, 15.0)
    with pytest.raises(NotInBook):
        next_size(15.1)
    with pytest.raises(NotInBook):
        size_up(15.0)


@pytest.mark.parametrize(
    ("part", "said"),
    [(0.5, "half"), (2 / 3, "2/3"), (0.75, "3/4"), (0.37, "0.37"), (0.376, "0.376"), (10 / 17, "0.588235")],
)
def test_the_part_of_a_size_is_said_as_it_is(part, said):
    book = load_book("ipc-2021")
    fixed = with_values(book, vent__building_drain_least=None, vent__building_drain_fraction=part)
    assert f"({said} of the required 4 in)" in q.building_vent_least(fixed, 4.0).printed
    if part > 0.5:  # less is no more than the table asks for a stack of 8 in anyway
        stack = with_values(book, vent__stack_fraction=part)
        cell = q.vent_capacity(stack, load=1.0, length_mm=1000.0, stack=True, stack_in=8.0)
        assert f"({said} of 8 in)" in cell.printed
    assert (
        f"({said} of 4 in,"
        in q.vent_least_size(with_values(book, vent__half_drain=part), trap_in=2.0, drain_in=4.0).printed
    )


# --- hairs -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("length_ft", "flat_ft", "size_in"), [(45 + 0.5 / FT, 0, 1.5), (45, 15 + 0.5 / FT, 1.5), (400, 0, 1.5)]
)
def test_uniform_vent_half_a_millimetre_over(length_ft, flat_ft, size_in):
    # table 703.2: 45 ft in 1-1/4 in, a third of it lying; one size larger lifts both limits (904.2)
    ask = {"load": 1.0, "stack": False, "stack_in": 3.0}
    cell = q.vent_capacity(load_book(UPC), length_mm=length_ft * FT, horizontal_mm=flat_ft * FT, **ask)
    assert cell.number == size_in
    assert f"(1 DFU, {length_ft:.0f} ft;" in cell.printed


def test_a_vent_of_which_nothing_is_said_to_lie_stands_upright():
    book = with_values(load_book(UPC), vent__horizontal_part=0.0)  # invented: nothing may lie
    ask = {"load": 1.0, "length_mm": 3000.0, "stack": False, "stack_in": 3.0}
    assert q.vent_capacity(book, **ask).number == 1.25
    assert q.vent_capacity(book, **ask, horizontal_mm=1.0).number == 1.5


def test_among_equals_the_general_rule_is_named():
    book = load_book("irc-2021")  # half of a 3 in drain: 1-1/2 in
    same = with_values(book, vent__closet_least=1.5)
    ids = q.vent_least_size(same, trap_in=3.0, drain_in=3.0, kind=K.WATER_CLOSET).ids
    assert set(ids) == {"vent.half_drain", "vent.least_size"}
    wet = with_values(load_book("npc-2020"), wet_vent__least=2.0)
    assert q.wet_vent_size(wet, load=3.0, closets=1, other_load=3.0).printed == "2 in (up to 3 FU)"
    frost = with_values(book, terminal__above_roof=150.0, terminal__frost_above_roof=150.0)
    assert q.terminal_above_roof(frost, True).id == "terminal.above_roof"


def test_vents_by_a_table_are_sizes_in_inches():
    ask = {"load": 6.0, "length_mm": 100.0, "stack": False, "stack_in": 3.0}
    assert q.vent_capacity(load_book("npc-2020"), **ask).unit == "in"
    unlifted = with_values(load_book(UPC), vent__horizontal_lift=None)
    assert q.vent_capacity(unlifted, **ask | {"load": 1.0, "length_mm": 100 * FT}).unit == "in"
