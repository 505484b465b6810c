"""Write the generated parts of the documentation: `make docs`. A test fails when a page has fallen behind.

A generated part stands between `<!-- begin NAME -->` and `<!-- end NAME -->`; everything around it is written by hand.
The pages in `checks/`, `tables/`, `values/` and `books/` are made whole, by `docs/paging/`. `--faults` first seeds one
fault a check and writes down what is told.
"""

# ruff: noqa: E402 - its own folders must be on the path first

from __future__ import annotations

import dataclasses
import re
import sys
import typing
from collections.abc import Callable, Iterable, Iterator
from enum import EnumType
from pathlib import Path

from stubout.catalog.costs import ANY, CostRow
from stubout.catalog.shipped_costs import COSTS
from stubout.design import Window
from stubout.fabrication.model import (
    Bore,
    CutPiece,
    FittingUse,
    Hanger,
    MaterialLine,
    MeasureFirst,
    Plate,
    PutIn,
    RunTolerance,
    Stick,
    StockSum,
    TestCap,
    WallOrder,
)
from stubout.fabrication.openings import Passing
from stubout.house.facts import Answered
from stubout.house.model import HouseFixture, HouseLevel, Room
from stubout.job.model import Job, Record
from stubout.job.overlays import AmendFileSaid, ConfirmFileSaid
from stubout.layout.model import Blocked, CleanoutPlan, StubMark, TrapPlan
from stubout.network.model import Node, Pipe
from stubout.problems import Derivation, Finding, NotChecked, Question
from stubout.reports.stackup import StackUp
from stubout.web import doors

HERE = Path(__file__).parent
for folder in (HERE, HERE.parent / "tests" / "faults"):  # the seeded faults stand with the tests that hold them
    if str(folder) not in sys.path:
        sys.path.insert(0, str(folder))

from paging import books, checks, tables
from seeding import mended_page, told
from seeding import page as seeded

WHOLE = ("checks", "tables", "values", "books")  # folders that hold nothing but pages made whole


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
        if field_name in ("line", "source", "file_lines"):
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
    "stock": StockSum,
    "measure_first": MeasureFirst,
    "tolerances": RunTolerance,
    "openings": Passing,
    "put_in": PutIn,
    "orders": WallOrder,
    "materials": MaterialLine,
    "derivations": Derivation,
    "questions": Question,
    "answers": Answered,
    "blocked": Blocked,
    "windows": Window,
    "stack_ups": StackUp,
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


def cost_rows() -> str:
    """Return every row of the cost data."""
    sizes = sorted({s for row in COSTS.rows.values() for s in row.work if s != ANY})
    head = ["item", "a", *(f"{s:g}" for s in sizes), "status", "what"]
    rows = [f"| {' | '.join(head)} |", "|" + "---|" * len(head)]
    for row in COSTS.rows.values():
        cells = [f"`{row.item}`", row.per, *_prices(row, sizes), row.status.value, row.note]
        rows.append(f"| {' | '.join(cells)} |")
    for f in COSTS.factors.values():
        blank = ["work of pipe", *(f"x {f.work:g}" for _ in sizes)]
        rows.append(f"| {' | '.join([f'`factor {f.place}`', *blank, f.status.value, f.note])} |")
    return "\n".join(rows)


def _prices(row: CostRow, sizes: list[float]) -> list[str]:
    prices = [row.price(s) for s in sizes]
    return [f"{p.work:g} + {p.material:g}" for p in prices]


PARTS: dict[str, tuple[tuple[str, Callable[[], str]], ...]] = {
    "job-file.md": (("keys", job_keys),),
    "checks.md": (("checks", checks.index),),
    "books.md": (
        ("books", books.index),
        ("tables", tables.tables_index),
        ("values", tables.values_index),
    ),
    "costs.md": (("costs", cost_rows),),
    "door.md": (("doors", doors.table),),
    "design-json.md": (("lists", json_lists),),
    "faults.md": (
        ("counts", seeded.counts),
        ("faults", seeded.fault_table),
        ("limits", seeded.edge_table),
        ("tried", seeded.tried_table),
        ("pairs", seeded.pair_table),
        ("fixes", mended_page.fix_table),
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


def whole() -> dict[str, str]:
    """Return every page that is made whole, by its place under `docs`."""
    return dict(page for part in (checks, tables, books) for page in part.pages())


def orphans(made: Iterable[str]) -> list[str]:
    """Return the pages that stand in the folders of the whole pages and that nothing makes."""
    there = {p.relative_to(HERE).as_posix() for folder in WHOLE for p in (HERE / folder).rglob("*") if p.is_file()}
    return sorted(there - set(made))


if __name__ == "__main__":
    if "--faults" in sys.argv[1:]:
        told.write()
    for name in PARTS:
        (HERE / name).write_text(generated(name), encoding="utf-8")
    made = whole()
    for name, text in made.items():
        (HERE / name).parent.mkdir(exist_ok=True)
        (HERE / name).write_text(text, encoding="utf-8")
    for name in orphans(made):
        (HERE / name).unlink()
