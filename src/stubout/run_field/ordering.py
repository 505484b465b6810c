"""What a planned job costs by the user's prices, as a page needs it: `order.json`, read without the engine."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pydantic import TypeAdapter

KIND: Final = "prices"  # of the work that lays prices into a plan
ORDER: Final = "order.json"


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the order, ready to be shown."""

    item: str
    size: str
    quantity: str
    unit: str
    each: str  # "" where it has no price
    total: str


@dataclass(frozen=True, slots=True)
class Ordered:
    """The order in one currency."""

    currency: str
    total: str  # of the lines that have a price
    rows: tuple[Row, ...]
    unused: tuple[str, ...]  # priced, and not needed

    @property
    def unknown(self) -> int:
        """Return how many lines have no price."""
        return sum(not r.each for r in self.rows)


_ADAPTER: Final = TypeAdapter(Ordered)


def write(ordered: Ordered) -> bytes:
    """Return the bytes of `order.json`."""
    return _ADAPTER.dump_json(ordered)


def read(data: bytes) -> Ordered:
    """Return what `order.json` says."""
    return _ADAPTER.validate_json(data)
