"""The finished design: house, layout, network, sizes, fabrication - frozen; what checks, sheets and reports read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from stubout.catalog.queries import costs_of
from stubout.fabrication.costing import Costing, costing
from stubout.fabrication.model import Fabrication
from stubout.geometry.vec import Vec
from stubout.house.model import House, HouseFixture
from stubout.layout.bound.bound import Bound
from stubout.layout.model import Blocked, CleanoutPlan, PointKind, StubMark
from stubout.layout.select.model import Selection
from stubout.network.model import Network, Pipe
from stubout.problems import Basis, Derivation, Finding, Question
from stubout.rulebooks.model import RuleBook

MARK_TOL_MM = 0.5  # what a mark may lie outside its own band by rounding


@dataclass(frozen=True, slots=True)
class Design:
    """One job, designed. Every sheet, list and finding comes from this object and no other."""

    house: House
    book: RuleBook
    framing: RuleBook
    network: Network
    stubs: tuple[StubMark, ...]
    cleanouts: tuple[CleanoutPlan, ...]
    fabrication: Fabrication
    derivations: tuple[Derivation, ...]
    questions: tuple[Question, ...]
    blocked: tuple[Blocked, ...]
    notes: tuple[str, ...] = ()
    bound: Bound | None = None  # what no layout of this house can cost less than
    selection: Selection | None = None  # how near it is to the cheapest that all layouts drawn make together

    def derivation(self, about: str, what: str) -> Derivation | None:
        """Return how a value came about, None if nothing is recorded."""
        return next((d for d in self.derivations if d.about == about and d.what == what), None)

    def costing(self) -> Costing:
        """Return what this layout costs, by the rows of the data and those of the job."""
        return costing(self.network, self.fabrication, self.cleanouts, costs_of(self.house.costs))

    def gap(self) -> float | None:
        """Return how much of the cost lies above the proven bound, as a share of the cost.

        None where nothing can be said: a part is not laid out, or a drawn layout is no candidate of the engine's and
        costs less.
        """
        cost = self.costing().minutes
        if self.bound is None or self.blocked or not 0.0 < self.bound.minutes <= cost:
            return None
        return 1.0 - self.bound.minutes / cost

    def outlet_of(self, fixture: HouseFixture) -> Vec | None:
        """Return where a floor outlet really is [mm]: a closet that had to clear a joist stands aside."""
        for n in self.network.nodes:
            if n.kind is PointKind.FLANGE and n.tag == fixture.tag and fixture.outlet is not None:
                return Vec(n.at.x, n.at.y, fixture.outlet.z)
        return fixture.outlet

    def pipes(self) -> tuple[Pipe, ...]:
        """Return all pipes, drains first."""
        return self.network.pipes


Direction = Literal["up", "down", "away", "back", "out", "in"]


@dataclass(frozen=True, slots=True)
class Window:
    """How far a mark on a wall sheet may be off in one direction, with what goes along with it, and what binds.

    `away` is along the wall away from the control corner, `back` towards it; `out` is out of the wall towards the one
    who reads the sheet, `in` away from him.
    """

    wall: str
    side: Literal["left", "right"]  # of the sheet
    kind: str  # of the mark: stub, stud hole, plate hole, riser, floor, cleanout, fitting
    about: str  # fixture tag, bore, pipe or node id
    direction: Direction
    amount_mm: float  # rounded down to 1 mm or 1/16 in
    bound: bool  # False: no rule breaks within `amount_mm`, and farther was not looked
    check: str = ""  # the check that speaks one step farther, "" where nothing binds
    name: str = ""  # of that fault
    words: str = ""  # what the check would say there
    bases: tuple[Basis, ...] = ()


TRAP_CHECKS = ("STB001", "STB002")  # the limits of trap and cabinet, which the mark itself tells in words


@dataclass(frozen=True, slots=True)
class FreeBand:
    """The heights at which a stub-out may really be drilled, all other marks kept. Heights in house z [mm]."""

    lo_z_mm: float
    hi_z_mm: float
    low: Window | None = None  # what ends it below before trap and cabinet do; None: they do
    high: Window | None = None  # the same above
    known: bool = True  # False: only trap and cabinet are in it, the windows were not reckoned


def free_band(mark: StubMark, windows: Iterable[Window]) -> FreeBand:
    """Return the smaller of what trap and cabinet allow a stub-out, and of what the pipes on it allow.

    Args:
        mark: The stub-out, with the band of its trap.
        windows: How far the marks may be off; none if that was not reckoned.
    """
    ends = {w.direction: w for w in windows if w.kind == "stub" and w.about == mark.tag}
    lo, hi = min(mark.lo_z_mm, mark.hi_z_mm), max(mark.lo_z_mm, mark.hi_z_mm)
    down, up = ends.get("down"), ends.get("up")
    if down is None or up is None:
        return FreeBand(lo, hi, known=False)
    if not (mark.feasible and lo - MARK_TOL_MM <= mark.mark_z_mm <= hi + MARK_TOL_MM):
        return FreeBand(lo, hi)  # no height to begin from: the findings speak of it
    least, most = mark.mark_z_mm - down.amount_mm, mark.mark_z_mm + up.amount_mm
    return FreeBand(
        max(lo, least),
        min(hi, most),
        down if least > lo and down.check not in TRAP_CHECKS else None,
        up if most < hi and up.check not in TRAP_CHECKS else None,
    )


@dataclass(frozen=True, slots=True)
class Change:
    """One small change of a design, as it is told: what, from, to, in the units of the job."""

    kind: str  # "move", "resize", "fitting", "plate", ...
    what: tuple[str, ...]  # ids: pipes, points, fixtures, cleanouts
    was: str
    to: str
    words: str  # one sentence in trade words, without its full stop


@dataclass(frozen=True, slots=True)
class Tried:
    """What was tried for one finding: a change that all checks let pass, or what the nearest ones ran into."""

    finding: Finding
    cleared: bool  # the finding is gone and no new STOP or FIX is there
    words: str
    changes: tuple[Change, ...] = ()
    against: tuple[str, ...] = ()  # ids of the checks that spoke up instead
    asks: str = ""  # who has to agree, "" where the plumber alone can do it

    @property
    def sentence(self) -> str:
        """Return what was tried, as it is printed under the finding."""
        if not self.cleared:
            return self.words
        return f"Fix tried: {self.words}" + (f" The {self.asks} has to agree." if self.asks else "")
