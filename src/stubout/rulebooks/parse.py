"""From the TOML of a rule book to its types, every fault named by file and row. Pure: the text comes from `files`."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, Literal, cast

from stubout.problems import RuleBookError, Status
from stubout.rulebooks.model import Cell, Value, ValueKind
from stubout.rulebooks.tables import inch_text

FAMILIES = ("n", "u", "i", "framing")
UNITS = ("mm", "m/m", "in", "FU", "deg", "1", "min", "kPa", "gpm", "F", "bool", "")

# unit as the page has it -> (unit inside, how to convert, how to print)
GIVEN: dict[str, tuple[str, float]] = {
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

_STATUS = {s.value: s for s in Status if s not in (Status.JOB, Status.CONFIRMED)}  # the user's are never shipped


def convert(number: float, given: str, where: str) -> tuple[float, str]:
    """Return a number of the page in the unit used inside, with that unit."""
    if given == "1:n":
        return 1.0 / number, "m/m"
    if given not in GIVEN:
        raise RuleBookError(f"{where}: unit {given!r}, wanted one of {', '.join([*GIVEN, '1:n'])}")
    unit, factor = GIVEN[given]
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


def only(raw: Mapping[str, Any], allowed: tuple[str, ...], where: str) -> None:
    """Refuse keys that are not allowed."""
    extra = sorted(set(raw) - set(allowed))
    if extra:
        raise RuleBookError(f"{where}: unknown key {', '.join(extra)}; wanted {', '.join(allowed)}")


def need(raw: Mapping[str, Any], key: str, where: str) -> Any:
    """Return a key that must be there."""
    if key not in raw:
        raise RuleBookError(f"{where}: {key!r} is missing")
    return raw[key]


def vocabulary(raw: Mapping[str, Any], where: str) -> dict[str, ValueKind]:
    """Return every value id a book may hold."""
    out: dict[str, ValueKind] = {}
    for value_id, entry in need(raw, "value", where).items():
        at = f"{where}: {value_id}"
        only(entry, ("what", "unit", "choices"), at)
        unit = need(entry, "unit", at)
        if unit not in UNITS:
            raise RuleBookError(f"{at}: unit {unit!r}, wanted one of {', '.join(UNITS)}")
        out[value_id] = ValueKind(value_id, need(entry, "what", at), unit, tuple(entry.get("choices", ())))
    return out


def values(raw: Mapping[str, Any], book: str, known: Mapping[str, ValueKind], where: str) -> dict[str, Cell]:
    """Return the single values of a book."""
    out: dict[str, Cell] = {}
    for value_id, entry in raw.items():
        at = f"{where}: {value_id}"
        if value_id not in known:
            raise RuleBookError(f"{at}: id is not in the vocabulary")
        only(entry, ("is", "given", "printed", "section", "status", "note", "via"), at)
        kind = known[value_id]
        is_ = need(entry, "is", at)
        value, printed = read_value(is_, entry.get("given", ""), kind, at)
        out[value_id] = Cell(
            id=value_id,
            what=kind.what,
            value=value,
            unit="" if kind.unit == "bool" else kind.unit,
            printed=entry.get("printed", printed),
            book=book,
            section=need(entry, "section", at),
            status=status_of(need(entry, "status", at), at),
            note=note_of(entry),
        )
    return out


def note_of(entry: Mapping[str, Any]) -> str:
    """Return the note of an entry with the work it was quoted from."""
    via = f"via {entry['via']}" if "via" in entry else ""
    return "; ".join(part for part in (entry.get("note", ""), via) if part)


def read_value(is_: Any, given: str, kind: ValueKind, at: str) -> tuple[Value, str]:
    """Return a value in the unit used inside, and as the page has it."""
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
        raise RuleBookError(f"{at}: given in {given}, wanted a unit that becomes {kind.unit}")
    return value, print_given(float(is_), given)


def clauses(raw: Mapping[str, Any], book: str, where: str) -> dict[str, Cell]:
    """Return the clauses of a book: topic id to section, status and rule in our own words."""
    out: dict[str, Cell] = {}
    for topic, entry in raw.items():
        at = f"{where}: {topic}"
        only(entry, ("section", "status", "rule", "note"), at)
        rule = need(entry, "rule", at)
        section, status = need(entry, "section", at), status_of(need(entry, "status", at), at)
        out[topic] = Cell(topic, topic, rule, "", rule, book, section, status, entry.get("note", ""))
    return out


def head(raw: Mapping[str, Any], where: str) -> Mapping[str, Any]:
    """Return the checked head of a book."""
    only(
        raw,
        ("schema", "id", "title", "edition", "family", "load_unit", "parents", "note", "law", "without", "follows"),
        where,
    )
    for key in ("id", "title", "edition", "family"):
        need(raw, key, where)
    if raw["family"] not in FAMILIES:
        raise RuleBookError(f"{where}: family {raw['family']!r}, wanted one of {', '.join(FAMILIES)}")
    return raw


def family(raw: Mapping[str, Any]) -> Literal["n", "u", "i", "framing"]:
    """Return the family word of a checked head."""
    return cast(Literal["n", "u", "i", "framing"], raw["family"])
