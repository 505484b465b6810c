"""Vents of an attic gathered the way a plumber does: one straight header over the line most of them come up on.

Vents on that line rise straight into it, others come to it square or at 45 degrees; it rises to the terminal somewhere
along its length. Fittings keep their room, or the plan says how many do not. Lengths [mm], sizes in nominal inches.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from stubout.geometry.distance import segments_cross_in_plan
from stubout.geometry.vec import Vec
from stubout.layout.draft import Board, DNode
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.roof import BORED_TOO, AtticEnd, Roof
from stubout.layout.route import Part
from stubout.layout.space_shapes import XY, Layer
from stubout.layout.vent_upward import STRAIGHT_LEAN, VENT_SLOPE
from stubout.layout.weights import WEIGHTS
from stubout.layout.work import Work

How = Literal["on", "plumb", "lean", "branch", "crowded"]

MOST_LINES = 3
JOG_MORE_MM = 10.0  # more than just apart
BESIDE_MM = 300.0  # so far past the last vent a header may rise
SAME_MM = 1.0
LEAST_MM = 20.0


@dataclass(frozen=True, slots=True)
class Spine:
    """One header: its line, where it rises, and where each vent comes to it."""

    axis: int  # the coordinate that stays the same: 0 for x
    at: float
    rise: float  # along the line
    joints: tuple[float, ...]  # along the line, by vent
    cost: float
    crowded: int  # fittings nearer to each other than they go

    def xy(self, along: float) -> XY:
        """Return a place on the line."""
        return (self.at, along) if self.axis == 0 else (along, self.at)


def best_spine(work: Work, roof: Roof, layer: Layer, ends: Sequence[AtticEnd]) -> Spine | None:
    """Return the header that costs least for some vents in one attic, None where none can be."""
    found = list(_spines(work, roof, layer, ends))
    return min(found, key=lambda s: (s.crowded, round(s.cost, 1), s.axis, s.at, s.rise), default=None)


def _spines(work: Work, roof: Roof, layer: Layer, ends: Sequence[AtticEnd]) -> Iterator[Spine]:
    for axis, at in _lines(ends):
        for rise in _rises(roof, ends, axis, at):
            joints = _joints(work, ends, axis, at, rise)
            one = _priced(work, roof, layer, ends, Spine(axis, at, rise, joints, 0.0, 0))
            if one is not None:
                yield one


def _lines(ends: Sequence[AtticEnd]) -> list[tuple[int, float]]:
    """Return the lines on which most vents come up, by the coordinate that stays the same."""
    lines = {(axis, round(e.xy[axis], 1)) for e in ends for axis in (0, 1)}
    on = {(axis, at): sum(abs(e.xy[axis] - at) <= SAME_MM for e in ends) for axis, at in lines}
    most = max(on.values())
    return sorted(line for line, n in on.items() if n == most)[:MOST_LINES]


def _joints(work: Work, ends: Sequence[AtticEnd], axis: int, at: float, rise: float) -> tuple[float, ...]:
    """Return where along a line each vent comes to it: those that come up on it first, others where room is left."""
    apart = work.board.fits.vent_apart(max(e.size_in for e in ends))
    taken = [rise]
    out: dict[int, float] = {}
    for e in sorted(ends, key=lambda e: (abs(e.xy[axis] - at) > SAME_MM, abs(e.xy[axis] - at), e.node.id)):
        ways = _ways_to(work, e, axis, at, apart)
        out[e.node.id] = min(ways, key=lambda v: (_nearest(v, taken) < apart - 0.5, round(abs(v - rise), 1), v))
        taken.append(out[e.node.id])
    return tuple(out[e.node.id] for e in ends)


def _nearest(v: float, taken: Sequence[float]) -> float:
    return min(abs(v - t) for t in taken)


def _ways_to(work: Work, end: AtticEnd, axis: int, at: float, apart: float) -> tuple[float, ...]:
    """Return where along a line a vent may come to it: square, at 45 degrees, or with 45 degrees at the end of it."""
    along, away = end.xy[1 - axis], abs(end.xy[axis] - at)
    fits, s = work.board.fits, end.size_in
    out = [along]
    asides = [away] if away * math.sqrt(2.0) >= fits.quarter(s) + fits.joint(s, s, False, "branch") else []
    if away - apart >= fits.quarter(s) + fits.eighth(s):
        asides += [apart + JOG_MORE_MM, 2 * (apart + JOG_MORE_MM)]
    for aside in asides:
        if aside <= away:
            out += [along - aside, along + aside]
    return tuple(out)


def _course(end: AtticEnd, s: Spine, joint: float) -> tuple[XY, ...]:
    """Return the plan points of a branch, from the vent to its joint: with a corner where only its end lies at 45."""
    aside, away = abs(joint - end.xy[1 - s.axis]), abs(end.xy[s.axis] - s.at)
    if aside < SAME_MM or away - aside < SAME_MM:
        return end.xy, s.xy(joint)
    near = s.at + math.copysign(aside, end.xy[s.axis] - s.at)
    along = end.xy[1 - s.axis]
    return end.xy, (near, along) if s.axis == 0 else (along, near), s.xy(joint)


def _rises(roof: Roof, ends: Sequence[AtticEnd], axis: int, at: float) -> list[float]:
    """Return where a header may rise to its terminal: where a vent comes to it, or between and beside those places."""
    along = sorted({round(e.xy[1 - axis], 1) for e in ends})
    between = [round((a + b) / 2, 1) for a, b in itertools.pairwise(along) if b - a > LEAST_MM]
    beside = [along[0] - BESIDE_MM, along[-1] + BESIDE_MM]
    return [v for v in (*along, *between, *beside) if roof.may((at, v) if axis == 0 else (v, at))]


def _priced(work: Work, roof: Roof, layer: Layer, ends: Sequence[AtticEnd], s: Spine) -> Spine | None:
    """Return a header with what it costs, None where the attic does not let it lie."""
    fits, space = work.board.fits, work.space
    big = max(e.size_in for e in ends)
    g = work.gauge(big)
    line = sorted({*s.joints, s.rise})
    for a, b in itertools.pairwise(line):
        outer = [e for e, j in zip(ends, s.joints, strict=True) if (j <= a if b <= s.rise else j >= b)]
        if space.leg(layer, s.xy(a), s.xy(b), work.gauge(max((e.size_in for e in outer), default=big))) is None:
            return None
    if space.leg(layer, s.xy(s.rise), s.xy(s.rise), g) is None or space.roof_z(s.xy(s.rise)) is None:
        return None
    cost = roof.terminal_cost(s.xy(s.rise))
    crowded = 0
    for e, joint in zip(ends, s.joints, strict=True):
        weight = 1 + e.size_in / 3
        end = s.xy(joint)
        how, away = _comes(work, layer, e, end, big), math.dist(e.xy, end)
        if how in ("lean", "branch", "crowded"):
            course = _course(e, s, joint)
            if any(space.leg(layer, a, b, work.gauge(e.size_in)) is None for a, b in itertools.pairwise(course)):
                return None
            away = math.fsum(math.dist(a, b) for a, b in itertools.pairwise(course))
            crowded += how == "crowded"
            cost += WEIGHTS.turn_45 * (len(course) - 2) + (away + WEIGHTS.turn_90) * weight
        cost += abs(joint - s.rise) * weight
        if away + abs(joint - s.rise) > e.left:
            cost += WEIGHTS.grown_vent * (BORED_TOO if e.bored else 1.0)
    cost += WEIGHTS.turn_90 * (2 - (line[0] < s.rise < line[-1]))
    over_one = any(abs(j - s.rise) < SAME_MM for j in s.joints)
    for a, b in itertools.pairwise(sorted([*s.joints, *(() if over_one else (s.rise,))])):
        crowded += b - a < fits.vent_apart(big) - 0.5
    if len(line) > 1:  # where the header itself turns up nothing comes in from the side
        crowded += sum(
            abs(j - s.rise) < SAME_MM and _comes(work, layer, e, s.xy(j), big) in ("lean", "branch", "crowded")
            for e, j in zip(ends, s.joints, strict=True)
        )
    crowded += _meets_twice(ends, s)
    return Spine(s.axis, s.at, s.rise, s.joints, cost + crowded * WEIGHTS.short_leg, crowded)


def _comes(work: Work, layer: Layer, end: AtticEnd, to: XY, header_in: float) -> How:
    """Return how a vent comes to its place on a header: on it, near enough to stand up to it, leaned over, level."""
    away = math.dist(end.xy, to)
    if away <= SAME_MM:
        return "on"
    if _plumb_enough(work, end, to):
        return "plumb"
    if away >= _least_branch(work, end.size_in, header_in):
        return "branch"
    return "lean" if _leans(work, layer, end, to, header_in) else "crowded"


def _plumb_enough(work: Work, end: AtticEnd, to: XY) -> bool:
    """Return whether a riser reaches a header just beside it by leaning as little as one may without a bend."""
    board, z = work.board, end.node.z or 0.0
    tall = max((z - (board.nodes[e.up].z or 0.0) for e in board.into(end.node.id, "vent")), default=0.0)
    if math.dist(end.xy, to) > STRAIGHT_LEAN * tall:
        return False
    return not work.cavity.through_ceiling(to, z, work.gauge(end.size_in))


def _least_branch(work: Work, size_in: float, header_in: float) -> float:
    """Return the least level run from a vent's turn to a header [mm]."""
    fits = work.board.fits
    return fits.quarter(size_in) + fits.tee(header_in, size_in)


def _leans(work: Work, layer: Layer, end: AtticEnd, to: XY, header_in: float) -> bool:
    """Return whether a vent just beside a header can lean over to it with two bends, up into it from below."""
    leg = work.space.leg(layer, end.xy, to, work.gauge(end.size_in))
    away, fits = math.dist(end.xy, to), work.board.fits
    high = (end.node.z or 0.0) + fits.eighth(end.size_in) + away + _over_lean(work, end.size_in, header_in)
    return away > LEAST_MM and leg is not None and high <= leg.spans[0].hi


def _over_lean(work: Work, size_in: float, header_in: float) -> float:
    """Return the least plumb piece between a lean's upper bend and the header [mm]."""
    return work.board.fits.eighth(size_in) + work.board.fits.tee(header_in, size_in)


def _meets_twice(ends: Sequence[AtticEnd], s: Spine) -> int:
    """Return how many branches lie across each other or over another vent that has not come to the line yet."""
    legs = [
        leg
        for e, j in zip(ends, s.joints, strict=True)
        if math.dist(e.xy, s.xy(j)) > SAME_MM
        for leg in itertools.pairwise(_course(e, s, j))
    ]
    pairs = (pair for pair in itertools.combinations(legs, 2) if not {*pair[0]} & {*pair[1]})
    return sum(segments_cross_in_plan(*(Vec(*p) for p in (*one, *two))) for one, two in pairs)


def draw_spine(work: Work, board: Board, level_id: str, layer: Layer, ends: Sequence[AtticEnd], s: Spine) -> int:
    """Draw a header with the vents that come to it; return the point it rises from."""
    place = Place("attic", level_id)
    root = board.node(s.xy(s.rise), PointKind.TURN)
    big = max(e.size_in for e in ends)
    at: dict[float, int] = {round(s.rise, 1): root.id}
    for e, joint in zip(ends, s.joints, strict=True):
        key = next((k for k in at if abs(k - joint) < SAME_MM), None)
        if key is None:
            key = round(joint, 1)
            at[key] = board.node(s.xy(joint), PointKind.TIE_IN, None, e.node.tag).id
    south = sorted(k for k in at if k <= s.rise + 0.05)
    north = sorted((k for k in at if k >= s.rise - 0.05), reverse=True)
    for keys in (south, north):
        biggest, tag = 0.0, ""
        for here, then in itertools.pairwise(keys):
            come = [e for e, j in zip(ends, s.joints, strict=True) if abs(j - here) < SAME_MM]
            biggest = max(biggest, *(e.size_in for e in come))
            tag = come[0].node.tag or tag
            _lie(work, board, layer, at[here], at[then], biggest, Role.HEADER, tag)
    for e, joint in zip(ends, s.joints, strict=True):
        key = next(k for k in at if abs(k - joint) < SAME_MM)
        up, size = board.nodes[e.node.id], e.size_in
        how, base = _comes(work, layer, e, s.xy(joint), big), board.nodes[at[key]]
        if how == "plumb":
            up.xy = s.xy(joint)
        elif how == "lean":
            up = _leaned(work, board, place, up, s.xy(joint), size)
        elif how != "on":
            base = board.node(up.xy, PointKind.TURN, None, up.tag)
            corners = [board.node(xy, PointKind.TURN, None, up.tag).id for xy in _course(e, s, joint)[1:-1]]
            for a, b in itertools.pairwise((base.id, *corners, at[key])):
                _lie(work, board, layer, a, b, size, Role.HEADER, up.tag)
        role = Role.STACK_VENT if base.id == root.id else Role.BRANCH_VENT
        board.edge(up, base, "vent", role, place, size, tag=up.tag, plumb=True)
    return root.id


def _leaned(work: Work, board: Board, place: Place, up: DNode, to: XY, size: float) -> DNode:
    """Lean a vent over to a place beside it; return the upper end, with the room over it that its fittings want."""
    foot = board.node(up.xy, PointKind.TURN, (up.z or 0.0) + work.board.fits.eighth(size), up.tag)
    head = board.node(to, PointKind.TURN, (foot.z or 0.0) + math.dist(up.xy, to), up.tag)
    for a, b in ((up, foot), (foot, head)):
        board.edge(a, b, "vent", Role.BRANCH_VENT, place, size, tag=up.tag, plumb=True)
    return head


def _lie(work: Work, board: Board, layer: Layer, a: int, b: int, size: float, role: Role, tag: str) -> None:
    """Draw one level piece with the heights the attic leaves it."""
    p, q = board.nodes[a], board.nodes[b]
    leg = work.space.leg(layer, p.xy, q.xy, work.gauge(size))
    parts = (Part(0.0, math.dist(p.xy, q.xy), leg.spans[0].lo, leg.spans[0].hi),) if leg is not None else ()
    place = Place("attic", layer.level.id)
    board.edge(p, q, "vent", role, place, size, tag=tag, slope=VENT_SLOPE, parts=parts)
