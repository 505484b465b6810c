"""A plain house on a slab with a stack, a branch and a sewer, laid out by hand."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import pytest

from stubout.files.books import load_book
from stubout.geometry.vec import Box, Vec
from stubout.house.facts import Climate, JobFacts, TestPlanFacts, Wishes
from stubout.house.framing import FinishZone, Wall
from stubout.house.model import House, HouseFixture, HouseLevel, Room
from stubout.house.outside import Ground, Sewer
from stubout.kinds import FixtureKind
from stubout.layout.model import (
    Layout,
    Place,
    Point,
    PointKind,
    Role,
    Run,
    TrapPlan,
    VentMethod,
)


@dataclass
class Sketch:
    """Collects points and runs and makes a layout of them."""

    points: dict[str, Point] = field(default_factory=dict)
    runs: list[Run] = field(default_factory=list)
    traps: list[TrapPlan] = field(default_factory=list)

    def point(self, name, x, y, z, kind=PointKind.TURN, tag=""):
        self.points[name] = Point(name, Vec(x, y, z), kind, tag)
        return self

    def run(self, name, start, end, size=2.0, role=Role.BRANCH, place="under slab", *, tag="", drawn=False):
        system = "vent" if "vent" in role.value else "drain"
        self.runs.append(Run(name, system, role, start, end, Place(place), size, tag, drawn))
        return self

    def trap(self, tag, weir, takeoff, arm, *, wet=(), vent=()):
        self.traps.append(TrapPlan(tag, 1.5, weir, takeoff, arm, VentMethod.INDIVIDUAL, vent, "", wet))
        return self

    def layout(self):
        return Layout(tuple(self.points.values()), tuple(self.runs), tuple(self.traps), (), ())


def house_on_slab(*, rooms=None, walls=(), cabinets=(), obstacles=(), fixtures=(), wish=None):
    job = JobFacts(
        title="t", address="", permit="", revision="A", issued="", units="mm", book_id="", framing_id="",
        material="abs", stock_mm=(3000.0,), paper="letter", people=(("I", "inspector"), ("O", "owner")),
        test=TestPlanFacts("water", None, None),
    )  # fmt: skip
    slab = HouseLevel("slab", "Ground floor", 0, "slab", 0.0, 2467.0, 100.0, 150.0, 2467.0)
    if rooms is None:
        rooms = (Room("utility", "slab", 100.0, 100.0, 7900.0, 11900.0, 0.0, exposed_pipe_ok=True, title="Utility"),)
    return House(
        job=job, climate=Climate(False, 40.0, None), levels=(slab,), frames=(), walls=walls, rooms=rooms,
        cabinets=cabinets, obstacles=obstacles, fixtures=fixtures, roof=(), roof_openings=(), roof_zones=(),
        sewer=Sewer(Vec(4000.0, -6000.0, -800.0), 4.0, "south", "sewer"), ground=Ground(-150.0, -150.0),
        footprint=Box(Vec(0.0, 0.0, -250.0), Vec(8000.0, 12000.0, 4000.0)), wishes=Wishes(sewer_cleanout_at=wish),
    )  # fmt: skip


def fixture_of(tag, kind, room="utility"):
    return HouseFixture(tag, kind, tag, room, "slab", 0.0, 0.0)


def wall_at(name, start, end):
    length = Vec(*start).to(Vec(*end))
    skin = (FinishZone(13.0, 0.0, length, 0.0, 2467.0),)
    return Wall(
        name, "slab", Vec(*start), Vec(*end), 140.0, 406.0, (), 0.0, 2467.0, 38.0, 76.0, False, False, False, skin,
        skin, (), (),
    )  # fmt: skip


def sketch_of(branch_mm=3000.0, *, turn=True):
    """A 3 in stack with a trunk to the south, and a fixture with a 2 in branch of some length that joins it square.

    The branch first runs north to south and turns east (or runs east all the way), at 1/4 in per foot.
    """
    s = 1 / 48
    east = 2000.0
    join_y = 5000.0
    z_join = -400.0
    z_head = z_join + s * (branch_mm + (east if turn else 0.0))
    k = Sketch()
    k.point("S0", 4000, 9000, 2800, PointKind.STACK_TOP).point(
        "S1", 4000, 9000, z_join + s * 4000, PointKind.STACK_FOOT
    )
    k.point("J", 4000, join_y, z_join, PointKind.JUNCTION)
    k.point("E", 4000, -6000, z_join - s * (join_y + 6000), PointKind.SEWER)
    k.run("ST", "S0", "S1", 3.0, Role.STACK, "room").run("T1", "S1", "J", 3.0, Role.BUILDING_DRAIN)
    x = 4000 - east if turn else 4000 - branch_mm
    y = join_y + branch_mm if turn else join_y
    k.point("W", x - 150, y, 503, PointKind.TRAP, "F").point("TO", x, y, 500, PointKind.TAKEOFF)
    k.point("H", x, y, z_head)
    k.run("A", "W", "TO", 1.5, Role.TRAP_ARM, "wall", tag="F")
    k.run("D", "TO", "H", 2.0, Role.DRAIN, "wall", tag="F")
    if turn:
        k.point("C", x, join_y, z_join + s * east)
        k.run("B1", "H", "C").run("B2", "C", "J")
    else:
        k.run("B1", "H", "J")
    k.run("T2", "J", "E", 3.0, Role.BUILDING_DRAIN)
    k.trap("F", "W", "TO", ("A",), wet=("D",))
    return k


@pytest.fixture
def scene():
    return sketch_of


@pytest.fixture
def sketch():
    return Sketch


@pytest.fixture
def house():
    return house_on_slab


@pytest.fixture
def fixture_():
    return fixture_of


@pytest.fixture
def wall():
    return wall_at


@pytest.fixture(scope="session")
def npc():
    return load_book("npc-2020")


@pytest.fixture(scope="session")
def upc():
    return load_book("upc-2021")


@pytest.fixture(scope="session")
def ipc():
    return load_book("ipc-2021")


@pytest.fixture
def without():
    """Return a book without some of its values, so that one demand can be seen alone."""

    def cut(book, *ids):
        return replace(book, values={k: v for k, v in book.values.items() if k not in ids})

    return cut


@pytest.fixture
def kinds():
    return FixtureKind
