"""From the TOML of a rule book to its types, every fault named by file and row. Pure: the text comes from `files`."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, Literal, cast

from stubout.problems import WEAKNESS, RuleBookError, Status
from stubout.rulebooks.model import Cell, Match, Row, Table, Value, ValueKind
from stubout.rulebooks.tables import inch_text, row_id

SCHEMA = 1
MATCHES = ("exact", "next_larger", "next_smaller")
FAMILIES = ("n", "u", "i", "framing")
UNITS = ("mm", "m/m", "in", "FU", "deg", "1", "min", "kPa", "gpm", "F", "bool", "")

# unit as the page has it -> (unit inside, how to convert, how to print)
_GIVEN: dict[str, tuple[str, float]] = {
    "mm": ("mm", 1.0),
    "m": ("mm", 1000.0),
    "inch": ("mm", 25.4),
    "ft": ("mm", 304.8),
    "in/ft": ("m/m", 1 / 12),
    "in": ("in", 1.0),
    "FU": ("FU", 1.0),
    "DFU": ("FU", 1.0),
    "dfu": ("FU", 1.0),
    "deg": ("deg", 1.0),
    "1": ("1", 1.0),
    "min": ("min", 1.0),
    "kPa": ("kPa", 1.0),
    "gpm": ("gpm", 1.0),
    "F": ("F", 1.0),
}

_STATUS = {s.value: s for s in Status if s is not Status.JOB}


def convert(number: float, given: str, where: str) -> tuple[float, str]:
    """Return a number of the page in the unit used inside, with that unit."""
    if given == "1:n":
        return 1.0 / number, "m/m"
    if given not in _GIVEN:
        raise RuleBookError(f"{where}: unit {given!r}, wanted one of {', '.join([*_GIVEN, '1:n'])}")
    unit, factor = _GIVEN[given]
    return number * factor, unit


def print_given(number: float, given: str) -> str:
    """Return a number as the page has it."""
    if math.isinf(number):
        return "not limited"
    if given == "1:n":
        return f"1:{number:g}"
    if given in ("in", "inch"):
        return f"{inch_text(number)} in"
    if given == "in/ft":
        return f"{inch_text(number)} in/ft"
    return f"{number:g}" if given in ("1", "") else f"{number:g} {given}"


def status_of(word: Any, where: str) -> Status:
    """Return a status by its word."""
    if word not in _STATUS:
        raise RuleBookError(f"{where}: status {word!r}, wanted one of {', '.join(_STATUS)}")
    return _STATUS[word]


def _only(raw: Mapping[str, Any], allowed: tuple[str, ...], where: str) -> None:
    extra = sorted(set(raw) - set(allowed))
    if extra:
        raise RuleBookError(f"{where}: unknown key {', '.join(extra)}; wanted {', '.join(allowed)}")


def _need(raw: Mapping[str, Any], key: str, where: str) -> Any:
    if key not in raw:
        raise RuleBookError(f"{where}: {key!r} is missing")
    return raw[key]


def vocabulary(raw: Mapping[str, Any], where: str) -> dict[str, ValueKind]:
    """Return every value id a book may hold."""
    out: dict[str, ValueKind] = {}
    for value_id, entry in _need(raw, "value", where).items():
        at = f"{where}: {value_id}"
        _only(entry, ("what", "unit", "choices"), at)
        unit = _need(entry, "unit", at)
        if unit not in UNITS:
            raise RuleBookError(f"{at}: unit {unit!r}, wanted one of {', '.join(UNITS)}")
        out[value_id] = ValueKind(value_id, _need(entry, "what", at), unit, tuple(entry.get("choices", ())))
    return out


def values(raw: Mapping[str, Any], book: str, known: Mapping[str, ValueKind], where: str) -> dict[str, Cell]:
    """Return the single values of a book."""
    out: dict[str, Cell] = {}
    for value_id, entry in raw.items():
        at = f"{where}: {value_id}"
        if value_id not in known:
            raise RuleBookError(f"{at}: id is not in the vocabulary")
        _only(entry, ("is", "given", "printed", "section", "status", "note", "via"), at)
        kind = known[value_id]
        is_ = _need(entry, "is", at)
        value, printed = _value(is_, entry.get("given", ""), kind, at)
        out[value_id] = Cell(
            id=value_id,
            what=kind.what,
            value=value,
            unit="" if kind.unit == "bool" else kind.unit,
            printed=entry.get("printed", printed),
            book=book,
            section=_need(entry, "section", at),
            status=status_of(_need(entry, "status", at), at),
            note=_note(entry),
        )
    return out


def _note(entry: Mapping[str, Any]) -> str:
    via = f"via {entry['via']}" if "via" in entry else ""
    return "; ".join(part for part in (entry.get("note", ""), via) if part)


def _row_note(entry: Mapping[str, Any], source: Mapping[str, Any]) -> str:
    """Return the note of a row; what it does not say itself it takes from its table, save the source of a weaker row."""
    said = {"note": entry.get("note", source.get("note", ""))}
    via = entry.get("via", "" if "status" in entry else source.get("via", ""))
    return _note(said | ({"via": via} if via else {}))


def _value(is_: Any, given: str, kind: ValueKind, at: str) -> tuple[Value, str]:
    if kind.unit == "bool":
        if not isinstance(is_, bool):
            raise RuleBookError(f"{at}: {is_!r}, wanted true or false")
        return is_, "yes" if is_ else "no"
    if kind.unit == "":
        if not isinstance(is_, str) or (kind.choices and is_ not in kind.choices):
            raise RuleBookError(f"{at}: {is_!r}, wanted {', '.join(kind.choices) or 'words'}")
        return is_, is_
    if isinstance(is_, bool) or not isinstance(is_, (int, float)):
        raise RuleBookError(f"{at}: {is_!r}, wanted a number")
    given = given or kind.unit
    value, unit = convert(float(is_), given, at)
    if unit != kind.unit:
        raise RuleBookError(f"{at}: given in {given}, wanted a unit that becomes {kind.unit or 'a word'}")
    return value, print_given(float(is_), given)


_TABLE_KEYS = ("schema", "id", "title", "inputs", "output", "across", "outside", "monotone", "rows", "source")
_SOURCE_KEYS = ("section", "table", "status", "note", "via", "control")


def table(raw: Mapping[str, Any], book: str, where: str) -> Table:
    """Return a table of a book; raises RuleBookError naming file and row."""
    _only(raw, _TABLE_KEYS, where)
    if _need(raw, "schema", where) != SCHEMA:
        raise RuleBookError(f"{where}: schema {raw['schema']!r}, wanted {SCHEMA}")
    if raw.get("outside") != "error":
        raise RuleBookError(f"{where}: outside {raw.get('outside')!r}, wanted 'error'")
    source = _need(raw, "source", where)
    _only(source, _SOURCE_KEYS, f"{where}: source")
    status = status_of(_need(source, "status", where), where)
    inputs = [_input(i, where) for i in _need(raw, "inputs", where)]
    across = raw.get("across")
    if across is not None:
        _only(across, ("name", "unit", "match", "at"), f"{where}: across")
        inputs.append(_input(across, where))
    reader = _Rows(raw, book, where, status=status, units={n: u for n, _, u in inputs})
    rows = reader.read()
    _control(source, rows, reader.total, where)
    names = tuple((n, m) for n, m, _ in inputs)
    _unique(rows, where)
    _sorted(rows, names, where)
    if "monotone" in raw:
        _monotone(rows, names, raw["monotone"], where)
    return Table(_need(raw, "id", where), raw["title"], names, rows, book, str(source["section"]), status)


def _input(raw: Mapping[str, Any], where: str) -> tuple[str, Match, str]:
    match = raw.get("match", "exact")
    if match not in MATCHES:
        raise RuleBookError(f"{where}: match {match!r}, wanted one of {', '.join(MATCHES)}")
    unit = _need(raw, "unit", where)
    if unit not in (*_GIVEN, "1:n", ""):
        raise RuleBookError(f"{where}: unit {unit!r} of an input, wanted one of {', '.join([*_GIVEN, '1:n'])} or none")
    return _need(raw, "name", where), cast(Match, match), unit


class _Rows:
    """Reads the rows of one table file."""

    def __init__(
        self, raw: Mapping[str, Any], book: str, where: str, *, status: Status, units: Mapping[str, str]
    ) -> None:
        self.raw, self.book, self.where, self.status = raw, book, where, status
        self.names, self.units = tuple(units), units
        output = _need(raw, "output", where)
        _only(output, ("name", "unit", "given", "choices"), f"{where}: output")
        self.output: Mapping[str, Any] = output
        if output["unit"] not in UNITS:
            raise RuleBookError(f"{where}: output unit {output['unit']!r}, wanted one of {', '.join(UNITS)}")
        self.total = 0.0

    def read(self) -> tuple[Row, ...]:
        out: list[Row] = []
        across = self.raw.get("across")
        for k, entry in enumerate(_need(self.raw, "rows", self.where), start=1):
            at = f"{self.where}: row {k}"
            if across is None:
                out.append(self._one(entry, at))
                continue
            cells = _need(entry, "cells", at)
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
        _only(entry, (*self.names, "is", "allowed", "printed", "section", "status", "note", "via"), at)
        inputs = tuple(self._in(name, _need(entry, name, at), at) for name in self.names)
        if entry.get("allowed") is False:
            return Row(inputs, None, permitted=False)
        status = status_of(entry["status"], at) if "status" in entry else self.status
        if WEAKNESS[status] < WEAKNESS[self.status]:
            raise RuleBookError(f"{at}: status {status.value} is stronger than the table's {self.status.value}")
        value, printed = self._out(_need(entry, "is", at), at)
        source = self.raw["source"]
        table_id = _need(self.raw, "id", self.where)
        cell = Cell(
            id=row_id(table_id, inputs),
            what=f"{_need(self.raw, 'title', self.where)}, {self._row_words(entry)}",
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
        value, printed = _value(is_, self.output.get("given", ""), kind, at)
        if not isinstance(is_, (bool, str)) and not math.isinf(is_):
            self.total += float(is_)
        return value, printed


def _control(source: Mapping[str, Any], rows: tuple[Row, ...], total: float, where: str) -> None:
    control = _need(source, "control", f"{where}: source")
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


def clauses(raw: Mapping[str, Any], book: str, where: str) -> dict[str, Cell]:
    """Return the clauses of a book: topic id to section, status and rule in our own words."""
    out: dict[str, Cell] = {}
    for topic, entry in raw.items():
        at = f"{where}: {topic}"
        _only(entry, ("section", "status", "rule", "note"), at)
        rule = _need(entry, "rule", at)
        section, status = _need(entry, "section", at), status_of(_need(entry, "status", at), at)
        out[topic] = Cell(topic, topic, rule, "", rule, book, section, status, entry.get("note", ""))
    return out


def head(raw: Mapping[str, Any], where: str) -> Mapping[str, Any]:
    """Return the checked head of a book."""
    _only(
        raw,
        ("schema", "id", "title", "edition", "family", "load_unit", "parents", "note", "law", "without", "follows"),
        where,
    )
    for key in ("id", "title", "edition", "family"):
        _need(raw, key, where)
    if raw["family"] not in FAMILIES:
        raise RuleBookError(f"{where}: family {raw['family']!r}, wanted one of {', '.join(FAMILIES)}")
    return raw


def family(raw: Mapping[str, Any]) -> Literal["n", "u", "i", "framing"]:
    """Return the family word of a checked head."""
    return cast(Literal["n", "u", "i", "framing"], raw["family"])
