"""A planned job under the finger: pictures to drag on, and at once what a drag does, as plain records for a page.

The design comes from the plan that was made of the same text; nothing is laid out here.
"""

from __future__ import annotations

import io
import pickle
from collections import OrderedDict
from dataclasses import dataclass, field
from typing import Any, Final

from stubout import units
from stubout.design import Design
from stubout.export.svg import svg
from stubout.geometry.vec import Vec
from stubout.house.model import CabinetBox
from stubout.job.model import Job
from stubout.live import views
from stubout.live.drag import FAR_MM, Drag, Ground
from stubout.live.given import job_with, written
from stubout.live.model import Answer, Handle, Ways
from stubout.live.rest import rested, words_of
from stubout.live.views import View
from stubout.live.walls import joined
from stubout.problems import Fault, Finding, StuboutError
from stubout.run_field import texts

_HELD: Final = 8  # drags remembered of one design
_PICTURES: Final = 12


class NotThere(StuboutError):  # noqa: N818 - reads as a sentence where it is caught
    """The plan has no such picture, or nothing of that name on it."""


def put_away(design: Design) -> bytes:
    """Return a design as bytes that `taken_out` makes it again from."""
    return pickle.dumps(design, protocol=5)


class _Ours(pickle.Unpickler):
    """Makes records of ours only: whatever else stands in the bytes, nothing else is called."""

    def find_class(self, module: str, name: str) -> Any:
        if module.startswith("stubout.") and "." not in name:
            found = super().find_class(module, name)
            if isinstance(found, type):
                return found
        raise pickle.UnpicklingError(f"{module}.{name} is no part of a design")


def taken_out(data: bytes) -> Design:
    """Return a design that was put away; raises UnpicklingError for anything else."""
    found = _Ours(io.BytesIO(data)).load()
    if not isinstance(found, Design):
        raise pickle.UnpicklingError("no design")
    return found


@dataclass(slots=True)
class Table:
    """One planned job, laid out to be dragged about."""

    ground: Ground
    _views: OrderedDict[str, View] = field(default_factory=OrderedDict)
    _drags: OrderedDict[str, tuple[Drag, dict[str, tuple[Vec, tuple[Ways, ...]]]]] = field(default_factory=OrderedDict)

    @property
    def design(self) -> Design:
        """Return the design."""
        return self.ground.design

    @property
    def job(self) -> Job:
        """Return the job it is of."""
        return self.ground.job

    def view(self, id_: str) -> View:
        """Return a picture; NotThere if the plan has none of that name."""
        if id_ not in self._views:
            found = views.view_of(self.design, self.job, id_)
            if found is None:
                raise NotThere("the plan has no such picture")
            self._views[id_] = found
        self._views.move_to_end(id_)
        while len(self._views) > _PICTURES:
            self._views.popitem(last=False)
        return self._views[id_]

    def listed(self) -> list[dict[str, str]]:
        """Return the pictures with something to drag."""
        return [{"id": i, "title": t} for i, t in views.view_ids(self.design, self.job)]

    def picture(self, id_: str) -> dict[str, Any]:
        """Return one picture with what can be taken hold of on it."""
        view = self.view(id_)
        return {
            "id": view.id, "title": view.title, "svg": svg(view.sheet), "width": view.sheet.paper.width,
            "height": view.sheet.paper.height, "ratio": view.ratio, "step": self.ground.step_mm,
            "units": self.job.job.units, "far": FAR_MM,
            "handles": [_handle(view, h) for h in view.handles],
        }  # fmt: skip

    def hold(self, view_id: str, handle_id: str) -> tuple[View, Handle]:
        """Return a picture and what is taken hold of on it; NotThere if it is not there."""
        view = self.view(view_id)
        handle = view.handle(handle_id)
        if handle is None:
            raise NotThere("that cannot be dragged here")
        return view, handle

    def moved(self, view_id: str, handle_id: str, right_mm: float, up_mm: float, *, rest: bool) -> dict[str, Any]:
        """Return what is said of a thing dragged by so much on a picture.

        Args:
            view_id: The picture.
            handle_id: The thing.
            right_mm: How far to the right on the picture, in the house.
            up_mm: How far up on it.
            rest: Whether it lies still: then its windows there are looked for as well.
        """
        view, handle = self.hold(view_id, handle_id)
        by = self.by(view, handle, right_mm, up_mm)
        drag, known = self._drag(view, handle)
        answer = drag.to(by)
        if rest:
            answer = rested(drag, answer)
            known["last"] = (by, answer.windows)
        off = answer.windows or _carried_on(known.get("last"), by)
        return _answer(self, view, answer, off)

    def by(self, view: View, handle: Handle, right_mm: float, up_mm: float) -> Vec:
        """Return a displacement on a picture as the thing can follow it, in whole steps."""
        wanted = view.right.times(_bounded(right_mm)).plus(view.up.times(_bounded(up_mm)))
        return handle.along(wanted, self.ground.step_mm)

    def kept(self, view_id: str, handle_id: str, right_mm: float, up_mm: float) -> dict[str, Any]:
        """Return the values that the job file has to say for a drag, with what was said of it."""
        view, handle = self.hold(view_id, handle_id)
        by = self.by(view, handle, right_mm, up_mm)
        drag = self._drag(view, handle)[0]
        new = job_with(self.design, self.job, handle, by, drag.each(by))
        answer = drag.to(by)
        refused = handle.kind == "wall" and answer.faults  # the file itself could be read, with a corner come apart
        return {
            "values": [
                {"listed": w.listed, "of": w.of, "key": w.key, "value": w.value, "point": w.point, "inner": w.inner}
                for w in (() if refused else written(self.job, new))
            ],
            "note": f"{_called(handle)} dragged: {_by_words(self, handle, by)}",
            "answer": _answer(self, view, answer, ()),
        }

    def _drag(self, view: View, handle: Handle) -> tuple[Drag, dict[str, tuple[Vec, tuple[Ways, ...]]]]:
        name = f"{view.id}\0{handle.id}"
        if name not in self._drags:
            self._drags[name] = Drag(self.ground, handle), {}
        self._drags.move_to_end(name)
        while len(self._drags) > _HELD:
            self._drags.popitem(last=False)
        return self._drags[name]


def laid(text: str, data: bytes) -> Table:
    """Return a planned job to be dragged about: its text, and the design that was made of it."""
    return Table(Ground(taken_out(data), texts.read_text(text)))


def _bounded(mm: float) -> float:
    return max(-FAR_MM, min(FAR_MM, mm))


def _carried_on(last: tuple[Vec, tuple[Ways, ...]] | None, by: Vec) -> tuple[Ways, ...]:
    """Return the windows of where it last lay still, less what it was moved since along one of them; else nothing."""
    if last is None:
        return ()
    since = by.minus(last[0])
    if since.length < 1e-6:
        return last[1]
    out: list[Ways] = []
    for w in last[1]:
        mm = since.dot(w.way)
        if abs(mm) < since.length - 1e-6:  # square to the move, or the move goes both ways: only a closer look tells
            continue
        if mm > w.amount_mm + 1e-6:
            return ()  # past what was looked at
        out.append(Ways(w.words, w.way, w.amount_mm - mm, w.bound, w.finding))
    return tuple(out)


def _called(handle: Handle) -> str:
    if handle.kind == "box":
        return f"cabinets {handle.of} box {handle.number}"
    word = {"stub": "stub-out ", "fixture": "", "cabinet": "cabinets ", "point": "route "}.get(handle.kind)
    return (f"{handle.kind} " if word is None else word) + (
        f"{handle.of} point {handle.number}" if handle.number else handle.of
    )


def _by_words(table: Table, handle: Handle, by: Vec) -> str:
    parts = []
    for way in handle.ways:
        mm = by.dot(way)
        if abs(mm) > 1e-6:
            one = way if mm > 0 else way.times(-1.0)
            parts.append(f"{units.named(abs(mm), table.job.job.units)} {words_of(table.design, handle, one)}")
    return ", ".join(parts) or "back where it was"


def _handle(view: View, h: Handle) -> dict[str, Any]:
    x, y = view.at(h.at)
    ways = [[round(w.dot(view.right), 6), round(w.dot(view.up), 6)] for w in h.ways]
    return {"id": h.id, "kind": h.kind, "name": h.name, "of": h.label, "x": x, "y": view.sheet.paper.height - y,
            "ways": ways}  # fmt: skip


def _answer(table: Table, view: View, a: Answer, off: tuple[Ways, ...]) -> dict[str, Any]:
    system, high = table.job.job.units, view.sheet.paper.height
    house = a.house or table.design.house

    def xy(p: Vec) -> list[float]:
        x, y = view.at(p)
        return [round(x, 2), round(high - y, 2)]

    return {
        "by": _by_words(table, a.handle, a.by), "kind": a.handle.kind,
        "right": a.by.dot(view.right), "up": a.by.dot(view.up),
        "came": [_finding(f) for f in a.came], "gone": [_finding(f) for f in a.gone],
        "faults": [_fault(f, a.handle) for f in a.faults],
        "place": _place(table, view, a),
        "band": _band(a, system, view),
        "windows": [
            {"way": w.words, "amount": units.named(w.amount_mm, system), "bound": w.bound,
             "check": f"{w.finding.check} {w.finding.name}" if w.finding else ""}
            for w in off
        ],
        "bores": [
            {"id": b.id, "member": b.member, "pipe": b.pipe, "hole": units.named(b.hole_mm, system),
             "verdict": b.verdict}
            for b in a.bores
        ],
        "holes": [[*xy(b.centre), round(b.hole_mm / 2 / view.ratio, 2), b.verdict == "ok"] for b in a.bores],
        "lines": [{"id": p.id, "system": p.system, "points": [xy(p.a), xy(p.b)]} for p in a.pipes],
        "outlines": [
            [[round(x, 2), round(high - y, 2)] for x, y in o] for o in views.outlines(view, a.handle, house, a.walls)
        ],
        "grip": xy(a.handle.at.plus(a.by)),
    }  # fmt: skip


def _fault(fault: Fault, handle: Handle) -> str:
    """Return why a thing cannot be there: of a wall the sentence of its refusal, else what the file would say wrong."""
    return fault.found if fault.path == f"walls.{handle.of}" else str(fault)


def _place(table: Table, view: View, a: Answer) -> list[list[str]]:
    """Return where it now is, in words: pairs of what and how much."""
    system, design, at = table.job.job.units, table.design, a.handle.at.plus(a.by)
    if a.handle.kind == "cabinet":
        boxes = [b for b in (a.house or design.house).cabinets if b.run_id == a.handle.of and b.wall_id]
        ends = [s for b in boxes for s in (b.from_station_mm, b.to_station_mm)]
        return [[n, units.named(v, system)] for n, v in (("from", min(ends)), ("to", max(ends)))] if ends else []
    if a.handle.kind == "wall":
        return [] if a.faults else _wall_place(table, a)
    if a.handle.kind == "box":
        return _box_place(table, [b for b in (a.house or design.house).cabinets if b.run_id == a.handle.of], a.handle)
    if a.handle.kind == "opening" and view.wall is not None:
        gap = next(o for w in (a.house or design.house).walls for o in w.openings if o.id == a.handle.of)
        return [
            ["from corner", units.named(gap.station_mm, system)],
            ["sill above subfloor", units.named(gap.sill_z_mm - view.wall.bottom_z_mm, system)],
        ]
    if a.stub is not None:
        stands = [["stands", a.stub.place.words]] if a.stub.place.clear else []
        return [
            *stands,
            ["from corner", units.named(a.stub.station_mm, system)],
            ["above fin. floor", units.named(a.stub.mark_z_mm - a.stub.finished_z_mm, system)],
            ["above subfloor", units.named(a.stub.mark_z_mm - a.stub.subfloor_z_mm, system)],
        ]
    fixture = next((f for f in (a.house or design.house).fixtures if f.tag == a.handle.of), None)
    if fixture is not None and fixture.station_mm is not None and fixture.wall_id:
        return [["from corner", units.named(fixture.station_mm, system)]]
    if view.wall is not None:
        return [
            ["from corner", units.named(view.wall.station(at), system)],
            ["above subfloor", units.named(at.z - view.wall.bottom_z_mm, system)],
        ]
    return [["x", units.named(at.x, system)], ["y", units.named(at.y, system)]]


def _wall_place(table: Table, a: Answer) -> list[list[str]]:
    """Return how wide the rooms beside a wall are where it is dragged to, and how long the walls that go along."""
    system, house = table.job.job.units, a.house or table.design.house
    j = joined(table.design.house, table.job, a.handle.of)
    wide = [(f"{r.title or r.id}, wide", (r.x1_mm - r.x0_mm) if a.handle.ways[0].x else (r.y1_mm - r.y0_mm))
            for r in (house.room(i) for i in j.rooms)]  # fmt: skip
    long = [(f"wall {i}, long", house.wall(i).length_mm) for i in j.ends]
    return [[what, units.named(mm, system)] for what, mm in (*wide, *long)]


def _box_place(table: Table, boxes: list[CabinetBox], handle: Handle) -> list[list[str]]:
    """Return where one box of a run is, and how wide it and its neighbours are."""
    system, n = table.job.job.units, handle.number - 1
    ends = [("from", boxes[n].from_station_mm), ("to", boxes[n].to_station_mm)]
    around = [("width", n), ("box before it", n - 1), ("box after it", n + 1)]
    wide = [(w, boxes[k].to_station_mm - boxes[k].from_station_mm) for w, k in around if 0 <= k < len(boxes)]
    return [[what, units.named(mm, system)] for what, mm in (*ends, *wide)]


def _band(a: Answer, system: units.Units, view: View) -> dict[str, Any] | None:
    s = a.stub
    if s is None:
        return None
    high, lo, hi = view.sheet.paper.height, s.lo_z_mm, s.hi_z_mm
    shown = view.wall is not None and a.handle.kind == "stub"
    return {
        "lo": units.named(lo - s.finished_z_mm, system), "hi": units.named(hi - s.finished_z_mm, system),
        "low": s.lo_governs, "high": s.hi_governs, "feasible": s.feasible,
        "within": s.feasible and lo - 0.5 <= s.mark_z_mm <= hi + 0.5,
        "y": [round(high - view.at(a.handle.at.at_z(z))[1], 2) for z in (hi, lo)] if shown else [],
    }  # fmt: skip


def _finding(f: Finding) -> dict[str, Any]:
    return {"level": f.level.value, "check": f.check, "name": f.name, "about": list(f.about), "found": f.found,
            "wanted": f.wanted, "do": f.do}  # fmt: skip
