"""Reads a file of prices, with every fault and its line."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation

from stubout.catalog.prices import Price, PriceList, same_item
from stubout.files.job_words import quoted
from stubout.files.jobs import read_marked_text, text_of
from stubout.job.prices import PriceFileSaid
from stubout.problems import Fault, JobFileError

MOST = Decimal(1_000_000)
WANTED = "an amount such as 12.50, not below nothing"


def read_prices(path: str) -> PriceList:
    """Return the prices of a file; raises as `read_prices_text`."""
    return read_prices_text(text_of(path, "a file of prices", "`--prices` names it."), path)


def read_prices_text(text: str, path: str) -> PriceList:
    """Return the prices of a text.

    Args:
        text: The list of prices.
        path: What its faults are told of.

    Raises:
        JobFileError: With every fault: no amount, an item priced twice.
    """
    said, marks = read_marked_text(text, path, PriceFileSaid)
    faults: list[Fault] = []
    prices: list[Price] = []
    for k, p in enumerate(said.prices):
        each = amount(p.each)
        if each is None:
            faults.append(marks.fault(("prices", k, "each"), quoted(p.each), WANTED))
            continue
        if any(same_item(p.item, p.size, q.item, q.size) for q in prices):
            name = f"{p.item} {p.size}".strip()
            faults.append(marks.fault(("prices", k), quoted(name), "every item once", "It has a price above."))
            continue
        prices.append(Price(p.item, p.size, each))
    if faults:
        raise JobFileError(faults)
    return PriceList(said.currency, tuple(prices))


def amount(text: str) -> Decimal | None:
    """Return an amount of money as it is written, None if it is none that a price can be."""
    try:
        value = Decimal(text.strip())
    except InvalidOperation:
        return None
    return value if value.is_finite() and 0 <= value <= MOST else None
