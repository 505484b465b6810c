"""Every question goes to the value or table it says, in every book; sums by hand on a small book of our own."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_books import with_values

from stubout.files.books import load_book
from stubout.kinds import FixtureKind as K
from stubout.problems import NotInBook, Status
from stubout.rulebooks import queries as q
from stubout.rulebooks.frozen import Frozen
from stubout.rulebooks.members import takes
from stubout.rulebooks.tables import TURN_WORDS, size_up

BOOKS = ("npc-2020", "upc-2021", "irc-2021", "ipc-2021")
IN = 25.4

MUST = {  # question: the value it stands for; silent books raise
    q.cleanout_turn: "cleanout.turn",
    q.closet_drain_least_size: "closet.drain_least",
    q.outlet_to_trap_horizontal: "trap.outlet_horizontal_max",
    q.closet_side_clear: "closet.side_clear",
    q.closet_front_clear: "closet.front_clear",
    q.tie_in_above_rim: "vent.tie_in_above_rim",
    q.terminal_above_roof: "terminal.above_roof",
    q.terminal_frost_size: "terminal.frost_least",
    q.plate_trigger: "plate.trigger",
    q.plate_beyond: "plate.beyond",
    q.plate_thickness: "plate.thickness",
    q.test_head: "test.head",
    q.test_hold: "test.hold",
}
MAY = {  # silent books give None
    q.floor_drain_unvented_min: "floor_drain.unvented_min",
    q.closet_between: "closet.between",
    q.terminal_from_lot_line: "terminal.lot_line",
    q.plate_past_plates: "plate.past_plates",
    q.joist_bores_apart: "joist_bore.between",
    q.branch_least_from_joint: "branch_least.from_joint",
}
PAIRS = {
    q.closet_vent_reach: ("closet_arm.horizontal", "closet_arm.vertical", "closet_arm.developed"),
    q.seal_depth: ("trap.seal_lo", "trap.seal_hi"),
    q.standpipe_height: ("standpipe.height_lo", "standpipe.height_hi"),
    q.standpipe_trap_height: ("standpipe.trap_lo", "standpipe.trap_hi"),
    q.terminal_from_opening: ("terminal.opening_distance", "terminal.opening_height"),
}
PREFIXES = {
    q.cleanout_rules: "cleanout.",
    q.wet_vent_rules: "wet_vent.",
    q.circuit_vent_rules: "circuit_vent.",
    q.island_rules: "island.",
    q.aav_rules: "aav.",
    q.terminal_rules: "terminal.",
}


@pytest.fixture
def plain():
    """A book with every value of the questions above, each another number."""
    ids = [*MUST.values(), *MAY.values(), *(i for pair in PAIRS.values() for i in pair)]
    return with_values(load_book("npc-2020"), **{i.replace(".", "__"): 10.0 + k for k, i in enumerate(ids)})


@pytest.mark.parametrize(("question", "value_id"), MUST.items(), ids=MUST.values())
def test_question_to_a_value_the_book_must_have(plain, question, value_id):
    assert question(plain) == plain.values[value_id]
    with pytest.raises(NotInBook):
        question(with_values(plain, **{value_id.replace(".", "__"): None}))


@pytest.mark.parametrize(("question", "value_id"), MAY.items(), ids=MAY.values())
def test_question_to_a_value_the_book_may_have(plain, question, value_id):
    assert question(plain) == plain.values[value_id]
    assert question(with_values(plain, **{value_id.replace(".", "__"): None})) is None


@pytest.mark.parametrize(("question", "ids"), PAIRS.items(), ids=[p[0] for p in PAIRS.values()])
def test_question_to_two_values(plain, question, ids):
    assert question(plain) == tuple(plain.values[i] for i in ids)


@pytest.mark.parametrize("gone", ["standpipe__trap_lo", "standpipe__trap_hi"])
def test_standpipe_trap_needs_both_limits(plain, gone):
    assert q.standpipe_trap_height(with_values(plain, **{gone: None})) is None


@pytest.mark.parametrize(("question", "prefix"), PREFIXES.items(), ids=PREFIXES.values())
def test_rules_of_one_prefix(question, prefix):
    for book_id in BOOKS:
        book = with_values(load_book(book_id), **{f"{prefix}zz_own".replace(".", "__"): 7.0})
        rules = question(book)
        assert rules == {k.removeprefix(prefix): c for k, c in book.values.items() if k.startswith(prefix)}
        assert rules["zz_own"].number == 7.0


@pytest.mark.parametrize(
    ("question", "own", "other"),
    [
        (q.dry_rise_above_rim, "vent__dry_rise", "vent__tie_in_above_rim"),
        (q.vent_pattern_above_rim, "fitting__vent_pattern_from", "vent__tie_in_above_rim"),
        (q.tailpiece_max, "trap__tailpiece_max", "trap__outlet_pipe_max"),
    ],
)
def test_a_value_of_its_own_goes_before_the_other(plain, question, own, other):
    both = with_values(plain, **{own: 1.0, other: 2.0})
    assert question(both).number == 1.0
    assert question(with_values(both, **{own: None})).number == 2.0
    with pytest.raises(NotInBook):
        question(with_values(both, **{own: None, other: None}))


def test_frost_raises_the_terminal_only_where_it_asks_for_more(plain):
    for cold, expected in ((400.0, 400.0), (100.0, 150.0), (None, 150.0)):
        book = with_values(plain, terminal__above_roof=150.0, terminal__frost_above_roof=cold)
        assert q.terminal_above_roof(book, True).number == expected
        assert q.terminal_above_roof(book).number == 150.0


# --- so many diameters ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("question", "value_id"),
    [
        (q.arm_min_length, "trap_arm__min_diameters"),
        (q.arm_max_fall, "trap_arm__max_fall_diameters"),
        (q.floor_drain_unvented_fall, "floor_drain__unvented_fall_diameters"),
        (q.stack_foot_clear, "stack_foot__diameters"),
    ],
)
def test_so_many_diameters(plain, question, value_id):
    book = with_values(plain, stack_foot__distance=None, **{value_id: 2.0})
    cell = question(book, 1.5)
    assert (cell.number, cell.unit) == (pytest.approx(3.0 * IN), "mm")
    assert cell.printed == "2 x 1-1/2 in = 3 in (76 mm)"
    assert cell.what.endswith(", 1-1/2 in")


def test_floor_drain_without_a_rule_of_its_own_falls_as_an_arm(plain):
    book = with_values(plain, floor_drain__unvented_fall_diameters=None, trap_arm__max_fall_diameters=1.0)
    assert q.floor_drain_unvented_fall(book, 3.0) == q.arm_max_fall(book, 3.0)


def test_foot_of_a_stack_by_a_fixed_distance(plain):
    book = with_values(plain, stack_foot__distance=1500.0, stack_foot__diameters=10.0)
    assert q.stack_foot_clear(book, 3.0).number == 1500.0


@pytest.mark.parametrize(
    ("load_from", "storeys_from", "load", "storeys", "applies"),
    [
        (None, None, 1, 1, True),
        (30.0, None, 30, 9, True),
        (30.0, None, 29.5, 9, False),
        (None, 3.0, 99, 3, True),
        (None, 3.0, 99, 2, False),
        (30.0, 3.0, 30, 1, True),
        (30.0, 3.0, 1, 3, True),
        (30.0, 3.0, 29, 2, False),
    ],
)
def test_when_the_foot_of_a_stack_is_kept_clear(plain, load_from, storeys_from, load, storeys, applies):
    book = with_values(plain, stack_foot__load_from=load_from, stack_foot__storeys_from=storeys_from)
    assert q.stack_foot_applies(book, load, storeys) is applies


# --- fittings and turns -----------------------------------------------------------------------------------------------

SAME = {
    "quarter bend": "1/4 bend", "street 1/4 bend": "1/4 bend", "street 1/6 bend": "1/6 bend",
    "street 1/8 bend": "1/8 bend", "street 1/16 bend": "1/16 bend", "long sweep": "long-turn 1/4 bend",
    "long sweep 1/4 bend": "long-turn 1/4 bend", "long-turn street 1/4 bend": "long-turn 1/4 bend",
    "combination wye + 1/8 bend": "combination", "combination wye and 1/8 bend": "combination",
    "reducing wye": "wye", "double fixture fitting": "double combination",
}  # fmt: skip


@pytest.mark.parametrize("name", SAME)
@pytest.mark.parametrize("turn", ["h-v", "v-h", "h-h"])
def test_a_fitting_of_another_name_is_judged_as_what_it_is(name, turn):
    asked = 0
    for book_id in BOOKS:
        book = load_book(book_id)
        try:
            one = q.fitting_allowed(book, SAME[name], turn, size_in=2.0, fixture_drain=False)
        except NotInBook:
            continue
        asked += 1
        other = q.fitting_allowed(book, name, turn, size_in=2.0, fixture_drain=False)
        assert (other.value, other.section) == (one.value, one.section)
        assert other.what.startswith(f"{name}, ")
        assert other.what.endswith(TURN_WORDS[turn])
    assert asked


@pytest.mark.parametrize(
    ("text", "size_in", "fixture_drain", "allowed"),
    [
        ("yes", 2.0, False, True),
        ("no", 2.0, True, False),
        ("fixture drain", 2.0, True, True),
        ("fixture drain", 2.0, False, False),
        ("fixture drain to 2 in", 2.0, True, True),
        ("fixture drain to 2 in", 3.0, True, False),
        ("fixture drain to 2 in", 1.5, False, False),
        ("3 in and larger", 3.0, False, True),
        ("3 in and larger", 2.0, False, False),
        ("fixture drain to 2 in; 3 in and larger", 3.0, False, True),
        ("fixture drain to 2 in; 3 in and larger", 2.0, True, True),
        ("fixture drain to 2 in; 3 in and larger", 2.0, False, False),
    ],
)
def test_words_of_a_fitting_rule(text, size_in, fixture_drain, allowed):
    book = load_book("npc-2020")
    t = book.tables["fitting_turn"]
    rows = tuple(replace(r, cell=replace(r.cell, value=text)) if r.cell else r for r in t.rows)
    book = replace(book, tables=Frozen({**book.tables, "fitting_turn": replace(t, rows=rows)}))
    row = next(r for r in t.rows if r.cell)
    names = [n for n, _ in t.inputs]
    at = dict(zip(names, row.inputs, strict=True))
    cell = q.fitting_allowed(book, at["pattern"], at["turn"], size_in=size_in, fixture_drain=fixture_drain)
    assert cell.value is allowed


def test_turns_of_an_arm_by_closet_and_other(npc):
    closet, other = q.arm_max_turn(npc, K.WATER_CLOSET, 3.0), q.arm_max_turn(npc, K.LAVATORY, 1.5)
    assert closet.ids[0].startswith("trap_arm_turn[closet")
    assert other.ids[0].startswith("trap_arm_turn[other")
    assert closet.what == "Turns of a trap arm together, water closet, 3 in"


@pytest.mark.parametrize(
    ("inlet_in", "barrel_in", "printed"),
    [(1.25, 2.0, "2 in"), (1.5, 2.5, "2-1/2 in"), (2.0, 3.0, "3 in"), (3.0, 5.0, "5 in")],
)
def test_barrel_of_a_double_sanitary_tee(inlet_in, barrel_in, printed):
    """UPC 706.2 (a field guide of about 1997-2000): two pipe sizes over the largest inlet, 3-1/2 in not counted."""
    cell = q.double_tee_barrel(load_book("upc-2021"), inlet_in)
    assert (cell.number, cell.unit, cell.section, cell.status) == (barrel_in, "in", "706.2", Status.SECONDARY)
    assert cell.printed.startswith(f"{printed} (two pipe sizes over ")
    for other in ("npc-2020", "ipc-2021", "irc-2021"):
        assert q.double_tee_barrel(load_book(other), inlet_in) is None


# --- slopes offered ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("book_id", BOOKS)
@pytest.mark.parametrize("size_in", [1.25, 1.5, 2.0, 3.0, 4.0])
def test_slopes_offered_are_those_of_the_table_from_the_least_on(book_id, size_in):
    book = load_book(book_id)
    least = q.min_slope(book, size_in).number
    held = {
        float(r.inputs[1]) for r in book.tables["building_drain"].rows if r.cell is not None and r.inputs[0] == size_in
    }
    offered = q.slopes_offered(book, size_in)
    assert [c.number for c in offered] == (sorted(s for s in held if s >= least - 1e-6) or [least])
    assert all(c.unit == "m/m" for c in offered)


# --- who is meant -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "lavatory", "closet"),
    [
        ("only lavatory, shower", True, False),
        ("not water closet", True, False),
        ("not lavatory", False, True),
        ("any", True, True),
    ],
)
def test_words_for_fixtures(npc, text, lavatory, closet):
    cell = replace(next(iter(npc.values.values())), value=text)
    assert (takes(cell, K.LAVATORY), takes(cell, K.WATER_CLOSET)) == (lavatory, closet)


@pytest.mark.parametrize("text", ["some lavatory", "only sofa", ""])
def test_other_words_are_refused(npc, text):
    with pytest.raises(NotInBook):
        takes(replace(next(iter(npc.values.values())), value=text), K.LAVATORY)


# --- what the trade leaves --------------------------------------------------------------------------------------------


def test_nut_and_washer_in_both_units():
    inch, mm = q.trap_entry_drop("inch"), q.trap_entry_drop("mm")
    assert (inch.number, inch.printed, mm.number, mm.printed) == (50.8, "2 in", 50.0, "50 mm")
    assert {inch.unit, mm.unit} == {"mm"}
    assert {inch.id, mm.id} == {"trade.trap_entry_drop"}
    assert (mm.book, mm.section, mm.status) == ("trade", "", Status.ESTIMATE)
    assert q.trap_entry_drop() == mm


# --- drains that vent what joins them ---------------------------------------------------------------------------------


def test_combination_by_steps_over_a_plain_branch(plain):
    book = with_values(plain, combination__sizes_up=2.0)
    capacity = q.branch_capacity(book, 1.5).number
    cell = q.combination_least(book, capacity, False)
    assert (cell.number, cell.unit) == (size_up(1.5, 2), "in")
    assert q.combination_least(book, capacity + 0.5, False).number > cell.number
    assert cell.printed == "2-1/2 in (1-1/2 in and <2.0>)"
    with pytest.raises(NotInBook, match="no branch carries"):
        q.combination_least(book, 1e9, False)
    with pytest.raises(NotInBook, match="no nominal size"):
        q.combination_trap_least(with_values(plain, combination__sizes_up=20.0), K.LAVATORY)


def test_combination_trap_counts_the_half_size(plain):
    # the ladder 3, 3-1/2, 4: one step up from 3 in gives 4, since no drain is made in 3-1/2
    trap = q.trap_size(plain, K.FLOOR_DRAIN).number
    assert q.combination_trap_least(with_values(plain, combination__sizes_up=1.0), K.FLOOR_DRAIN).number == (
        4.0 if trap == 3.0 else size_up(trap)
    )
    with pytest.raises(NotInBook):
        q.combination_trap_least(with_values(plain, combination__sizes_up=None), K.FLOOR_DRAIN)


@pytest.mark.parametrize("book_id", ["ipc-2021", "irc-2021"])
def test_combination_by_its_own_table(book_id):
    book = load_book(book_id)
    for lowest, name in ((True, "combination_building_drain"), (False, "combination_branch")):
        rows = [r for r in book.tables[name].rows if r.cell is not None]
        for r in rows:
            cell = q.combination_least(book, r.cell.number, lowest)
            assert cell.number <= float(r.inputs[0])
            assert cell.number == min(float(x.inputs[0]) for x in rows if x.cell.number >= r.cell.number)
