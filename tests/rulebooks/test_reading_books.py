"""From the words of a book file to its records, every field by hand, and every refusal in words."""

from __future__ import annotations

import math
from typing import Any

import pytest
from small_books import CELL

from stubout.problems import NotInBook, RuleBookError, Status
from stubout.rulebooks import parse, parse_table
from stubout.rulebooks.model import Asked, Cell, RuleBook, ValueKind
from stubout.rulebooks.overlay import Amend, Confirm

KINDS = {
    "drop.least": ValueKind("drop.least", "Least drop", "mm"),
    "drop.asked": ValueKind("drop.asked", "A drop is asked", "bool"),
    "drop.shape": ValueKind("drop.shape", "Shape of the drop", "", ("round", "flat")),
    "drop.rule": ValueKind("drop.rule", "Rule of the drop", ""),
}


def refused(message: str) -> Any:
    return pytest.raises(RuleBookError, match=message)


# --- units -----------------------------------------------------------------------------------------------------------

UNITS = [  # as the page has it, how much that is inside, and how 2 of them are printed
    ("mm", "mm", 1.0, "2 mm"), ("m", "mm", 1000.0, "2 m"), ("inch", "mm", 25.4, "2 in"), ("ft", "mm", 304.8, "2 ft"),
    ("in/ft", "m/m", 1 / 12, "2 in/ft"), ("in", "in", 1.0, "2 in"), ("FU", "FU", 1.0, "2 FU"),
    ("DFU", "FU", 1.0, "2 DFU"), ("dfu", "FU", 1.0, "2 dfu"), ("deg", "deg", 1.0, "2 deg"), ("1", "1", 1.0, "2"),
    ("min", "min", 1.0, "2 min"), ("kPa", "kPa", 1.0, "2 kPa"), ("gpm", "gpm", 1.0, "2 gpm"), ("F", "F", 1.0, "2 F"),
]  # fmt: skip


@pytest.mark.parametrize(("given", "unit", "factor", "printed"), UNITS, ids=[u[0] for u in UNITS])
def test_a_number_of_the_page_in_the_unit_inside(given, unit, factor, printed):
    # an inch is 25.4 mm and a foot 304.8 mm by definition
    assert parse.convert(3.0, given, "x") == (pytest.approx(3.0 * factor), unit)
    assert parse.print_given(2.0, given) == printed


def test_a_slope_of_one_in_n_and_other_prints():
    assert parse.convert(50.0, "1:n", "x") == (0.02, "m/m")
    assert parse.print_given(50.0, "1:n") == "1:50"
    assert parse.print_given(0.25, "in/ft") == "1/4 in/ft"
    assert parse.print_given(1.25, "in") == "1-1/4 in"
    assert parse.print_given(2.5, "") == "2.5"
    assert parse.print_given(math.inf, "mm") == "not limited"


def test_a_unit_nobody_knows_is_named_with_all_there_are():
    names = ", ".join(u[0] for u in UNITS)
    with refused(f"^x: unit 'ell', wanted one of {names}, 1:n$"):
        parse.convert(1.0, "ell", "x")
    with refused(f"^x: unit 'ell' of an input, wanted one of {names}, 1:n or none$"):
        parse_table._input({"name": "a", "unit": "ell"}, "x")


@pytest.mark.parametrize("unit", ["mm", "m/m", "in", "FU", "deg", "1", "min", "kPa", "gpm", "F", "bool", ""])
def test_units_a_value_may_have(unit):
    raw = {"value": {"a.b": {"what": "A", "unit": unit, "choices": ["x", "y"]}}}
    assert parse.vocabulary(raw, "v") == {"a.b": ValueKind("a.b", "A", unit, ("x", "y"))}
    del raw["value"]["a.b"]["choices"]
    assert parse.vocabulary(raw, "v")["a.b"].choices == ()


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        ({}, "^v: 'value' is missing$"),
        ({"value": {"a": {"what": "A", "unit": "ell"}}}, "^v: a: unit 'ell', wanted one of mm, m/m, .*, bool, $"),
        ({"value": {"a": {"unit": "mm"}}}, "^v: a: 'what' is missing$"),
        ({"value": {"a": {"what": "A"}}}, "^v: a: 'unit' is missing$"),
        ({"value": {"a": {"waht": "A"}}}, "^v: a: unknown key waht; wanted what, unit, choices$"),
    ],
)
def test_a_broken_vocabulary_is_named(raw, message):
    with refused(message):
        parse.vocabulary(raw, "v")


# --- single values, clauses, head ------------------------------------------------------------------------------------


def value(value_id: str, **entry: Any) -> Cell:
    said = {"section": "1.2", "status": "read", **entry}
    return parse.values({value_id: said}, "b", KINDS, "v")[value_id]


def test_a_value_with_all_it_may_say():
    cell = value("drop.least", **{"is": 2}, given="ft", printed="two feet", note="N", via="W")
    assert cell == Cell("drop.least", "Least drop", 609.6, "mm", "two feet", "b", "1.2", Status.READ, "N; via W")


def test_a_value_says_itself_where_nothing_is_printed():
    assert value("drop.least", **{"is": 40}) == Cell(
        "drop.least", "Least drop", 40.0, "mm", "40 mm", "b", "1.2", Status.READ
    )
    yes, no = value("drop.asked", **{"is": True}), value("drop.asked", **{"is": False})
    assert (yes.value, yes.printed, yes.unit) == (True, "yes", "")
    assert (no.value, no.printed, no.unit) == (False, "no", "")
    shape = value("drop.shape", **{"is": "flat"}, via="W")
    assert (shape.value, shape.printed, shape.unit, shape.note) == ("flat", "flat", "", "via W")


@pytest.mark.parametrize(
    ("value_id", "entry", "message"),
    [
        ("drop.least", {"is": True}, "^v: drop.least: True, wanted a number$"),
        ("drop.least", {"is": "2"}, "^v: drop.least: '2', wanted a number$"),
        ("drop.least", {"is": 2, "given": "kPa"}, "given in kPa, wanted a unit that becomes mm$"),
        ("drop.asked", {"is": 1}, "^v: drop.asked: 1, wanted true or false$"),
        ("drop.shape", {"is": "oval"}, "^v: drop.shape: 'oval', wanted round, flat$"),
        ("drop.rule", {"is": 2}, "^v: drop.rule: 2, wanted words$"),
        ("drop.least", {}, "^v: drop.least: 'is' is missing$"),
        ("drop.least", {"is": 2, "status": "sure"}, "status 'sure', wanted one of read, secondary, derived, estimate"),
        ("drop.most", {"is": 2}, "^v: drop.most: id is not in the vocabulary$"),
        ("drop.least", {"is": 2, "si": 2}, "unknown key si; wanted is, given, printed, section, status, note, via$"),
    ],
)  # fmt: skip
def test_a_broken_value_is_named(value_id, entry, message):
    with refused(message):
        value(value_id, **entry)


@pytest.mark.parametrize("key", ["section", "status"])
def test_a_value_needs_its_source(key):
    raw = {"is": 2, "section": "1", "status": "read"}
    del raw[key]
    with refused(f"^v: drop.least: '{key}' is missing$"):
        parse.values({"drop.least": raw}, "b", KINDS, "v")


@pytest.mark.parametrize("word", ["read", "derived", "secondary", "estimate", "memory"])
def test_a_status_that_may_be_shipped(word):
    assert parse.status_of(word, "x").value == word


@pytest.mark.parametrize("word", ["job", "confirmed"])
def test_the_users_own_are_never_shipped(word):
    with refused(f"^x: status '{word}', wanted one of "):
        parse.status_of(word, "x")


def test_a_clause_with_its_note_or_without():
    said = {"section": "1.2", "status": "memory", "rule": "keep it dry"}
    one = parse.clauses({"DRN001": said}, "b", "c")["DRN001"]
    assert one == Cell("DRN001", "DRN001", "keep it dry", "", "keep it dry", "b", "1.2", Status.MEMORY, "")
    assert parse.clauses({"DRN001": {**said, "note": "N"}}, "b", "c")["DRN001"].note == "N"
    for key in said:
        with refused(f"^c: DRN001: '{key}' is missing$"):
            parse.clauses({"DRN001": {k: v for k, v in said.items() if k != key}}, "b", "c")
    with refused("^c: DRN001: unknown key ruel; wanted section, status, rule, note$"):
        parse.clauses({"DRN001": {**said, "ruel": ""}}, "b", "c")


HEAD = {"id": "b", "title": "B", "edition": "1", "family": "n"}


@pytest.mark.parametrize("family", ["n", "u", "i", "framing"])
def test_a_head_with_all_it_may_say(family):
    more = dict.fromkeys(("schema", "load_unit", "parents", "note", "law", "without", "follows"), 1)
    raw = HEAD | more | {"family": family}
    assert parse.head(raw, "h") == raw
    assert parse.family(raw) == family


@pytest.mark.parametrize("key", HEAD)
def test_a_head_needs(key):
    with refused(f"^h: '{key}' is missing$"):
        parse.head({k: v for k, v in HEAD.items() if k != key}, "h")


def test_a_family_nobody_knows():
    with refused("^h: family 'x', wanted one of n, u, i, framing$"):
        parse.head(HEAD | {"family": "x"}, "h")


# --- records ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("value", [True, "long"])
def test_what_is_no_number_is_not_read_as_one(value):
    with pytest.raises(NotInBook, match=r"not a number$"):
        _ = Cell("a", "A", value, "", "", "b", "", Status.READ).number
    assert CELL.number == float(CELL.value)


def test_what_a_record_takes_where_nothing_is_said():
    assert Amend("a", "1 m", "c", "d", "e").line == Confirm("a", "1 m", "d", "e").line == 0
    assert Asked("a", "A", "how?", "c", "b", None, "none").line == 0
    book = RuleBook("b", "B", "1", "n", {}, {}, {})
    assert (book.load_unit, book.strict, book.parents, book.unanswered) == ("FU", False, (), None)
