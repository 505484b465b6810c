"""Laying amendments over a book: single values and single cells of tables, with citation, author and date.

They stack: the province's, the city's, the inspector's. A later one lies over an earlier one and says over what.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from stubout import units
from stubout.problems import RuleBookError, Status
from stubout.rulebooks import asks
from stubout.rulebooks.frozen import Frozen
from stubout.rulebooks.model import Cell, RuleBook, Value
from stubout.rulebooks.overlay import Amend
from stubout.rulebooks.spots import Spot, put, spot

_YES = {"yes": True, "true": True, "no": False, "false": False}
_NUMBER = re.compile(r"\s*([+-]?\d+(?:\.\d+)?(?:\s*/\s*\d+)?)\s*[A-Za-z°%]*\s*\.?\s*$")


def apply(book: RuleBook, amendments: Sequence[Amend]) -> RuleBook:
    """Return the book with the amendments laid over it; later ones win.

    A value the book is silent on may be added if its id is known to the books at all; a table's cell is named
    `table_id[input,input]`, for example `trap_arm[1.5]`. An amendment that says `ask` leaves the value to the
    inspector: the layout goes on with what lies under it, the checks do not judge by it.

    Raises:
        RuleBookError: If an id is unknown or a text cannot be read in the value's unit.
    """
    for one in amendments:
        book = _apply_one(book, one)
    return asks.closed(book)


def cited(one: Amend) -> str:
    """Return who says so and where: citation, author, date, and the amendment file if it stands in one."""
    cite = ", ".join(part for part in (one.citation, one.author, one.date) if part)
    return f"{cite} [{one.source}]" if one.source else cite


def _apply_one(book: RuleBook, one: Amend) -> RuleBook:
    place = spot(book, one.value_id)
    said = f"ask: {one.ask}" if one.ask else one.is_text
    listed = (*book.amendments, f"{one.value_id} = {said} ({cited(one)})")
    waiting = book.asked.get(place.id)
    if waiting is not None:  # what is only assumed is not what the next amendment lies over
        place = replace(place, cell=waiting.under)
    others = {k: v for k, v in book.asked.items() if k != place.id}
    book = replace(book, amendments=listed, asked=Frozen(others))
    if one.ask:
        return asks.lay(book, place, one, cited(one))
    return put(book, place, _amended(book, place, one))


def _amended(book: RuleBook, place: Spot, one: Amend) -> Cell:
    silent = "the book itself is silent" if place.row is None else "book: not permitted"
    return Cell(
        id=place.id,
        what=place.what,
        value=read_value(one.value_id, one.is_text, place.unit, place.choices),
        unit="" if place.unit == "bool" else place.unit,
        printed=one.is_text.strip(),
        book=book.id if place.cell is None else place.cell.book,
        section=place.section,
        status=Status.JOB,
        note=one.reason or (silent if place.cell is None else f"book: {place.cell.printed}"),
        amended_by=cited(one),
        over=_under(place),
    )


def _under(place: Spot) -> tuple[str, ...]:
    """Return what an amendment of a place lies over, uppermost first."""
    old = place.cell
    if old is None:
        return () if place.row is None else ("the book's: not permitted",)
    if not old.amended_by:
        return (f"the book's {old.printed}",)
    return (f"{old.printed} ({old.amended_by})", *old.over)


def read_value(value_id: str, text: str, unit: str, choices: tuple[str, ...]) -> Value:
    """Return a text of the user in the unit used inside; raises RuleBookError."""
    text = text.strip()
    found = f"amendment of {value_id}: found {text!r}"
    try:
        if unit == "mm":
            return units.parse_length_mm(text)
        if unit == "m/m":
            return units.parse_slope(text)
        if unit == "in":
            return units.parse_size_in(text)
    except ValueError as fault:
        raise RuleBookError(f"{found}: {fault}") from fault
    if unit == "bool":
        if text.lower() not in _YES:
            raise RuleBookError(f"{found}, wanted yes or no")
        return _YES[text.lower()]
    if unit == "":
        if not text or (choices and text not in choices):
            raise RuleBookError(f"{found}, wanted {' | '.join(choices) or 'words'}")
        return text
    hit = _NUMBER.match(text)
    if hit is None:
        raise RuleBookError(f"{found}, wanted a number ({unit})")
    top, _, bottom = hit[1].partition("/")
    if bottom and float(bottom) == 0:
        raise RuleBookError(f"{found}, wanted a number ({unit})")
    return float(top) / (float(bottom) if bottom else 1.0)
