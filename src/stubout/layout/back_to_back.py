"""Two closets, tubs or showers back to back on one stack: one double fitting, its top the common vent. Lengths [mm].

Where a tub or shower does not come straight across, it may join below the other: a common vent at two levels, where the
book has one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

from stubout.house.model import HouseFixture
from stubout.kinds import FixtureKind
from stubout.layout.drain_zone import DrainZone
from stubout.layout.lattice import DIRECTIONS
from stubout.layout.model import VentMethod
from stubout.layout.needs import Need, common_vents
from stubout.layout.route import Target
from stubout.layout.space_shapes import XY
from stubout.layout.stack_joints import across_deg
from stubout.layout.work import COMMON, STACK, TrapDraft, Work, stack_key
from stubout.rulebooks import queries

PAIR_MM = 1500.0  # closets so near each other may stand back to back


def halfway(work: Work, closets: Sequence[HouseFixture]) -> list[XY]:
    """Return the places halfway between closets that may stand back to back: a stack there has both straight across."""
    if not common_vents(work.house, work.book):
        return []
    pairs = [(work.xy(a), work.xy(b)) for a, b in combinations(closets, 2)]
    return [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairs if math.dist(a, b) <= PAIR_MM]


def _may_share(work: Work, tag: str) -> bool:
    """Return whether book, builder and job let a fixture share another's vent fitting."""
    return common_vents(work.house, work.book) and (tag, COMMON) not in work.bans


def to_come(work: Work, f: HouseFixture) -> list[XY]:
    """Return the outlets of what may stand back to back with a floor outlet and is not drawn yet; closets left out."""
    if not _may_share(work, f.tag):
        return []
    others = (o for o in work.house.fixtures if o.floor_outlet and o.kind is not FixtureKind.WATER_CLOSET)
    there = [work.xy(o) for o in others if o.level_id == f.level_id and o.tag != f.tag and o.tag not in work.traps]
    return [at for at in there if math.dist(at, work.xy(f)) <= PAIR_MM]


def beside_mate(zone: DrainZone, need: Need) -> list[Target]:
    """Return the joints of others of its kind on stacks that breathe through their tops, where this faces the other."""
    work, board = zone.work, zone.work.board
    if not _may_share(work, need.fixture.tag):
        return []
    out: list[Target] = []
    for t in work.traps.values():
        if not _takes_mate(zone, need, t):
            continue
        last = board.edges[t.arm[-1]]
        at, far = board.nodes[t.takeoff].xy, board.nodes[last.up].xy
        across = [across_deg(at, far, (at[0] + x, at[1] + y)) for x, y in DIRECTIONS]
        blocked = frozenset(k for k, deg in enumerate(across) if not zone.fits.opposite(deg))
        rooms = (zone.fits.tee(board.stacks[board.nodes[t.takeoff].stack].size_in, need.arm_in),) * 8
        layer = zone.router.edge_layer[last.id]
        out.append(Target(at, layer, None, blocked, 0.0, f"n{t.takeoff}", rooms, upright=True, opposite=far))
    return out


def _takes_mate(zone: DrainZone, need: Need, t: TrapDraft) -> bool:
    """Return whether the joint of a floor outlet on a stack takes a second one of its storey into one double fitting.

    A closet goes with a closet only, whose flush would run across into the arm of anything else.
    """
    board = zone.work.board
    if not _of_a_kind(need, t) or not t.arm or (need.closet and t.need.arm_in != need.arm_in):
        return False
    return len(board.into(t.takeoff)) == 1 and t.arm[-1] in zone.router.edge_layer


def _of_a_kind(need: Need, t: TrapDraft) -> bool:
    """Return whether a floor outlet breathes through a stack alone, and both are closets of its storey, or neither."""
    alone = t.method is VentMethod.STACK and not (t.partner or t.drawn)
    return alone and t.need.closet == need.closet and t.need.fixture.level_id == need.fixture.level_id


def mate_of(zone: DrainZone, target: Target) -> TrapDraft:
    """Return the fixture whose joint a target is."""
    return next(t for t in zone.work.traps.values() if f"n{t.takeoff}" == target.ref and t.method is VentMethod.STACK)


def under_mate(zone: DrainZone, need: Need) -> list[Target]:
    """Return the places on stacks that vent one other tub or shower, for one more at a height of its own.

    Which of them comes to be the upper one is settled with the heights: the load of either has to be what the book lets
    pass the lower one.
    """
    work, board = zone.work, zone.work.board
    if need.closet or not _may_share(work, need.fixture.tag):
        return []
    out: list[Target] = []
    for i, s in enumerate(board.stacks):
        there = [t for t in work.traps.values() if t.takeoff in s.nodes]
        if len(there) != 1 or len(s.nodes) != 1 or s.drawn or s.vented or s.zone != zone.level.id:
            continue
        (mate,) = there
        if not _of_a_kind(need, mate) or (STACK, stack_key(s.xy)) in work.bans:
            continue
        size, both = s.top_in or s.size_in, need.load + mate.need.load
        most = queries.common_vent_capacity(work.book, size)
        if most is None or max(need.load, mate.need.load) > most.number or work.demands.branch_for(both, size) > size:
            continue
        rooms = (zone.fits.tee(s.size_in, need.arm_in),) * 8
        out += [Target(s.xy, v.key, None, frozenset(), 0.0, f"s{i}", rooms, upright=True) for v in zone.layers]
    return out
