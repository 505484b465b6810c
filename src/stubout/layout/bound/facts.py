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
from stubout.house.model import House, HouseFixture
from stubout.kinds import FixtureKind
from stubout.layout.arms import ARMS_APART_MM, STUB_PAST_WALL_MM
from stubout.layout.floor_traps import TRAP_ASIDE_MM
from stubout.layout.model import StubMark
from stubout.layout.needs import Demands, Need
from stubout.layout.space_shapes import XY
from stubout.layout.wall_fixtures import WALL_FIXTURES
from stubout.problems import CatalogError

WALLS_MEET_MM = 300.0  # walls whose centre lines come so near may be the two sides of one corner
CEILING_MM = 1900.0  # over the floor below, no pipe of the storey above hangs lower
FLOOR_MM = 900.0  # nor so far under its own floor, with a ceiling hung below the joists
STANDPIPE_ASIDE_MM = 150.0  # of a washer's standpipe from the middle of its box, with the hub it keeps off a stud
BOXED_MM = 60.0  # a drop in a box stands farther out than a stub-out
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
    vent: tuple[float, float] | None = None  # its own vent passes these
    wall: Wall | None = None

    @property
    def tag(self) -> str:
        """Return the fixture's tag."""
        return self.need.fixture.tag


def served(house: House, demands: Demands, marks: tuple[StubMark, ...], tie_above_rim_mm: float) -> tuple[Served, ...]:
    """Return every fixture that has a place as a bound sees it, in the order of the house; raises NotInBook."""
    by_tag = {m.tag: m for m in marks}
    out = []
    for f in house.fixtures:
        if f.outlet is None and not f.wall_id:
            continue
        need = demands.need(f)
        if f.kind in WALL_FIXTURES and f.wall_id and f.station_mm is not None and not f.in_island and f.tag in by_tag:
            out.append(_in_wall(house, need, by_tag[f.tag], tie_above_rim_mm))
        else:
            out.append(_in_floor(house, need))
    return tuple(out)


def _in_wall(house: House, need: Need, mark: StubMark, tie_above_rim_mm: float) -> Served:
    f = need.fixture
    w = house.wall(f.wall_id)
    assert f.station_mm is not None
    at, slack = _start(w, need, mark)
    low = mark.lo_z_mm - need.slope * need.arm_max - ARMS_APART_MM
    if _over_cabinet(f):  # where no bay takes it, it drops through its cabinet
        outlet = (f.outlet.x, f.outlet.y) if f.outlet is not None else at
        slack = max(slack, math.dist(at, outlet) + _reach(need))
        low = min(low, (f.outlet_z_mm or f.finished_z_mm + 500.0) - CABINET_DROP_MM - need.slope * need.arm_max)
    rim = f.flood_rim_z_mm
    top = w.top_z_mm - w.top_plate_mm
    vent = None
    if rim is not None and not (_over_cabinet(f) and house.wishes.aav != "no"):
        tie = min(rim + tie_above_rim_mm, top)
        vent = (mark.hi_z_mm, tie) if tie > mark.hi_z_mm else None
    return Served(need, at, slack, low, (w.bottom_z_mm, low), vent, w)


def _start(w: Wall, need: Need, mark: StubMark) -> tuple[XY, float]:
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
    return (p.x, p.y), reach + BOXED_MM


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
    slack = f.may_move_mm + 1.0 if need.closet else TRAP_ASIDE_MM
    below = [v for v in house.levels if v.order < house.level(f.level_id).order and v.kind != "ground"]
    low = min(max((v.subfloor_z_mm for v in below), default=0.0) + CEILING_MM, f.subfloor_z_mm - FLOOR_MM)
    return Served(need, xy, slack, low if below else None)


def alone(fixtures: tuple[Served, ...]) -> tuple[Served, ...]:
    """Return fixtures on walls of which no two can share a drop or a vent fitting, as many as are easily found."""
    out: list[Served] = []
    free = [s for s in fixtures if s.drop is not None]
    while free:
        one = min(free, key=lambda s: (sum(may_share(s, o) for o in free), -s.need.arm_in, s.tag))
        out.append(one)
        free = [s for s in free if s is not one and not may_share(s, one)]
    return tuple(sorted(out, key=lambda s: s.tag))


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
