"""Faults of single values: what pydantic says of a place, told in the trade's words with the line of the file."""

from __future__ import annotations

from typing import Any, get_origin

from stubout import units
from stubout.files.job_words import (
    cut_short,
    did_you_mean,
    is_plain_list,
    key_of,
    quoted,
    shown_key,
    type_at,
    wanted,
    words_in,
)
from stubout.job.model import Record
from stubout.problems import Fault

Loc = tuple[str | int, ...]


class Marks:
    """The line of every place of the file, and the ids that name the entries of its lists."""

    def __init__(self, name: str) -> None:
        self.name = name
        self._lines: dict[Loc, int] = {}
        self._ids: dict[Loc, str] = {}

    def put(self, loc: Loc, line: int, name: str = "") -> None:
        """Remember the line of a place and the id of its entry."""
        self._lines[loc] = line
        if name:
            self._ids[loc] = name

    def known(self, loc: Loc) -> bool:
        """Return whether the file has this place."""
        return loc in self._lines

    def line(self, loc: Loc) -> int:
        """Return the line of a place, or of what it lies in."""
        while loc and loc not in self._lines:
            loc = loc[:-1]
        return self._lines.get(loc, 1)

    def path(self, loc: Loc) -> str:
        """Return a place as the user sees it: `walls[M-B].wall height`; an entry without id by its number from 1."""
        shown = ""
        for depth, part in enumerate(loc, start=1):
            if isinstance(part, int):
                name = self._ids.get(loc[:depth], "")
                shown += f"[{' '.join(name.split())[:30]}]" if name else f"[no. {part + 1}]"
            else:
                shown += ("." if shown else "") + shown_key(" ".join(part.split())[:60])
        return shown or "file"

    def fault(self, loc: Loc, found: str, wished: str, do: str = "") -> Fault:
        """Return a fault at a place."""
        return Fault(self.name, self.line(loc), self.path(loc), found, wished, do)


def fault_of(error: Any, marks: Marks, root: type[Record]) -> Fault:
    """Return the fault that one pydantic error of a record stands for."""
    loc = loc_of(error["loc"], root)
    plain, meta = type_at(root, loc)
    kind = error["type"]
    if kind == "missing":
        return _missing(loc, plain, meta, marks, root)
    while loc and not marks.known(loc):  # parts of `a, b` have no place of their own
        loc = loc[:-1]
    value = error.get("input")
    found = _found(value)
    if kind in ("too_long", "too_short"):
        whole, whole_meta = type_at(root, loc)
        return marks.fault(loc, f"{error['ctx']['actual_length']} of them", wanted(whole, whole_meta))
    reason = (error.get("ctx") or {}).get("error")
    if isinstance(reason, units.UnitError):
        do = f"{reason.do[0].upper()}{reason.do[1:]}." if reason.do else ""
        return marks.fault(loc, quoted(reason.found), reason.wanted, do)
    words = words_in(plain)
    do = did_you_mean(value, words) if words and isinstance(value, str) else ""
    if isinstance(value, str) and is_plain_list(plain, meta):
        do = f"Write it under the key, as a line of its own: - {cut_short(value)}"
    return marks.fault(loc, found, wanted(plain, meta), do)


def loc_of(loc: tuple[Any, ...], root: type[Record]) -> Loc:
    """Return pydantic's path with keys in their inner spelling; one of the user's own (`people: B`) stays as it is."""
    return tuple(
        part if isinstance(part, int) or get_origin(type_at(root, loc[:depth])[0]) is dict else key_of(part)
        for depth, part in enumerate(loc)
    )


def _missing(loc: Loc, plain: Any, meta: tuple[Any, ...], marks: Marks, root: type[Record]) -> Fault:
    if isinstance(loc[-1], int):  # a point with too few coordinates
        while loc and (isinstance(loc[-1], int) and not marks.known(loc)):
            loc = loc[:-1]
        return marks.fault(loc, "too few", wanted(*type_at(root, loc)))
    do = "Write `stubout: 1` as the first line." if loc == ("stubout",) else ""
    return marks.fault(loc, "nothing", wanted(plain, meta), do)


def _found(value: Any) -> str:
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, dict):
        return "lines of `key: value`"
    if isinstance(value, (list, tuple)):
        return f"a list of {len(value)}" if value else "an empty list"
    return quoted(str(value))
