"""Prices the user gives: looked up by the words of the material list, never guessed. Whole cents by `Decimal`."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Price:
    """What one unit of an item costs."""

    item: str
    size: str
    each: Decimal


@dataclass(frozen=True, slots=True)
class PriceList:
    """The prices of one supplier in one currency."""

    currency: str
    prices: tuple[Price, ...]

    def of(self, item: str, size: str) -> Price | None:
        """Return the price of an item, None where the list has none; case, blanks and inch marks are free."""
        return next((p for p in self.prices if same_item(p.item, p.size, item, size)), None)


def same_item(item: str, size: str, other: str, other_size: str) -> bool:
    """Return whether two names mean the same line of the material list.

    >>> same_item("abs Sanitary Tee", '3" x 3" x 2"', "ABS sanitary tee", "3 x 3 x 2")
    True
    """
    return (_plain(item), _plain(size)) == (_plain(other), _plain(other_size))


def _plain(text: str) -> str:
    out = text.casefold().replace("×", "x")
    for mark in ('"', "″", "\u00a0"):
        out = out.replace(mark, "")
    return "".join(out.split())
