"""What the engine itself thinks of a whole drawing: pipes that meet, fittings that do not go, and whose they are. [mm].

Not a check: the checks judge the finished design by its real fittings. This is the engine looking at its own work with
the room that fittings usually take, to know which fixture to try another way.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from stubout.geometry.distance import segments_cross_in_plan
from stubout.geometry.vec import Vec
from stubout.house.outlet_drops import closet_drop_mm, outlet_drop_mm
from stubout.layout.breathing import vent_mate
from stubout.layout.crowded import CLASH, FAR, TIGHT, Fault, Pipes, point_at
from stubout.layout.draft import DEdge, DNode
from stubout.layout.model import PointKind, Role, VentMethod, asks_for_box
from stubout.layout.needs import Need
from stubout.layout.space_shapes import XY, off_line
from stubout.layout.turned import turned
from stubout.layout.wall_room import in_wood_mm
from stubout.layout.ways_round import WayRound, ways_round
from stubout.layout.work import (
    BY_WET,
    COMMON,
    STACK,
    THROUGH,
    Ban,
    TrapDraft,
    Work,
    joint_key,
    spot_key,
    stack_key,
)
from stubout.problems import NotInBook
from stubout.rulebooks import queries as ask

BESIDE_MM = 600.0  # so far to either side in its wall a fixture wants its drop, a bay and a half
SUNK_MM = 1.0  # a trap so little too deep is not


def faults(work: Work) -> list[Fault]:
    """Return what is wrong with a drawing whose heights are solved, the worst first."""
    look = Look(work)
    return look.faults(look.live)


class Look(Pipes):
    """A drawing looked at again and again while points of it move: what hangs together in it stays the same."""

    def __init__(self, work: Work) -> None:
        super().__init__(work.board, work.gauge)
        self.work = work

    def badness(self) -> float:
        """Return what all faults of the drawing weigh together."""
        return math.fsum(f.weight for f in self.faults(self.live))

    def faults(self, some: Sequence[DEdge]) -> list[Fault]:
        """Return the faults that some of the pipes have a part in, the worst first."""
        out = [*self.meeting_or_tight(some), *self._in_studs(some)]
        if len(some) == len(self.live):
            out += self._far_round()
            out += [Fault((t.trap.tag,), TIGHT, f"the vent of {t.trap.tag} leaves a turn") for t in turned(self.work)]
            out += [
                Fault((tag,), FAR, f"the trap of {tag} lies {deep:.0f} mm too deep below its outlet")
                for tag, (deep, _) in sunk_traps(self.work).items()
                if deep > SUNK_MM
            ]
        out.sort(key=lambda f: (-f.weight, f.what))
        return out

    def _far_round(self) -> Iterator[Fault]:
        """Yield branches that go far round, with those whose drains lie on the straight way."""
        drains = [e for e in self.live if e.tag and e.system == "drain"]
        for way in ways_round(self.work.board, [e for e in drains if not e.drawn], arms=True):
            between = {e.tag for e in drains if self._lies_between(e, way)} - {way.tag}
            yield Fault((way.tag, *sorted(between)), FAR, f"{way.tag} goes {way.extra_mm:.0f} mm too far round")

    def _in_studs(self, some: Sequence[DEdge]) -> Iterator[Fault]:
        """Yield vents that come up into a header where that, larger than they are, meets a stud."""
        work, board = self.work, self.work.board
        for e in some:
            n = board.nodes[e.down]
            if e.system != "vent" or not e.plumb or e.drawn or n.kind is not PointKind.TIE_IN:
                continue
            for f in self.at[n.id]:
                if f.plumb or f.place.kind != "wall":
                    continue
                w = work.house.wall(f.place.ref)
                wood = in_wood_mm(w, w.station(point_at(n)), work.gauge(f.size_in).r)
                if wood > 0.0:
                    yield Fault((e.tag,) if e.tag else (), FAR, f"{f.id} joins {e.id} in {w.id}", (e.id,), wood)
                    break

    def _lies_between(self, e: DEdge, way: WayRound) -> bool:
        """Return whether a pipe passes the straight way of a branch."""
        a, b, c, d = (Vec(*xy) for xy in (way.start, way.end, *(self.work.board.nodes[n].xy for n in (e.up, e.down))))
        return segments_cross_in_plan(a, b, c, d)


def sunk(work: Work) -> tuple[float, float]:
    """Return how much too deep below its outlet the deepest trap lies by the book, and the building drain below it.

    Both [mm]; (0, 0) if no trap lies too deep.
    """
    return max(sunk_traps(work).values(), default=(0.0, 0.0))


def sunk_traps(work: Work) -> dict[str, tuple[float, float]]:
    """Return by tag how much too deep the traps lie that lie too deep, and the building drain below each [mm]."""
    out: dict[str, tuple[float, float]] = {}
    for t in work.traps.values():
        weir = work.board.nodes.get(t.weir)
        arm_mm = math.fsum(work.board.plan(work.board.edges[i]) for i in t.arm if i in work.board.edges)
        deep = 0.0 if t.drawn or weir is None else too_deep_mm(work, t.need, weir, arm_mm)
        if deep > 0.0:
            out[t.tag] = deep, _trunk_below(work, t.weir)
    return out


def too_deep_mm(work: Work, need: Need, weir: DNode, arm_mm: float = 0.0) -> float:
    """Return how much too deep a trap lies below its outlet, a closet's pipe below its flange, by the book [mm].

    Args:
        work: The desk.
        need: The fixture.
        weir: Where the arm begins.
        arm_mm: How long the arm lies, where it is known: of some closets' the drop counts with it [mm].

    0 where it does not, or nobody knows.
    """
    if weir.z is None:
        return 0.0
    if need.closet:
        return max(closet_drop_mm(need.fixture, weir.z) - need.drop_max, arm_mm - need.arm_left(weir.z), 0.0)
    try:
        limit = ask.tailpiece_max(work.book)
    except NotInBook:
        return 0.0
    drop = outlet_drop_mm(need.fixture, Vec(*weir.xy, weir.z), work.gauge(need.arm_in).id_mm, limit)
    return 0.0 if drop is None else max(drop - limit.number, 0.0)


def cramped_mm(work: Work) -> float:
    """Return how far closets without a wet vent lie too deep to have one, since their drop takes the reach of it [mm].

    A drop of a third of the length that the book leaves between flange and vent is none too deep.
    """
    deep = 0.0
    for t in work.traps.values():
        weir = work.board.nodes.get(t.weir)
        if t.need.drop_counts and t.method is not VentMethod.WET and not t.drawn and weir is not None:
            drop = 0.0 if weir.z is None else closet_drop_mm(t.need.fixture, weir.z)
            deep = max(deep, drop - t.need.arm_max / 3.0)
    return deep


def _trunk_below(work: Work, at: int) -> float:
    """Return how much building drain lies between a point and the connection [mm]."""
    run = 0.0
    for _ in range(len(work.board.edges)):
        out = next(iter(work.board.out(at)), None)
        if out is None:
            break
        run += work.board.plan(out) if out.role is Role.BUILDING_DRAIN else 0.0
        at = out.down
    return run


def makeshifts(work: Work) -> float:
    """Return how much of a drawing is a makeshift: loops at fixtures of a wall, drops boxed in before one."""
    loops = sum(_loop_at_wall(t) for t in work.traps.values())
    boxes = sum(asks_for_box(q.id) for q in work.questions)
    return CLASH * loops + FAR * boxes


def _loop_at_wall(t: TrapDraft) -> bool:
    """Return whether a fixture of a wall drops through its cabinet, because no bay took its drain."""
    return t.method is VentMethod.LOOP and not t.need.fixture.in_island and not t.drawn


def worst(found: list[Fault]) -> float:
    """Return how bad all faults are together."""
    return math.fsum(f.weight for f in found)


def doubts(work: Work, found: list[Fault]) -> Iterator[Ban]:
    """Yield the choices to take back, those of what could not be laid out first, then the worst fault's."""
    for b in work.blocked:
        groups = {work.needs[t].fixture.group for t in b.about if t in work.needs} - {""}
        near = [t for t, n in work.needs.items() if n.fixture.group in groups]
        over = [t for tag in b.about if tag in work.needs for t in _over(work, work.needs[tag].fixture.wall_id)]
        beside = [ban for tag in b.about if tag in work.needs for ban in _beside(work, work.needs[tag])]
        made = [ban for tag in over for ban in choices_of(work, tag)]
        above = sorted(made, key=lambda ban: ban[1] != THROUGH)  # a leg in the wall itself before what stands over it
        drawn = any(tag in work.traps for tag in b.about)  # then only its vent found no way out
        yield from (*above, *beside) if drawn else (*beside, *above)
        for tag in (*b.about, *near):
            yield from choices_of(work, tag)
    for t in work.traps.values():
        if _loop_at_wall(t):
            yield from _beside(work, t.need)
    for f in found:
        for tag in f.tags:
            yield from choices_of(work, tag)


def _over(work: Work, wall_id: str) -> Iterator[str]:
    """Yield the fixtures whose drains stand in walls over a wall, in the way of vents that come up from it."""
    if not wall_id:
        return
    low = work.house.wall(wall_id)
    order = work.house.level(low.level_id).order
    for tag, trap in work.traps.items():
        if trap.spot is None or work.house.level(trap.spot.wall.level_id).order <= order:
            continue
        if off_line(trap.spot.xy, (low.start.x, low.start.y), (low.end.x, low.end.y)) < low.depth_mm:
            yield tag


def _beside(work: Work, need: Need) -> Iterator[Ban]:
    """Yield what was chosen for the pipes that stand in the wall where a fixture wants its own, the nearest first."""
    f = need.fixture
    own = work.traps.get(f.tag)
    if not f.wall_id or f.station_mm is None or (own is not None and own.spot is not None):
        return
    near: list[tuple[float, str, tuple[Ban, ...]]] = []
    for tag, t in work.traps.items():
        if t.spot is not None and t.spot.wall.id == f.wall_id and not t.drawn:
            near.append((abs(t.spot.station - f.station_mm), tag, tuple(choices_of(work, tag))))
    w = work.house.wall(f.wall_id)
    for s in work.board.stacks:
        p = Vec(*s.xy, 0.0)
        if not s.drawn and abs(w.offset(p)) < w.depth_mm / 2:
            near.append((abs(w.station(p) - f.station_mm), stack_key(s.xy), ((STACK, stack_key(s.xy)),)))
    for away, _, bans in sorted(near):
        if away < BESIDE_MM:
            yield from bans


def _joint(work: Work, trap: TrapDraft) -> XY | None:
    """Return where a fixture's own drain joins another in a floor, None where it has none or joins a stack."""
    board = work.board
    at = trap.takeoff or trap.weir
    run = [e for e in board.out(at) if e.tag == trap.tag]
    if not run or any(e.role is Role.BUILDING_DRAIN for e in run):
        return None
    while run:
        at = run[0].down
        run = [e for e in board.out(at) if e.tag == trap.tag]
    node = board.nodes[at]
    return node.xy if node.stack < 0 and len(board.into(at)) > 1 else None


def choices_of(work: Work, tag: str) -> Iterator[Ban]:
    """Yield what was chosen for a fixture: the way of its drain, its vent fitting, whose drain vents it, its stack."""
    trap = work.traps.get(tag)
    if trap is None or trap.drawn:
        return
    if (joint := _joint(work, trap)) is not None:
        yield tag, joint_key(joint)
    if trap.spot is not None:
        yield tag, spot_key(trap.spot)
    elif trap.method is VentMethod.WET:
        yield tag, BY_WET
    elif trap.method is VentMethod.COMMON or (trap.method is VentMethod.STACK and vent_mate(work, trap)):
        yield tag, COMMON
    if trap.need.closet:
        for i in trap.closet_tail:
            e = work.board.edges.get(i)
            if e is not None and work.board.nodes[e.down].stack >= 0:
                yield STACK, stack_key(work.board.nodes[e.down].xy)
    if any(e.tag == tag for i in work.in_walls() if (e := work.board.edges.get(i)) is not None):
        yield tag, THROUGH
