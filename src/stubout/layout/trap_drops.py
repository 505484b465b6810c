"""Arms of low traps lifted: the drain of a tub or shower drops plumb after its vent fitting, not before. Lengths [mm].

Where the drain has to lie deep, a trap that lies level with it hangs deeper below its outlet than the book lets it. A
plumber keeps trap and arm under the tub, lets the arm into a sanitary tee, and drops below that: a pipe may fall as
it likes after its vent. What comes level into the vent fitting is lifted with the arm; what comes down to it drops
less far. So is the trap of a drain set whose weir the job fixes; a lift too small for a drop goes into the fall of the
drain behind the vent fitting.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from stubout.geometry.distance import point_segment, segment_segment
from stubout.geometry.vec import Vec
from stubout.layout.draft import DEdge, DNode
from stubout.layout.judge import SUNK_MM, sunk_traps, too_deep_mm
from stubout.layout.model import PointKind, Role, VentMethod
from stubout.layout.needs import Need
from stubout.layout.work import TrapDraft, Work

LEAST_LOW_MM = 2.0  # a trap that lies no more than so far below the weir that the job fixes stays
MOST_SLOPE = 0.5 / 12.0  # a drain steepened for it falls half an inch per foot at the most: common practice, no source
SPARE_MM = 20.0  # a trap comes to lie so much higher than the book's deepest
APART_MM = 6.0
UPRIGHT_MM = 2.0  # a vent so little aside of its fitting rises straight
MOST_RUN = 40  # pipes of one drain
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
        if deep > SUNK_MM and at is not None and not _lift(work, trap, at, deep + SPARE_MM):
            _lift_wet(work, trap, at, deep + SPARE_MM)


def hold_fixed_weirs(work: Work) -> None:
    """Lift every trap that lies below the weir that the job fixes, wherever it finds room, as far as that weir."""
    for trap in (work.traps[tag] for tag in sorted(work.traps)):
        weir, at = work.board.nodes.get(trap.weir), work.board.nodes.get(trap.takeoff)
        if trap.drawn or trap.need.closet or trap.need.fixture.trap_weir_z_mm is None or weir is None or at is None:
            continue
        low = 0.0 if weir.z is None or math.isinf(weir.cap) else weir.cap - weir.z
        if low > LEAST_LOW_MM and not (_lift(work, trap, at, low) or _lift_wet(work, trap, at, low)):
            _steepen(work, trap, at, low)


def _lift(work: Work, trap: TrapDraft, at: DNode, far: float) -> bool:
    """Lift what comes level into a vent fitting, and let the drain drop below it; return whether there was room."""
    board = work.board
    out = board.out(at.id)
    if len(out) != 1 or at.stack >= 0 or at.drawn or at.fixed or out[0].drawn or out[0].place.kind not in LYING:
        return False
    on = out[0]
    if not _one_fitting(work, at):
        return False
    if any(t.tag != trap.tag and on.id in t.wet for t in work.traps.values()):
        return False  # it vents what joins farther down: a wet vent lies level as far as that
    far = max(far, 0.0 if on.plumb else board.fits.drop(on.size_in) + SPARE_MM)
    lift = _lifted(work, at, far)
    if lift is None or lift.most < far or not _vent_fits(work, trap, at, lift, far) or not _clear(work, lift, at, far):
        return False
    low = at.z or 0.0
    for n in lift.nodes:
        board.nodes[n].z = (board.nodes[n].z or 0.0) + far
    if on.plumb:
        return True
    foot = board.node(at.xy, PointKind.TURN, low, trap.tag)
    on.up = foot.id
    fall = board.edge(at, foot, "drain", Role.BRANCH, on.place, on.size_in, tag=on.tag, plumb=True)
    if on.id in trap.wet:
        trap.wet.insert(trap.wet.index(on.id), fall.id)
    return True


def _one_fitting(work: Work, at: DNode) -> bool:
    """Return whether one upright fitting takes what comes level to a point: two face each other or stand square."""
    board = work.board
    level = [board.nodes[e.up].xy for e in board.into(at.id) if not e.plumb]
    if len(level) < 2:
        return True
    (ax, ay), (bx, by) = ((x - at.xy[0], y - at.xy[1]) for x, y in level[:2])
    across = math.degrees(abs(math.atan2(ax * by - ay * bx, ax * bx + ay * by)))
    return len(level) == 2 and (board.fits.opposite(across) or board.fits.square(across))


def _lift_wet(work: Work, trap: TrapDraft, at: DNode, far: float) -> bool:
    """Lift the drain that a vent fitting lies in with all that comes level into it, and let its end drop into a drain.

    What vents others on its way lies level as far as the last of them; return whether there was room.
    """
    board = work.board
    run = _own_run(work, at, lambda end: not any(t.takeoff == end.id for t in work.traps.values()))
    if not run:
        return False
    on, end = run[-1], board.nodes[run[-1].down]
    if end.stack >= 0 or end.drawn or end.fixed or end.z is None or not any(e.id != on.id for e in board.into(end.id)):
        return False
    far = max(far, board.fits.drop(on.size_in) + SPARE_MM)
    lift = _lifted(work, end, far, on)
    if lift is None or lift.most < far or not _clear(work, lift, end, far):
        return False
    for t in work.traps.values():
        if t.takeoff in lift.nodes and not _vent_fits(work, t, board.nodes[t.takeoff], lift, far):
            return False
    for n in lift.nodes:
        board.nodes[n].z = (board.nodes[n].z or 0.0) + far
    head = board.node(end.xy, PointKind.TURN, end.z + far, on.tag)
    on.down = head.id
    board.edge(head, end, "drain", Role.BRANCH, on.place, on.size_in, tag=on.tag, plumb=True)
    return True


def _own_run(work: Work, at: DNode, ends: Callable[[DNode], bool]) -> list[DEdge]:
    """Return the level drains on from a point to the first that something joins, where that ends them."""
    board, run, node = work.board, list[DEdge](), at.id
    while len(out := board.out(node)) == 1 and len(run) < MOST_RUN:
        e = out[0]
        if e.drawn or e.plumb or e.place.kind not in LYING or not e.parts:
            break
        run.append(e)
        node = e.down
        end = board.nodes[node]
        if end.stack >= 0 or end.drawn or end.fixed or (len(board.into(node)) > 1 and ends(end)):
            break
    return run


def _steepen(work: Work, trap: TrapDraft, at: DNode, far: float) -> None:
    """Lift what comes level into a vent fitting by more fall of the drain behind it, as far as nothing joins it."""
    board = work.board
    if at.stack >= 0 or at.drawn or at.fixed:
        return
    run = _own_run(work, at, lambda end: True)
    length = math.fsum(board.plan(e) for e in run)
    more = far / length if length > 1.0 else math.inf
    lift = _lifted(work, at, far)
    if lift is None or lift.most < far or any(e.slope + more > MOST_SLOPE for e in run):
        return
    if not _vent_fits(work, trap, at, lift, far) or not _clear(work, lift, at, far):
        return
    left, z = length, dict[int, float]()
    for e in run:
        up, down, below = board.nodes[e.up], board.nodes[e.down], left - board.plan(e)
        if up.z is None or down.z is None:
            return
        if any(down.z + more * below + (e.slope + more) * q.far > q.hi for q in e.parts):
            return
        z[up.id], left = up.z + more * left, below
    for n in lift.nodes:
        board.nodes[n].z = (board.nodes[n].z or 0.0) + far
    for e in run:
        board.nodes[e.up].z, e.slope = z[e.up], e.slope + more


def _lifted(work: Work, at: DNode, far: float, only: DEdge | None = None) -> _Lift | None:
    """Return what goes up with a point, or with one pipe into it; None where something of it cannot move so far."""
    board = work.board
    nodes, edges, drops, front, most = {at.id}, list[DEdge](), list[DEdge](), [at.id], at.cap - (at.z or 0.0)
    if only is not None:
        nodes, most = set[int](), math.inf  # the point itself stays
    while front:
        n = front.pop()
        for e in board.into(n) if only is None or n != at.id else (only,):
            up, down = board.nodes[e.up], board.nodes[n]
            if e.drawn or up.z is None or down.z is None:
                return None
            room = up.z - down.z - board.fits.drop(e.size_in) if e.plumb else 0.0
            if room >= far:
                drops.append(e)
                continue
            held = up.fixed and not (e.plumb and up.kind is PointKind.TURN)
            if held or up.drawn or up.stack >= 0 or e.place.kind not in LYING or not (e.plumb or e.parts):
                return None  # a drop too short to be any shorter comes along, with its upper end
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
