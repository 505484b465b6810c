"""What a change moved, in parts that a terminal and a page print alike: kept, moved by how much, stale."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stubout.problems import Finding, several

if TYPE_CHECKING:
    from stubout.change.moved import Line, Moved
    from stubout.layout.model import Blocked

NAMED = 6  # things named of one finding
WIDTH = 92  # columns of a terminal that does not say how wide it is
# What each part is called, in the order of the telling.
TITLES = {
    "installed": "Installed and not there any more",
    "pipes": "Pipes",
    "marks": "Marks",
    "pieces": "Cut list",
    "sheets": "Sheets",
    "words": "Sheets with other names only",
    "new": "New findings",
    "gone": "Findings gone",
}


@dataclass(frozen=True, slots=True)
class Part:
    """One part of what a change did."""

    key: str  # of `TITLES`
    words: str  # in one line, "" where the lines say it all
    before: str  # what stands before the lines, "" for nothing
    lines: tuple[str, ...]


def parts(moved: Moved, new: Iterable[str], gone: Iterable[str]) -> tuple[Part, ...]:
    """Return what lies between two layouts, part by part.

    Args:
        moved: What a change did.
        new: What is blocked or found now and was not before, in words.
        gone: What was blocked or found before and is not now.
    """
    m = moved
    pieces = (
        f"{several(m.good_pieces, 'piece')} good in place, {m.other_use} good in another place, "
        f"{m.new_pieces} to be cut"
    )
    spoilt = "Cut already, and good for nothing in the later layout:"
    found = (
        Part("installed", "", "", m.installed_moved),
        Part("pipes", f"{m.kept_pipes} of {m.all_pipes} lie as before", "", _words(m.pipes)),
        Part("marks", f"{m.kept_marks} stand as before", "", _words(m.marks)),
        Part("pieces", pieces, spoilt, _words(m.pieces)),
        Part("sheets", f"{m.good_sheets} as before", "Stale, measures have changed:", m.sheets),
        Part("words", "", "Measures as before, names or places on the paper otherwise:", m.other_words),
        Part("new", "", "", tuple(new)),
        Part("gone", "", "", tuple(gone)),
    )
    return tuple(p for p in found if p.words or p.lines)


def _words(lines: Iterable[Line]) -> tuple[str, ...]:
    return tuple(line.words for line in lines)


def fault_words(fault: Finding | Blocked) -> str:
    """Return a finding or a blocked part in one line."""
    about = ", ".join(fault.about[:NAMED])
    if isinstance(fault, Finding):
        return f"{fault.level.value} {fault.check} {about}: {fault.found}"
    return f"not laid out: {about}: {fault.constraint}"


def parts_text(told: Iterable[Part], width: int = WIDTH) -> str:
    """Return the parts as a plumber reads them in a terminal of so many columns."""
    return "\n".join(_lines(told, width)) + "\n"


def _lines(told: Iterable[Part], width: int) -> Iterator[str]:
    for part in told:
        title = TITLES[part.key].upper()
        if part.words:
            yield from textwrap.wrap(f"{title:<9} {part.words}", width, subsequent_indent=" " * 10)
        else:
            yield title
        if part.before and part.lines:
            yield f"  {part.before}"
        for line in part.lines:
            yield from textwrap.wrap(line, width, initial_indent="    ", subsequent_indent="      ")
