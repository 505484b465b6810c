"""Write the generated parts of the documentation: `make docs`. A test fails when a page has fallen behind.

A generated part stands between `<!-- begin NAME -->` and `<!-- end NAME -->`; everything around it is written by hand.
"""

from __future__ import annotations

import dataclasses
import importlib
import re
import sys
import typing
from collections.abc import Callable, Iterator
from enum import EnumType
from pathlib import Path

from stubout.checks.registry import CHECKS
from stubout.design import Window
from stubout.fabrication.model import (
    Bore,
    CutPiece,
    FittingUse,
    Hanger,
    MaterialLine,
    Plate,
    Stick,
    TestCap,
)
from stubout.files.books import book_ids, load_book
from stubout.house.model import HouseFixture, HouseLevel, Room
from stubout.job.model import Job, Record
from stubout.job.overlays import AmendFileSaid, ConfirmFileSaid
from stubout.layout.model import Blocked, CleanoutPlan, StubMark, TrapPlan
from stubout.network.model import Node, Pipe
from stubout.problems import Derivation, Finding, NotChecked, Question, Status
from stubout.reports.show import book_name
from stubout.rulebooks.census import LISTED, census

HERE = Path(__file__).parent


def job_keys() -> str:
    """Return one table a record of the job file and of the files it may name: key, what it takes, the default."""
    return "\n".join("\n".join(_record(r)) for r in _records(*FILES))


FILES: dict[type[Record], str] = {
    Job: "the file",
    AmendFileSaid: "a file of amendments",
    ConfirmFileSaid: "a file of confirmations",
}


def _records(*starts: type[Record]) -> list[type[Record]]:
    found: dict[type[Record], None] = dict.fromkeys(starts)
    queue = list(starts)
    while queue:
        for field in queue.pop(0).model_fields.values():
            for kind in _inside(field.annotation):
                if isinstance(kind, type) and issubclass(kind, Record) and kind not in found:
                    found[kind] = None
                    queue.append(kind)
    return list(found)


def _inside(annotation: object) -> Iterator[object]:
    args = typing.get_args(annotation)
    if not args:
        yield annotation
    for arg in args:
        yield from _inside(arg)


def _record(record: type[Record]) -> Iterator[str]:
    name = record.__name__.removesuffix("Said").lower()
    yield f"### {FILES.get(record, name)}"
    yield ""
    yield (record.__doc__ or "").strip().splitlines()[0]
    yield ""
    yield "| key | takes | if left away |"
    yield "|---|---|---|"
    for field_name, field in record.model_fields.items():
        if field_name in ("line", "source"):
            continue
        default = "must be there" if field.is_required() else _default(field.get_default(call_default_factory=True))
        yield f"| `{field.alias or field_name}` | {_takes(field)} | {default} |"
    yield ""


def _default(value: object) -> str:
    if value is None or value in ((), "", {}) or isinstance(value, Record):
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _takes(field: typing.Any) -> str:
    for extra in field.metadata:
        schema = getattr(extra, "json_schema", None)
        if isinstance(schema, dict):
            return str(schema.get("title") or " or ".join(map(str, schema.get("enum", ()))))
    return _kind(field.annotation)


def _kind(annotation: typing.Any) -> str:
    origin, args = typing.get_origin(annotation), typing.get_args(annotation)
    if origin is typing.Annotated:
        for extra in args[1:]:
            schema = getattr(extra, "json_schema", None)
            if isinstance(schema, dict):
                return str(schema.get("title") or " or ".join(map(str, schema.get("enum", ()))))
        return _kind(args[0])
    if origin is typing.Literal:
        return ", ".join(f"`{a}`" if a else "nothing" for a in args)
    if origin is tuple:
        if len(args) == 2 and args[1] is Ellipsis:
            return f"list of {_kind(args[0])}"
        return ", ".join(_kind(a) for a in args)
    if origin is dict:
        return "pairs of `name: text`"
    if args:
        return " or ".join(_kind(a) for a in args if a is not type(None))
    if isinstance(annotation, EnumType):
        return ", ".join(f"`{m.value}`" for m in annotation)
    if isinstance(annotation, type) and issubclass(annotation, Record):
        return annotation.__name__.removesuffix("Said").lower()
    return {"str": "text", "float": "number", "int": "whole number"}.get(getattr(annotation, "__name__", ""), "text")


JSON_LISTS: dict[str, type] = {
    "fixtures": HouseFixture,
    "levels": HouseLevel,
    "rooms": Room,
    "nodes": Node,
    "pipes": Pipe,
    "traps": TrapPlan,
    "stubs": StubMark,
    "cleanouts": CleanoutPlan,
    "fittings": FittingUse,
    "pieces": CutPiece,
    "bores": Bore,
    "plates": Plate,
    "hangers": Hanger,
    "caps": TestCap,
    "sticks": Stick,
    "materials": MaterialLine,
    "derivations": Derivation,
    "questions": Question,
    "blocked": Blocked,
    "windows": Window,
    "findings": Finding,
    "not_checked": NotChecked,
}


def json_lists() -> str:
    """Return every list of design.json with the keys of its records."""
    rows = ["| list | one record is | keys |", "|---|---|---|"]
    for name, kind in JSON_LISTS.items():
        keys = ", ".join(f"`{f.name}`" for f in dataclasses.fields(kind) if not f.name.startswith("_"))
        rows.append(f"| `{name}` | {(kind.__doc__ or '').strip().splitlines()[0]} | {keys} |")
    return "\n".join(rows)


def check_table() -> str:
    """Return every check: lasting id, name of the fault, level, what it says in one line."""
    rows = [f"| {c.id} | {c.name} | {c.level.value} | {c.title} |" for c in sorted(CHECKS, key=lambda c: c.id)]
    return "\n".join(["| id | name | level | fault |", "|---|---|---|---|", *rows])


def book_table() -> str:
    """Return every book with how sure its own values are, those of its parents left out."""
    shown = [s for s in LISTED if s not in (Status.JOB, Status.CONFIRMED)]
    heads = ["id", "title and edition", "values", *(s.value for s in shown), "clauses"]
    rows = [f"| {' | '.join(heads)} |", "|---" * len(heads) + "|"]
    for book_id in book_ids():
        book = load_book(book_id)
        own = census(book, own=True)
        counts = [str(own.figures), *(str(own.of(s)) for s in shown), str(len(book.clauses))]
        rows.append(f"| {book.id} | {book_name(book)} | {' | '.join(counts)} |")
    return "\n".join(rows)


def _seeded(table: str) -> Callable[[], str]:
    """Return the maker of a table of the seeded faults: their rows stand with the tests that hold them."""

    def make() -> str:
        folder = str(HERE.parent / "tests" / "faults")
        if folder not in sys.path:
            sys.path.insert(0, folder)
        return str(getattr(importlib.import_module("seeding.page"), table)())

    return make


PARTS: dict[str, tuple[tuple[str, Callable[[], str]], ...]] = {
    "job-file.md": (("keys", job_keys),),
    "checks.md": (("checks", check_table),),
    "books.md": (("books", book_table),),
    "design-json.md": (("lists", json_lists),),
    "faults.md": (
        ("counts", _seeded("counts")),
        ("faults", _seeded("fault_table")),
        ("limits", _seeded("edge_table")),
        ("pairs", _seeded("pair_table")),
    ),
}


def generated(page: str) -> str:
    """Return a page with its generated parts made new."""
    text = (HERE / page).read_text(encoding="utf-8")
    for name, make in PARTS[page]:
        begin, end = f"<!-- begin {name} -->", f"<!-- end {name} -->"
        part = f"{begin}\n{make()}\n{end}"
        text, count = re.subn(f"{begin}.*?{end}", lambda _m, part=part: part, text, flags=re.DOTALL)  # type: ignore[misc]
        if count != 1:
            raise ValueError(f"{page} has no place for {name}")
    return text


if __name__ == "__main__":
    for page in PARTS:
        (HERE / page).write_text(generated(page), encoding="utf-8")
