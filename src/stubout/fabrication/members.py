"""The members of the frame as boxes in their own axes, and how a pipe goes through one. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from stubout import units
from stubout.geometry.vec import Box, Vec
from stubout.house.crossings import FLANGE_MM
from stubout.house.framing import Wall
from stubout.house.model import Frame, House

MemberKind = Literal["stud", "bottom plate", "top plate", "joist", "i-joist", "truss", "beam", "rafter"]
STEP_MM = 20.0  # a plate along a roof is made of pieces so long
TOUCH_MM = 1.0  # a pipe this little into a member is play, not a cut


@dataclass(frozen=True, slots=True)
class Member:
    """One member: a box in axes of its own (origin, along, across), and z.

    `along` is the way its owner runs for a stud or plate (the wall line) and the way the joist runs for a joist.
    """

    name: str
    kind: MemberKind
    owner: str  # wall, frame or obstacle id
    station_mm: float
    origin: Vec
    along: Vec
    across: Vec
    lo: Vec  # in (along, across, z)
    hi: Vec
    thin: int  # 0, 1, 2: the axis a pipe crosses when it is bored square through the member
    deep: int  # the axis in which edge wood is counted
    level_id: str
    web_mm: float = 0.0  # i-joist
    flange_mm: float = 0.0
    doubled: bool = False
    engineered: bool = False
    wall: Wall | None = None
    frame: Frame | None = None

    def local(self, p: Vec) -> Vec:
        """Return a point in the member's own axes."""
        d = p.minus(self.origin)
        return Vec(d.dot(self.along), d.dot(self.across), p.z)

    def bounds(self) -> Box:
        """Return the box around the member in house axes."""
        xs, ys = [], []
        for u in (self.lo.x, self.hi.x):
            for v in (self.lo.y, self.hi.y):
                p = self.origin.plus(self.along.times(u)).plus(self.across.times(v))
                xs.append(p.x)
                ys.append(p.y)
        return Box(Vec(min(xs), min(ys), self.lo.z), Vec(max(xs), max(ys), self.hi.z))

    @property
    def depth_mm(self) -> float:
        """Return the depth, the way edge wood is counted [mm]."""
        return self.hi[self.deep] - self.lo[self.deep]


@dataclass(frozen=True, slots=True)
class Crossing:
    """How a pipe meets a member."""

    centre: Vec  # house axes: centre of the hole in the middle of the member, or the nearest point of the axis
    local: Vec
    square: bool  # True: bored through in the usual way; False: lies in it, lengthways or sideways
    edge_to_axis_mm: float  # from the hole's centre to the nearer edge


def crossing(member: Member, a: Vec, b: Vec, radius_mm: float) -> Crossing | None:
    """Return how a pipe from a to b meets a member, None if it keeps clear of it."""
    la, lb = member.local(a), member.local(b)
    t = member.thin
    d = lb[t] - la[t]
    mid = (member.lo[t] + member.hi[t]) / 2
    if abs(d) > 1e-9 and abs(d) >= 0.5 * _length(la, lb):  # mainly the usual way through
        s = (mid - la[t]) / d
        # a pipe that ends inside the member (a node in its middle) still bores it; one that only touches does not
        reach = (member.hi[t] - member.lo[t]) / 2 / abs(d)
        if -reach < s < 1 + reach:
            s = min(max(s, 0.0), 1.0)
            at = _lerp(la, lb, s)
            others = [i for i in range(3) if i != t]
            if all(member.lo[i] - radius_mm + TOUCH_MM < at[i] < member.hi[i] + radius_mm - TOUCH_MM for i in others):
                return _crossing(member, a, b, at, s, square=True)
        return None
    s = _nearest(member, la, lb)
    at = _lerp(la, lb, s)
    gap = sum(max(member.lo[i] - at[i], 0.0, at[i] - member.hi[i]) ** 2 for i in range(3)) ** 0.5
    if gap < radius_mm - TOUCH_MM:
        return _crossing(member, a, b, at, s, square=False)
    return None


def _crossing(member: Member, a: Vec, b: Vec, at: Vec, s: float, *, square: bool) -> Crossing:
    k = member.deep
    edge = min(at[k] - member.lo[k], member.hi[k] - at[k])
    return Crossing(_lerp(a, b, s), at, square, edge)


def _lerp(a: Vec, b: Vec, s: float) -> Vec:
    return a.plus(b.minus(a).times(s))


def _length(a: Vec, b: Vec) -> float:
    return b.minus(a).length


def _nearest(member: Member, a: Vec, b: Vec) -> float:
    """Return the parameter of the axis point nearest to the box, by ternary search on a convex distance."""

    def gap(s: float) -> float:
        p = _lerp(a, b, s)
        return sum(max(member.lo[i] - p[i], 0.0, p[i] - member.hi[i]) ** 2 for i in range(3))

    lo, hi = 0.0, 1.0
    for _ in range(60):
        one, two = lo + (hi - lo) / 3, hi - (hi - lo) / 3
        if gap(one) <= gap(two):
            hi = two
        else:
            lo = one
    return (lo + hi) / 2


# what the house is framed of -----------------------------------------------------------------------------------------


def member_name(owner: str, word: str, place_mm: float, unit: units.Units, way: str = "") -> str:
    """Return the name of a member by which it is found: `P stud at 812`, `main floor joist at 13'-4" E`.

    Args:
        owner: Wall or frame.
        word: What the trade calls the member.
        place_mm: Its centre from the control corner of the wall's sheet; of a joist or truss from that of the plan.
        unit: Unit of the job.
        way: `E` or `N` for a distance east or north of the control corner of the plan.
    """
    return f"{owner} {word} at {units.length(place_mm, unit)}{f' {way}' if way else ''}"


def members(house: House) -> tuple[Member, ...]:
    """Return every stud, plate, joist, beam, header and blocking of the house, in the order of the job file."""
    unit = house.job.units
    out: list[Member] = []
    for wall in house.walls:
        out += _studs(wall, unit)
        out += _plates(wall, unit)
        out += _sloping_plates(wall) if wall.tops else ()
        out += _headers(wall)
    for frame in house.frames:
        out += joists(frame, unit)
    out += _obstacles(house)
    return tuple(out)


def _studs(wall: Wall, unit: units.Units) -> Iterator[Member]:
    half = wall.depth_mm / 2
    lo_z = wall.bottom_z_mm + wall.bottom_plate_mm
    hi_z = wall.top_z_mm - wall.top_plate_mm
    ordered = sorted(wall.studs, key=lambda s: s.station_mm)
    for i, stud in enumerate(ordered):
        near = [o for o in ordered[max(i - 1, 0) : i + 2] if o is not stud]
        touching = any(
            abs(o.station_mm - stud.station_mm) <= (o.width_mm + stud.width_mm) / 2 + 1.0 and o.kind == stud.kind
            for o in near
        )
        low, high = (stud.lo_z_mm, stud.hi_z_mm) if stud.hi_z_mm > stud.lo_z_mm else (lo_z, hi_z)
        word = "stud" if stud.kind in ("stud", "end", "added") else f"{stud.kind} stud"
        yield Member(
            name=member_name(wall.id, word, stud.station_mm, unit),
            kind="stud",
            owner=wall.id,
            station_mm=stud.station_mm,
            origin=wall.start,
            along=wall.along,
            across=wall.leftward,
            lo=Vec(stud.station_mm - stud.width_mm / 2, -half, low),
            hi=Vec(stud.station_mm + stud.width_mm / 2, half, high),
            thin=0,
            deep=1,
            level_id=wall.level_id,
            doubled=touching,
            wall=wall,
        )


def _plates(wall: Wall, unit: units.Units) -> Iterator[Member]:
    half = wall.depth_mm / 2
    gaps = sorted(
        (o.station_mm, o.station_mm + o.width_mm) for o in wall.openings if o.sill_z_mm <= wall.bottom_z_mm + 1
    )
    spans = _left_over(wall.length_mm, gaps)
    rows: tuple[tuple[MemberKind, float, float, list[tuple[float, float]]], ...] = (
        ("bottom plate", wall.bottom_z_mm, wall.bottom_z_mm + wall.bottom_plate_mm, spans),
        ("top plate", wall.top_z_mm - wall.top_plate_mm, wall.top_z_mm, [] if wall.tops else [(0.0, wall.length_mm)]),
    )
    for kind, lo_z, hi_z, parts in rows:
        if hi_z - lo_z < 1.0:
            continue
        for lo, hi in parts:
            yield Member(
                name=f"{wall.id} {kind}" if len(parts) == 1 else member_name(wall.id, f"{kind}, part", lo, unit),
                kind=kind,
                owner=wall.id,
                station_mm=lo,
                origin=wall.start,
                along=wall.along,
                across=wall.leftward,
                lo=Vec(lo, -half, lo_z),
                hi=Vec(hi, half, hi_z),
                thin=2,
                deep=1,
                level_id=wall.level_id,
                wall=wall,
            )


def _sloping_plates(wall: Wall) -> Iterator[Member]:
    """Yield the top plates of a wall that the roof cuts, in steps so short that a hole in one has its height.

    All have one name and station: a pipe that meets two of them is bored once.
    """
    half, steps = wall.depth_mm / 2, max(1, round(wall.length_mm / STEP_MM))
    for n in range(steps if wall.top_plate_mm >= 1.0 else 0):
        lo, hi = (wall.length_mm * k / steps for k in (n, n + 1))
        middle = (lo + hi) / 2
        yield Member(
            name=f"{wall.id} top plate",
            kind="top plate",
            owner=wall.id,
            station_mm=0.0,
            origin=wall.start,
            along=wall.along,
            across=wall.leftward,
            lo=Vec(lo, -half, wall.under_plates_at(middle)),
            hi=Vec(hi, half, wall.top_at(middle)),
            thin=2,
            deep=1,
            level_id=wall.level_id,
            wall=wall,
        )


def _left_over(length: float, gaps: list[tuple[float, float]]) -> list[tuple[float, float]]:
    out: list[tuple[float, float]] = []
    at = 0.0
    for lo, hi in gaps:
        if lo > at:
            out.append((at, lo))
        at = max(at, hi)
    if at < length:
        out.append((at, length))
    return out


def _headers(wall: Wall) -> Iterator[Member]:
    half = wall.depth_mm / 2
    for o in wall.openings:
        if o.header_top_z_mm - o.head_z_mm < 1.0:
            continue
        yield Member(
            name=f"{wall.id} header {o.id}",
            kind="beam",
            owner=wall.id,
            station_mm=o.station_mm,
            origin=wall.start,
            along=wall.along,
            across=wall.leftward,
            lo=Vec(o.station_mm, -half, o.head_z_mm),
            hi=Vec(o.station_mm + o.width_mm, half, o.header_top_z_mm),
            thin=1,
            deep=2,
            level_id=wall.level_id,
            engineered=True,
            wall=wall,
        )


def joists(frame: Frame, unit: units.Units) -> Iterator[Member]:
    """Yield the members of a frame, in order across their run."""
    kinds: dict[str, MemberKind] = {"sawn": "joist", "i-joist": "i-joist", "open-web": "truss", "truss": "truss"}
    axes = (Vec(0.0, 1.0), Vec(1.0, 0.0)) if frame.runs == "y" else (Vec(1.0, 0.0), Vec(0.0, 1.0))
    way = "E" if frame.runs == "y" else "N"
    half = frame.width_mm / 2
    level_id = frame.carries
    for c in sorted(frame.centres_mm):
        yield Member(
            name=member_name(frame.id, "truss" if frame.kind == "truss" else "joist", c, unit, way),
            kind=kinds[frame.kind],
            owner=frame.id,
            station_mm=c,
            origin=Vec(0.0, 0.0),
            along=axes[0],
            across=axes[1],
            lo=Vec(frame.along_lo_mm, c - half, frame.bottom_z_mm),
            hi=Vec(frame.along_hi_mm, c + half, frame.top_z_mm),
            thin=1,
            deep=2,
            level_id=level_id,
            web_mm=frame.web_mm,
            flange_mm=FLANGE_MM if frame.kind == "i-joist" else 0.0,
            engineered=frame.kind != "sawn",
            frame=frame,
        )


def _obstacles(house: House) -> Iterator[Member]:
    for o in house.obstacles:
        if o.kind not in ("beam", "post", "header", "blocking"):
            continue
        size = o.box.hi.minus(o.box.lo)
        long_x = size.x >= size.y
        upright = size.z > max(size.x, size.y)
        yield Member(
            name=f"{o.id} {o.what}".strip(),
            kind="beam",
            owner=o.id,
            station_mm=0.0,
            origin=Vec(0.0, 0.0),
            along=Vec(1.0, 0.0),
            across=Vec(0.0, 1.0),
            lo=o.box.lo,
            hi=o.box.hi,
            thin=1 if long_x else 0,
            deep=(1 if not long_x else 0) if upright else 2,
            level_id="",
            engineered=True,
        )
