"""A price for each line of the material list: what is known of each, and the list of prices with some changed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Any, Final

from stubout.catalog.prices import PriceList
from stubout.run_field import texts
from stubout.run_field.ordering import Ordered
from stubout.store.model import StoreError
from stubout.web import yaml_paths
from stubout.web.along.data import table
from stubout.web.office import Office, Opened
from stubout.web.yaml_paths import MORE, Path

PRICES: Final = "prices"
CURRENCY: Final = "currency"
_EMPTY: Final = "currency:\nprices:\n"  # both are set before it counts
_DIGITS: Final = 16  # of a name: a field belongs to a line, whatever lines come before it


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the material list."""

    name: str  # of its field
    item: str
    size: str
    quantity: str
    unit: str
    each: str  # as the list of prices says it, "" where it has none
    total: str  # by the order, "" where that is not worked out or has no price


def lines(office: Office, at: Opened, text: str, order: Ordered | None = None) -> tuple[Line, ...]:
    """Return the lines of the material list with what a list of prices says of each.

    Args:
        office: The office.
        at: A planned job.
        text: The list of prices, without faults; "" where there is none.
        order: The order by it, where it is worked out.
    """
    head, rows = table(office.plans.file(at.key, "lists/materials.csv"))
    said = texts.prices_of(text) if text else None
    totals = {(r.item, r.size): r.total for r in order.rows} if order else {}
    found = []
    for r in (dict(zip(head, row, strict=True)) for row in rows):
        item, size = r["item"], r["size"]
        number = _number(said, item, size)
        each = yaml_paths.written(text, (PRICES, number, "each")) if number else ""
        name = "each:" + sha256(f"{item}\0{size}".encode()).hexdigest()[:_DIGITS]
        found.append(Line(name, item, size, r["quantity"], r["unit"], each, totals.get((item, size), "")))
    return tuple(found)


def _number(said: PriceList | None, item: str, size: str) -> int:
    """Return the number of the entry of a line in a list of prices, 0 where it has none."""
    price = said.of(item, size) if said else None
    return said.prices.index(price) + 1 if said and price else 0


def wrong(given: Mapping[str, str]) -> dict[str, str]:
    """Return what is wrong with prices that were typed, by the name of their field."""
    return {name: told for name, each in given.items() if each and (told := texts.amount_fault(each))}


def changed(text: str, currency: str, found: Iterable[Line], given: Mapping[str, str]) -> str:
    """Return a list of prices with those that were typed otherwise; all else of it stays letter for letter.

    Args:
        text: The list that holds, "" where there is none.
        currency: What was typed for it.
        found: The lines of the material list with what that list says.
        given: What was typed, by the name of the field; an empty one takes the price out.

    Raises:
        StoreError: If no price or no currency would be left.
        EditError: If the list is written so that it cannot be changed by form.
    """
    if not currency:
        raise StoreError("say the currency of the prices")
    base = text or _EMPTY
    new = yaml_paths.said(base, _statements(base, texts.prices_of(text) if text else None, currency, found, given))
    if not yaml_paths.count(new, (PRICES,)):
        raise StoreError("give a price; to have none, take these prices back")
    return new


def _statements(
    base: str, said: PriceList | None, currency: str, found: Iterable[Line], given: Mapping[str, str]
) -> Iterator[tuple[Path, Any]]:
    if currency != yaml_paths.written(base, (CURRENCY,)):
        yield (CURRENCY,), currency
    out: list[int] = []
    for line in found:
        each = given.get(line.name, line.each)
        if each == line.each:
            continue
        number = _number(said, line.item, line.size)
        if not number:
            yield (PRICES, MORE), {"item": line.item, **({"size": line.size} if line.size else {}), "each": each}
        elif each:
            yield (PRICES, number, "each"), each
        else:
            out.append(number)
    for number in sorted(out, reverse=True):  # from the end, so that numbers hold
        yield (PRICES, number), None
