"""From the TOML of one table file to a `Table`: rows, control sum, order; faults named by file and row."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, cast

from stubout.problems import WEAKNESS, RuleBookError, Status
from stubout.rulebooks.model import Cell, Match, Row, Table, Value, ValueKind
from stubout.rulebooks.parse import GIVEN, UNITS, convert, need, note_of, only, print_given, read_value, status_of
from stubout.rulebooks.tables import row_id

SCHEMA = 1
MATCHES = ("exact", "next_larger", "next_smaller")

_TABLE_KEYS = ("schema", "id", "title", "inputs", "output", "across", "outside", "monotone", "rows", "source")
_SOURCE_KEYS = ("section", "table", "status", "note", "via", "control")


def table(raw: Mapping[str, Any], book: str, where: str) -> Table:
    """Return a table of a book; raises RuleBookError naming file and row."""
    only(raw, _TABLE_KEYS, where)
    if need(raw, "schema", where) != SCHEMA:
        raise RuleBookError(f"{where}: schema {raw['schema']!r}, wanted {SCHEMA}")
    if raw.get("outside") != "error":
        raise RuleBookError(f"{where}: outside {raw.get('outside')!r}, wanted 'error'")
    source = need(raw, "source", where)
    only(source, _SOURCE_KEYS, f"{where}: source")
    status = status_of(need(source, "status", where), where)
    inputs = [_input(i, where) for i in need(raw, "inputs", where)]
    across = raw.get("across")
    if across is not None:
        only(across, ("name", "unit", "match", "at"), f"{where}: across")
        inputs.append(_input(across, where))
    reader = _Rows(raw, book, where, status=status, units={n: u for n, _, u in inputs})
    rows = reader.read()
    _control(source, rows, reader.total, where)
    names = tuple((n, m) for n, m, _ in inputs)
    _unique(rows, where)
    _sorted(rows, names, where)
    if "monotone" in raw:
        _monotone(rows, names, raw["monotone"], where)
    return Table(need(raw, "id", where), raw["title"], names, rows, book, str(source["section"]), status)


def _input(raw: Mapping[str, Any], where: str) -> tuple[str, Match, str]:
    match = raw.get("match", "exact")
    if match not in MATCHES:
        raise RuleBookError(f"{where}: match {match!r}, wanted one of {', '.join(MATCHES)}")
    unit = need(raw, "unit", where)
    if unit not in (*GIVEN, "1:n", ""):
        raise RuleBookError(f"{where}: unit {unit!r} of an input, wanted one of {', '.join([*GIVEN, '1:n'])} or none")
    return need(raw, "name", where), cast(Match, match), unit


class _Rows:
    """Reads the rows of one table file."""

    def __init__(
        self, raw: Mapping[str, Any], book: str, where: str, *, status: Status, units: Mapping[str, str]
    ) -> None:
        self.raw, self.book, self.where, self.status = raw, book, where, status
        self.names, self.units = tuple(units), units
        output = need(raw, "output", where)
        only(output, ("name", "unit", "given", "choices"), f"{where}: output")
        self.output: Mapping[str, Any] = output
        if output["unit"] not in UNITS:
            raise RuleBookError(f"{where}: output unit {output['unit']!r}, wanted one of {', '.join(UNITS)}")
        self.total = 0.0

    def read(self) -> tuple[Row, ...]:
        out: list[Row] = []
        across = self.raw.get("across")
        for k, entry in enumerate(need(self.raw, "rows", self.where), start=1):
            at = f"{self.where}: row {k}"
            if across is None:
                out.append(self._one(entry, at))
                continue
            cells = need(entry, "cells", at)
            if len(cells) != len(across["at"]):
                raise RuleBookError(f"{at}: {len(cells)} cells, wanted {len(across['at'])}")
            weak = entry.get("weak", {})
            for column, is_ in zip(across["at"], cells, strict=True):
                if is_ == "":
                    continue  # blank on the page: no row at all
                one = {key: v for key, v in entry.items() if key not in ("cells", "weak")}
                one[across["name"]] = column
                one |= {"allowed": False} if is_ == "NP" else {"is": math.inf if is_ == "NL" else is_}
                if f"{column:g}" in weak:
                    one["status"] = weak[f"{column:g}"]
                out.append(self._one(one, at))
        return tuple(out)

    def _one(self, entry: Mapping[str, Any], at: str) -> Row:
        only(entry, (*self.names, "is", "allowed", "printed", "section", "status", "note", "via"), at)
        inputs = tuple(self._in(name, need(entry, name, at), at) for name in self.names)
        if entry.get("allowed") is False:
            return Row(inputs, None, permitted=False)
        status = status_of(entry["status"], at) if "status" in entry else self.status
        if WEAKNESS[status] < WEAKNESS[self.status]:
            raise RuleBookError(f"{at}: status {status.value} is stronger than the table's {self.status.value}")
        value, printed = self._out(need(entry, "is", at), at)
        source = self.raw["source"]
        table_id = need(self.raw, "id", self.where)
        cell = Cell(
            id=row_id(table_id, inputs),
            what=f"{need(self.raw, 'title', self.where)}, {self._row_words(entry)}",
            value=value,
            unit="" if self.output["unit"] == "bool" else self.output["unit"],
            printed=entry.get("printed", printed),
            book=self.book,
            section=str(entry.get("section", source.get("table") or source["section"])),
            status=status,
            note=_row_note(entry, source),
        )
        return Row(inputs, cell)

    def _row_words(self, entry: Mapping[str, Any]) -> str:
        words = []
        for name in self.names:
            v = entry[name]
            if v == "":
                continue
            words.append(v if isinstance(v, str) else print_given(float(v), self.units[name]))
        return ", ".join(words)

    def _in(self, name: str, v: Any, at: str) -> Value:
        if isinstance(v, str):
            return v
        if isinstance(v, bool) or not isinstance(v, (int, float)):
            raise RuleBookError(f"{at}: {name} is {v!r}, wanted a number or a word")
        return convert(float(v), self.units[name], at)[0] if self.units[name] else float(v)

    def _out(self, is_: Any, at: str) -> tuple[Value, str]:
        kind = ValueKind("", "", self.output["unit"], tuple(self.output.get("choices", ())))
        value, printed = read_value(is_, self.output.get("given", ""), kind, at)
        if not isinstance(is_, (bool, str)) and not math.isinf(is_):
            self.total += float(is_)
        return value, printed


def _control(source: Mapping[str, Any], rows: tuple[Row, ...], total: float, where: str) -> None:
    control = need(source, "control", f"{where}: source")
    if control["rows"] != len(rows):
        raise RuleBookError(f"{where}: {len(rows)} rows, the control says {control['rows']}")
    if abs(control.get("sum", total) - total) > 1e-6:
        raise RuleBookError(f"{where}: rows add up to {total:g}, the control says {control['sum']:g}")


def _unique(rows: tuple[Row, ...], where: str) -> None:
    seen: set[tuple[Value, ...]] = set()
    for k, row in enumerate(rows, start=1):
        if row.inputs in seen:
            raise RuleBookError(f"{where}: row {k}: the inputs {row.inputs} stand twice")
        seen.add(row.inputs)


def _lines(rows: tuple[Row, ...], k: int) -> list[list[Row]]:
    """Return the rows grouped by every input but the `k`-th, in the order of the file."""
    groups: dict[tuple[Value, ...], list[Row]] = {}
    for row in rows:
        groups.setdefault(row.inputs[:k] + row.inputs[k + 1 :], []).append(row)
    return list(groups.values())


def _sorted(rows: tuple[Row, ...], names: tuple[tuple[str, Match], ...], where: str) -> None:
    for k, (name, _match) in enumerate(names):
        for line in _lines(rows, k):
            got = [r.inputs[k] for r in line]
            if any(isinstance(g, str) for g in got):
                continue
            numbers = [float(g) for g in got]
            if numbers != sorted(numbers):
                raise RuleBookError(f"{where}: input {name} is not sorted: {numbers}")


def _monotone(rows: tuple[Row, ...], names: tuple[tuple[str, Match], ...], declared: Any, where: str) -> None:
    """Check `monotone = { size_in = "up", load = "down" }`: with rising input the output never goes the other way."""
    for name, way in declared.items():
        k = [n for n, _ in names].index(name)
        for line in _lines(rows, k):
            got = [r.cell.number for r in line if r.cell is not None]
            if got != sorted(got, reverse=way == "down"):
                raise RuleBookError(f"{where}: not going {way} with {name}: {got}")


def _row_note(entry: Mapping[str, Any], source: Mapping[str, Any]) -> str:
    """Return the note of a row; what it does not say it takes from its table, save the source of a weaker row."""
    said = {"note": entry.get("note", source.get("note", ""))}
    via = entry.get("via", "" if "status" in entry else source.get("via", ""))
    return note_of(said | ({"via": via} if via else {}))
