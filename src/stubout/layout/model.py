"""What the layout engine hands on: points and runs in 3D, traps, what blocked it.

Lengths [mm], house coordinates. A run goes in flow direction in a drain and towards the open air in a vent.
Points are pipe centre lines.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal, get_args

from stubout.geometry.vec import Vec
from stubout.problems import Basis, Derivation, Question


class PointKind(StrEnum):
    """What a point of the layout is."""

    TRAP = "trap"  # trap weir (arm starts here); z = centre line of the arm at the weir
    FLANGE = "flange"  # closet flange: top of the ring at finished floor
    TAKEOFF = "vent take-off"  # vent fitting at the end of a trap arm
    JUNCTION = "junction"  # drain joins drain
    TURN = "turn"
    STACK_FOOT = "stack foot"  # vertical turns horizontal
    STACK_TOP = "stack top"  # drain becomes stack vent
    TIE_IN = "vent tie-in"
    TERMINAL = "terminal"
    AAV = "air admittance valve"
    CLEANOUT = "cleanout"
    CAP = "cap"  # capped provision
    SEWER = "sewer connection"
    REDUCER = "reducer"


def box_question(of: str) -> str:
    """Return the id of the question whether a pipe, or the drop of a fixture, may be boxed in."""
    return f"Q-{of}-box"


def asks_for_box(question: str) -> bool:
    """Return whether a question is one of those, by its id."""
    return question.startswith("Q-") and question.endswith("-box")


class Role(StrEnum):
    """What a run does."""

    FIXTURE_DRAIN = "fixture drain"  # floor outlet down to its trap, or tailpiece side: upstream of the weir
    TRAP_ARM = "trap arm"
    DRAIN = "drain"  # vertical or horizontal, not one of the others: drop from a take-off
    BRANCH = "branch"
    STACK = "stack"
    BUILDING_DRAIN = "building drain"
    SEWER = "building sewer"
    VENT = "vent"  # individual or common
    BRANCH_VENT = "branch vent"
    STACK_VENT = "stack vent"
    FOOT_VENT = "foot vent"  # island
    HEADER = "vent header"
    CLEANOUT_EXT = "cleanout extension"


class VentMethod(StrEnum):
    """How a trap is vented."""

    INDIVIDUAL = "individual"
    COMMON = "common"
    WET = "wet"
    CIRCUIT = "circuit"
    LOOP = "island loop"
    STACK = "stack"
    COMBINATION = "combination"  # of drain and vent: the drains are laid so large that air stands over the water
    SINGLE_STACK = "single stack"  # one stack of full size is drain and vent of all that joins it
    WASTE_STACK = "waste stack"  # the same of small fixtures only
    AAV = "air admittance valve"
    NONE = "none"  # where the book asks for none (floor drain)


# What only the job file says: how traps get their air through the drain they join, by the rules of one article.
SAID_METHODS = (VentMethod.CIRCUIT, VentMethod.COMBINATION, VentMethod.SINGLE_STACK, VentMethod.WASTE_STACK)


PlaceKind = Literal[
    "wall",
    "joist bay",
    "below frame",
    "soffit",
    "under slab",
    "crawl",
    "attic",
    "buried",
    "cabinet",
    "room",
    "roof",
    "through floor",
]
PLACE_KINDS: tuple[PlaceKind, ...] = get_args(PlaceKind)


@dataclass(frozen=True, slots=True)
class Place:
    """Where in the frame a run lies."""

    kind: PlaceKind
    ref: str = ""  # wall, frame, level or cabinet id
    bay: int = -1

    @property
    def words(self) -> str:
        """Return the place as a kept route says it: "wall UP, bay 8"."""
        return f"{self.kind} {self.ref}".strip() + (f", bay {self.bay}" if self.bay >= 0 else "")


UNDERGROUND = ("under slab", "buried")  # kinds of places where a pipe is dug in


@dataclass(frozen=True, slots=True)
class Point:
    """One point of the layout."""

    id: str
    at: Vec
    kind: PointKind
    tag: str = ""  # fixture
    note: str = ""


@dataclass(frozen=True, slots=True)
class Run:
    """One straight piece of route between two points."""

    id: str
    system: Literal["drain", "vent"]
    role: Role
    start: str
    end: str
    place: Place
    size_in: float  # size the engine reckoned with; sizing confirms it
    tag: str = ""  # fixture of an arm or an individual vent
    drawn: bool = False  # drawn in the job file: never moved
    vents_by: VentMethod | None = None  # the job says that what joins this drain gets its air through it, and how
    said: Literal["", "installed", "kept"] = ""  # of a drawn run: in place already, or laid out before and kept
    material: str = ""  # of an installed run, "" while nobody has said; all other is of the job's


@dataclass(frozen=True, slots=True)
class TrapPlan:
    """How one fixture is trapped, drained and vented."""

    tag: str
    trap_in: float
    weir: str  # point id
    takeoff: str  # point id; "" if unvented
    arm_runs: tuple[str, ...]  # weir to take-off
    method: VentMethod
    vent_runs: tuple[str, ...] = ()  # the runs of its own vent, from the take-off up
    partner: str = ""  # tag of the other fixture of a common vent
    wet_through: tuple[str, ...] = ()  # run ids of the wet vent that serves it
    weir_z_mm: float = 0.0  # water level of the trap: the invert of the arm at the weir


StubPlaceKind = Literal["through wall", "in wall", "in cabinet", "before wall", "in other wall"]
_NOUNS: dict[StubPlaceKind, str] = {"through wall": "stub-out", "in wall": "trap arm"}


@dataclass(frozen=True, slots=True)
class StubPlace:
    """Where the mark of a stub-out stands: where its arm passes the finished wall, or what it stands in if it does not.

    `layout.stub_place` reads it off the arm; whatever is marked, drilled or listed asks here.
    """

    kind: StubPlaceKind = "through wall"
    ref: str = ""  # the cabinet or the other wall it stands in
    from_face_mm: float = 0.0  # of a riser clear of the wall: finished wall to the centre of the riser

    @property
    def pierces(self) -> bool:
        """Return whether the arm comes out through the finished wall, so that something is bored there."""
        return self.kind == "through wall"

    @property
    def clear(self) -> bool:
        """Return whether arm and riser stand clear of the wall: the mark is where the two meet."""
        return self.kind in ("in cabinet", "before wall", "in other wall")

    @property
    def noun(self) -> str:
        """Return what is marked: a stub-out, the arm of a trap in the wall, an arm where it meets its riser."""
        return _NOUNS.get(self.kind, "arm at its riser")

    @property
    def words(self) -> str:
        """Return what a riser clear of the wall stands in, "" for a mark of the wall: "in cabinet K1.5"."""
        if self.kind == "before wall":
            return "in front of the wall"
        return f"in {'cabinet' if self.kind == 'in cabinet' else 'wall'} {self.ref}" if self.clear else ""


@dataclass(frozen=True, slots=True)
class StubMark:
    """The stub-out of one fixture: band, mark and what governs each end. Heights in house z."""

    tag: str
    wall_id: str
    side: Literal["left", "right"]
    station_mm: float
    lo_z_mm: float
    hi_z_mm: float
    mark_z_mm: float
    lo_governs: str
    hi_governs: str
    size_in: float
    projection_mm: float  # beyond the finished wall
    finished_z_mm: float  # datum: finished floor
    subfloor_z_mm: float  # datum: subfloor
    derivation: Derivation
    feasible: bool = True  # False: no height satisfies both ends
    arm_fall_mm: float = 0.0  # from trap to mark: at the trap, mark and upper end lie that much higher
    place: StubPlace = StubPlace()


@dataclass(frozen=True, slots=True)
class CleanoutPlan:
    """One access opening and the free space it needs."""

    id: str
    point: str
    size_in: float
    opens: Vec  # direction one looks out of it
    clearance_mm: float
    serves: str
    access: str  # "laundry, basement", "front bed"
    basis: tuple[Basis, ...] = ()


@dataclass(frozen=True, slots=True)
class Blocked:
    """What could not be laid out, the constraint that blocks it, and what would free it."""

    about: tuple[str, ...]
    constraint: str
    free: str
    bases: tuple[Basis, ...] = ()
    certain: bool = False  # reckoned, whatever way a pipe goes: nothing has to be tried to know it


@dataclass(frozen=True, slots=True)
class Chosen:
    """How the engine came to a layout, and what in it could be chosen otherwise: pairs as in `layout.work.Ban`."""

    drawn: str  # the order it was drawn in (`layout.choices`)
    left_out: tuple[tuple[str, str], ...]  # choices it was not allowed to make
    made: tuple[tuple[str, str], ...]  # those it made, fixture by fixture


@dataclass(frozen=True, slots=True)
class Layout:
    """The engine's answer."""

    points: tuple[Point, ...]
    runs: tuple[Run, ...]
    traps: tuple[TrapPlan, ...]
    stubs: tuple[StubMark, ...]
    cleanouts: tuple[CleanoutPlan, ...]
    blocked: tuple[Blocked, ...] = ()
    questions: tuple[Question, ...] = ()
    derivations: tuple[Derivation, ...] = ()
    notes: tuple[str, ...] = ()
    chosen: Chosen | None = None  # None: all of it is drawn by hand
    effort: int = 0  # steps of path search it took: a measure of work that is no clock
    cost: float = 0.0  # about, in minutes (`worth.py`): how drawings of equal faults are told apart
