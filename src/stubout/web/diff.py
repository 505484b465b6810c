"""What two revisions differ in: the lines of the file, and what that moved in the plan."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Literal

from stubout.run_field.model import Field, WallMark

_AROUND = 2  # lines shown before and after a change
_BLOCK = re.compile(rb'<g id="[^"]*" data-layer="block">.*?</g>', re.DOTALL)
_FRAME = re.compile(rb"<title.*?</desc>", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a comparison."""

    kind: Literal["same", "out", "in", "gap"]
    before: int  # line number, 0 where there is none
    after: int
    text: str


def rows(before: str, after: str) -> tuple[Row, ...]:
    """Return what changed with a few lines round it; nothing for the same text."""
    a, b = before.splitlines(), after.splitlines()
    out: list[Row] = []
    for group in SequenceMatcher(None, a, b, autojunk=False).get_grouped_opcodes(_AROUND):
        if group[0][1] or out:
            out.append(Row("gap", 0, 0, ""))
        for what, a0, a1, b0, b1 in group:
            if what == "equal":
                out += [Row("same", a0 + i + 1, b0 + i + 1, a[a0 + i]) for i in range(a1 - a0)]
            else:
                out += [Row("out", i + 1, 0, a[i]) for i in range(a0, a1)]
                out += [Row("in", 0, i + 1, b[i]) for i in range(b0, b1)]
    return tuple(out)


def moved(before: Field, after: Field) -> tuple[str, ...]:
    """Return in words what a change did to marks, slopes and findings."""
    return (*_marks(before, after), *_drains(before, after), *_findings(before, after))


def _known(field: Field) -> dict[tuple[str, str, str], WallMark]:
    return {(side.id, m.kind, m.about): m for side in field.walls for m in side.marks if m.kind in ("stub", "cleanout")}


def _marks(before: Field, after: Field) -> Iterator[str]:
    was, now = _known(before), _known(after)
    for key in sorted(was.keys() | now.keys()):
        a, b = was.get(key), now.get(key)
        if a is None or b is None:
            yield f"{key[2]} is {'new on' if a is None else 'no longer on'} {key[0]}"
        elif (a.station, a.subfloor) != (b.station, b.subfloor):
            yield (
                f"{b.what}: from the corner {a.station} → {b.station}, "
                f"above subfloor {a.subfloor or '-'} → {b.subfloor or '-'}"
            )
    for title, kind in (("holes", "bore"), ("fittings", "glue"), ("hangers", "hanger"), ("plates", "plate")):
        old = {t.place for t in before.tasks if t.kind == kind}
        new = {t.place for t in after.tasks if t.kind == kind}
        if old != new:
            yield f"{title}: {len(new - old)} in a new place, {len(old - new)} gone, {len(old & new)} as before"


def _drains(before: Field, after: Field) -> Iterator[str]:
    was = {d.about: d for d in before.drains}
    for d in after.drains:
        old = was.get(d.about)
        if old is not None and (old.words, old.planned_words) != (d.words, d.planned_words):
            yield f"{d.about}: {old.words} at {old.planned_words} → {d.words} at {d.planned_words}"


def _findings(before: Field, after: Field) -> Iterator[str]:
    def told(field: Field) -> dict[str, str]:
        return {f"{f.level} {f.check} {', '.join(f.about)}": f.found for f in field.findings if f.level != "NOTE"}

    was, now = told(before), told(after)
    yield from (f"new finding: {k}: {now[k]}" for k in now if k not in was)
    yield from (f"finding gone: {k}" for k in was if k not in now)


def stale(before: Field, after: Field, read: Callable[[int, str], bytes]) -> tuple[str, ...]:
    """Return the titles of the drawings that look otherwise now, the title block left aside.

    Args:
        before: The earlier plan.
        after: The later plan.
        read: Gives the bytes of a file of the earlier (0) or later (1) plan.
    """
    was = {d.file for d in before.drawings}
    return tuple(
        d.title for d in after.drawings if d.file not in was or _bare(read(0, d.file)) != _bare(read(1, d.file))
    )


def _bare(drawing: bytes) -> bytes:
    return _BLOCK.sub(b"", _FRAME.sub(b"", drawing))
