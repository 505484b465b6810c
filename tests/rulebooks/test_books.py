"""The books as wholes: heads, parents, vocabulary, and no words that do not belong in them."""

from __future__ import annotations

import ast
import copy
import pickle
import re
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

import stubout
from stubout.files.books import book_ids, known_values, load_book
from stubout.problems import NotInBook, RuleBookError, Status
from stubout.rulebooks import parse, parse_table
from stubout.rulebooks.model import RuleBook

DATA = files("stubout.rulebooks") / "data"
BOOKS = ("ipc-2021", "irc-2021", "irc-framing-2021", "nbc-9.23.5", "npc-2020", "upc-2021")


def test_books_shipped() -> None:
    assert book_ids() == BOOKS


@pytest.mark.parametrize("book_id", BOOKS)
def test_book_loads_once_and_says_who_amends_it(book_id: str) -> None:
    book = load_book(book_id)
    assert load_book(book_id) is book
    assert book.id == book_id
    assert book.edition
    assert book.values
    assert book.clauses
    assert book.note


@pytest.mark.parametrize("book_id", BOOKS)
def test_every_cell_has_source_status_and_words(book_id: str) -> None:
    book = load_book(book_id)
    cells = [*book.values.values(), *(r.cell for t in book.tables.values() for r in t.rows if r.cell is not None)]
    for cell in [*cells, *book.clauses.values()]:
        assert cell.what
        assert cell.printed
        assert cell.status is not Status.JOB
        assert cell.book in BOOKS
        # a value without a section is common practice or said to come from elsewhere
        assert (
            cell.section
            or "no code source" in cell.note
            or "via" in cell.note
            or "makers" in cell.note
            or (cell.status is Status.MEMORY)
        ), cell


@pytest.mark.parametrize("book_id", BOOKS)
def test_no_address_or_host_name(book_id: str) -> None:
    pattern = re.compile(r"https?:|www\.|\.(com|org|gov|net|ca)\b", re.IGNORECASE)
    for path in sorted((DATA / book_id).iterdir(), key=lambda p: p.name):
        paths = sorted(path.iterdir(), key=lambda p: p.name) if path.is_dir() else [path]
        for one in paths:
            assert not pattern.search(one.read_text(encoding="utf-8")), one


def test_same_table_has_same_inputs_in_every_book() -> None:
    seen: dict[str, tuple[Any, ...]] = {}
    for book_id in BOOKS:
        for table_id, t in load_book(book_id).tables.items():
            assert seen.setdefault(table_id, t.inputs) == t.inputs, (book_id, table_id)


def test_unknown_book_is_named_with_the_nearest() -> None:
    with pytest.raises(RuleBookError, match=r"no rule book 'npc-2010'.*did you mean 'npc-2020'"):
        load_book("npc-2010")


def test_parent_answers_where_the_residential_code_is_silent(irc: RuleBook) -> None:
    assert irc.parents == ("ipc-2021",)
    assert irc.value("cleanout.face_depth").book == "ipc-2021"
    assert irc.value("test.head").book == "irc-2021"
    assert irc.tables["trap_arm"].book == "irc-2021"
    assert irc.tables["cleanout_clearance"].book == "ipc-2021"


def test_residential_code_leaves_parent_rules_away_on_purpose(irc: RuleBook, ipc: RuleBook) -> None:
    """Stack vents by half size, no 3 in washer branch: i-family reference, sections 6.1 and 14."""
    for table_id in ("stack_vent_length", "branch_least", "stack_storey"):
        assert table_id in ipc.tables
        assert table_id not in irc.tables


def test_silent_book_raises(npc: RuleBook) -> None:
    with pytest.raises(NotInBook, match=r"npc-2020 does not say: .* \(plate.trigger\)"):
        npc.value("plate.trigger")
    assert npc.find("plate.trigger") is None


def test_every_value_id_named_in_the_program_is_known() -> None:
    """A misspelt id would read as a silent book; this finds it."""
    known = set(known_values())
    pattern = re.compile(r"^[a-z_]+\.[a-z_]+$")
    unknown = []
    for path in sorted(Path(stubout.__file__).parent.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Attribute)
                and node.func.attr in ("find", "value")
                and node.args
            ):
                for word in ast.walk(node.args[0]):
                    text = word.value if isinstance(word, ast.Constant) else None
                    if isinstance(text, str) and pattern.match(text) and text not in known:
                        unknown.append((path.name, text))
    assert unknown == []


GOOD: dict[str, Any] = {
    "schema": 1,
    "id": "t",
    "title": "T",
    "inputs": [{"name": "size_in", "unit": "in", "match": "exact"}],
    "output": {"name": "load", "unit": "FU"},
    "outside": "error",
    "rows": [{"size_in": 1.5, "is": 3}, {"size_in": 2.0, "is": 6}],
    "source": {"section": "1", "status": "secondary", "control": {"rows": 2, "sum": 9}},
}


def test_good_table_is_read() -> None:
    t = parse_table.table(GOOD, "b", "t.toml")
    assert [r.cell.printed for r in t.rows if r.cell] == ["3 FU", "6 FU"]


def test_table_of_words_is_read() -> None:
    """A table may answer with one of some words; another word than these is refused."""
    words = GOOD | {
        "output": {"name": "shape", "unit": "", "choices": ["wye", "tee"]},
        "rows": [{"size_in": 1.5, "is": "wye"}, {"size_in": 2.0, "is": "tee"}],
        "source": {"section": "1", "status": "secondary", "control": {"rows": 2, "sum": 0}},
    }
    assert [r.cell.value for r in parse_table.table(words, "b", "t.toml").rows if r.cell] == ["wye", "tee"]
    rows = [{"size_in": 1.5, "is": "wye"}, {"size_in": 2.0, "is": "bend"}]
    with pytest.raises(RuleBookError, match="'bend'"):
        parse_table.table(words | {"rows": rows}, "b", "t.toml")


def test_row_names_the_printed_table_before_the_section() -> None:
    source = {**GOOD["source"], "table": "T 1"}
    for one, named in ((GOOD["source"], "1"), (source, "T 1")):
        t = parse_table.table(GOOD | {"source": one}, "b", "t.toml")
        assert {r.cell.section for r in t.rows if r.cell} == {named}


def test_slope_given_as_one_in_n_is_printed_so(npc: RuleBook) -> None:
    """The NPC gives slopes as 1 in n (wet vents: 1 in 50, secondary source); kept inside as a ratio [m/m]."""
    cell = npc.value("wet_vent.slope")
    assert (cell.printed, cell.value) == ("1:50", 0.02)


def test_head_with_an_unknown_key_is_refused() -> None:
    good = {"id": "b", "title": "B", "edition": "1", "family": "n"}
    assert parse.head(good, "b.toml") == good
    with pytest.raises(RuleBookError, match=r"b.toml: unknown key familiy"):
        parse.head(good | {"familiy": "u"}, "b.toml")


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"schema": 2}, r"t.toml: schema 2, wanted 1"),
        ({"outside": "last row"}, r"t.toml: outside 'last row'"),
        ({"extra": 1}, r"t.toml: unknown key extra"),
        ({"rows": [{"size_in": 1.5, "is": 3}, {"size_in": 1.5, "is": 6}]}, r"t.toml: row 2: the inputs .* stand twice"),
        ({"rows": [{"size_in": 2.0, "is": 3}, {"size_in": 1.5, "is": 6}]}, r"t.toml: input size_in is not sorted"),
        ({"rows": [{"size_in": 1.5, "is": 3}, {"size_in": 2.0, "is": 7}]}, r"add up to 10, the control says 9"),
        ({"rows": [{"size_in": 1.5, "is": 9}]}, r"t.toml: 1 rows, the control says 2"),
        ({"rows": [{"size_in": 1.5, "is": "3"}, {"size_in": 2.0, "is": 6}]}, r"row 1: '3', wanted a number"),
        ({"rows": [{"size_in": 1.5}, {"size_in": 2.0, "is": 6}]}, r"row 1: 'is' is missing"),
        ({"rows": [{"size_in": 1.5, "is": 3, "status": "read"}, {"size_in": 2.0, "is": 6}]}, r"row 1: .* stronger"),
        ({"rows": [{"size_in": 1.5, "is": 3, "status": "sure"}, {"size_in": 2.0, "is": 6}]}, r"status 'sure'"),
        ({"inputs": [{"name": "size_in", "unit": "in", "match": "nearest"}]}, r"match 'nearest'"),
        ({"inputs": [{"name": "size_in", "unit": "furlong"}]}, r"unit 'furlong'"),
        ({"output": {"name": "load", "unit": "bushel"}}, r"unit 'bushel'"),
        ({"output": {"name": "load", "unit": "FU", "given": "ft"}}, r"given in ft"),
        ({"output": {"name": "load", "unit": "FU", "unti": "FU"}}, r"t.toml: output: unknown key unti"),
        ({"monotone": {"size_in": "down"}}, r"not going down with size_in"),
        ({"source": {"section": "1", "status": "secondary"}}, r"'control' is missing"),
    ],
)
def test_broken_table_is_named_with_file_and_row(change: dict[str, Any], message: str) -> None:
    with pytest.raises(RuleBookError, match=message):
        parse_table.table(GOOD | change, "b", "t.toml")


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        ({"is": 6, "section": "1", "status": "read"}, r"v.toml: nonsense.value: id is not in the vocabulary"),
        ({"is": "high", "section": "1", "status": "read"}, r"'high', wanted a number"),
        ({"is": 6, "given": "kPa", "section": "1", "status": "read"}, r"given in kPa"),
        ({"is": 6, "status": "read"}, r"'section' is missing"),
        ({"is": 6, "section": "1", "status": "read", "stauts": "read"}, r"above_roof: unknown key stauts"),
    ],
)
def test_broken_value_is_named(entry: dict[str, Any], message: str) -> None:
    value_id = "nonsense.value" if "vocabulary" in message else "terminal.above_roof"
    with pytest.raises(RuleBookError, match=message):
        parse.values({value_id: entry}, "b", known_values(), "v.toml")


def test_book_cannot_be_written_to_but_copies(npc: RuleBook) -> None:
    with pytest.raises(TypeError, match="amend it instead"):
        npc.values["terminal.above_roof"] = npc.value("terminal.lot_line")  # type: ignore[index]
    assert copy.deepcopy(npc).values == npc.values
    assert pickle.loads(pickle.dumps(npc)) == npc


@pytest.mark.parametrize("book_id", BOOKS)
def test_clauses_belong_to_checks(book_id: str) -> None:
    """A clause of a check that is not there would never be printed."""
    rules = Path(stubout.__file__).parent / "checks" / "rules"
    ids = {p.stem.upper() for p in rules.glob("*.py")}
    assert [c for c in load_book(book_id).clauses if c not in ids] == []
