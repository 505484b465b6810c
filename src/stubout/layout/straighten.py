"""Short jogs of a drain: straight where it hardly leans, else with a bend of 22.5 degrees. Lengths [mm].

A closet bend turns any way, and so does the bend at the foot of a drop or a stack. Where the drain from there would
jog a few fingers aside to get onto the line of what it comes to, and the jog at 45 degrees is too short for its
fittings, it is laid straight instead, as long as the fitting at the other end does not see more than its play; else the
jog is drawn out to half the angle and more than twice the length.
"""

from __future__ import annotations

import math
from dataclasses import replace

from stubout.geometry.vec import Vec, angle_deg
from stubout.layout.draft import DEdge
from stubout.layout.judge import Look
from stubout.layout.model import PointKind
from stubout.layout.work import Work

PLAY_DEG = 2.5  # sockets at both ends of a pipe give so much; common practice, no source
EASE_DEG = 22.5  # a 1/16 bend
TURNS_ANY_WAY = frozenset({PointKind.FLANGE})


def straighten(work: Work) -> None:
    """Take out the jogs that have no room for their fittings, where a straight pipe hardly leans."""
    look = Look(work)
    for fault in look.faults(look.live):
        if len(fault.edges) == 1 and (jog := work.board.edges.get(fault.edges[0])) is not None:
            run = _run_after(work, jog)
            if run is not None and not _taken_out(work, jog, run):
                _ease(work, jog, run)


def _run_after(work: Work, jog: DEdge) -> DEdge | None:
    """Return the level pipe a jog from a closet or a foot goes over into, None where it is no such jog."""
    board = work.board
    start, corner = board.nodes[jog.up], board.nodes[jog.down]
    if jog.system != "drain" or jog.plumb or jog.drawn or start.fixed:
        return None
    if start.kind not in TURNS_ANY_WAY and not _foot(work, jog):
        return None
    meets = [e for e in board.edges.values() if corner.id in (e.up, e.down) and e.id != jog.id]
    if len(meets) != 1 or meets[0].up != corner.id or meets[0].plumb or meets[0].drawn:
        return None
    run = meets[0]
    return run if board.nodes[run.down].z is not None and run.size_in == jog.size_in else None


def _foot(work: Work, jog: DEdge) -> bool:
    """Return whether a jog begins under one drain that comes straight down, and nothing else meets there."""
    meets = [e for e in work.board.edges.values() if jog.up in (e.up, e.down) and e.id != jog.id]
    return len(meets) == 1 and meets[0].plumb and meets[0].down == jog.up and not meets[0].drawn


def _ease(work: Work, jog: DEdge, run: DEdge) -> None:
    """Draw a jog out to half its angle, if the drawing is better for it."""
    board = work.board
    start, corner, end = board.nodes[jog.up], board.nodes[jog.down], board.nodes[run.down]
    ux, uy = end.xy[0] - corner.xy[0], end.xy[1] - corner.xy[1]
    length = math.hypot(ux, uy)
    ux, uy = ux / length, uy / length
    aside = abs((corner.xy[0] - start.xy[0]) * uy - (corner.xy[1] - start.xy[1]) * ux)
    gone = (corner.xy[0] - start.xy[0]) * ux + (corner.xy[1] - start.xy[1]) * uy
    on = aside / math.tan(math.radians(EASE_DEG)) - gone
    if on <= 0.0 or on >= length:
        return
    before, kept = Look(work).badness(), (corner.xy, corner.z, start.z)
    xy = (corner.xy[0] + ux * on, corner.xy[1] + uy * on)
    z_corner = (end.z or 0.0) + run.slope * (length - on)
    z_start = z_corner + jog.slope * math.hypot(xy[0] - start.xy[0], xy[1] - start.xy[1])
    if not _may_lie(work, jog, start.xy, xy, z_corner, z_start) or z_start > start.cap + 0.5:
        return
    corner.xy, corner.z, start.z = xy, z_corner, z_start
    if Look(work).badness() >= before:
        corner.xy, corner.z, start.z = kept


def _taken_out(work: Work, jog: DEdge, run: DEdge) -> bool:
    """Lay the pipe after a jog straight from where the jog began, if the drawing is better for it."""
    board = work.board
    start, corner, end = board.nodes[jog.up], board.nodes[jog.down], board.nodes[run.down]
    if end.z is None or _leans(start.xy, corner.xy, end.xy) > PLAY_DEG:
        return False
    before = Look(work).badness()
    length = math.hypot(start.xy[0] - end.xy[0], start.xy[1] - end.xy[1])
    z = end.z + run.slope * length
    if not _may_lie(work, run, start.xy, end.xy, end.z, z) or z > start.cap + 0.5:
        return False
    kept = (run.up, run.parts, start.z)
    run.up, start.z = start.id, z
    if run.parts:
        run.parts = (replace(run.parts[0], near=0.0), *run.parts[1:-1], replace(run.parts[-1], far=length))
    del board.edges[jog.id]
    if Look(work).badness() >= before:
        board.edges[jog.id] = jog
        run.up, run.parts, start.z = kept
        return False
    for trap in work.traps.values():
        for ids in (trap.arm, trap.wet, trap.closet_tail):
            if jog.id in ids:
                ids.remove(jog.id)
    return True


def _leans(start: tuple[float, float], corner: tuple[float, float], end: tuple[float, float]) -> float:
    """Return by how much the straight pipe turns from the line of the one after the jog [deg]."""
    straight = Vec(end[0] - start[0], end[1] - start[1])
    return angle_deg(straight, Vec(end[0] - corner[0], end[1] - corner[1]))


def _may_lie(work: Work, run: DEdge, a: tuple[float, float], b: tuple[float, float], lo: float, hi: float) -> bool:
    """Return whether the frame lets the straight pipe lie there."""
    for router in work.routers.values():
        layer = router.layers.get(router.edge_layer.get(run.id, ""))
        if layer is not None:
            leg = work.space.leg(layer, a, b, work.gauge(run.size_in))
            return leg is not None and leg.at(lo) is not None and leg.at(hi) is not None
    return False
