"""The least prices a bound reckons with: of a size or any larger, of a metre anywhere, of one branch of a fitting."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from stubout.catalog.costs import BRANCHED, Costs
from stubout.layout.needs import SIZES

Point = tuple[int, int]  # fittings and branches in one place
STACKED: tuple[Point, ...] = (
    (1, 1),
    (1, 2),
    (1, 3),
    (2, 3),
    (2, 4),
)  # a tee has two side inlets, two may stand together
LAID: tuple[Point, ...] = ((1, 1), (1, 2))  # side inlets stand upright; joints on a lying drain are set apart
AIRED: tuple[Point, ...] = ((1, 1), (1, 2), (2, 3))  # only drains have side inlets
LYING = ("wye", "combination")  # kinds of fittings by which one drain joins a lying one (`fabrication.junctions`)
BENT = ("bend", "street")  # kinds of fittings that turn


class Least:
    """Least prices, by the rows of the data and of the job [min]."""

    def __init__(self, costs: Costs) -> None:
        self.costs = costs
        self._known: dict[tuple[str, float], float] = {}

    def of(self, item: str, size_in: float) -> float:
        """Return the least price of an item in a size or any larger."""
        return self._least(item, size_in, lambda s: self.costs.price(item, s).minutes)

    def pipe(self, size_in: float) -> float:
        """Return the least price of a metre of pipe of a size or larger, wherever it lies."""
        places = ("", *self.costs.factors)
        return self._least("pipe anywhere", size_in, lambda s: min(self.costs.pipe(s, p).minutes for p in places))

    def _least(self, what: str, size_in: float, price: Callable[[float], float]) -> float:
        key = (what, size_in)
        if key not in self._known:
            self._known[key] = min(price(s) for s in SIZES if s >= size_in - 1e-9)
        return self._known[key]

    def placed(self, size_in: float, place: str) -> float:
        """Return what a metre of pipe of a size or larger costs more in a kind of place than `pipe` tells, at least."""
        return min(self.costs.pipe(s, place).minutes - self.pipe(s) for s in SIZES if s >= size_in - 1e-9)

    def branch(
        self, size_in: float, kinds: Iterable[str] = BRANCHED, points: Iterable[Point] = STACKED, run_in: float = 0.0
    ) -> float:
        """Return what one branch costs at least, with its joint and its share of the fittings of its point [min].

        The fittings and the joints of inlet and outlet are shared by all branches of a point; each further branch of a
        fitting has a price of its own. Inlet and outlet are no smaller than the dearest branch: where the pipe is, a
        bushing has a joint of that size. So that branch bounds them from below, and so does the mean of all.

        Args:
            size_in: Size of the branch.
            kinds: The kinds of fittings it may be.
            points: How many fittings with how many branches there may be in one place.
            run_in: A size that the run is not smaller than.
        """
        run_in = max(run_in, size_in)
        fitting = min(self.of(f"fitting {kind}", run_in) for kind in kinds)
        ends, extra = 2 * self.of("joint", run_in), self.of("extra branch", SIZES[0])
        return min((n * fitting + ends + (b - n) * extra) / b for n, b in points) + self.of("joint", size_in)

    def lying_branch(self, size_in: float, run_in: float = 0.0) -> float:
        """Return the same where a drain joins a lying one: by a wye or a combination, double at the most."""
        return self.branch(size_in, LYING, LAID, run_in)

    def vent_branch(self, size_in: float) -> float:
        """Return the same among vents."""
        return self.branch(size_in, points=AIRED)

    def tee(self, size_in: float) -> float:
        """Return the least price of a fitting with one branch, with its three joints."""
        return self.branch(size_in, points=((1, 1),))

    def bend(self, size_in: float) -> float:
        """Return the least price of a bend, a street bend among them, with one joint.

        Of the joints at its two ends one may be counted at its neighbour: a street bend goes into that without pipe.
        """
        return min(self.of(f"fitting {kind}", size_in) for kind in BENT) + self.of("joint", size_in)
