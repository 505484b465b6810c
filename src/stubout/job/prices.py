"""A file of prices: what the supplier of the one who asks takes for pipe, fittings and the rest."""

from __future__ import annotations

from pydantic import Field

from stubout.job.model import Record


class PriceSaid(Record):
    """The price of one line of the material list: item and size as printed there."""

    item: str  # "ABS sanitary tee"; for pipe with its stock length: "ABS DWV pipe, 10'-0""
    size: str = ""  # "3 x 3 x 2"
    each: str  # per unit of the line: stick, piece, metre, quart
    line: int = Field(default=0, exclude=True)


class PriceFileSaid(Record):
    """Prices in one currency."""

    currency: str = Field(min_length=1)
    prices: tuple[PriceSaid, ...]
