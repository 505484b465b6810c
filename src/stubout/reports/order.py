"""The material list with the user's prices: what each line comes to, what has no price, what is priced and not used."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from stubout.catalog.prices import Price, PriceList
from stubout.design import Design
from stubout.fabrication.model import MaterialLine
from stubout.problems import Question

CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class PricedLine:
    """One line of the order; without a price both amounts are None."""

    line: MaterialLine
    each: Decimal | None
    total: Decimal | None


@dataclass(frozen=True, slots=True)
class Order:
    """The order in one currency."""

    currency: str
    lines: tuple[PricedLine, ...]
    unused: tuple[Price, ...]

    @property
    def total(self) -> Decimal:
        """Return the sum of all lines that have a price."""
        return sum((p.total for p in self.lines if p.total is not None), Decimal(0))

    @property
    def unknown(self) -> tuple[MaterialLine, ...]:
        """Return the lines without a price."""
        return tuple(p.line for p in self.lines if p.each is None)


def order(design: Design, prices: PriceList) -> Order:
    """Return the material list with prices; amounts of a line are rounded to the cent.

    Args:
        design: The design.
        prices: The prices of the user.
    """
    lines = []
    used = set()
    for line in design.fabrication.materials:
        price = prices.of(line.item, line.size)
        if price is None:
            lines.append(PricedLine(line, None, None))
            continue
        used.add(price)
        total = (price.each * Decimal(str(line.quantity))).quantize(CENT, ROUND_HALF_UP)
        lines.append(PricedLine(line, price.each, total))
    return Order(prices.currency, tuple(lines), tuple(p for p in prices.prices if p not in used))


def price_question(of: Order) -> Question | None:
    """Return the open question of an order: what the file of prices leaves open."""
    if not of.unknown:
        return None
    names = "; ".join(f"{m.item} {m.size}".strip() for m in of.unknown)
    return Question(
        "PRICES",
        f"What do these cost: {names}?",
        "plumber",
        blocks="the total of the material list",
        assumed="nothing: they are left out of the total",
    )
