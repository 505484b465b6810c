"""Common vents: a second fixture that lets its arm into the vent fitting of another on the same wall. Lengths [mm].

Back to back or side by side, on one level: one riser, one drop and one set of holes instead of two.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from stubout.kinds import FixtureKind
from stubout.layout.arms import STUB_PAST_WALL_MM, least_run, passes_riser, stubs_to
from stubout.layout.breathing import breathes_through
from stubout.layout.model import Place, PointKind, Role, VentMethod
from stubout.layout.needs import SHARERS, Need, common_vents
from stubout.layout.stack_joints import across_deg
from stubout.layout.weights import WEIGHTS
from stubout.layout.work import TrapDraft, Work

SHARED_BONUS = 1000.0  # what a fitting that a second fixture can use is worth in advance [mm of pipe]


@dataclass(frozen=True, slots=True)
class Shared:
    """One way to share another trap's vent fitting."""

    other: TrapDraft
    stub: float  # station
    run: float  # along the wall
    z_stub: float  # centre line at the finished face
    z_weir: float
    trap_out: float
    cost: float


def shared_fitting(work: Work, need: Need, trap_reach: float) -> Shared | None:
    """Return the cheapest way a wall fixture can share a vent fitting that stands in its wall, None if there is none.

    Args:
        work: The desk.
        need: What the fixture asks of the book.
        trap_reach: How far its trap reaches, inlet to weir [mm].
    """
    if not common_vents(work.house, work.book):
        return None
    ways = sorted(_ways(work, need, trap_reach), key=lambda w: (round(w.cost, 1), w.other.tag, w.stub))
    return ways[0] if ways else None


def invites(work: Work, need: Need, wall_id: str, stub: float, station: float) -> bool:
    """Return whether a vent fitting at a station would suit another fixture, not drawn yet, to share it."""
    f = need.fixture
    if not common_vents(work.house, work.book):
        return False
    for o in work.house.fixtures:
        if o.wall_id != wall_id or o.level_id != f.level_id or o.tag == f.tag or o.tag in work.traps:
            continue
        if o.kind not in SHARERS or o.station_mm is None or o.in_island:
            continue
        theirs, mine = o.station_mm - station, stub - station
        least, most = least_run(work, work.needs[o.tag].arm_in), work.needs[o.tag].arm_max
        back_to_back = abs(theirs) <= 1.0 and o.side != f.side and abs(mine) <= 1.0
        aside = least <= abs(theirs) <= most / 2 and (abs(mine) <= 1.0 or mine * theirs < 0.0)
        if back_to_back or aside:
            return True
    return False


def _ways(work: Work, need: Need, trap_reach: float) -> Iterator[Shared]:
    f = need.fixture
    mark = work.marks.get(f.tag)
    if mark is None or not mark.feasible or f.station_mm is None or f.kind is FixtureKind.CLOTHES_WASHER:
        return
    w = work.house.wall(f.wall_id)
    g = work.gauge(need.arm_in)
    board = work.board
    for o in work.traps.values():
        take = board.nodes.get(o.takeoff)
        if o.spot is None or take is None or take.z is None or o.spot.wall.id != w.id or not _may_share(work, need, o):
            continue
        for stub in stubs_to(w, f, g, trap_reach, o.spot.station, least_run(work, need.arm_in)):
            run = abs(o.spot.station - stub)
            face = abs(w.face_offset(f.side, stub, take.z))
            trap_out = max(face + STUB_PAST_WALL_MM, f.from_wall_mm + face - trap_reach)
            z_stub = take.z + need.slope * (face + run)
            aside = abs(stub - f.station_mm)
            length = trap_out + run + aside * 0.42
            if not mark.lo_z_mm <= z_stub <= mark.hi_z_mm or not need.arm_min <= length <= need.arm_max:
                continue
            if (90.0 if run > 1.0 else 0.0) > need.arm_turn + 0.5:
                continue
            bores, why = work.cavity.along(w, stub, o.spot.station, take.z, g) if run > 1.0 else (0, "")
            if why or not _enters_well(work, need, o, stub, run) or passes_riser(work, o.spot, stub):
                continue
            z_weir = take.z + need.slope * (trap_out + run)
            cost = length + bores * WEIGHTS.bore + aside * 3 + (WEIGHTS.turn_90 if run > 1.0 else 0.0)
            yield Shared(o, stub, run, z_stub, z_weir, trap_out, cost)


def _may_share(work: Work, need: Need, o: TrapDraft) -> bool:
    """Return whether a trap's drop takes a second fixture of the same storey: by kind, and by the load of both."""
    kinds = (FixtureKind.CLOTHES_WASHER, FixtureKind.WATER_CLOSET)
    other = o.need.fixture
    if o.method is not VentMethod.INDIVIDUAL or o.drawn or o.partner or other.kind in kinds:
        return False
    if other.level_id != need.fixture.level_id or other.floor_outlet:
        return False
    if need.fixture.group != other.group and (baths := _vents_baths(work, o)) and not _one_more(work, need, baths):
        return False
    size, both = _drop_in(work, o), need.load + o.need.load
    return size > 0.0 and work.demands.branch_for(both, size) <= size


def _drop_in(work: Work, o: TrapDraft) -> float:
    """Return the size of the drop or the stack that a vent fitting stands in [in], 0 where it stands in neither."""
    board = work.board
    if (stack := board.nodes[o.takeoff].stack) >= 0:
        return board.stacks[stack].size_in
    return next((e.size_in for e in board.out(o.takeoff) if e.plumb), 0.0)


def _vents_baths(work: Work, o: TrapDraft) -> set[str]:
    """Return the baths that what a trap drains into vents, where the book lets nothing but baths into such a drain."""
    if work.book.find("wet_vent.groups") is None:
        return set()
    own, board = {e.id for e in work.board.out(o.takeoff)}, work.board
    stack = board.nodes[o.takeoff].stack
    beside = set(board.stacks[stack].nodes) if stack >= 0 else set()  # its pieces are drawn when all is
    wet = [t for t in work.traps.values() if t.method is VentMethod.WET]
    return {t.need.fixture.group or t.tag for t in wet if t.takeoff in beside or own & set(breathes_through(work, t))}


def _one_more(work: Work, need: Need, baths: set[str]) -> bool:
    """Return whether the book lets a fixture of another bath onto a wet vent that serves some already."""
    most = work.book.find("wet_vent.groups")
    return bool(need.fixture.group) and most is not None and len(baths | {need.fixture.group}) <= most.number


def _enters_well(work: Work, need: Need, o: TrapDraft, stub: float, run: float) -> bool:
    """Return whether both arms go into one double or side-inlet fitting."""
    board = work.board
    take = board.nodes[o.takeoff]
    if not o.arm or o.spot is None:
        return False
    far = board.nodes[board.edges[o.arm[-1]].up].xy
    w = o.spot.wall
    if run > 1.0:
        sign = math.copysign(1.0, stub - o.spot.station)
        way = (w.along.x * sign, w.along.y * sign)
    else:
        sign = 1.0 if need.fixture.side == "left" else -1.0
        way = (w.leftward.x * sign, w.leftward.y * sign)
    across = across_deg(take.xy, far, (take.xy[0] + way[0], take.xy[1] + way[1]))
    if board.fits.opposite(across):
        return need.arm_in == o.need.arm_in
    return board.fits.square(across)


def draw_shared(work: Work, need: Need, way: Shared) -> None:
    """Draw an arm into the vent fitting of another trap."""
    board, f, o = work.board, need.fixture, way.other
    assert o.spot is not None
    w = o.spot.wall
    place = Place("wall", w.id, o.spot.bay.index)
    side = 1.0 if f.side == "left" else -1.0
    front = w.point(way.stub, 0.0, side * way.trap_out)
    weir = board.node((front.x, front.y), PointKind.TRAP, way.z_weir, f.tag, f"stub-out at station {way.stub:.1f}")
    weir.fixed = True
    trap = TrapDraft(need, weir.id, o.takeoff, method=VentMethod.COMMON, partner=o.tag)
    trap.stub_station, trap.stub_z = way.stub, way.z_stub
    at = weir
    if way.run > 1.0:
        p = w.point(way.stub, 0.0, o.spot.offset)
        at = board.node((p.x, p.y), PointKind.TURN, None, f.tag)
        trap.arm.append(
            board.edge(weir, at, "drain", Role.TRAP_ARM, place, need.arm_in, tag=f.tag, slope=need.slope).id
        )
    take = board.nodes[o.takeoff]
    trap.arm.append(board.edge(at, take, "drain", Role.TRAP_ARM, place, need.arm_in, tag=f.tag, slope=need.slope).id)
    o.partner = f.tag
    work.traps[f.tag] = trap
    _widen_drop(work, o, need)
    for i in trap.arm:
        a, b = board.nodes[board.edges[i].up], board.nodes[board.edges[i].down]
        z = take.z or 0.0
        work.cavity.add_level(a.xy, b.xy, z, work.gauge(need.arm_in).r)


def _widen_drop(work: Work, o: TrapDraft, need: Need) -> None:
    """Make a shared drop, and what it flows into, as large as the second fixture's drain has to be."""
    board = work.board
    at = next(iter(board.out(o.takeoff)), None)
    for _ in range(len(board.edges)):
        if at is None or at.drawn or at.size_in >= need.branch_in:
            return
        at.size_in = need.branch_in
        at = next(iter(board.out(at.down)), None)
