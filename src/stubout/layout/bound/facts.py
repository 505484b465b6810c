"""What every layout of a house must serve, fixture by fixture, before anything is drawn. Lengths [mm].

Each figure errs to the side that makes a layout cheaper: a pipe may begin a little aside, a drop as low as the stub-out
may stand.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from stubout.catalog import queries as catalog
from stubout.catalog.shipped import SHIPPED
from stubout.geometry.distance import segment_segment
from stubout.geometry.vec import Vec
from stubout.house.framing import Wall
from stubout.house.model import House, HouseFixture, HouseLevel
from stubout.kinds import FixtureKind
from stubout.layout.arms import ARMS_APART_MM, BOX_GAP_MM, STUB_PAST_WALL_MM, stub_stations
from stubout.layout.jogs import swing
from stubout.layout.model import StubMark
from stubout.layout.needs import Demands, Need, gauges
from stubout.layout.space_shapes import XY, Gauge
from stubout.layout.stubs import stub_marks
from stubout.layout.wall_fixtures import WALL_FIXTURES
from stubout.problems import CatalogError

HAIR_MM = 5.0  # what rounding and the last hand may move a height
WALLS_MEET_MM = 300.0  # walls whose centre lines come so near may be the two sides of one corner
CEILING_MM = 1900.0  # over the floor below, no pipe of the storey above hangs lower
FLOOR_MM = 900.0  # nor so far under its own floor, with a ceiling hung below the joists
ASIDE_MM = 5.0  # a trap that stands farther from its outlet has a pipe from there (`floor_traps.outlet_pipe`)
JOGS = 2  # legs so short that the trap is swung into line with what follows (`jogs.past_trap`), at the most
STANDPIPE_ASIDE_MM = 150.0  # of a washer's standpipe from the middle of its box, with the hub it keeps off a stud
CABINET_DROP_MM = 50.8 + 60.0  # from a sink's outlet to the weir of its trap in the cabinet, at most
SHARE_NONE = frozenset({FixtureKind.CLOTHES_WASHER})


@dataclass(frozen=True, slots=True)
class Served:
    """One fixture, as a bound sees it."""

    need: Need
    at: XY  # near where its first pipe begins
    slack_mm: float  # and how near
    low_z_mm: float | None  # its first pipe begins no lower; None where nothing is known
    drop: tuple[float, float] | None = None  # its drop in the wall passes these heights, lower and upper
    high_z_mm: float | None = None  # and its vent fitting stands no higher
    vent: tuple[float, float] | None = None  # its own vent passes these
    wall: Wall | None = None
    cabinet_low_z_mm: float | None = None  # where no wall takes it, it drops through its cabinet, from no lower
    cabinet_mm: float = 0.0  # and its first pipe may then begin so much farther from there
    valve: bool = False  # and may then have an air admittance valve
    lowest: bool = False  # it drains into the ground, or over it, and not into a stack

    @property
    def tag(self) -> str:
        """Return the fixture's tag."""
        return self.need.fixture.tag


def served(house: House, demands: Demands, tie_above_rim_mm: float) -> tuple[Served, ...]:
    """Return every fixture that has a place as a bound sees it, in the order of the house; raises NotInBook."""
    needs = {f.tag: demands.need(f) for f in house.fixtures}
    marks = stub_marks(house, demands.book, {tag: n.arm_in for tag, n in needs.items()})
    by_tag = {m.tag: m for m in marks}  # as the engine begins with; those of a finished layout have followed its arms
    out = []
    for f in house.fixtures:
        if f.outlet is None and not f.wall_id:
            continue
        need = needs[f.tag]
        if f.kind in WALL_FIXTURES and f.wall_id and f.station_mm is not None and not f.in_island and f.tag in by_tag:
            out.append(_in_wall(house, need, by_tag[f.tag], tie_above_rim_mm))
        else:
            out.append(_in_floor(house, need))
    return tuple(out)


def _in_wall(house: House, need: Need, mark: StubMark, tie_above_rim_mm: float) -> Served:
    f = need.fixture
    w = house.wall(f.wall_id)
    assert f.station_mm is not None
    at, slack = _start(w, need, mark, gauges(house.job.material).get(need.arm_in))
    low, high = _heights(need, mark)
    own, valve, box_low = min(low, mark.lo_z_mm - need.slope * need.arm_max - ARMS_APART_MM), False, None
    farther = 0.0
    if _over_cabinet(f):
        outlet = (f.outlet.x, f.outlet.y) if f.outlet is not None else at
        farther = max(math.dist(at, outlet) + _reach(need) - slack, 0.0)
        box_low = (f.outlet_z_mm or f.finished_z_mm + 500.0) - CABINET_DROP_MM - need.slope * need.arm_max
        own, valve = min(own, box_low), house.wishes.aav != "no"
    rim = f.flood_rim_z_mm
    tie = min(rim + tie_above_rim_mm, w.least_under_plates(0.0, w.length_mm)) if rim is not None else high
    vent = (high, tie) if tie > high else None
    lowest = not storeys_below(house, f)
    foot = min(w.bottom_z_mm, _foot(house, need))
    return Served(need, at, slack, own, (foot, low), high, vent, w, box_low, farther, valve, lowest)


def _foot(house: House, need: Need) -> float:
    """Return where a drop ends at the highest [mm]: under the joists where nothing closes them from below.

    There the engine hangs drains under them, where they can meet (`Space.floor_layers`).
    """
    level = house.level(need.fixture.level_id)
    below = max((v for v in house.levels if v.order < level.order), key=lambda v: v.order, default=None)
    bottoms = [f.bottom_z_mm for f in house.frames if f.carries == level.id]
    if level.kind != "frame" or not bottoms or not (below is None or below.kind == "ground" or below.ceiling_open):
        return level.subfloor_z_mm
    return max(bottoms) - SHIPPED.od_mm(need.arm_in) / 2


def _heights(need: Need, mark: StubMark) -> tuple[float, float]:
    """Return how low and how high a vent fitting in the wall may stand [mm].

    An arm comes out of the wall at its mark or, to pass another one, a pipe's thickness above or below, within its band
    (`arms._clear_of_arms`), and falls no farther than it is long. A standpipe's trap may have a height of its own.
    """
    apart = SHIPPED.od_mm(need.arm_in) + ARMS_APART_MM
    own = need.fixture.trap_weir_z_mm if need.fixture.kind is FixtureKind.CLOTHES_WASHER else None
    low = min(mark.mark_z_mm, max(mark.lo_z_mm, mark.mark_z_mm - apart))
    high = max(mark.mark_z_mm, min(mark.hi_z_mm, mark.mark_z_mm + apart))
    if own is not None:
        low, high = min(low, own), max(high, own + SHIPPED.od_mm(need.arm_in))
    return low - need.slope * need.arm_max - HAIR_MM, high + HAIR_MM


def _start(w: Wall, need: Need, mark: StubMark, girth: Gauge | None) -> tuple[XY, float]:
    """Return where a wall fixture's first pipe begins, and how far from there it may (see `arms.arm_candidates`)."""
    f = need.fixture
    assert f.station_mm is not None
    reach = _reach(need)
    if f.kind is FixtureKind.CLOTHES_WASHER:
        p = w.point(f.station_mm, 0.0)
        return (p.x, p.y), reach + STANDPIPE_ASIDE_MM
    face = abs(w.face_offset(f.side, f.station_mm, mark.mark_z_mm))
    out = max(face + STUB_PAST_WALL_MM, f.from_wall_mm + face - reach)
    p = w.point(f.station_mm, 0.0, out if f.side == "left" else -out)
    if girth is None:  # no pipe of the material has that size
        return (p.x, p.y), math.hypot(reach, reach)
    swung = max((abs(s - f.station_mm) for s in stub_stations(w, f, girth, reach)), default=reach)
    boxed = max(girth.hub_r + BOX_GAP_MM - STUB_PAST_WALL_MM, 0.0)  # a drop in a box stands farther out than a stub-out
    return (p.x, p.y), math.hypot(swung, boxed) + HAIR_MM


def _reach(need: Need) -> float:
    """Return how far a trap reaches; of a size that has no figure as far as any [mm]."""
    try:
        return catalog.trap_reach_mm(need.arm_in)
    except CatalogError:
        return max(d.mm for d in SHIPPED.reaches.values())


def _over_cabinet(f: HouseFixture) -> bool:
    """Return whether the engine lets a fixture drop through a cabinet where no wall takes it (`one_fixture.py`)."""
    return bool(f.cabinet_id) or f.kind in (FixtureKind.KITCHEN_SINK, FixtureKind.SINK, FixtureKind.BAR_SINK)


def _in_floor(house: House, need: Need) -> Served:
    f = need.fixture
    xy = (f.outlet.x, f.outlet.y) if f.outlet is not None else None
    if xy is None:
        p = house.wall(f.wall_id).point(f.station_mm or 0.0, 0.0)
        xy = (p.x, p.y)
    slack = f.may_move_mm + 1.0 if need.closet else _reach(need) + JOGS * swing(_reach(need)) + ASIDE_MM
    below = storeys_below(house, f)
    low = min(max((v.subfloor_z_mm for v in below), default=0.0) + CEILING_MM, f.subfloor_z_mm - FLOOR_MM)
    return Served(need, xy, slack, low if below else None, lowest=not below)


def storeys_below(house: House, f: HouseFixture) -> list[HouseLevel]:
    """Return the storeys under a fixture's own."""
    return [v for v in house.levels if v.order < house.level(f.level_id).order and v.kind != "ground"]


def may_share(a: Served, b: Served) -> bool:
    """Return whether two fixtures could have one plumb pipe above the floor: by kind, storey, walls and arms."""
    fa, fb = a.need.fixture, b.need.fixture
    if fa.level_id != fb.level_id or fa.kind in SHARE_NONE or fb.kind in SHARE_NONE or a.wall is None or b.wall is None:
        return False
    if math.dist(a.at, b.at) > a.need.arm_max + b.need.arm_max + a.slack_mm + b.slack_mm:
        return False
    return a.wall.id == b.wall.id or _gap(a.wall, b.wall) < WALLS_MEET_MM


def _gap(a: Wall, b: Wall) -> float:
    ends = [(w.point(0.0, 0.0), w.point(w.length_mm, 0.0)) for w in (a, b)]
    (p, q), (r, s) = ((Vec(u.x, u.y, 0.0), Vec(v.x, v.y, 0.0)) for u, v in ends)
    return segment_segment(p, q, r, s) - (a.depth_mm + b.depth_mm) / 2
