"""What things cost, in minutes: working time, and material told in the minutes its price would pay for.

One unit for both, so that a metre of pipe and the hole it spares can be weighed against each other in any town and
year. The data are `data/costs.toml`; `shipped_costs.py` is written from it, so that the core needs no file. A job lays
its own rows over them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from stubout.problems import CatalogError, Status

ANY = 0.0  # the size of a row that holds for every size
BRANCHED = ("tee", "wye", "combination")  # kinds of fittings that let something in; "fitting tee" is the row of one
FACTOR = "factor "  # "factor crawl" is the row of a place in a job's own costs

CostSaid = tuple[str, float | None, float | None, float | None]  # item, size [in] or every, work, material [min]


@dataclass(frozen=True, slots=True)
class Price:
    """What one of a thing costs [min]."""

    work: float
    material: float
    status: Status

    @property
    def minutes(self) -> float:
        """Return work and material together [min]."""
        return self.work + self.material


@dataclass(frozen=True, slots=True)
class CostRow:
    """What one thing costs by nominal size [min]."""

    item: str
    per: str  # "m" or "piece"
    work: Mapping[float, float]
    material: Mapping[float, float]
    status: Status
    note: str = ""

    def price(self, size_in: float) -> Price:
        """Return the price of a size, that of the next larger one where the size has none of its own.

        Raises:
            CatalogError: If the size is larger than any of the row.
        """
        return Price(_at(self.item, self.work, size_in), _at(self.item, self.material, size_in), self.status)

    def said(self, size_in: float | None, work: float | None, material: float | None) -> CostRow:
        """Return the row with what a job says of one size, or of every size."""

        def laid(table: Mapping[float, float], value: float | None) -> Mapping[float, float]:
            if value is None:
                return table
            return {ANY: value} if size_in is None else {**table, size_in: value}

        return replace(self, work=laid(self.work, work), material=laid(self.material, material), status=Status.JOB)


@dataclass(frozen=True, slots=True)
class PlaceFactor:
    """How many times as long a metre of pipe takes in a kind of place."""

    place: str
    work: float
    status: Status
    note: str = ""


@dataclass(frozen=True, slots=True)
class Costs:
    """Every row, by item, and the factors, by place."""

    rows: Mapping[str, CostRow]
    factors: Mapping[str, PlaceFactor]

    def price(self, item: str, size_in: float = ANY) -> Price:
        """Return what one of an item costs.

        Args:
            item: Word of the data, such as "fitting tee".
            size_in: Nominal size [in].

        Raises:
            CatalogError: If there is no such item, or none so large.
        """
        row = self.rows.get(item)
        if row is None:
            raise CatalogError(f"no cost of {item!r}; known: {', '.join(sorted(self.rows))}")
        return row.price(size_in)

    def pipe(self, size_in: float, place: str = "") -> Price:
        """Return what a metre of pipe costs in a kind of place."""
        one = self.price("pipe", size_in)
        factor = self.factors.get(place)
        return one if factor is None else replace(one, work=one.work * factor.work)

    def with_said(self, said: tuple[CostSaid, ...]) -> Costs:
        """Return the costs with those of a job laid over them; raises CatalogError for an item that is not known."""
        rows, factors = dict(self.rows), dict(self.factors)
        for item, size_in, work, material in said:
            place = item.removeprefix(FACTOR)
            if place in factors and place != item:
                if work is not None:
                    factors[place] = replace(factors[place], work=work, status=Status.JOB)
            elif item in rows:
                rows[item] = rows[item].said(size_in, work, material)
            else:
                raise CatalogError(f"no cost of {item!r}; known: {', '.join(self.items())}")
        return Costs(rows, factors)

    def items(self) -> tuple[str, ...]:
        """Return the words a job may use for an item, in the order of the data."""
        return (*self.rows, *(FACTOR + place for place in self.factors))


def _at(item: str, table: Mapping[float, float], size_in: float) -> float:
    if size_in in table:
        return table[size_in]
    if ANY in table:
        return table[ANY]
    larger = sorted(s for s in table if s >= size_in - 1e-9)
    if larger and size_in != ANY:
        return table[larger[0]]
    if size_in == ANY:
        raise CatalogError(f"the cost of {item!r} goes by size")
    raise CatalogError(f"no cost of {item!r} in {size_in:g} in")
