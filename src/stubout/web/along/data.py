"""What the file of a job taken along reckons with: places, windows, least slopes, gates, the records that stand."""

from __future__ import annotations

import csv
import dataclasses
import io
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Any, Final

from stubout.run_field.model import Field, WallMark, Way
from stubout.run_field.phrases import told
from stubout.run_field.words import ENGLISH, Say, noted
from stubout.store.model import Kind, Record
from stubout.web import gates, verdicts
from stubout.web.along.sheaf import SCHEMA
from stubout.web.along.spoken import SCRIPT_WORDS

LISTS: Final = {
    "bores": noted("Bores"),
    "cuts": noted("Cuts"),
    "materials": noted("Materials"),
    "order": noted("Order with prices"),
}  # files of the packet -> titles
_KINDS: Final = (Kind.TICK, Kind.HEIGHT, Kind.SLOPE, Kind.TEST, Kind.NOTE, Kind.PHOTO)


@dataclass(frozen=True, slots=True)
class Taken:
    """A planned job that is taken along."""

    text: str  # of the job file
    field: Field
    files: Mapping[str, bytes]  # drawings, pictures of walls, lists and model of the plan, by name
    job: int = 0  # of the app; 0 from the command line
    name: str = ""
    revision: int = 0
    records: tuple[Record, ...] = ()  # that stand
    tokens: Mapping[str, int] = dataclasses.field(default_factory=dict)  # of entries that have come back -> records


def reckoned(taken: Taken, say: Say, language: str = ENGLISH) -> dict[str, Any]:
    """Return the data of the file, as plain lists and words."""
    field = taken.field
    known = {number: token for token, number in taken.tokens.items()}
    return {
        "schema": SCHEMA,
        "job": {
            "id": taken.job,
            "name": taken.name or field.title,
            "revision": taken.revision,
            "sha256": sha256(taken.text.encode()).hexdigest(),
        },
        "units": field.units,
        "language": language,
        "walls": [
            {"id": s.id, "covered": s.covered, "marks": [_mark(m, taken) for m in s.marks]} for s in field.walls
        ],
        "tasks": [{"kind": t.kind, "about": t.about, "place": t.place, "wall": t.wall} for t in field.tasks],
        "drains": [
            {
                "about": d.about, "place": d.place, "least": d.least, "offBy": d.off_by,
                "leastWords": told(d.least_words, say), "asked": d.asked,
            }
            for d in field.drains
        ],
        "fillings": [
            {"letter": f.letter, "place": f.place, "holdMin": f.hold_min, "hold": told(f.hold, say)}
            for f in field.fillings
        ],
        "gates": [[_need(n) for n in g.needs] for g in gates.gates(field, taken.records, say)],
        "records": [_record(r, known) for r in taken.records if r.kind in _KINDS],
        "known": sorted(taken.tokens),
        "noLeaks": list(verdicts.NO_LEAKS),
        "words": {w: say(w) for w in SCRIPT_WORDS if say(w) != w},
    }  # fmt: skip


def _mark(m: WallMark, taken: Taken) -> dict[str, Any]:
    return {
        "about": m.about, "place": m.place, "kind": m.kind, "subfloor": m.above_subfloor_mm,
        "finished": m.above_finished_mm, "up": _way(m.up), "down": _way(m.down),
        "task": next((i for i, t in enumerate(taken.field.tasks) if t.kind in ("bore", "stub") and t.about == m.about),
                     None),
    }  # fmt: skip


def _way(way: Way | None) -> dict[str, Any] | None:
    return {"amount": way.amount_mm, "bound": way.bound, "words": way.words} if way else None


def _need(need: gates.Need) -> dict[str, Any]:
    return {"by": need.by, "done": need.done, "of": need.of, "left": list(need.left)}


def _record(r: Record, known: Mapping[int, str]) -> dict[str, Any]:
    return {
        "token": known.get(r.id, ""),
        "record": r.id, "kind": r.kind.value, "about": r.about, "value": r.value, "wall": r.wall, "place": r.place,
        "author": r.author, "at": r.at,
    }  # fmt: skip


def as_script(data: Any) -> str:
    """Return data as JSON that can stand inside a script element: nothing in it ends the element."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def table(data: bytes) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Return head and rows of a list of the packet."""
    rows: Iterable[list[str]] = csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""))
    head, *rest = (tuple(row) for row in rows)
    return head, tuple(rest)
