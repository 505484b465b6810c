"""What the engine holds while it works on one house. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from stubout.house.model import House, HouseFixture, HouseLevel
from stubout.layout.adopted import Adopted
from stubout.layout.cavity import Cavity
from stubout.layout.cavity_shapes import Spot
from stubout.layout.draft import Board
from stubout.layout.model import Blocked, StubMark, VentMethod
from stubout.layout.needs import Demands, Need
from stubout.layout.space import Space
from stubout.layout.space_shapes import XY, Gauge
from stubout.layout.zone_router import ZoneRouter
from stubout.problems import Derivation, Question
from stubout.rulebooks.model import RuleBook

Ban = tuple[str, str]
BAN_MM = 200.0
BY_WET = "wet"  # a ban on being vented through another's drain
COMMON = "common"  # a ban on sharing another's vent fitting
STACK = "stack"  # a ban on a place for a stack
THROUGH = "through"  # a ban on a drain that goes on through the studs of a wall below its floor


def spot_key(spot: Spot) -> str:
    """Return a name for a place in a wall, for a ban: about a hand's breadth of it."""
    return place_key(spot.wall.id, spot.station)


def place_key(wall_id: str, station: float) -> str:
    """Return the same for a distance along a wall [mm]."""
    return f"{wall_id}@{round(station / BAN_MM)}"


def stack_key(xy: XY) -> str:
    """Return a name for the place of a stack, for a ban."""
    return f"{round(xy[0])},{round(xy[1])}"


def joint_key(xy: XY) -> str:
    """Return a name for the place where a fixture's drain joins another, for a ban: about a hand's breadth of it."""
    return f"joint@{round(xy[0] / BAN_MM)},{round(xy[1] / BAN_MM)}"


@dataclass(slots=True)
class TrapDraft:
    """How one fixture is being trapped and vented."""

    need: Need
    weir: int  # node
    takeoff: int  # node, 0 = none
    arm: list[int] = field(default_factory=list)  # edge ids, weir to take-off
    method: VentMethod = VentMethod.NONE
    spot: Spot | None = None  # where its own vent rises
    partner: str = ""
    wet: list[int] = field(default_factory=list)
    drawn: bool = False  # its arm is drawn by hand
    stub_station: float | None = None  # where the arm enters the wall, if not on the fixture's centre
    stub_z: float | None = None  # height of the stub-out, where it is not that of its mark
    closet_tail: list[int] = field(default_factory=list)  # the closet's drain beyond
    dear: bool = False  # two of its fittings stand nearer than they go
    begins_z: float | None = None  # where its pipe begins by the way found, as long as heights are not solved

    @property
    def tag(self) -> str:
        """Return the fixture's tag."""
        return self.need.fixture.tag


@dataclass(frozen=True, slots=True)
class Order:
    """In which order a house is drawn: what comes first finds the most room."""

    near_first: bool = False  # the lowest level's stacks and closets from the sewer on, not towards it
    short: bool = False  # drains by their shortest way: where wyes go in best, with vents that lean over into a wall
    last_first: bool = False  # baths and fixtures against the order of the job file
    in_walls: bool = False  # under a closed ceiling drops may go on through the studs of a wall below

    @property
    def leaves_room(self) -> bool:
        """Return whether what is drawn first keeps out of the bays that other fixtures will want, where it can."""
        return self.last_first or self.near_first


@dataclass(slots=True)
class Work:
    """The engine's desk."""

    house: House
    book: RuleBook
    framing: RuleBook
    demands: Demands
    space: Space
    cavity: Cavity
    board: Board
    needs: dict[str, Need]
    marks: dict[str, StubMark]
    traps: dict[str, TrapDraft] = field(default_factory=dict)
    routers: dict[str, ZoneRouter] = field(default_factory=dict)
    blocked: list[Blocked] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    derivations: list[Derivation] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    risers: list[tuple[Spot, float]] = field(default_factory=list)  # plumb pipes already standing in walls, hub [mm]
    adopted: Adopted | None = None  # the routes drawn by hand
    bans: frozenset[Ban] = frozenset()  # choices not to be made again: whose, and where or how
    order: Order = Order()
    preferred: Mapping[str, str] = field(default_factory=dict)  # by tag: the place tried first (`select/arms.py`)
    impatient: bool = False  # the lowest level is given up at its first fixture that finds no way
    lift_mm: float = 0.0  # how far the building drain lies above the connection and drops down to it
    drop_traps: bool = False  # traps that lie too deep are lifted, and their drains drop behind the vent fittings
    too_low: frozenset[str] = frozenset()  # fixtures that no drain takes to the connection
    trunk_slope: float = 0.0
    trunk_in: float = 3.0

    def in_walls(self) -> set[int]:
        """Return the drains (edge ids) that go on through the studs of a wall below their floor."""
        drawn = ((r, i, key) for r in self.routers.values() for i, key in r.edge_layer.items())
        return {i for r, i, key in drawn if key in r.layers and r.layers[key].kind == "walls"}

    def gauge(self, size_in: float) -> Gauge:
        """Return the girth of a size."""
        return self.demands.gauge(size_in)

    def arm_left(self, trap: TrapDraft) -> float:
        """Return how long the arm of a trap may be, as it lies: less by a closet's drop where that counts."""
        weir = self.board.nodes[trap.weir]
        return trap.need.arm_left(next(z for z in (weir.z, trap.begins_z, weir.cap) if z is not None))

    def block(self, tags: tuple[str, ...], constraint: str, free: str, *, certain: bool = False) -> None:
        """Record what could not be laid out."""
        one = Blocked(tags, constraint, free, certain=certain)
        if not any(
            b.about == tags and b.constraint.split(":")[0] == constraint.split(":", maxsplit=1)[0] for b in self.blocked
        ):
            self.blocked.append(one)

    def taken(self, spot: Spot, g: Gauge) -> bool:
        """Return whether another plumb pipe already stands too near in the same wall."""
        return any(
            r.wall.id == spot.wall.id and abs(r.station - spot.station) < (hub + g.hub_mm) / 2 + 6
            for r, hub in self.risers
        )

    def of_level(self, level: HouseLevel) -> list[HouseFixture]:
        """Return the fixtures of a level in the order of the job file, without those that lie too low to drain."""
        return [f for f in self.house.fixtures if f.level_id == level.id and f.tag not in self.too_low]

    def xy(self, f: HouseFixture) -> XY:
        """Return the plan position of a fixture's outlet."""
        if f.outlet is not None:
            return (f.outlet.x, f.outlet.y)
        w = self.house.wall(f.wall_id)
        p = w.point(f.station_mm or 0.0, 0.0)
        return (p.x, p.y)
