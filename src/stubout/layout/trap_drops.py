"""Arms of sunk traps lifted: the drain of a tub or shower drops plumb after its vent fitting, not before. Lengths [mm].

Where the drain has to lie deep, a trap that lies level with it hangs deeper below its outlet than the book lets it. A
plumber keeps trap and arm under the tub, lets the arm into a sanitary tee, and drops below that: a pipe may fall as
it likes after its vent. What comes level into the vent fitting is lifted with the arm; what comes down to it drops
less far.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from stubout.geometry.distance import point_segment, segment_segment
from stubout.geometry.vec import Vec
from stubout.layout.draft import DEdge, DNode
from stubout.layout.judge import SUNK_MM, sunk_traps, too_deep_mm
from stubout.layout.model import PointKind, Role, VentMethod
from stubout.layout.needs import Need
from stubout.layout.work import TrapDraft, Work

SPARE_MM = 20.0  # a trap comes to lie so much higher than the book's deepest
APART_MM = 6.0
UPRIGHT_MM = 2.0  # a vent so little aside of its fitting rises straight
LYING = ("under slab", "crawl", "below frame")


@dataclass(frozen=True, slots=True)
class _Lift:
    """What goes up with an arm."""

    nodes: frozenset[int]
    edges: tuple[DEdge, ...]
    drops: tuple[DEdge, ...]  # what comes down to it from above
    most: float  # how far it may go up


def lift_wanted_mm(work: Work, need: Need, weir: DNode) -> float:
    """Return how far a trap will be lifted with its arm once the heights are solved [mm]; 0 where none is lifted."""
    deep = too_deep_mm(work, need, weir) if work.drop_traps else 0.0
    return deep + SPARE_MM if deep > SUNK_MM else 0.0


def drop_behind_vents(work: Work) -> None:
    """Lift the arm of every trap that lies too deep, wherever it finds room; heights are solved, no vent is drawn."""
    for tag, (deep, _) in sorted(sunk_traps(work).items()):
        trap = work.traps[tag]
        at = work.board.nodes.get(trap.takeoff)
        if deep > SUNK_MM and at is not None and not trap.need.closet:
            _lift(work, trap, at, deep + SPARE_MM)


def _lift(work: Work, trap: TrapDraft, at: DNode, far: float) -> None:
    """Lift what comes level into a vent fitting, and let the drain drop below it."""
    board = work.board
    out = board.out(at.id)
    if len(out) != 1 or at.stack >= 0 or at.drawn or at.fixed or out[0].drawn or out[0].place.kind not in LYING:
        return
    on = out[0]
    if any(t.tag != trap.tag and on.id in t.wet for t in work.traps.values()):
        return  # it vents what joins farther down: a wet vent lies level as far as that
    far = max(far, 0.0 if on.plumb else board.fits.drop(on.size_in) + SPARE_MM)
    lift = _lifted(work, at)
    if lift is None or lift.most < far or not _vent_fits(work, trap, at, lift, far) or not _clear(work, lift, at, far):
        return
    low = at.z or 0.0
    for n in lift.nodes:
        board.nodes[n].z = (board.nodes[n].z or 0.0) + far
    if on.plumb:
        return
    foot = board.node(at.xy, PointKind.TURN, low, trap.tag)
    on.up = foot.id
    fall = board.edge(at, foot, "drain", Role.BRANCH, on.place, on.size_in, tag=on.tag, plumb=True)
    if on.id in trap.wet:
        trap.wet.insert(trap.wet.index(on.id), fall.id)


def _lifted(work: Work, at: DNode) -> _Lift | None:
    """Return what lies level up stream of a vent fitting; None where something of it cannot move."""
    board = work.board
    nodes, edges, drops, front, most = {at.id}, list[DEdge](), list[DEdge](), [at.id], at.cap - (at.z or 0.0)
    while front:
        n = front.pop()
        for e in board.into(n):
            up, down = board.nodes[e.up], board.nodes[n]
            if e.drawn or up.z is None or down.z is None:
                return None
            if e.plumb:
                drops.append(e)
                most = min(most, up.z - down.z - board.fits.drop(e.size_in))
                continue
            if up.fixed or up.drawn or up.stack >= 0 or e.place.kind not in LYING or not e.parts:
                return None
            most = min(most, up.cap - up.z, *(q.hi - down.z - e.slope * q.far for q in e.parts))
            nodes.add(up.id)
            edges.append(e)
            front.append(up.id)
    return _Lift(frozenset(nodes), tuple(edges), tuple(drops), most)


def _vent_fits(work: Work, trap: TrapDraft, at: DNode, lift: _Lift, far: float) -> bool:
    """Return whether a vent that leans over into a wall still finds its bends below the floor."""
    aside = 0.0 if trap.spot is None else math.dist(at.xy, trap.spot.xy)
    if trap.method is not VentMethod.INDIVIDUAL or aside <= UPRIGHT_MM:
        return True
    fits, size = work.board.fits, trap.need.vent_in
    bends = fits.tee(size, size, "upper") + 2 * fits.eighth(size) + aside
    tops = [q.hi for e in lift.edges if e.down == at.id for q in e.parts if q.near < 1.0]
    return bool(tops) and (at.z or 0.0) + far + bends <= min(tops)


def _clear(work: Work, lift: _Lift, at: DNode, far: float) -> bool:
    """Return whether what is lifted runs into no drain, and into no vent that will rise from one below it."""
    board = work.board
    own = {e.id for e in (*lift.edges, *lift.drops)}
    for e in lift.edges:
        a, b = board.nodes[e.up], board.nodes[e.down]
        new = (Vec(*a.xy, (a.z or 0.0) + far), Vec(*b.xy, (b.z or 0.0) + far))
        r = work.gauge(e.size_in).r
        for d in board.edges.values():
            c, f = board.nodes[d.up], board.nodes[d.down]
            if d.id in own or c.z is None or f.z is None or at.id in (d.up, d.down):
                continue
            if segment_segment(*new, Vec(*c.xy, c.z), Vec(*f.xy, f.z)) < r + work.gauge(d.size_in).r + APART_MM:
                return False
        for t in work.traps.values():
            foot = board.nodes.get(t.takeoff)
            if t.spot is None or foot is None or foot.z is None or foot.id in lift.nodes:
                continue
            near = point_segment(Vec(*t.spot.xy, 0.0), new[0].at_z(0.0), new[1].at_z(0.0))
            if foot.z < new[0].z and near < r + work.gauge(t.need.vent_in).r + APART_MM:
                return False
    return True
