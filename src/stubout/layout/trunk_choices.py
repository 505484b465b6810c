"""Slopes and sizes of the building drain that a book offers, in the order they are tried. Sizes in nominal inches."""

from __future__ import annotations

from stubout.layout.needs import SIZES
from stubout.layout.weights import STEEPEST_USUAL
from stubout.problems import NotInBook
from stubout.rulebooks import queries as ask
from stubout.rulebooks.model import RuleBook


def trunk_choices(book: RuleBook, closets: int, load: float) -> list[tuple[float, float]]:
    """Return (slope, size) for the building drain: steepest usual slope first, then flatter ones the book offers.

    Args:
        book: The rule book.
        closets: How many water closets drain into it.
        load: All that does, in the book's fixture units.
    """
    size = _with_closets(book, least_trunk_in(book, closets), closets)
    usual = _usual_slope(book)
    out: list[tuple[float, float]] = []
    for s in [size, *[x for x in SIZES if x > size and x <= 4.0]]:
        try:
            least = ask.min_slope(book, s).number
            offered = sorted({c.number for c in ask.slopes_offered(book, s)} | {usual, least}, reverse=True)
        except NotInBook:
            continue
        for slope in offered:
            if slope > usual * 1.001 or slope < least - 1e-9:
                continue
            try:
                if ask.building_drain_capacity(book, s, slope).number + 1e-9 < load:
                    continue
            except NotInBook:
                continue
            out.append((slope, s))
        if out:
            break
    return out or [(usual, size)]


def why_slope(book: RuleBook, slope: float, size_in: float) -> str:
    """Return in words why the building drain has its slope."""
    fall = f"{slope * 100:.2f} % in {size_in:g} in"
    if slope > _usual_slope(book) * 1.001:
        return f"steeper than usual, so that no trap lies deeper below its outlet than the book lets it: {fall}"
    return f"steepest usual slope found to leave no trap without fall: {fall}"


def least_trunk_in(book: RuleBook, closets: int) -> float:
    """Return the least size of a building drain into which so many water closets drain [in]."""
    try:
        return ask.building_drain_least_size(book, closets).number
    except NotInBook:
        return 3.0 if closets else 2.0


def _with_closets(book: RuleBook, size: float, closets: int) -> float:
    """Return the size of a lying drain that takes so many closets by the book, a given one at least [in]."""
    for s in SIZES:
        if s >= size - 1e-9:
            most = ask.max_closets(book, s, "horizontal")
            if most is None or most.number >= closets:
                return s
    return size


def _usual_slope(book: RuleBook) -> float:
    return STEEPEST_USUAL if book.family != "n" else 1 / 50
