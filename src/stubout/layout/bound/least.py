"""The least prices a bound reckons with: of a size or any larger, of a metre anywhere, of one branch of a fitting."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property

from stubout.catalog.costs import BRANCHED, Costs
from stubout.layout.needs import SIZES

MOST_BRANCHES = 3  # of one fitting: a tee with two side inlets


class Least:
    """Least prices, by the rows of the data and of the job [min]."""

    def __init__(self, costs: Costs) -> None:
        self.costs = costs

    def of(self, item: str, size_in: float) -> float:
        """Return the least price of an item in a size or any larger."""
        return min(self.costs.price(item, s).minutes for s in SIZES if s >= size_in - 1e-9)

    def pipe(self, size_in: float) -> float:
        """Return the least price of a metre of pipe of a size or larger, wherever it lies."""
        places = ("", *self.costs.factors)
        return min(self.costs.pipe(s, p).minutes for s in SIZES if s >= size_in - 1e-9 for p in places)

    @cached_property
    def joint(self) -> float:
        """Return the least price of a joint of any size."""
        return self.of("joint", SIZES[0])

    def branch(self, size_in: float) -> float:
        """Return what one branch of a fitting costs at least, with its joint and its share of the fitting.

        The fitting, the joint of its outlet and that of its inlet are shared by all its branches; each further branch
        has a price of its own. The dearest branch bounds fitting and outlet from below, and so does the mean of all.
        """
        base = min(self.of(f"fitting {kind}", size_in) for kind in BRANCHED) + self.of("joint", size_in) + self.joint
        extra = self.of("extra branch", SIZES[0])
        shares = ((base + (n - 1) * extra) / n for n in range(1, MOST_BRANCHES + 1))
        return min(shares) + self.of("joint", size_in)

    def all_but_dearest(self, sizes: Iterable[float]) -> float:
        """Return what it costs at least to bring pipes together to one: every one but one ends in a branch."""
        each = sorted(self.branch(s) for s in sizes)
        return sum(each[:-1])
