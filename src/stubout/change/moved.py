"""What a change moved between two designs: pipes and cut pieces by where they lie, marks by what they are. [mm]."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

from stubout import units
from stubout.design import Design
from stubout.geometry.vec import Vec
from stubout.network.model import Pipe
from stubout.sheets.model import Circle, Item, Sheet, Text
from stubout.sheets.model import Line as DrawnLine
from stubout.sheets.wall_facts import Mark, marks, sides_with_work

SAME_MM = 0.1  # what lies so near is in the same place
CUT_MM = 0.5  # pieces so alike are the same cut
NAMES = re.compile(
    r"\b(?:CO|[BDFHNPVSX])\d+[a-z]?(?:[.-]\d+)*\b|^\d+(?:, \d+)*$"
)  # ids and numbers, which say no measure
NAMED = frozenset(
    {"stub", "floor", "cleanout", "standpipe", "box"}
)  # marks known by what they are of, wherever they stand


@dataclass(frozen=True, slots=True)
class Line:
    """One thing a change did, ready to be read."""

    kind: str  # "pipe", "mark", "piece"
    about: str
    words: str
    by_mm: float | None = None  # how far it moved, where that can be said


@dataclass(frozen=True, slots=True)
class Moved:
    """What a change did, part by part."""

    pipes: tuple[Line, ...]
    kept_pipes: int
    all_pipes: int  # of the earlier design
    marks: tuple[Line, ...]
    kept_marks: int
    pieces: tuple[Line, ...]  # cut already, and good for nothing now
    good_pieces: int  # in their places
    other_use: int  # cut so that they serve in another place
    new_pieces: int
    sheets: tuple[str, ...]  # titles of the stale ones: a measure, a pipe or a window on them is not as before
    other_words: tuple[str, ...]  # all measures as before, but for names, numbers, or how they stand on the paper
    good_sheets: int
    installed_moved: tuple[str, ...]  # in place by the earlier job, and not there now


def lies_as(design: Design, pipe: Pipe) -> bool:
    """Return whether a pipe of another design lies in this one too, size and system alike; it may be cut in two."""
    return any(
        _alike(q, pipe) and q.size_in == pipe.size_in and _on(q, pipe.a) and _on(q, pipe.b)
        for q in _same_line(design, pipe)
    )


def _alike(p: Pipe, q: Pipe) -> bool:
    """Return whether two pipes are of one system; the return of a loop, a drain without water, is drawn as a vent."""
    return p.system == q.system or not next(i for i in (p, q) if i.system == "drain").tags


def _same_line(design: Design, pipe: Pipe) -> Iterator[Pipe]:
    """Yield the pipes of a design that hold a pipe, or make it together, joined to one."""
    for q in design.network.pipes:
        if q.a.to(pipe.a) < SAME_MM and q.b.to(pipe.b) < SAME_MM:
            yield q
            return
    pieces = [q for q in design.network.pipes if _between(pipe, q.a) and _between(pipe, q.b)]
    if pieces and abs(sum(q.length_mm for q in pieces) - pipe.length_mm) < SAME_MM:
        yield from (_joined(pieces, pipe),)
        return
    yield from (q for q in design.network.pipes if _between(q, pipe.a) and _between(q, pipe.b))


def _joined(pieces: list[Pipe], pipe: Pipe) -> Pipe:
    odd = next((q for q in pieces if q.size_in != pipe.size_in or q.system != pipe.system), pieces[0])
    return replace(odd, a=pipe.a, b=pipe.b)


def _between(pipe: Pipe, at: Vec) -> bool:
    return pipe.a.to(at) + at.to(pipe.b) - pipe.length_mm < SAME_MM / 10 and pipe.length_mm > 0


def _on(pipe: Pipe, at: Vec) -> bool:
    return pipe.a.to(at) < SAME_MM or pipe.b.to(at) < SAME_MM or _between(pipe, at)


def moved(old: Design, new: Design, was: tuple[Sheet, ...], now: tuple[Sheet, ...]) -> Moved:
    """Return what a change did.

    Args:
        old: The earlier design.
        new: The later one.
        was: The sheets of the earlier one.
        now: The sheets of the later one.
    """
    same = {p.id for p in old.network.pipes if lies_as(new, p)}
    spoilt, good, other, cut = _pieces(old, new, same)
    marked, kept_marks = _marks(old, new)
    stale, words = _stale(old, new, was, now)
    held = {p.id for p in old.network.pipes if p.said == "installed"}
    return Moved(
        pipes=tuple(_pipes(old, new, same)),
        kept_pipes=len(same),
        all_pipes=len(old.network.pipes),
        marks=marked,
        kept_marks=kept_marks,
        pieces=spoilt,
        good_pieces=good,
        other_use=other,
        new_pieces=cut,
        sheets=stale,
        other_words=words,
        good_sheets=len(now) - len({*stale, *words} & {s.title for s in now}),
        installed_moved=tuple(sorted(held - same)),
    )


def _stale(
    old: Design, new: Design, was: tuple[Sheet, ...], now: tuple[Sheet, ...]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the titles of the sheets that show other measures, and of those that only look otherwise."""
    before = {s.id: s for s in was}
    stale: list[str] = []
    words: list[str] = []
    for s in now:
        b = before.get(s.id)
        if b is None or _measures(b) != _measures(s) or _drawn(old, new, b) or _drawn(new, old, s):
            stale.append(s.title)
        elif _looks(s) != _looks(b):
            words.append(s.title)
    stale += [f"{s.title} (no longer drawn)" for s in was if s.id not in {n.id for n in now}]
    return tuple(stale), tuple(words)


def _drawn(one: Design, other: Design, sheet: Sheet) -> bool:
    """Return whether a sheet of one design draws a pipe that the other design does not have there."""
    ids = {i.layer.partition(":")[2] for i in sheet.items if i.layer.startswith("pipe:")}
    return any(p.id in ids and not lies_as(other, p) for p in one.network.pipes)


def _measures(sheet: Sheet) -> Counter[str]:
    """Return the texts of a sheet, names of pipes, holes and pieces left aside."""
    return Counter(NAMES.sub("#", i.text) for i in sheet.items if isinstance(i, Text))


def _looks(sheet: Sheet) -> tuple[object, ...]:
    """Return what one sees of a sheet: ids that are written nowhere make no difference."""
    return (sheet.title, sheet.scale, sheet.notes, tuple(_rounded(i) for i in sheet.items))


def _rounded(item: Item) -> Item:
    """Return an item as the eye has it: a hundredth of a millimetre is nothing on paper."""
    match item:
        case DrawnLine():
            return replace(item, layer="", points=tuple((round(x, 2), round(y, 2)) for x, y in item.points))
        case Circle():
            return replace(item, layer="", centre=(round(item.centre[0], 2), round(item.centre[1], 2)))
    return replace(item, layer="", at=(round(item.at[0], 2), round(item.at[1], 2)))


def _named(p: Pipe) -> str:
    return f"{p.role.value} {units.size(p.size_in)} in" + (f" of {', '.join(p.tags)}" if p.tags else "")


def _pipes(old: Design, new: Design, same: set[str]) -> Iterator[Line]:
    """Yield the pipes that do not lie as before, each with what does its work now, and those that are new."""
    u = new.house.job.units
    left = [q for q in new.network.pipes if not lies_as(old, q)]
    for p in (p for p in old.network.pipes if p.id not in same):
        alike = [q for q in left if (q.system, q.role, q.tags) == (p.system, p.role, p.tags)]
        q = min(alike, key=lambda q: (q.a.to(p.a) + q.b.to(p.b), q.id), default=None)
        if q is None:
            yield Line("pipe", p.id, f"{p.id}, {_named(p)}: gone")
            continue
        left.remove(q)
        by = max(q.a.to(p.a), q.b.to(p.b))
        called = f" now {q.id}," if q.id != p.id else ""
        sized = f", {units.size(p.size_in)} in before" if q.size_in != p.size_in else ""
        off = f" moved by up to {units.both(by, u)}" if by >= SAME_MM else " in its place"
        yield Line("pipe", q.id, f"{p.id}, {_named(q)}:{called}{off}{sized}", by)
    for q in left:
        yield Line("pipe", q.id, f"{q.id}, {_named(q)}: new")


@dataclass(frozen=True, slots=True)
class _Put:
    """A mark and the wall side it stands on."""

    wall: str
    side: str
    mark: Mark

    def off(self, other: _Put) -> float:
        """Return how far another mark stands from it [mm]; without end on another wall."""
        if (self.wall, self.side) != (other.wall, other.side):
            return float("inf")
        up = (self.mark.z_mm or 0.0) - (other.mark.z_mm or 0.0)
        return float(((self.mark.station_mm - other.mark.station_mm) ** 2 + up**2) ** 0.5)


def _all_marks(design: Design) -> list[_Put]:
    return [
        _Put(wall.id, side, m)
        for wall in design.house.walls
        for side in sides_with_work(design, wall)
        for m in marks(design, wall, side)
    ]


def _marks(old: Design, new: Design) -> tuple[tuple[Line, ...], int]:
    """Return the marks that moved, are new or are gone, and how many stand as before."""
    u = new.house.job.units
    left = _all_marks(new)
    out: list[Line] = []
    kept = 0
    loose: list[_Put] = []
    for a in _all_marks(old):
        b = next((b for b in left if b.mark.kind == a.mark.kind and b.off(a) < SAME_MM), None)
        if b is None:
            loose.append(a)
        else:
            left.remove(b)
            kept += 1
    for a in loose:
        b = next((b for b in left if _same_thing(a, b)), None)
        if b is None:
            out.append(Line("mark", a.mark.about, f"wall {a.wall}, {a.side}: {a.mark.what}: no longer there"))
            continue
        left.remove(b)
        if a.wall != b.wall or a.side != b.side:
            out.append(Line("mark", b.mark.about, f"{b.mark.what}: on wall {a.wall} before, on wall {b.wall} now"))
            continue
        along = b.mark.station_mm - a.mark.station_mm
        up = (b.mark.z_mm or 0.0) - (a.mark.z_mm or 0.0)
        both = (
            (along, "away from the corner" if along > 0 else "towards the corner"),
            (up, "up" if up > 0 else "down"),
        )
        said = ((units.both(abs(by), u), way) for by, way in both)
        ways = [f"{by} {way}" for by, way in said if by != units.both(0.0, u)]
        if not ways:  # too little to be written on a wall
            kept += 1
            continue
        where = f"wall {b.wall}, {b.side}: {b.mark.what}"
        out.append(Line("mark", b.mark.about, f"{where}: {', '.join(ways)}", a.off(b)))
    out += [Line("mark", b.mark.about, f"wall {b.wall}, {b.side}: {b.mark.what}: new") for b in left]
    return tuple(out), kept


def _same_thing(a: _Put, b: _Put) -> bool:
    """Return whether two marks that stand apart are of one thing: of a fixture anywhere, of a pipe on its wall."""
    if a.mark.kind != b.mark.kind or a.mark.about != b.mark.about:
        return False
    return a.mark.kind in NAMED or (a.wall, a.side) == (b.wall, b.side)


def _pieces(old: Design, new: Design, same: set[str]) -> tuple[tuple[Line, ...], int, int, int]:
    """Return pieces good for nothing now, how many are good in place and how many elsewhere, how many are to be cut."""
    u = new.house.job.units
    lines = {p.id: p for p in old.network.pipes}
    now = {p.id: p for p in new.network.pipes}
    left = [c for c in new.fabrication.pieces if c.cut_mm > 0]
    good = other = 0
    loose = []
    for c in (c for c in old.fabrication.pieces if c.cut_mm > 0):
        mine = [lines[i] for i in (c.pipes or (c.pipe,)) if i in lines]
        d = next(
            (
                d
                for d in left
                if d.size_in == c.size_in
                and abs(d.cut_mm - c.cut_mm) < CUT_MM
                and any(_overlap(p, now[i]) for p in mine for i in (d.pipes or (d.pipe,)) if i in now)
            ),
            None,
        )
        if d is None or not same.issuperset(p.id for p in mine):
            loose.append(c)
            continue
        left.remove(d)
        good += 1
    spoilt: list[Line] = []
    for c in loose:
        d = next((d for d in left if d.size_in == c.size_in and abs(d.cut_mm - c.cut_mm) < CUT_MM), None)
        if d is None:
            spoilt.append(Line("piece", c.id, f"{c.id}, {units.size(c.size_in)} in, cut to {units.both(c.cut_mm, u)}"))
        else:
            left.remove(d)
            other += 1
    return tuple(spoilt), good, other, len(left)


def _overlap(p: Pipe, q: Pipe) -> bool:
    """Return whether two pipes have a stretch in common."""
    return p.system == q.system and any(_between(p, at) for at in (q.a, q.b, q.a.plus(q.b).times(0.5)))
