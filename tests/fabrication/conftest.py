"""Small hand-made houses and networks."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import pytest

from stubout.files.books import load_book
from stubout.geometry.vec import Box, Vec
from stubout.house.facts import Climate, JobFacts, TestPlanFacts, Wishes
from stubout.house.framing import Bay, FinishZone, Stud, Wall
from stubout.house.model import Frame, House, HouseLevel, Room
from stubout.house.outside import Ground, Sewer
from stubout.layout.model import Place, PointKind, Role
from stubout.network.model import Network, Node, Pipe

IN = 25.4


@dataclass
class Plot:
    """Collects nodes and pipes and makes a Network of them."""

    at: dict[str, tuple[Vec, PointKind, str]] = field(default_factory=dict)
    pipes: list[Pipe] = field(default_factory=list)

    def node(self, node_id, x, y, z, kind=PointKind.TURN, tag=""):
        self.at[node_id] = (Vec(x, y, z), kind, tag)
        return self

    def pipe(self, pipe_id, start, end, size, role=Role.BRANCH, *, place="wall", tag="", tags=()):
        system = (
            "vent" if role in (Role.VENT, Role.STACK_VENT, Role.BRANCH_VENT, Role.FOOT_VENT, Role.HEADER) else "drain"
        )
        self.pipes.append(
            Pipe(
                id=pipe_id,
                system=system,
                role=role,
                start=start,
                end=end,
                a=self.at[start][0],
                b=self.at[end][0],
                place=Place(place),
                tag=tag,
                size_in=size,
                load=1.0,
                tags=tuple(tags),
            )
        )
        return self

    def network(self):
        nodes = tuple(
            Node(
                id=n,
                at=at,
                kind=kind,
                tag=tag,
                inflow=tuple(p.id for p in self.pipes if p.end == n),
                outflow=tuple(p.id for p in self.pipes if p.start == n),
            )
            for n, (at, kind, tag) in self.at.items()
        )
        return Network(nodes, tuple(self.pipes), ())


def make_wall(
    wall_id="W",
    *,
    start=(0.0, 0.0),
    end=(4000.0, 0.0),
    depth=140.0,
    studs=(),
    bearing=False,
    exterior=False,
    z=0.0,
    stud_mm=38.0,
    finish=13.0,
    level="main",
    height=2467.0,
    plate=38.0,
):
    length = Vec(*start).to(Vec(*end))
    whole = FinishZone(finish, 0.0, length, z, z + height)
    return Wall(
        id=wall_id,
        level_id=level,
        start=Vec(*start, z),
        end=Vec(*end, z),
        depth_mm=depth,
        spacing_mm=406.0,
        studs=tuple(Stud(s, stud_mm) for s in studs),
        bottom_z_mm=z,
        top_z_mm=z + height,
        bottom_plate_mm=plate,
        top_plate_mm=2 * plate,
        bearing=bearing,
        exterior=exterior,
        insulated=False,
        left=(whole,),
        right=(whole,),
        openings=(),
        bays=tuple(
            Bay(wall_id, i, a + stud_mm / 2, b - stud_mm / 2)
            for i, (a, b) in enumerate(zip(sorted(studs), sorted(studs)[1:], strict=False))
        ),
    )


def make_frame(
    frame_id="floor", *, kind="sawn", runs="y", depth=235.0, centres=(), top=-18.0, carries="main", width=38.0
):
    return Frame(
        id=frame_id,
        carries=carries,
        kind=kind,
        runs=runs,
        depth_mm=depth,
        width_mm=width,
        web_mm=10.0,
        top_z_mm=top,
        bottom_z_mm=top - depth,
        panel_mm=18.0,
        centres_mm=tuple(centres),
        along_lo_mm=-5000.0,
        along_hi_mm=10000.0,
        across_lo_mm=-5000.0,
        across_hi_mm=10000.0,
        bore_allowed=kind == "sawn",
    )


def make_house(*, walls=(), frames=(), rooms=(), stock=(3660.0,), material="abs", unit="mm", measured=(), obstacles=()):
    return House(
        job=JobFacts(
            title="trial",
            address="",
            permit="",
            revision="0",
            issued="",
            units=unit,
            book_id="",
            framing_id="",
            material=material,
            stock_mm=tuple(stock),
            paper="letter",
            people=(),
            test=TestPlanFacts("water", 3000.0, 15.0),
        ),
        climate=Climate(False, None, None),
        levels=(HouseLevel("main", "main", 0, "frame", 0.0, 2467.0),),
        frames=tuple(frames),
        walls=tuple(walls),
        rooms=tuple(rooms),
        cabinets=(),
        obstacles=tuple(obstacles),
        fixtures=(),
        roof=(),
        roof_openings=(),
        roof_zones=(),
        sewer=Sewer(Vec(0, 0, -3000), 4.0, "south", "sewer"),
        ground=Ground(-400.0, -500.0),
        footprint=Box(Vec(0, 0, -3000), Vec(9000, 9000, 6000)),
        wishes=Wishes(),
        measured=tuple(measured),
    )


def make_room(build_up=19.0):
    return Room("room", "main", -1000.0, 20.0, 9000.0, 5000.0, build_up)


@pytest.fixture
def plot():
    return Plot


@pytest.fixture
def wall():
    return make_wall


@pytest.fixture
def frame():
    return make_frame


@pytest.fixture
def house():
    return make_house


@pytest.fixture
def room():
    return make_room


@pytest.fixture(scope="session")
def npc():
    return load_book("npc-2020")


@pytest.fixture(scope="session")
def nbc_framing():
    return load_book("nbc-9.23.5")


def bath(plot, *, mirror=1.0):
    """A lavatory arm and take-off, drop, stack foot, branch with a closet, drain to the sewer, vent to the roof."""
    m = mirror
    p = plot()
    p.node("weir", 0 * m, 300, 500, PointKind.TRAP, "LV")
    p.node("turn", 0 * m, 0, 494)
    p.node("take", 800 * m, 0, 478, PointKind.TAKEOFF)
    p.node("foot", 800 * m, 0, -400, PointKind.STACK_FOOT)
    p.node("flange", 2000 * m, 300, 19, PointKind.FLANGE, "WC")
    p.node("bend", 2000 * m, 300, -376)
    p.node("join", 2000 * m, 0, -382, PointKind.JUNCTION)
    p.node("sewer", 9000 * m, 0, -522, PointKind.SEWER)
    p.node("attic", 800 * m, 0, 3000)
    p.node("roof", 800 * m, 0, 6000, PointKind.TERMINAL)
    p.pipe("A1", "weir", "turn", 1.5, Role.TRAP_ARM, tag="LV", tags=("LV",))
    p.pipe("A2", "turn", "take", 1.5, Role.TRAP_ARM, tag="LV", tags=("LV",))
    p.pipe("D1", "take", "foot", 2.0, Role.DRAIN)
    p.pipe("B1", "foot", "join", 2.0, Role.BRANCH, place="joist bay")
    p.pipe("C1", "flange", "bend", 3.0, Role.FIXTURE_DRAIN, place="through floor")
    p.pipe("C2", "bend", "join", 3.0, Role.TRAP_ARM, place="joist bay")
    p.pipe("D2", "join", "sewer", 3.0, Role.BUILDING_DRAIN, place="below frame")
    p.pipe("V1", "take", "attic", 1.5, Role.VENT)
    p.pipe("V2", "attic", "roof", 1.5, Role.VENT)
    # the branch falls from the foot to the join: keep levels honest
    return p


@pytest.fixture
def bath_plot():
    def made(plot, *, mirror=1.0):
        p = bath(plot, mirror=mirror)
        for node_id, z in (("foot", -376.0), ("bend", -394.0), ("join", -400.0), ("sewer", -540.0)):
            at, kind, tag = p.at[node_id]
            p.at[node_id] = (at.at_z(z), kind, tag)
        p.pipes = [replace(q, a=p.at[q.start][0], b=p.at[q.end][0]) for q in p.pipes]
        return p

    return made
