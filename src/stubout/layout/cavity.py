"""Inside the walls: where a pipe can stand in a bay, run through studs, and rise from floor to attic. Lengths [mm]."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import Literal

from stubout import units
from stubout.geometry.vec import Vec
from stubout.house.framing import Bay, Wall
from stubout.house.model import Frame, House, HouseLevel
from stubout.layout.cavity_shapes import Piece, Rise, Spot
from stubout.layout.model import Place
from stubout.layout.space import Space
from stubout.layout.space_shapes import XY, Gauge, Rect, off_line

WallUse = Literal["vent", "drain"]
CEILING_NEAR_MM = 100.0  # a frame that begins so near the top of a wall is the ceiling over it
NEAR_MM = 5.0  # more than the gap that two pipes keep
FACE_MM = 10.0  # a wall that ends so near the face of another ends there
CORNER_MM = 20.0  # so far a pipe at a corner is moved off its line to clear the stud there
EXIT_PROBE_MM = 1100.0  # about the height at which vents turn


class Cavity:
    """The walls of a house asked for room."""

    def __init__(self, house: House, space: Space, stud_limit: Callable[[Wall], float]) -> None:
        self.house = house
        self.space = space
        self.stud_limit = stud_limit
        self._known = space.memory("walls")
        self._exits: dict[tuple[str, float], tuple[float, ...]] = {}
        self.plumbs: list[tuple[float, float, float, float, float]] = []  # plumb pipes: x, y, from z, to z, radius
        self.pipes: list[tuple[Vec, Vec, float]] = []  # level pipes whose heights are known: ends and hub radius
        self.floors: dict[str, list[tuple[XY, XY, float]]] = {}  # pipes that lie in a frame, heights not known yet
        self._around_pipes: tuple[list[tuple[Vec, Vec, float]], list[Rect]] = ([], [])
        self._around_floors: tuple[dict[str, list[tuple[XY, XY, float]]], list[Rect]] = ({}, [])

    def add_level(self, a: XY, b: XY, z: float, r: float) -> None:
        """Put a level pipe in the way of the plumb ones that rise in its wall."""
        self.pipes.append((Vec(a[0], a[1], z), Vec(b[0], b[1], z), r))

    def meets_plumb(self, a: Vec, b: Vec, z: float, g: Gauge) -> bool:
        """Return whether a level pipe in a wall would run through a plumb one between its ends."""
        dx, dy = b.x - a.x, b.y - a.y
        ll = math.hypot(dx, dy)
        if ll < 1:
            return False
        for x, y, lo, hi, r in self.plumbs:
            t = ((x - a.x) * dx + (y - a.y) * dy) / ll
            off = abs((x - a.x) * dy - (y - a.y) * dx) / ll
            if 30.0 < t < ll - 30.0 and off < r + g.r + 3.0 and lo - g.r < z < hi + g.r:
                return True
        return False

    def stands_at(self, p: Vec, g: Gauge) -> bool:
        """Return whether a plumb pipe stands where a level one would turn."""
        return any(
            math.hypot(x - p.x, y - p.y) < r + g.r + 3.0 and lo - g.r < p.z < hi + g.r
            for x, y, lo, hi, r in self.plumbs
        )

    def meets_pipe(self, xy: XY, lo: float, hi: float, g: Gauge) -> bool:
        """Return whether a plumb pipe would run through a level one."""
        around = g.r + NEAR_MM
        for (a, b, r), (x0, y0, x1, y1) in zip(self.pipes, self._pipe_rects(), strict=True):
            if not (x0 - around < xy[0] < x1 + around and y0 - around < xy[1] < y1 + around):
                continue
            near = r + g.r + 3.0
            if not (
                min(a.x, b.x) - near < xy[0] < max(a.x, b.x) + near
                and min(a.y, b.y) - near < xy[1] < max(a.y, b.y) + near
            ):
                continue
            dx, dy = b.x - a.x, b.y - a.y
            ll = dx * dx + dy * dy
            if ll < 1:
                continue
            t = max(0.0, min(1.0, ((xy[0] - a.x) * dx + (xy[1] - a.y) * dy) / ll))
            x, y, z = a.x + dx * t, a.y + dy * t, a.z + (b.z - a.z) * t
            if (x - xy[0]) ** 2 + (y - xy[1]) ** 2 < near * near and lo + 60 < z < hi - 5:
                return True
        return False

    def _pipe_rects(self) -> list[Rect]:
        """Return the plan rectangles about the level pipes."""
        if self._around_pipes[0] != self.pipes:
            self._around_pipes = (list(self.pipes), [_around(a, b, r) for a, b, r in self.pipes])
        return self._around_pipes[1]

    def _none_near(self, xy: XY, g: Gauge) -> bool:
        """Return whether no level pipe comes so near in plan that a plumb one there could meet it at any height."""
        if self._around_floors[0] is not self.floors:
            lying = (pipe for pipes in self.floors.values() for pipe in pipes)
            self._around_floors = (self.floors, [_around(a, b, r) for a, b, r in lying])
        (x, y), near = xy, g.r + NEAR_MM
        for rects in (self._pipe_rects(), self._around_floors[1]):
            for x0, y0, x1, y1 in rects:
                if x0 - near < x < x1 + near and y0 - near < y < y1 + near:
                    return False
        return True

    def wall_near(self, level: HouseLevel, xy: XY, reach: float, past_ends: float = 0.0) -> bool:
        """Return whether the stud line of a wall of a level comes so near to a plan position, its ends and past them.

        Args:
            level: The level.
            xy: The plan position.
            reach: How near, from the faces of the wall [mm].
            past_ends: So far beyond its ends it still counts [mm].
        """
        p = Vec(xy[0], xy[1], 0.0)
        return any(
            abs(w.offset(p)) < w.depth_mm / 2 + reach and -past_ends < w.station(p) < w.length_mm + past_ends
            for w in self.walls_of(level)
        )

    def walls_of(self, level: HouseLevel) -> tuple[Wall, ...]:
        """Return the walls of a level in the order of the job file."""
        return self.space.walls_of(level)

    def allowed(self, w: Wall, use: WallUse) -> bool:
        """Return whether the wishes let such a pipe into this wall."""
        wishes = self.house.wishes
        return w.id not in (wishes.no_vent_in_walls if use == "vent" else wishes.no_drain_in_walls)

    def fits_depth(self, w: Wall, g: Gauge) -> bool:
        """Return whether the hub fits between the faces of the studs."""
        return g.hub_mm <= w.depth_mm + 0.5

    def clear(self, w: Wall, station: float, lo: float, hi: float, g: Gauge, offset: float = 0.0) -> str:
        """Return why a plumb pipe cannot stand here between two heights, "" if it can."""
        p = w.point(station, 0.0, offset)
        why = self.stands(w, station, lo, hi, g, offset)
        if not why and self.meets_pipe((p.x, p.y), lo, hi, g):
            return f"another pipe crosses the bay of {w.id}"
        return why

    def stands(self, w: Wall, station: float, lo: float, hi: float, g: Gauge, offset: float = 0.0) -> str:
        """Return why the house does not let a plumb pipe stand here, "" if it does; other pipes are not looked at."""
        key = ("clear", w.id, station, lo, hi, g.size_in, offset)
        if key not in self._known.answers:
            self._known.answers[key] = self._clear(w, station, lo, hi, g, w.point(station, 0.0, offset))
        why: str = self._known.answers[key]
        return why

    def _clear(self, w: Wall, station: float, lo: float, hi: float, g: Gauge, p: Vec) -> str:
        bay = w.bay_at(station)
        if bay is None:
            return f"on a stud of {w.id}"
        if station < bay.lo_mm + g.hub_r - 0.5 or station > bay.hi_mm - g.hub_r + 0.5:
            return f"too near a stud of {w.id} for the hub"
        for o in w.openings:
            inside = o.station_mm - g.hub_r < station < o.station_mm + o.width_mm + g.hub_r
            if inside and lo < o.header_top_z_mm and hi > o.sill_z_mm:
                return f"opening {o.id} in {w.id}"
        reach = g.hub_r + 3
        for b in self.house.obstacles:
            if b.kind in ("footing", "pad", "soffit", "zone", "skylight"):
                continue
            if b.kind != "panel" and (b.box.hi.z <= lo or b.box.lo.z >= hi):
                continue  # a panel's own space goes from floor to ceiling: no pipe over or under it
            if b.box.lo.x - reach < p.x < b.box.hi.x + reach and b.box.lo.y - reach < p.y < b.box.hi.y + reach:
                return f"{b.what} ({b.id})"
        return ""

    def spots(self, w: Wall, bay: Bay, g: Gauge) -> tuple[Spot, ...]:
        """Return places in a bay: the middle first, then towards both studs, then off the centre line."""
        key = ("spots", w.id, bay.index, g.size_in)
        if key not in self._known.answers:
            self._known.answers[key] = tuple(self._spots(w, bay, g))
        found: tuple[Spot, ...] = self._known.answers[key]
        return found

    def _spots(self, w: Wall, bay: Bay, g: Gauge) -> Iterator[Spot]:
        lo, hi = bay.lo_mm + g.hub_r, bay.hi_mm - g.hub_r
        if lo > hi:
            return
        stations = [bay.middle_mm, lo, hi]
        above = self.space.level_above(self.house.level(w.level_id))
        if above is not None:
            for u in self.walls_of(above):
                if abs(u.along.dot(w.along)) < 0.5:  # a wall across: its line meets ours at one station
                    s = w.station(u.start)
                    room = u.depth_mm / 2 - g.hub_r
                    stations += [t for t in (s, s - room, s + room) if lo <= t <= hi and room >= 0]
        slack = max(0.0, w.depth_mm / 2 - g.hub_r)
        offsets = [0.0] if slack < 1 else [0.0, slack * 0.7, -slack * 0.7, slack, -slack]
        for off in offsets:
            for s in stations:
                yield Spot(w, bay, min(max(s, lo), hi), off)

    def exits(self, w: Wall, g: Gauge) -> tuple[float, ...]:
        """Return the stations of a wall from which a vent gets out: straight up, or by a wall that meets this one."""
        key = (w.id, g.size_in)
        if key not in self._exits:
            own = [s.station for bay in w.bays for s in self.spots(w, bay, g) if self._gets_out(s, g)]
            by = [
                here
                for u, here, _ in self.neighbours(w, w.bottom_z_mm + EXIT_PROBE_MM, g)
                if not u.knee and self.allowed(u, "vent")
                if any(self._gets_out(s, g) for bay in u.bays for s in self.spots(u, bay, g))
            ]
            self._exits[key] = tuple(sorted({*own, *by}))
        return self._exits[key]

    def _gets_out(self, spot: Spot, g: Gauge) -> bool:
        rise = self.rise(spot, spot.wall.bottom_z_mm + EXIT_PROBE_MM, g)
        return rise.ends != "blocked" or rise.comes_up  # it may turn there

    def shut_in(self, w: Wall, station: float, g: Gauge, stacks: Sequence[tuple[Spot, float]]) -> bool:
        """Return whether stacks that fill a wall stand between a station and every way out of it for a vent."""
        full = [s.station for s, hub in stacks if s.wall.id == w.id and hub + g.od_mm > w.depth_mm]
        return not any(not any(min(station, e) + 1 < f < max(station, e) - 1 for f in full) for e in self.exits(w, g))

    # --- up ---------------------------------------------------------------------------------------------------

    def rise(self, spot: Spot, z0: float, g: Gauge) -> Rise:
        """Return how far up a plumb pipe gets from a spot at a height."""
        if not self._none_near(spot.xy, g):
            return self._rise(spot, z0, g)
        key = ("rise", spot.wall.id, spot.station, spot.offset, z0, g.size_in)  # only the house decides
        if key not in self._known.answers:
            self._known.answers[key] = self._rise(spot, z0, g)
        found: Rise = self._known.answers[key]
        return found

    def rise_to(self, spot: Spot, z0: float, top: float, g: Gauge) -> Rise:
        """Return how a plumb pipe gets up to a height in a wall of this storey or of one above."""
        return self._rise(spot, z0, g, top)

    def _rise(self, spot: Spot, z0: float, g: Gauge, most: float = math.inf) -> Rise:
        w, z = spot.wall, z0
        pieces: list[Piece] = []
        level = self.house.level(w.level_id)
        station, offset = spot.station, spot.offset
        while True:
            if w.knee:
                return Rise(tuple(pieces), z, "blocked", f"{w.id} ends below the ceiling", level)
            top = min(w.top_at(station), most)
            if most > top and self.space.level_above(level) is None and not level.attic_above:
                top = self._under_beam(w, station, offset, z, g)  # up to the roof: a ridge beam ends the cavity
            why = self.clear(w, station, z, top, g, offset)
            if not why and not self.fits_depth(w, g):
                why = f"hub {units.both(g.hub_mm, self.house.job.units)} is wider than the studs of {w.id}"
            if not why and not self.allowed(w, "vent"):
                why = f"no vent wanted in {w.id}"
            if why:
                return Rise(tuple(pieces), z, "blocked", why, level)
            bay = w.bay_at(station)
            pieces.append(Piece(z, top, Place("wall", w.id, bay.index if bay else -1)))
            z = top
            if top >= most:
                return Rise(tuple(pieces), z, "there", "", level)
            p = w.point(station, 0.0, offset)
            xy = (p.x, p.y)
            if w.meets_roof(station):
                return Rise(tuple(pieces), z, "roof", "", level)
            if level.attic_above:
                if why := self.through_ceiling(xy, z, g):
                    return Rise(tuple(pieces), z, "blocked", why, level)
                attic = self.space.layers[f"attic:{level.id}"]
                # where the roof comes down on the wall no header can begin: straight out through it
                ends: Literal["attic", "roof"] = "attic" if self.space.leg(attic, xy, xy, g) is not None else "roof"
                return Rise(tuple(pieces), z, ends, "", level)
            above = self.space.level_above(level)
            frame = self.house.frame_carrying(above.id) if above is not None else None
            if above is None or frame is None or not self._frame_over(frame, xy):
                return Rise(tuple(pieces), z, "roof", "", level)
            if why := self.through_frame(frame, xy, g):
                return Rise(tuple(pieces), z, "blocked", why, level)
            nxt = self.wall_over(above, xy, g, most)
            if nxt is None:
                why = self._why_none_over(above, xy, g, most) or f"no wall of {above.id} stands over it"
                return Rise(tuple(pieces), z, "blocked", why, level)
            pieces.append(Piece(z, nxt.bottom_z_mm, Place("joist bay", frame.id)))
            w, z, level = nxt, nxt.bottom_z_mm, above
            p = Vec(xy[0], xy[1], 0)
            station, offset = w.station(p), w.offset(p)

    def through_ceiling(self, xy: XY, z: float, g: Gauge) -> str:
        """Return why a plumb pipe cannot come up between the ceiling joists over a wall, "" if it can."""
        frames = (f for f in self.house.frames if not f.carries and abs(f.bottom_z_mm - z) < CEILING_NEAR_MM)
        return next((why for f in frames if (why := self.through_frame(f, xy, g))), "")

    def _under_beam(self, w: Wall, station: float, offset: float, z: float, g: Gauge) -> float:
        p = w.point(station, 0.0, offset)
        reach = g.hub_r + 3
        lows = [
            o.box.lo.z
            for o in self.house.obstacles
            if o.kind == "beam"
            and o.box.lo.z > z + 600
            and o.box.lo.z < w.top_at(station)
            and o.box.lo.x - reach < p.x < o.box.hi.x + reach
            and o.box.lo.y - reach < p.y < o.box.hi.y + reach
        ]
        return min([w.top_at(station), *lows])

    def _frame_over(self, frame: Frame, xy: XY) -> bool:
        c = 1 if frame.runs == "x" else 0
        return (
            frame.across_lo_mm - 1 <= xy[c] <= frame.across_hi_mm + 1
            and frame.along_lo_mm - 1 <= xy[1 - c] <= frame.along_hi_mm + 1
        )

    def through_frame(self, frame: Frame, xy: XY, g: Gauge) -> str:
        """Return why a plumb pipe cannot pass between the members of a frame, "" if it can."""
        if not self._frame_over(frame, xy):
            return ""
        if self.meets_pipe(xy, frame.bottom_z_mm - 400.0, frame.top_z_mm + 400.0, g):
            return "another pipe lies in the floor there"
        if any(off_line(xy, a, b) < r + g.r + 3.0 for a, b, r in self.floors.get(frame.id, ())):
            return "another pipe lies in the floor there"
        return self.passes(frame, xy, g)

    def stands_in(self, xy: XY, lo: float, hi: float, g: Gauge) -> str:
        """Return what of a floor or roof an upright pipe stands in between two heights, "" if nothing."""
        passed = (f for f in self.house.frames if f.bottom_z_mm < hi - 1.0 and f.top_z_mm > lo + 1.0)
        return next((why for f in passed if (why := self.passes(f, xy, g))), "")

    def passes(self, frame: Frame, xy: XY, g: Gauge) -> str:
        """Return why the house does not let a plumb pipe through a frame, "" if it does; pipes are not looked at."""
        if not self._frame_over(frame, xy):
            return ""
        key = ("frame", frame.id, xy, g.size_in)
        if key not in self._known.answers:
            self._known.answers[key] = self._through(frame, xy, g)
        why: str = self._known.answers[key]
        return why

    def _through(self, frame: Frame, xy: XY, g: Gauge) -> str:
        if self.space.bay_of(frame, xy, g) is None:
            return f"a member of {frame.id} is in the way"
        for o in self.house.obstacles:
            if o.kind not in ("blocking", "beam", "duct", "post", "line"):
                continue
            b = o.box
            if b.hi.z <= frame.bottom_z_mm or b.lo.z >= frame.top_z_mm:
                continue
            reach = g.hub_r + 3
            if b.lo.x - reach < xy[0] < b.hi.x + reach and b.lo.y - reach < xy[1] < b.hi.y + reach:
                return f"{o.what} ({o.id})"
        return ""

    def wall_over(self, level: HouseLevel, xy: XY, g: Gauge, most: float = math.inf) -> Wall | None:
        """Return a wall of a level whose cavity takes a plumb pipe at a plan position, up to a height."""
        return next((w for w, why in self._over(level, xy, g, most) if not why), None)

    def _why_none_over(self, level: HouseLevel, xy: XY, g: Gauge, most: float) -> str:
        """Return what shuts the wall that stands over a plan position to a plumb pipe, "" if none stands there."""
        return next((why for _, why in self._over(level, xy, g, most)), "")

    def _over(self, level: HouseLevel, xy: XY, g: Gauge, most: float) -> Iterator[tuple[Wall, str]]:
        """Yield the walls of a level over a plan position, each with why it takes no plumb pipe up to a height."""
        p = Vec(xy[0], xy[1], 0.0)
        for w in self.walls_of(level):
            s = w.station(p)
            if 0 < s < w.length_mm and abs(w.offset(p)) <= w.depth_mm / 2 - g.hub_r + 0.5:
                yield w, self.clear(w, s, w.bottom_z_mm, min(w.top_at(s), most), g, w.offset(p))

    # --- along ------------------------------------------------------------------------------------------------

    def along(self, w: Wall, s0: float, s1: float, z: float, g: Gauge) -> tuple[int, str]:
        """Return the studs bored by a level run inside a wall, and why it cannot be ("" if it can)."""
        bores, why = self._lying(w, s0, s1, z, g)
        if not why and self.plumbs and self.meets_plumb(w.point(min(s0, s1), z), w.point(max(s0, s1), z), z, g):
            return bores, f"a pipe stands in {w.id} there"
        return bores, why

    def lies(self, w: Wall, s0: float, s1: float, z: float, g: Gauge) -> str:
        """Return why the house does not let a level pipe run inside a wall, "" if it does; pipes are not looked at."""
        return self._lying(w, s0, s1, z, g)[1]

    def _lying(self, w: Wall, s0: float, s1: float, z: float, g: Gauge) -> tuple[int, str]:
        key = ("along", w.id, min(s0, s1), max(s0, s1), z, g.size_in)
        if key not in self._known.answers:
            self._known.answers[key] = self._along(w, min(s0, s1), max(s0, s1), z, g)
        found: tuple[int, str] = self._known.answers[key]
        return found

    def _along(self, w: Wall, lo: float, hi: float, z: float, g: Gauge) -> tuple[int, str]:
        studs = [s for s in w.studs if lo < s.station_mm < hi and s.lo_z_mm - 1 < z < s.hi_z_mm + 1]
        if studs and g.hole_mm > self.stud_limit(w) + 0.05:
            hole = units.both(g.hole_mm, self.house.job.units)
            return len(studs), f"a {hole} hole is more than the studs of {w.id} may lose"
        if w.tops and z + g.r > w.least_under_plates(lo, hi):
            return len(studs), f"the roof cuts {w.id} there"
        for s in studs:
            if s.kind in ("post", "jack", "king"):
                return len(studs), f"{s.kind} stud of {w.id}"
        for o in w.openings:
            if (
                o.station_mm - 40 < hi
                and o.station_mm + o.width_mm + 40 > lo
                and o.sill_z_mm - 40 < z < o.header_top_z_mm
            ):
                return len(studs), f"opening {o.id} in {w.id}"
        a, b = w.point(lo, z), w.point(hi, z)
        reach = g.hub_r + 3
        for ob in self.house.obstacles:
            if ob.kind in ("footing", "pad", "soffit", "zone", "skylight"):
                continue
            box = ob.box
            if (ob.kind == "panel" or box.lo.z - reach < z < box.hi.z + reach) and _hits(box.lo, box.hi, a, b, reach):
                return len(studs), f"{ob.what} ({ob.id})"
        return len(studs), ""

    def neighbours(self, w: Wall, z: float, g: Gauge) -> Iterator[tuple[Wall, float, float]]:
        """Yield walls a pipe may go over into at a height: (other wall, station here, station there)."""
        for u, here, there in self._meeting(w, z):
            if _passes_side(w, here, u, g) and _passes_side(u, there, w, g):
                yield u, here, there

    def _meeting(self, w: Wall, z: float) -> Iterator[tuple[Wall, float, float]]:
        """Yield walls that meet this one at a height: (other wall, station here, station there)."""
        for u in self.walls_of(self.house.level(w.level_id)):
            if u.id == w.id or u.top_z_mm < z or abs(u.along.dot(w.along)) > 0.5:
                continue
            yield from (m for m in _touching(w, u) if u.top_at(m[2]) >= z)


def _touching(w: Wall, u: Wall) -> Iterator[tuple[Wall, float, float]]:
    """Yield where another wall comes up to this one or this one to it: (other wall, station here, station there)."""
    for there, p in ((0.0, u.start), (u.length_mm, u.end)):
        if _reaches(w, p):
            yield u, w.station(p), there
    for here, p in ((0.0, w.start), (w.length_mm, w.end)):
        if _reaches(u, p):
            yield u, here, u.station(p)


def _reaches(w: Wall, p: Vec) -> bool:
    """Return whether the end of another wall comes up to this one."""
    return abs(w.offset(p)) <= w.depth_mm / 2 + 40 and 0 <= w.station(p) <= w.length_mm


def _passes_side(w: Wall, station: float, other: Wall, g: Gauge) -> bool:
    """Return whether a pipe can go over from a wall into another there: by its side between studs, or by its end.

    A wall that ends at the face of the other is passed through its end stud; one that ends inside it, as at a corner,
    stands in the way with that stud.
    """
    if not 0.0 < station < w.length_mm:
        return abs(other.offset(w.point(station, 0.0))) >= other.depth_mm / 2 - FACE_MM
    bay = w.bay_at(station)
    return bay is not None and bay.lo_mm + g.r - CORNER_MM <= station <= bay.hi_mm - g.r + CORNER_MM


def _around(a: Sequence[float], b: Sequence[float], r: float) -> Rect:
    """Return the plan rectangle about a pipe of a radius."""
    return min(a[0], b[0]) - r, min(a[1], b[1]) - r, max(a[0], b[0]) + r, max(a[1], b[1]) + r


def _hits(lo: Vec, hi: Vec, a: Vec, b: Vec, reach: float) -> bool:
    return (
        min(a.x, b.x) < hi.x + reach
        and max(a.x, b.x) > lo.x - reach
        and min(a.y, b.y) < hi.y + reach
        and max(a.y, b.y) > lo.y - reach
    )
