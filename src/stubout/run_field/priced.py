"""Prices that come as a text laid into a finished design: order, packet and list; the engine at work."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from stubout import run
from stubout.design import Design
from stubout.reports.order import Order, order
from stubout.run_field import ordering, texts
from stubout.run_field.ordering import Ordered, Row

KEPT = ("packet.pdf", "lists/order.csv")  # files of the plan that prices change


def files_of(design: Design, verdict: run.Verdict, text: str, progress: Callable[[str], None]) -> dict[str, bytes]:
    """Return the files of a judged design that prices change; raises JobFileError for a text that is no list."""
    prices = texts.prices_of(text)
    made = run.made(design, verdict, progress, prices=prices)
    files = {name: made.files[name] for name in KEPT}
    return {**files, ordering.ORDER: ordering.write(ordered(order(made.design, prices)))}


def ordered(of: Order) -> Ordered:
    """Return an order as a page shows it."""
    rows = tuple(
        Row(
            p.line.item, p.line.size, f"{p.line.quantity:g}", p.line.unit,
            "" if p.each is None else amount(p.each), "" if p.total is None else amount(p.total),
        )
        for p in of.lines
    )  # fmt: skip
    unused = tuple(f"{p.item} {p.size}".strip() for p in of.unused)
    return Ordered(of.currency, amount(of.total), rows, unused)


def amount(value: Decimal) -> str:
    """Return an amount of money; a price below a cent keeps its figures.

    >>> amount(Decimal("1234.5")), amount(Decimal("0.0025"))
    ('1,234.50', '0.0025')
    """
    return f"{value:,.2f}" if value == round(value, 2) else f"{value:,}"
