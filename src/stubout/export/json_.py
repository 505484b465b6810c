"""`design.json` and `findings.json`: the design and the findings for other programs. `docs/design-json.md` is the page.

Keys are the field names of the records, lengths in mm to a thousandth, slopes in m/m to a millionth, places as
`[x, y, z]`. The order of keys and lists is fixed, so that two revisions can be compared line by line.
"""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Mapping
from enum import Enum
from typing import Any

from stubout.catalog.shipped import SHIPPED
from stubout.design import Design, Tried, Window
from stubout.fabrication.openings import passings
from stubout.geometry.vec import Box, Vec
from stubout.network.model import Pipe
from stubout.network.standing import walls_of
from stubout.problems import Fault, Finding, Level, NotChecked, Question
from stubout.reports.front import AUTHORITY, unverified
from stubout.reports.show import inside_mm
from stubout.reports.stackup import stack_ups
from stubout.reports.waivers import waiver_of
from stubout.rulebooks.model import Asked, Cell, RuleBook

SCHEMA = 1
PLACES = 3  # of a length in mm
SLOPE_PLACES = 6


def plain(value: Any) -> Any:
    """Return a record as plain JSON data: dataclasses as objects, vectors as lists, words of an enum as text."""
    match value:
        case bool() | int() | str() | None:
            return value.value if isinstance(value, Enum) else value
        case float():
            return _rounded(value, PLACES)
        case Box():
            return {"lo": plain(value.lo), "hi": plain(value.hi)}
        case Vec():
            return [_rounded(c, PLACES) for c in value]
        case tuple() | list():
            return [plain(v) for v in value]
        case dict():
            return {str(k): plain(v) for k, v in value.items()}
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = [f.name for f in dataclasses.fields(value) if not f.name.startswith("_")]
        return {name: plain(getattr(value, name)) for name in fields}
    raise TypeError(f"{type(value).__name__} has no form in design.json")


def _rounded(value: float, places: int) -> float | int | None:
    if math.isinf(value):
        return None  # not limited: JSON has no such number
    number = round(value, places) + 0.0
    return int(number) if number == int(number) else number


def write(data: Any) -> bytes:
    """Return data as JSON bytes: UTF-8, indented, keys in the order given, a line feed at the end."""
    return (json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()


def cell_data(cell: Cell) -> dict[str, Any]:
    """Return one value of a rule book."""
    data: dict[str, Any] = plain(cell)
    if isinstance(cell.value, float):
        data["value"] = _rounded(cell.value, SLOPE_PLACES)
    return data


def finding_data(design: Design, finding: Finding) -> dict[str, Any]:
    """Return one finding: the same shape in `findings.json`, in `check --json` and in `design.json`."""
    waiver = waiver_of(finding, design.house.readings)
    data: dict[str, Any] = plain(finding)
    return {**data, "status": finding.status.value, "accepted": plain(waiver) if waiver else None}


def error_data(message: str, faults: list[Fault]) -> dict[str, Any]:
    """Return the one error object: what is wrong as text, and each fault of a job file with its line."""
    return {"schema": SCHEMA, "error": message, "faults": [plain(f) for f in faults]}


def _pipe(design: Design, pipe: Pipe) -> dict[str, Any]:
    data: dict[str, Any] = plain(pipe)
    radius = inside_mm(design, pipe.size_in) / 2
    return {
        **data,
        "walls": [w.id for w in walls_of(pipe, design.house.walls)],
        "length_mm": _rounded(pipe.length_mm, PLACES),
        "fall_mm": _rounded(pipe.fall_mm, PLACES),
        "vertical": pipe.vertical,
        "slope": _rounded(pipe.slope, SLOPE_PLACES),
        "invert_start_mm": _rounded(pipe.a.z - radius, PLACES),
        "invert_end_mm": _rounded(pipe.b.z - radius, PLACES),
    }


def _book(book: RuleBook) -> dict[str, Any]:
    return {
        "id": book.id,
        "title": book.title,
        "edition": book.edition,
        "load_unit": book.load_unit,
        "amendments": list(book.amendments),
        "parents": list(book.parents),
    }


def _layout(design: Design) -> dict[str, Any]:
    """Return what the layout costs [min] and by kind, what any layout costs at least, and the gap between them."""
    cost, bound, gap, found = design.costing(), design.bound, design.gap(), design.selection
    parts = [{**plain(p), "minutes": _rounded(p.minutes, PLACES)} for p in cost.parts]
    return {
        "unit": "min",
        "cost": _rounded(cost.minutes, PLACES),
        "bound": None if bound is None else _rounded(bound.minutes, PLACES),
        "gap": None if gap is None else _rounded(gap, PLACES),
        "parts": parts,
        "bound_parts": [] if bound is None else [plain(p) for p in bound.parts],
        "selection": None if found is None else {**plain(found), "gap": _rounded(found.gap, PLACES)},
    }


def _asked(asked: Asked) -> dict[str, Any]:
    return {k: getattr(asked, k) for k in ("id", "what", "question", "cite", "book", "assumed")}


def _questions(questions: tuple[Question, ...]) -> list[Any]:
    return [plain(q) for q in questions]


def design_data(
    design: Design,
    findings: tuple[Finding, ...],
    not_checked: tuple[NotChecked, ...],
    windows: tuple[Window, ...] = (),
) -> dict[str, Any]:
    """Return the whole design as plain data, in the order the page describes it."""
    house, net, fab = design.house, design.network, design.fabrication
    return {
        "schema": SCHEMA,
        "caution": AUTHORITY,
        "job": plain(house.job),
        "book": _book(design.book),
        "framing": _book(design.framing),
        "amendments": [plain(a) for a in house.amendments],
        "confirmations": [plain(c) for c in house.confirmations],
        "asked": [_asked(q) for b in (design.book, design.framing) for q in b.asked.values()],
        "unverified": [{**plain(b), "decides": list(ids)} for b, ids in unverified(design, findings)],
        "levels": [plain(v) for v in house.levels],
        "rooms": [plain(r) for r in house.rooms],
        "walls": [
            {
                "id": w.id,
                "level_id": w.level_id,
                "start": plain(w.start),
                "end": plain(w.end),
                "depth_mm": plain(w.depth_mm),
                "bearing": w.bearing,
                "exterior": w.exterior,
            }
            for w in house.walls
        ],
        "fixtures": [plain(f) for f in house.fixtures],
        "layout": _layout(design),
        "nodes": [plain(n) for n in net.nodes],
        "pipes": [_pipe(design, p) for p in net.pipes],
        "traps": [plain(t) for t in net.traps],
        "stubs": [plain(s) for s in design.stubs],
        "cleanouts": [plain(c) for c in design.cleanouts],
        "fittings": [plain(f) for f in fab.fittings],
        "pieces": [plain(p) for p in fab.pieces],
        "bores": [plain(b) for b in fab.bores],
        "openings": [plain(p) for p in passings(net, house, SHIPPED)],
        "plates": [plain(p) for p in fab.plates],
        "hangers": [plain(h) for h in fab.hangers],
        "caps": [plain(c) for c in fab.caps],
        "sticks": [plain(s) for s in fab.sticks],
        "stock": [{**plain(s), "proven": s.proven, "gap": _rounded(s.gap, SLOPE_PLACES)} for s in fab.stock],
        "measure_first": [plain(m) for m in fab.measure_first],
        "tolerances": [plain(t) for t in fab.tolerances],
        "put_in": [plain(p) for p in fab.put_in],
        "orders": [plain(o) for o in fab.orders],
        "materials": [plain(m) for m in fab.materials],
        "derivations": [{**plain(d), "status": d.status.value} for d in design.derivations],
        "questions": _questions(design.questions),
        "answers": [plain(a) for a in design.house.answers],
        "blocked": [plain(b) for b in design.blocked],
        "notes": list(design.notes),
        "windows": [plain(w) for w in windows],
        "stack_ups": [plain(s) for s in stack_ups(design, windows)],
        "findings": [finding_data(design, f) for f in findings],
        "not_checked": [plain(n) for n in not_checked],
    }


def design_json(
    design: Design,
    findings: tuple[Finding, ...],
    not_checked: tuple[NotChecked, ...],
    windows: tuple[Window, ...] = (),
) -> bytes:
    """Return `design.json`."""
    return write(design_data(design, findings, not_checked, windows))


def fix_data(tried: Tried) -> dict[str, Any]:
    """Return what was tried for a finding, the finding itself left out."""
    data: dict[str, Any] = plain(tried)
    return {k: v for k, v in data.items() if k != "finding"}


def findings_data(
    design: Design,
    findings: tuple[Finding, ...],
    not_checked: tuple[NotChecked, ...],
    tried: Mapping[Finding, Tried] | None = None,
) -> dict[str, Any]:
    """Return what `findings.json` and `check --json` hold; `fix` stands only where fixes were tried."""
    fixes = {f: {"fix": fix_data(tried[f])} for f in findings if tried and f in tried}
    return {
        "schema": SCHEMA,
        "caution": AUTHORITY,
        "job": {"title": design.house.job.title, "revision": design.house.job.revision},
        "book": _book(design.book),
        "count": {level.value: sum(1 for f in findings if f.level is level) for level in Level},
        "findings": [{**finding_data(design, f), **fixes.get(f, {})} for f in findings],
        "not_checked": [plain(n) for n in not_checked],
        "blocked": [plain(b) for b in design.blocked],
        "questions": _questions(design.questions),
    }


def findings_json(
    design: Design,
    findings: tuple[Finding, ...],
    not_checked: tuple[NotChecked, ...],
    tried: Mapping[Finding, Tried] | None = None,
) -> bytes:
    """Return `findings.json`."""
    return write(findings_data(design, findings, not_checked, tried))
