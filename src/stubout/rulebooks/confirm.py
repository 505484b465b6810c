"""Laying the user's confirmations over a book: who compared which value with their own copy, and when.

A confirmation raises the status of a value and changes nothing else. One that says another figure is no confirmation
but an amendment, and is refused.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from stubout.problems import RuleBookError, Status
from stubout.rulebooks.amend import read_value
from stubout.rulebooks.frozen import Frozen
from stubout.rulebooks.model import Cell, RuleBook
from stubout.rulebooks.overlay import Confirm
from stubout.rulebooks.spots import put, spot
from stubout.rulebooks.tables import canonical

_TOL = 1e-4  # relative: 1 1/2 in and 38.1 mm are the same figure, 150 mm and 6 in are not


def apply(book: RuleBook, confirmations: Sequence[Confirm]) -> RuleBook:
    """Return the shipped book with what the user has compared with the page; those of other books are passed over.

    A clause is confirmed by its section, since its rule stands here in our own words.

    Raises:
        RuleBookError: If the value as printed differs from ours.
    """
    for one in confirmations:
        cell = confirmable(book, one)
        if cell is not None:
            book = _lay(book, one, cell)
    return book


def confirmable(book: RuleBook, one: Confirm) -> Cell | None:
    """Return the value or clause of a book that a confirmation speaks of, None if it is not of this book."""
    wanted = canonical(one.value_id)
    cell = book.clauses.get(wanted)
    if cell is None:
        try:
            cell = spot(book, wanted).cell
        except RuleBookError:
            return None
    return cell if cell is not None and one.book in ("", book.id, cell.book) else None


def printed_differs(book: RuleBook, one: Confirm, cell: Cell) -> str:
    """Return what we have printed where the user's copy says something else; empty if both say the same."""
    if cell.id in book.clauses:
        return "" if _folded(one.printed) == _folded(cell.section) else f"section {cell.section}"
    if _folded(one.printed) in (_folded(cell.printed), _folded(str(cell.value))):
        return ""
    place = spot(book, cell.id)
    try:
        value = read_value(one.value_id, one.printed, place.unit, ())
    except RuleBookError:
        return cell.printed
    if isinstance(value, (bool, str)) or isinstance(cell.value, (bool, str)):
        return "" if value == cell.value else cell.printed
    return "" if math.isclose(value, cell.value, rel_tol=_TOL) else cell.printed


def _folded(text: str) -> str:
    return " ".join(text.casefold().replace("″", '"').replace("′", "'").split())


def _lay(book: RuleBook, one: Confirm, cell: Cell) -> RuleBook:
    if ours := printed_differs(book, one, cell):
        raise RuleBookError(f"confirmation of {one.value_id}: found {one.printed!r}, wanted {ours}, as we have it")
    who = ", ".join(part for part in (one.author, one.date, one.copy) if part)
    status = cell.status if cell.status.verified else Status.CONFIRMED
    new = replace(cell, status=status, confirmed_by=who)
    if cell.id in book.clauses:
        return replace(book, clauses=Frozen({**book.clauses, cell.id: new}))
    return put(book, spot(book, cell.id), new)
