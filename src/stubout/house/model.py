"""The house resolved in 3D: what the layout engine, the checks and the sheets read.

All lengths in millimetres, house coordinates: x east, y north, z up, as the job file's origin says.
Every record is frozen; ids are those of the job file. Records without slots remember what follows from their fields.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Literal

from stubout.catalog.costs import CostSaid
from stubout.geometry.distance import Rect, clip_to_rect
from stubout.geometry.vec import Box, Vec
from stubout.house.crossings import HoleChart, WebOpenings
from stubout.house.facts import Answered, Choice, Climate, Installed, JobFacts, Reading, RouteLeg, Wishes
from stubout.house.framing import Side, Wall
from stubout.house.outside import Ground, RoofOpening, RoofPlane, RoofZone, Sewer
from stubout.kinds import FixtureKind, ObstacleKind
from stubout.rulebooks.overlay import Amend, Confirm

Axis = Literal["x", "y"]


@dataclass(frozen=True, slots=True)
class HouseLevel:
    """One storey: the top of its subfloor or slab is its zero for "above subfloor"."""

    id: str
    title: str
    order: int  # 0 lowest
    kind: Literal["slab", "frame", "ground"]  # what one stands on; "ground" = crawl space
    subfloor_z_mm: float
    wall_height_mm: float  # plates included; 0 for a crawl space
    slab_mm: float = 0.0  # slab thickness
    gravel_mm: float = 0.0
    ceiling_z_mm: float | None = None  # underside of what is above
    attic_above: bool = False
    slab_poured: bool = False
    ceiling_open: bool = False  # frame above stays visible/open: pipes may hang in it
    recesses: tuple[tuple[str, Box], ...] = ()  # lowered or left-out parts of a slab: what, and the missing concrete

    def left_out(self, p: Vec, near_mm: float = 0.0) -> bool:
        """Return whether the slab is lowered or left out at a plan position, or so near it."""
        return any(box.contains(p.at_z(box.centre.z), near_mm) for _, box in self.recesses)


@dataclass(frozen=True)
class Frame:
    """One floor, ceiling or roof frame of parallel members."""

    id: str
    carries: str  # level id whose floor it is; "" for a ceiling or roof frame
    kind: Literal["sawn", "i-joist", "open-web", "truss"]
    runs: Axis  # direction the members run along
    depth_mm: float
    width_mm: float  # of a sawn joist, or of the flange
    web_mm: float
    top_z_mm: float  # top of the members, below the panel
    bottom_z_mm: float
    panel_mm: float  # subfloor panel on top
    centres_mm: tuple[float, ...]  # across the run: x of members that run along y, and the other way round
    along_lo_mm: float  # extent of the members along their run
    along_hi_mm: float
    across_lo_mm: float
    across_hi_mm: float
    bore_allowed: bool = True  # False: maker's chart needed and not supplied
    open_above: bool = False  # attic above: pipes may run freely over it
    chart: HoleChart | None = None  # of I-joists, with all that a hole asks; None = no hole is laid out
    openings: WebOpenings | None = None  # of open-web joists, with all that a pipe asks; None = none passes
    line: int = 0  # of the job file

    @cached_property
    def bays(self) -> tuple[tuple[float, float], ...]:
        """Return the clear spaces between members, (low face, high face) across the run [mm]."""
        half = self.width_mm / 2
        return tuple((a + half, b - half) for a, b in pairwise(self._members) if b - a > self.width_mm + 1)

    @cached_property
    def _members(self) -> list[float]:
        """Return the centre lines in rising order [mm]."""
        return sorted(self.centres_mm)

    def before(self, across_mm: float) -> int:
        """Return how many members stand before a place across the run."""
        return bisect_left(self._members, across_mm)

    def between(self, lo_mm: float, hi_mm: float) -> int:
        """Return how many members stand between two places across the run, those on the places not counted."""
        return max(0, bisect_left(self._members, hi_mm) - bisect_right(self._members, lo_mm))


@dataclass(frozen=True, slots=True)
class Room:
    """A room as its finished faces bound it."""

    id: str
    level_id: str
    x0_mm: float
    y0_mm: float
    x1_mm: float
    y1_mm: float
    build_up_mm: float  # finished floor above subfloor
    drop_ceiling_z_mm: float | None = None  # owner accepts a ceiling lowered to this height
    ceiling_open: bool = False
    exposed_pipe_ok: bool = False
    title: str = ""

    def holds(self, p: Vec) -> bool:
        """Return whether a plan position lies in the room."""
        return self.x0_mm <= p.x <= self.x1_mm and self.y0_mm <= p.y <= self.y1_mm


@dataclass(frozen=True, slots=True)
class Drawer:
    """A drawer box in front of the wall, heights in house z."""

    lo_z_mm: float
    hi_z_mm: float
    cut_width_mm: float = 0.0  # U cut-out from the back, centred; 0 = none
    cut_depth_mm: float = 0.0
    back_gap_mm: float = 0.0  # free space behind it to the finished wall


@dataclass(frozen=True, slots=True)
class CabinetBox:
    """One box of a cabinet run, in its place along the wall or as an island."""

    id: str  # "K1.4"
    run_id: str
    label: str  # "sink base"
    kind: Literal["sink base", "doors", "drawers", "dishwasher", "range", "refrigerator", "tall", "filler", "panel"]
    wall_id: str  # "" for an island
    side: Side
    from_station_mm: float
    to_station_mm: float
    box: Box  # 3D extent in house coordinates, toe kick to underside of counter
    floor_z_mm: float | None  # cabinet floor (inside), None = no floor
    shelves_z_mm: tuple[float, ...] = ()
    drawers: tuple[Drawer, ...] = ()
    partition_station_mm: float | None = None
    partition_hi_z_mm: float | None = None
    counter_z_mm: float | None = None  # top of counter
    counter_mm: float = 0.0
    back_mm: float = 0.0
    face_frame_mm: float = 0.0
    forward: Vec | None = None  # the way its drawers open; None: not known


@dataclass(frozen=True, slots=True)
class Obstacle:
    """Something that is there first: duct, box, beam, pad, footing, panel, valve."""

    id: str
    what: str
    box: Box
    kind: ObstacleKind
    wall_id: str = ""
    keep_clear_above_below: bool = False  # electrical panel: no pipe above or below


@dataclass(frozen=True, slots=True)
class HouseFixture:
    """One fixture in its place, with the facts its trap and stub-out follow from."""

    tag: str
    kind: FixtureKind
    title: str
    room_id: str
    level_id: str
    subfloor_z_mm: float
    finished_z_mm: float  # finished floor of its room
    wall_id: str = ""  # wall its stub-out (or its valve) is on
    side: Side = "left"
    station_mm: float | None = None
    outlet: Vec | None = None  # floor or sink outlet; z = its height, of a floor outlet what is taken where unsaid
    floor_outlet: bool = False  # closet, tub, shower, floor drain: drain goes through the floor
    flood_rim_z_mm: float | None = None  # house z
    outlet_z_mm: float | None = None  # bottom of the fixture outlet / disposer outlet centre, house z
    outlet_least_z_mm: float | None = None  # house z of what a tub stands on, where nobody says its outlet's height
    outlet_in: float = 1.5  # nominal size of the fixture's outlet
    from_wall_mm: float = 0.0  # outlet centre from the finished wall
    trap_in: float | None = None  # trap size said by the job; None = from the book
    wanted_stub_z_mm: float | None = None  # the fixture sheet wants the stub here (house z)
    trap_weir_z_mm: float | None = None  # fixed by the sheet (shower trap set), house z
    standpipe_top_z_mm: float | None = None
    box_centre_z_mm: float | None = None  # of a washer box, house z
    disposer: bool = False
    disposer_drop_mm: float = 0.0
    dishwasher: str = ""  # "", "tailpiece", "disposer", "air gap"
    heads: int | None = 1  # shower heads; None = open question
    gpf_over_1_6: bool = False
    flush_valve: bool = False
    future: bool = False  # capped provision
    in_island: bool = False
    cabinet_id: str = ""  # box the trap sits in
    group: str = ""  # bathroom the fixture belongs to (room id), "" outside a bathroom
    may_move_mm: float = 0.0
    extent: Box | None = None  # body of the fixture
    faucet: Literal["deck", "wall", "floor", "none"] = "deck"
    primer: bool = False
    line: int = 0

    @property
    def drop_from_z_mm(self) -> float | None:
        """Return where the drop to its trap is counted from, house z: the outlet as said, of a floor outlet as taken.

        None where nobody knows it.
        """
        if self.outlet_z_mm is not None:
            return self.outlet_z_mm
        return self.outlet.z if self.outlet is not None and self.floor_outlet else None

    @property
    def outlet_doubt_mm(self) -> float:
        """Return how much lower than taken the outlet may lie [mm]; 0 where its height is said."""
        taken = self.drop_from_z_mm
        return 0.0 if taken is None or self.outlet_least_z_mm is None else taken - self.outlet_least_z_mm


@dataclass(frozen=True, slots=True)
class House:
    """Everything the job file says, resolved in 3D."""

    job: JobFacts
    climate: Climate
    levels: tuple[HouseLevel, ...]
    frames: tuple[Frame, ...]
    walls: tuple[Wall, ...]
    rooms: tuple[Room, ...]
    cabinets: tuple[CabinetBox, ...]
    obstacles: tuple[Obstacle, ...]
    fixtures: tuple[HouseFixture, ...]
    roof: tuple[RoofPlane, ...]
    roof_openings: tuple[RoofOpening, ...]
    roof_zones: tuple[RoofZone, ...]
    sewer: Sewer
    ground: Ground
    footprint: Box  # outside of the framing, plan; z lowest slab to roof
    wishes: Wishes
    choices: tuple[Choice, ...] = ()
    amendments: tuple[Amend, ...] = ()  # undermost first
    confirmations: tuple[Confirm, ...] = ()
    routes: tuple[RouteLeg, ...] = ()
    readings: tuple[Reading, ...] = ()
    installed: tuple[Installed, ...] = ()
    answers: tuple[Answered, ...] = ()  # to questions of the file
    measured: tuple[tuple[str, str, float], ...] = ()  # (fitting key, dimension, mm) measured by the user
    measured_at: tuple[tuple[str, int], ...] = ()  # fitting key -> line of the job file
    costs: tuple[CostSaid, ...] = ()  # laid over those of the data, what holds for every size first

    def level(self, level_id: str) -> HouseLevel:
        """Return a level by id; KeyError if there is none."""
        return next(v for v in self.levels if v.id == level_id)

    def wall(self, wall_id: str) -> Wall:
        """Return a wall by id; StopIteration if there is none."""
        return next(w for w in self.walls if w.id == wall_id)

    def cabinet(self, box_id: str) -> CabinetBox | None:
        """Return a cabinet box by id, None if there is none."""
        return next((c for c in self.cabinets if c.id == box_id), None)

    def fixture(self, tag: str) -> HouseFixture:
        """Return a fixture by tag; StopIteration if there is none."""
        return next(f for f in self.fixtures if f.tag == tag)

    def room(self, room_id: str) -> Room:
        """Return a room by id; StopIteration if there is none."""
        return next(r for r in self.rooms if r.id == room_id)

    @property
    def outline(self) -> Rect:
        """Return the outside of the framing in plan."""
        return self.footprint.lo.x, self.footprint.lo.y, self.footprint.hi.x, self.footprint.hi.y

    def leaves(self, a: Vec, b: Vec) -> Vec:
        """Return where a straight way from inside the house leaves its outline; its end where it does not."""
        inside = clip_to_rect(a, b, self.outline)
        return b if inside is None else a.plus(b.minus(a).times(inside[1]))

    def frame_carrying(self, level_id: str) -> Frame | None:
        """Return the floor frame of a level, None for a slab or ground."""
        return next((f for f in self.frames if f.carries == level_id), None)

    def roof_over(self, p: Vec) -> RoofPlane | None:
        """Return the roof plane over a plan position, the highest if several overlap; None where none is known."""
        held = [r for r in self.roof if r.x0_mm <= p.x <= r.x1_mm and r.y0_mm <= p.y <= r.y1_mm]
        return max(held, key=lambda r: (r.z_at(p.x, p.y), r.id), default=None)

    def finished_floor_z(self, level_id: str, p: Vec) -> float:
        """Return the finished floor at a plan position [mm]; the bare subfloor outside all rooms."""
        lo = self.level(level_id).subfloor_z_mm
        built = [r.build_up_mm for r in self.rooms if r.level_id == level_id and r.holds(p)]
        return lo + (built[-1] if built else 0.0)
