"""What a change moved, in lines for a terminal: what is kept, what moved by how much, what is stale."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from stubout.change.moved import Line, Moved
from stubout.problems import several


def moved_text(moved: Moved, new: Iterable[tuple[str, ...]], width: int = 92) -> str:
    """Return what lies between two layouts as a plumber reads it.

    Args:
        moved: What a change did.
        new: What is blocked or found now and was not before, by what it is about.
        width: Columns of the terminal.
    """
    return "\n".join(_lines(moved, tuple(new), width)) + "\n"


def _lines(m: Moved, new: tuple[tuple[str, ...], ...], width: int) -> Iterator[str]:
    if m.installed_moved:
        yield from _part("INSTALLED AND NOT THERE ANY MORE", m.installed_moved, width)
    yield f"PIPES     {m.kept_pipes} of {m.all_pipes} lie as before"
    yield from _told(m.pipes, width)
    yield f"MARKS     {m.kept_marks} stand as before"
    yield from _told(m.marks, width)
    yield (
        f"CUT LIST  {several(m.good_pieces, 'piece')} good in place, {m.other_use} good in another place, "
        f"{m.new_pieces} to be cut"
    )
    if m.pieces:
        yield "  Cut already, and good for nothing in the later layout:"
        yield from _told(m.pieces, width)
    yield f"SHEETS    {m.good_sheets} as before"
    yield from _part("  Stale, measures have changed:", m.sheets, width)
    yield from _part("  Measures as before, names or places on the paper otherwise:", m.other_words, width)
    yield from _part("NEW FINDINGS, about:", tuple(", ".join(a[:6]) for a in new), width)


def _told(lines: Iterable[Line], width: int) -> Iterator[str]:
    for line in lines:
        yield from textwrap.wrap(line.words, width, initial_indent="  ", subsequent_indent="      ")


def _part(title: str, words: tuple[str, ...], width: int) -> Iterator[str]:
    if words:
        yield title
        for w in words:
            yield from textwrap.wrap(w, width, initial_indent="    ", subsequent_indent="      ")
