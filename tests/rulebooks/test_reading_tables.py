"""From the words of a table file to its rows, every field by hand, and every refusal in words."""

from __future__ import annotations

import math
from typing import Any

import pytest

from stubout.problems import RuleBookError, Status
from stubout.rulebooks import parse_table
from stubout.rulebooks.model import Cell, Table

FLAT: dict[str, Any] = {
    "schema": 1,
    "id": "own",
    "title": "Own table",
    "inputs": [{"name": "size_in", "unit": "in", "match": "exact"}, {"name": "kind", "unit": ""}],
    "output": {"name": "length", "unit": "mm", "given": "ft"},
    "outside": "error",
    "rows": [
        {"size_in": 1.25, "kind": "a", "is": 1, "printed": "one", "section": "9", "status": "memory", "note": "N"},
        {"size_in": 1.25, "kind": "", "is": 2},
        {"size_in": 2.0, "kind": "", "allowed": False},
    ],
    "source": {"section": "1", "status": "read", "note": "T", "via": "W", "control": {"rows": 3, "sum": 3}},
}
WIDE: dict[str, Any] = {
    "schema": 1,
    "id": "own",
    "title": "Own table",
    "inputs": [{"name": "load", "unit": "FU", "match": "next_larger"}],
    "across": {"name": "slope", "unit": "1:n", "match": "next_smaller", "at": [100, 50, 25]},
    "output": {"name": "size", "unit": "in"},
    "outside": "error",
    "rows": [
        {"load": 2, "cells": ["", 3, "NL"], "weak": {"25": "memory"}},
        {"load": 6, "cells": ["NP", 4, 5], "status": "secondary"},
    ],
    "source": {"section": "1", "table": "1-A", "status": "read", "control": {"rows": 5, "sum": 12}},
}


def read(raw: dict[str, Any]) -> Table:
    return parse_table.table(raw, "b", "t")


def test_a_table_row_by_row():
    t = read(FLAT)
    assert (t.id, t.title, t.book, t.section, t.status) == ("own", "Own table", "b", "1", Status.READ)
    assert t.inputs == (("size_in", "exact"), ("kind", "exact"))
    first, second, third = t.rows
    assert first.inputs == (1.25, "a")
    # a row of another status does not have the source of the table
    assert first.cell == Cell("own[1.25,a]", "Own table, 1-1/4 in, a", 304.8, "mm", "one", "b", "9", Status.MEMORY, "N")
    assert second.cell == Cell(
        "own[1.25]", "Own table, 1-1/4 in", 609.6, "mm", "2 ft", "b", "1", Status.READ, "T; via W"
    )
    assert (second.permitted, second.asked) == (True, "")
    assert (third.inputs, third.cell, third.permitted) == ((2.0, ""), None, False)


def test_a_row_with_its_own_source():
    rows = [*FLAT["rows"][:1], {"size_in": 1.25, "kind": "", "is": 2, "via": "X"}, FLAT["rows"][2]]
    assert read(FLAT | {"rows": rows}).rows[1].cell.note == "T; via X"
    rows[1] = {"size_in": 1.25, "kind": "", "is": 2, "status": "memory", "via": "X"}
    assert read(FLAT | {"rows": rows}).rows[1].cell.note == "T; via X"


def test_a_table_with_columns_cell_by_cell():
    t = read(WIDE)
    assert t.inputs == (("load", "next_larger"), ("slope", "next_smaller"))
    assert [(r.inputs, r.permitted, r.cell and r.cell.value, r.cell and r.cell.status) for r in t.rows] == [
        ((2.0, 0.02), True, 3.0, Status.READ),
        ((2.0, 0.04), True, math.inf, Status.MEMORY),
        ((6.0, 0.01), False, None, None),
        ((6.0, 0.02), True, 4.0, Status.SECONDARY),
        ((6.0, 0.04), True, 5.0, Status.SECONDARY),
    ]
    cell = t.rows[0].cell
    assert cell == Cell("own[2,0.02]", "Own table, 2 FU, 1:50", 3.0, "in", "3 in", "b", "1-A", Status.READ)
    assert t.rows[1].cell.printed == "not limited"


def test_a_table_that_answers_yes_or_no():
    said = {
        "output": {"name": "may", "unit": "bool"},
        "rows": [{"size_in": 2.0, "kind": "", "is": True}],
        "source": FLAT["source"] | {"control": {"rows": 1}},
    }
    cell = read(FLAT | said).rows[0].cell
    assert (cell.value, cell.unit, cell.printed) == (True, "", "yes")


def test_an_empty_input_is_left_out_of_the_words():
    inputs = {"inputs": [{"name": "kind", "unit": ""}, {"name": "size_in", "unit": "in"}]}
    rows = [{"kind": "", "size_in": 2.0, "is": 3}]
    cell = read(FLAT | inputs | {"rows": rows} | {"source": FLAT["source"] | {"control": {"rows": 1}}}).rows[0].cell
    assert cell.what == "Own table, 2 in"


def row(**entry: Any) -> dict[str, Any]:
    return {"rows": [{"size_in": 1.25, "kind": "", "is": 3, **entry}]}


def source(**entry: Any) -> dict[str, Any]:
    return {"source": {**FLAT["source"], **entry}}


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"schema": None}, "^t: 'schema' is missing$"),
        ({"source": None}, "^t: 'source' is missing$"),
        ({"inputs": None}, "^t: 'inputs' is missing$"),
        ({"output": None}, "^t: 'output' is missing$"),
        ({"rows": None}, "^t: 'rows' is missing$"),
        ({"id": None}, "^t: 'id' is missing$"),
        ({"title": None}, "^t: 'title' is missing$"),
        ({"inputs": [{"unit": "in"}]}, "^t: 'name' is missing$"),
        ({"inputs": [{"name": "size_in"}]}, "^t: 'unit' is missing$"),
        ({"inputs": [{"name": "a", "unit": "in", "match": "near"}]}, "'near', wanted one of exact, next_larger"),
        ({"output": {"name": "a", "unit": "ell"}}, "^t: output unit 'ell', wanted one of mm, "),
        ({"output": {"name": "a", "nuit": "mm"}}, "^t: output: unknown key nuit; wanted name, unit, given, choices$"),
        ({"extra": 1}, "^t: unknown key extra; wanted schema, id, title, inputs, output, across, outside"),
        (source(extra=1), "^t: source: unknown key extra; wanted section, table, status, note, via, control$"),
        (source(status="sure"), "^t: status 'sure'"),
        (row(size_in=True), "^t: row 1: size_in is True, wanted a number or a word$"),
        (row(size_in=[1]), r"^t: row 1: size_in is \[1\], wanted a number or a word$"),
        (row(extra=1), "^t: row 1: unknown key extra; wanted size_in, kind, is, allowed, printed"),
        ({"rows": [{"size_in": 1.25, "is": 3}]}, "^t: row 1: 'kind' is missing$"),
    ],
)  # fmt: skip
def test_a_broken_table_is_named(change, message):
    raw = {k: v for k, v in (FLAT | change).items() if v is not None}
    with pytest.raises(RuleBookError, match=message):
        read(raw)


def test_a_status_stronger_than_that_of_the_table():
    with pytest.raises(RuleBookError, match=r"^t: row 1: status read is stronger than the table's secondary$"):
        read(FLAT | source(status="secondary") | row(status="read"))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"across": WIDE["across"] | {"to": 1}}, "^t: across: unknown key to; wanted name, unit, match, at$"),
        ({"rows": [{"load": 2, "cells": [3, 4]}]}, "^t: row 1: 2 cells, wanted 3$"),
        ({"rows": [{"load": 2}]}, "^t: row 1: 'cells' is missing$"),
        ({"rows": [{"load": 2, "cells": ["NP"] * 3, "weak": {"25": "sure"}}], **source(control={"rows": 3})}, None),
        ({"rows": [{"load": 2, "cells": [1, 2, 3], "weak": {"25": "sure"}}]}, "^t: row 1: status 'sure'"),
    ],
)
def test_columns_that_do_not_fit(change, message):
    if message is None:  # what is not permitted has no status
        assert [r.cell for r in read(WIDE | change).rows] == [None] * 3
        return
    with pytest.raises(RuleBookError, match=message):
        read(WIDE | change)


def test_order_within_the_lines_of_a_table():
    # sorted by size for each kind, by slope for each load; the lines among themselves may stand as they like
    rows = [{"size_in": s, "kind": k, "is": 1} for s, k in ((2.0, "a"), (1.25, "b"), (3.0, "a"), (2.0, "b"))]
    control = source(control={"rows": 4, "sum": 4})
    assert len(read(FLAT | {"rows": rows} | control).rows) == 4
    with pytest.raises(RuleBookError, match=r"^t: input size_in is not sorted: \[3.0, 2.0\]$"):
        read(FLAT | {"rows": [rows[2], rows[1], rows[0], rows[3]]} | control)
    rows[0]["size_in"] = "any"  # a word among the sizes of a: there is no order in that line, in the other there is
    assert len(read(FLAT | {"rows": rows} | control).rows) == 4
    with pytest.raises(RuleBookError, match=r"^t: input size_in is not sorted: \[2.0, 1.25\]$"):
        read(FLAT | {"rows": [rows[0], rows[3], rows[2], rows[1]]} | control)
    words = {"inputs": [{"name": "size_in", "unit": ""}, {"name": "kind", "unit": "in"}]}
    mixed = [{"size_in": "z", "kind": 1, "is": 1}, {"size_in": "a", "kind": 2, "is": 1}]
    assert len(read(FLAT | words | {"rows": mixed} | source(control={"rows": 2})).rows) == 2


@pytest.mark.parametrize(("way", "good", "bad"), [("up", [3, 4], [4, 3]), ("down", [4, 3], [3, 4])])
def test_figures_that_only_go_one_way(way, good, bad):
    def made(figures: list[int]) -> dict[str, Any]:
        rows = [{"size_in": s, "kind": "", "is": f} for s, f in zip((1.25, 2.0), figures, strict=True)]
        barred = {"size_in": 3.0, "kind": "", "allowed": False}  # has no figure to go by
        return FLAT | {"rows": [*rows, barred], "monotone": {"size_in": way}} | source(control={"rows": 3, "sum": 7})

    assert len(read(made(good)).rows) == 3
    with pytest.raises(RuleBookError, match=f"^t: not going {way} with size_in: "):
        read(made(bad))


def test_control_rows_and_sum():
    with pytest.raises(RuleBookError, match=r"^t: 3 rows, the control says 4$"):
        read(FLAT | source(control={"rows": 4}))
    with pytest.raises(RuleBookError, match=r"^t: rows add up to 3, the control says 4$"):
        read(FLAT | source(control={"rows": 3, "sum": 4}))
    with pytest.raises(RuleBookError, match=r"^t: rows add up to 3, the control says 2$"):
        read(FLAT | source(control={"rows": 3, "sum": 2}))
    with pytest.raises(RuleBookError, match=r"^t: source: 'control' is missing$"):
        read(FLAT | {"source": {k: v for k, v in FLAT["source"].items() if k != "control"}})
