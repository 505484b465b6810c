"""What can be taken hold of in a finished design, and what is answered while it is dragged. Lengths [mm]."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stubout.design import Design
from stubout.fabrication.model import Bore
from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.job.model import Job
from stubout.layout.model import StubMark
from stubout.network.model import Pipe
from stubout.problems import Fault, Finding

Kind = Literal["stub", "fixture", "cabinet", "box", "opening", "obstacle", "point", "wall"]


@dataclass(frozen=True, slots=True)
class Handle:
    """One thing to be dragged: stub-out, fixture, cabinets or one box, what is in a wall, a wall, a drawn point."""

    kind: Kind
    of: str  # fixture tag, or id of cabinets, opening, obstacle, wall, route
    at: Vec  # where it is taken hold of
    ways: tuple[Vec, ...]  # square to each other, length one: it can be dragged along these and no other
    name: str  # as the page calls it
    number: int = 0  # of the point of a route, of the box of a run, from 1

    @property
    def id(self) -> str:
        """Return the id a page sends back."""
        return f"{self.kind}:{self.of}" + (f"@{self.number}" if self.number else "")

    @property
    def label(self) -> str:
        """Return how it is called beside its place."""
        return f"{self.of}.{self.number}" if self.kind == "box" else self.of

    def along(self, by: Vec, step_mm: float) -> Vec:
        """Return that part of a displacement that the thing can follow, in whole steps."""
        out = Vec(0.0, 0.0)
        for way in self.ways:
            out = out.plus(way.times(round(by.dot(way) / step_mm) * step_mm))
        return out


@dataclass(frozen=True, slots=True)
class Given:
    """A job as one thing of it was dragged: what the file will say, and the house of that."""

    job: Job
    house: House
    faults: tuple[Fault, ...] = ()  # the house is then the one it was


@dataclass(frozen=True, slots=True)
class Ways:
    """How far a mark may be off in one direction from where it now is, and what then speaks."""

    words: str  # "up", "away from the corner", "east"
    way: Vec
    amount_mm: float
    bound: bool  # False: no rule breaks within the amount, and farther was not looked
    finding: Finding | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """What is said of a thing at a place: quickly, by the checks the move can touch; the whole plan follows."""

    handle: Handle
    by: Vec
    came: tuple[Finding, ...] = ()
    gone: tuple[Finding, ...] = ()
    stub: StubMark | None = None  # of the fixture, with its band there
    bores: tuple[Bore, ...] = ()  # holes of the pipes that go along
    pipes: tuple[Pipe, ...] = ()
    faults: tuple[Fault, ...] = ()
    house: House | None = None
    windows: tuple[Ways, ...] = ()
    walls: tuple[str, ...] = ()  # a dragged wall, and those that grow or shrink with it
    design: Design | None = None  # only where the place was looked at more closely


@dataclass(frozen=True, slots=True)
class Written:
    """One value of the job file that a drag changes."""

    listed: str  # list of the file
    of: str  # tag or id
    key: str
    value: str
    point: int = 0  # which entry of the value, from 1; 0: the value itself
    inner: str = ""  # key within that entry
