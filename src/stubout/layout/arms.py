"""Candidates for the trap arm of a fixture on a wall: where the stub enters, where the vent fitting stands. [mm]."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stubout import units
from stubout.geometry.distance import segment_segment
from stubout.house.framing import Bay, Wall
from stubout.house.model import HouseFixture
from stubout.kinds import FixtureKind
from stubout.layout.cavity_shapes import Spot
from stubout.layout.model import StubMark
from stubout.layout.needs import SHARERS, Need
from stubout.layout.space_shapes import Gauge
from stubout.layout.washer_bays import in_washers_bay
from stubout.layout.weights import WEIGHTS
from stubout.layout.work import Work

CROWDED = 1500.0  # what it weighs to stand where another fixture will want its own pipe [mm of pipe]
UNDER_BOX_MM = 90.0  # a standpipe stands so far to either side of the middle of its box
OFF_MARK = 2.0  # what a stub-out above or below its usual height weighs, by the difference
ARMS_APART_MM = 10.0  # between two arms in one wall
STAND_GAP_MM = 6.0  # between the hubs of two pipes that stand in one bay
SWUNG_MM = 0.5  # what a trap that is swung as far as it goes still gives
BOX_GAP_MM = 10.0
BOXED_ARM_MM = 130.0
BOXED_COST = 20_000.0  # a boxed pipe in the room: only when the wall itself cannot take the drop
STUB_PAST_WALL_MM = 40.0  # the stub of an arm whose trap is not known yet ends here past the finished wall


@dataclass(frozen=True, slots=True)
class ArmCandidate:
    """One way from the trap into the wall: straight into the vent fitting, or turned and run through studs."""

    spot: Spot  # the vent fitting
    stub_station: float
    z_weir: float  # centre line at the trap weir
    z_takeoff: float
    length: float  # weir to vent fitting along the pipe
    bores: int
    turn_deg: float
    cost: float
    trap_out: float  # trap weir's distance in front of the stud centre line (0 = the trap stands in the wall)
    corner: tuple[tuple[float, float], ...] = ()  # plan point where the arm turns into a wall across
    front: float = 0.0  # the drop stands so far in front of the stud centre line, boxed in; 0 = in the wall
    z_stub: float | None = None  # height of the stub-out, None = that of its mark


def arm_candidates(work: Work, need: Need, trap_reach: float) -> tuple[list[ArmCandidate], list[str]]:
    """Return the candidates for one wall fixture, cheapest first, and why others fell out."""
    f = need.fixture
    w = work.house.wall(f.wall_id)
    g = work.gauge(need.arm_in)
    mark = work.marks.get(f.tag)
    if mark is None or f.station_mm is None:
        return [], [f"{f.tag} has no stub-out height"]
    why: list[str] = []
    out: list[ArmCandidate] = []
    if f.kind is FixtureKind.CLOTHES_WASHER:
        z = mark.mark_z_mm if f.trap_weir_z_mm is None else f.trap_weir_z_mm + g.id_mm / 2
        return _standpipe(work, need, w, g, z, trap_reach)
    face = abs(w.face_offset(f.side, f.station_mm, mark.mark_z_mm))
    reach_in = f.from_wall_mm + face  # outlet centre to stud centre line
    trap_out = max(face + STUB_PAST_WALL_MM, reach_in - trap_reach)
    shortest = math.inf  # of the arms that are too long
    usual = stub_stations(w, f, g, trap_reach)
    for stub in (*usual, *_beside_risers(work, w, f, g, trap_reach)):
        if stub not in usual and any(not c.front for c in out):
            break  # the trap swings past a pipe only where it has to
        ways: list[tuple[Spot, int, str, float, tuple[tuple[float, float], ...]]] = [
            (spot, bores, blocked, abs(spot.station - stub), ())
            for spot, bores, blocked in _takeoffs(work, w, stub, mark.mark_z_mm, g)
        ]
        ways += _round_corners(work, w, stub, mark.mark_z_mm, g)
        out += _in_front(work, need, w, stub, mark.mark_z_mm, face, reach_in - trap_reach)
        for spot, bores, blocked, run, corner in ways:
            if blocked:
                why.append(blocked)
                continue
            if not corner and _meets_riser(work, w, stub, spot.station, g):
                why.append(f"the arm would run through a pipe that stands in {w.id}")
                continue
            z_stub = (
                _clear_of_arms(work, mark, w, stub, spot.station, g) if not corner and run > 1.0 else mark.mark_z_mm
            )
            if z_stub is None:
                why.append(f"the arm would run through another in {w.id}")
                continue
            length = trap_out + run
            off_axis = abs(stub - f.station_mm)
            length += off_axis * 0.42  # the trap swings: the arm leaves at a slant
            if length > need.arm_max + 0.5:
                shortest = min(shortest, length)
                continue
            length = max(length, need.arm_min)
            turn = (0.0 if run < 1 else 90.0) + (90.0 if corner else 0.0)
            if turn > need.arm_turn + 0.5:
                continue
            tight = WEIGHTS.short_leg if not corner and 1.0 < run < least_run(work, need.arm_in) - 0.5 else 0.0
            z_weir = z_stub + need.slope * max(0.0, trap_out - face)
            z_take = z_stub - need.slope * (face + run)
            cost = (
                tight
                + _crowd(work, f, spot)
                + length
                + bores * WEIGHTS.bore
                + off_axis * 3
                + turn / 90.0 * WEIGHTS.turn_90
            )
            cost += abs(z_stub - mark.mark_z_mm) * OFF_MARK
            out.append(
                ArmCandidate(spot, stub, z_weir, z_take, length, bores, turn, cost, trap_out, corner, 0.0, z_stub)
            )
    out.sort(key=lambda c: (round(c.cost, 3), c.spot.station))
    return out, [*why, *_too_long(work, need, shortest)]


def _too_long(work: Work, need: Need, shortest: float) -> list[str]:
    """Return the words for arms that are too long, by the shortest of them; none where no arm is."""
    if math.isinf(shortest):
        return []
    have, most = (units.both(mm, work.house.job.units) for mm in (shortest, need.arm_max))
    return [f"an arm of {have} is longer than {most}, the most in {units.size(need.arm_in)} in"]


def _clear_of_arms(work: Work, mark: StubMark, w: Wall, stub: float, to: float, g: Gauge) -> float | None:
    """Return a height within a fixture's band at which a run along a wall passes the arms drawn in it, None if none."""
    apart = g.od_mm + ARMS_APART_MM
    for z in (mark.mark_z_mm, mark.mark_z_mm - apart, mark.mark_z_mm + apart):
        if (z == mark.mark_z_mm or mark.lo_z_mm <= z <= mark.hi_z_mm) and not meets_arm(work, w, stub, to, z, g):
            return z
    return None


def least_run(work: Work, size_in: float) -> float:
    """Return the least run in a wall from the bend of an arm to its vent fitting [mm]."""
    fits = work.board.fits
    return fits.sweep(size_in) + fits.tee(max(size_in, 2.0), size_in)


def _crowd(work: Work, f: HouseFixture, spot: Spot) -> float:
    """Return what it weighs to stand where another fixture on the same wall will want its own pipe."""
    return CROWDED * in_washers_bay(work, spot.wall, spot.station, f.tag) + sum(
        CROWDED
        for o in work.house.fixtures
        if o.wall_id == spot.wall.id
        and o.tag != f.tag
        and o.tag not in work.traps
        and o.station_mm is not None
        and not o.floor_outlet
        and not (f.kind in SHARERS and o.kind in SHARERS and o.side != f.side)  # back to back they may share one
        and abs(o.station_mm - spot.station) < 150.0
    )


def _meets_riser(work: Work, w: Wall, s0: float, s1: float, g: Gauge) -> bool:
    """Return whether a level run in a wall passes a plumb pipe that already stands there."""
    lo, hi = min(s0, s1), max(s0, s1)
    return any(r.wall.id == w.id and lo - g.r - hub / 2 < r.station < hi + g.r + hub / 2 for r, hub in work.risers)


def passes_riser(work: Work, spot: Spot, stub: float) -> bool:
    """Return whether a level run in a wall to what stands at a spot passes another plumb pipe on its way."""
    lo, hi = sorted((stub, spot.station))
    return any(
        r.wall.id == spot.wall.id and lo - hub / 2 < r.station < hi + hub / 2 and abs(r.station - spot.station) > 1.0
        for r, hub in work.risers
    )


def meets_arm(work: Work, w: Wall, stub: float, to: float, z: float, g: Gauge) -> bool:
    """Return whether a run along a wall would meet another arm that is drawn in it."""
    a, b = w.point(min(stub, to), z), w.point(max(stub, to), z)
    return any(segment_segment(a, b, c, d) < r + g.r for c, d, r in work.cavity.pipes)


def stub_stations(w: Wall, f: HouseFixture, g: Gauge, swing: float) -> list[float]:
    """Return where the arm may enter: on the fixture's centre, or beside the stud there if the trap swings so far."""
    s = f.station_mm or 0.0
    r = g.hole_mm / 2
    out: list[float] = []
    for bay in w.bays:
        lo, hi = bay.lo_mm + r, bay.hi_mm - r
        if lo > hi:
            continue
        near = min(max(s, lo), hi)
        if abs(near - s) <= swing:
            out.append(near)
    return sorted(out, key=lambda v: (abs(v - s), v))


def stubs_to(w: Wall, f: HouseFixture, g: Gauge, swing: float, station: float, room: float) -> list[float]:
    """Return the same for an arm into a pipe that stands at a station, where bend and fitting have their room.

    Also right before it, and as near beside it as they go, if the trap swings there.
    """
    s, r = f.station_mm or 0.0, g.hole_mm / 2
    out = [v for v in stub_stations(w, f, g, swing) if not 1.0 < abs(station - v) < room]
    for at in (station, station - room, station + room):
        if abs(at - s) > swing + SWUNG_MM or any(abs(at - v) <= 1.0 for v in out):
            continue
        bay = w.bay_at(at)
        if bay is not None and bay.lo_mm + r <= at <= bay.hi_mm - r:
            out.append(at)
    return out


def _beside_risers(work: Work, w: Wall, f: HouseFixture, g: Gauge, swing: float) -> list[float]:
    """Return where the arm may enter beside a pipe that stands on the fixture's centre, if the trap swings so far."""
    s = f.station_mm or 0.0
    out: list[float] = []
    for r, hub in work.risers:
        if r.wall.id != w.id or abs(r.station - s) >= hub / 2 + g.r:
            continue
        for at in (r.station - hub / 2 - g.hub_r - STAND_GAP_MM, r.station + hub / 2 + g.hub_r + STAND_GAP_MM):
            bay = w.bay_at(at)
            if bay is not None and bay.lo_mm + g.hub_r <= at <= bay.hi_mm - g.hub_r and abs(at - s) <= swing:
                out.append(at)
    return sorted(out, key=lambda v: (abs(v - s), v))


def _takeoffs(work: Work, w: Wall, stub: float, z: float, g: Gauge) -> list[tuple[Spot, int, str]]:
    out: list[tuple[Spot, int, str]] = []
    for bay in w.bays:
        lo, hi = bay.lo_mm + g.hub_r, bay.hi_mm - g.hub_r
        if lo > hi:
            continue
        tries = [min(max(stub, lo), hi)]
        room = least_run(work, g.size_in)
        beside = [t for t in (stub - room, stub + room) if lo <= t <= hi]  # as near as bend and fitting go
        for t in (*beside, bay.middle_mm, lo, hi):
            if all(abs(t - u) > 15 for u in tries):
                tries.append(t)
        for s in tries:
            spot = Spot(w, bay, s, 0.0)
            if work.taken(spot, g):
                out.append((spot, 0, f"another pipe stands in the bay at {units.named(s, work.house.job.units)}"))
                continue
            bores, blocked = work.cavity.along(w, stub, s, z, g) if abs(s - stub) > 1 else (0, "")
            out.append((spot, bores, blocked))
    return out


def _in_front(
    work: Work, need: Need, w: Wall, stub: float, z: float, face: float, trap_out: float
) -> list[ArmCandidate]:
    """Return drops boxed in front of the wall, for a wall that nothing can go down in; the vent leans back into it."""
    g = work.gauge(need.arm_in)
    front = face + g.hub_r + BOX_GAP_MM
    run = max(need.arm_min, BOXED_ARM_MM)
    out: list[ArmCandidate] = []
    for s in (stub + run, stub - run):
        bay = w.bay_at(s)
        if bay is None or not bay.lo_mm + g.hub_r <= s <= bay.hi_mm - g.hub_r:
            continue
        spot = Spot(w, bay, s, 0.0)
        if work.taken(spot, g):
            continue
        length = run
        out.append(
            ArmCandidate(
                spot,
                stub,
                z,
                z - need.slope * run,
                length,
                0,
                0.0,
                length + BOXED_COST,
                max(trap_out, front),
                (),
                front,
            )
        )
    return out


def _round_corners(
    work: Work, w: Wall, stub: float, z: float, g: Gauge
) -> list[tuple[Spot, int, str, float, tuple[tuple[float, float], ...]]]:
    """Return vent fittings in walls that meet this one: along the studs to the corner, then into a bay across."""
    out: list[tuple[Spot, int, str, float, tuple[tuple[float, float], ...]]] = []
    for u, s_here, s_there in work.cavity.neighbours(w, z, g):
        if u.knee or u.exterior or g.hole_mm > work.cavity.stud_limit(u) + 0.05:
            continue
        bores, blocked = work.cavity.along(w, stub, s_here, z, g)
        if blocked or _meets_riser(work, w, stub, s_here, g):
            continue
        corner = w.point(s_here, 0)
        for bay in u.bays:
            lo, hi = bay.lo_mm + g.hub_r, bay.hi_mm - g.hub_r
            if lo > hi:
                continue
            s = min(max(s_there, lo), hi)
            spot = Spot(u, bay, s, 0.0)
            if work.taken(spot, g):
                continue
            more, blocked = work.cavity.along(u, s_there, s, z, g)
            if not blocked and _meets_riser(work, u, s_there, s, g):
                blocked = f"the arm would run through a pipe that stands in {u.id}"
            end = spot.at(z)
            run = abs(stub - s_here) + abs(end.x - corner.x) + abs(end.y - corner.y)
            out.append((spot, bores + more, blocked, run, ((corner.x, corner.y),)))
    return out


def _standpipe(
    work: Work, need: Need, w: Wall, g: Gauge, z: float, trap_reach: float
) -> tuple[list[ArmCandidate], list[str]]:
    """Return the candidates of a washer box: trap and vent fitting in the wall, side by side."""
    f = need.fixture
    out: list[ArmCandidate] = []
    why: list[str] = []
    s0 = f.station_mm or 0.0
    home = w.bay_at(s0)
    if home is None:
        return [], [f"the washer box of {f.tag} stands on a stud of {w.id}"]
    stand_lo, stand_hi = home.lo_mm + g.hub_r, home.hi_mm - g.hub_r
    too_long: list[float] = []
    for direction in (1.0, -1.0):
        # the standpipe comes down anywhere under the box; the far side leaves most of the bay to trap and vent
        for stand in dict.fromkeys(
            min(max(s0 + shift, stand_lo), stand_hi)
            for shift in (-direction * UNDER_BOX_MM, 0.0, direction * UNDER_BOX_MM)
        ):
            weir = stand + direction * trap_reach
            out += _standpipe_from(work, need, w, g, z, home, stand, weir, why, too_long)
    why += _too_long(work, need, min(too_long, default=math.inf))
    out.sort(key=lambda c: (round(c.cost, 3), c.spot.station))
    return out, why


def _standpipe_from(
    work: Work,
    need: Need,
    w: Wall,
    g: Gauge,
    z: float,
    home: Bay,
    stand: float,
    weir: float,
    why: list[str],
    too_long: list[float],
) -> list[ArmCandidate]:
    out: list[ArmCandidate] = []
    direction = math.copysign(1.0, weir - stand)
    clear = home.lo_mm + g.od_mm / 2 <= weir <= home.hi_mm - g.od_mm / 2
    across = 0.0 if clear else WEIGHTS.in_stud  # no hole in a stud lets a trap through, nor half of one
    for bay in w.bays:
        lo, hi = bay.lo_mm + g.hub_r, bay.hi_mm - g.hub_r
        if lo > hi:
            continue
        first = weir + direction * max(need.arm_min, g.hub_mm)
        s = min(max(first, lo), hi)
        run = (s - weir) * direction
        if run < need.arm_min - 0.5:
            continue
        spot = Spot(w, bay, s, 0.0)
        if work.taken(spot, g):
            continue
        bores, blocked = work.cavity.along(w, stand, s, z, g)
        if not blocked and _meets_riser(work, w, stand, s, g):
            blocked = f"the arm would run through a pipe that stands in {w.id}"
        if blocked:
            why.append(blocked)
            continue
        if run > need.arm_max:
            too_long.append(run)
            continue
        cost = run + bores * WEIGHTS.bore + across
        out.append(ArmCandidate(spot, weir, z, z - need.slope * run, run, bores, 0.0, cost, 0.0))
    return out
