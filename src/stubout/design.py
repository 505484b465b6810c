"""The finished design: house, layout, network, sizes, fabrication - frozen; what checks, sheets and reports read."""

from __future__ import annotations

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
