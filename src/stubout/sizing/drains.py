"""Sizes of drains: trap arms, branches, stacks, building drain, by load, slope, closets and what joins them."""

from __future__ import annotations

from collections.abc import Callable

from stubout import units
from stubout.house.model import HouseFixture
from stubout.kinds import FixtureKind
from stubout.layout.model import Role, VentMethod
from stubout.network.counts import closets_on, feeders
from stubout.network.loads import heads_of, load_of
from stubout.network.model import Pipe
from stubout.problems import Basis, NotInBook, Status
from stubout.rulebooks import queries
from stubout.rulebooks.model import Cell
from stubout.rulebooks.tables import SIZES_IN
from stubout.sizing.need import Need, Sizes

ARM_ROLES = frozenset({Role.TRAP_ARM, Role.FIXTURE_DRAIN})
OWN_ROLES = frozenset({Role.DRAIN, Role.BRANCH})  # of a fixture's own drain beyond its arm
LOWEST_ROLES = frozenset({Role.BUILDING_DRAIN, Role.SEWER})


def size_drain(sizes: Sizes, pipe: Pipe) -> None:
    """Settle the size of one drain; those that feed it must be settled.

    Args:
        sizes: Sizes so far.
        pipe: The drain.
    """
    needs = [*_by_role(sizes, pipe), *_by_closets(sizes, pipe), *_by_kind(sizes, pipe)]
    needs += _by_feeders(sizes, pipe)
    sizes.settle(pipe, needs)


def least_carrying(load: float, capacity: Callable[[float], Cell], what: str, unit: str) -> Need:
    """Return the least size whose capacity is at least the load.

    Args:
        load: Fixture units [FU].
        capacity: Capacity by size [in]; raises NotInBook where the book offers none.
        what: Words for the pipe and its column, "branch", "stack from one storey".
        unit: How the book calls its unit.
    """
    largest: tuple[float, Cell] | None = None
    for size in SIZES_IN:
        try:
            cell = capacity(size)
        except NotInBook:
            continue
        largest = (size, cell)
        if cell.number >= load - 1e-6:
            return Need(
                size, f"{what}: {units.size(size)} in carries {cell.printed}, load {load:g} {unit}", (cell.basis,)
            )
    if largest is None:
        return Need(0.0, f"{what}: the book has no capacity")
    size, cell = largest
    return Need(
        size,
        f"{what}: no size of the book carries {load:g} {unit}; {units.size(size)} in, the largest, {cell.printed}",
        (cell.basis,),
    )


def _by_role(sizes: Sizes, pipe: Pipe) -> list[Need]:
    """Return what load and role ask for."""
    book, load, unit = sizes.book, pipe.load, sizes.book.load_unit
    if pipe.role in ARM_ROLES and len(pipe.tags) > 1 and pipe.role is Role.TRAP_ARM:
        shared = "drain" if pipe.vertical else "branch"
        need = least_carrying(load, lambda s: _branch_capacity(sizes, pipe, s), f"arm shared as a {shared}", unit)
        return [*_arm(sizes, pipe), need]
    if pipe.role in ARM_ROLES:
        return _arm(sizes, pipe)
    if pipe.role is Role.CLEANOUT_EXT or not pipe.tags:
        return [Need(0.0, "no fixture upstream: the size of the pipe it serves")]
    if pipe.role in LOWEST_ROLES and not pipe.vertical:
        return _building_drain(sizes, pipe)
    if pipe.role is Role.STACK or pipe.vertical:
        needs = [least_carrying(load, lambda s: queries.stack_capacity(book, s), "vertical drain, whole load", unit)]
        if pipe.role is Role.STACK:
            needs += _storeys(sizes, pipe)
        return needs
    return [least_carrying(load, lambda s: _branch_capacity(sizes, pipe, s), "branch", unit)]


def _arm(sizes: Sizes, pipe: Pipe) -> list[Need]:
    """Return the trap's size for an arm; the book's least trap and what the job or layout chose."""
    needs: list[Need] = []
    for f in sizes.fixtures(pipe.tags):
        try:
            cell = queries.trap_size(sizes.book, f.kind, heads_of(f))
            heads = f", {heads_of(f)} heads" if f.kind is FixtureKind.SHOWER and heads_of(f) > 1 else ""
            needs.append(
                Need(cell.number, f"trap of {f.tag}: {f.kind.value}{heads}, {cell.printed} at least", (cell.basis,))
            )
        except NotInBook:
            needs.append(Need(0.0, f"trap of {f.tag}: the book gives no trap size for a {f.kind.value}"))
        chosen = sizes.traps_in.get(f.tag) or f.trap_in
        if chosen is not None and (not needs or chosen > needs[-1].size_in):
            needs.append(_chosen_trap(sizes, f, chosen))
    return needs


def _chosen_trap(sizes: Sizes, f: HouseFixture, size_in: float) -> Need:
    """Return what a trap larger than the book's least asks of its arm: said by the job, or for want of a vent."""
    bare = queries.floor_drain_unvented_trap(sizes.book) if f.kind is FixtureKind.FLOOR_DRAIN else None
    if (
        bare is not None
        and f.trap_in is None
        and any(t.tag == f.tag and t.method is VentMethod.NONE for t in sizes.network.traps)
    ):
        return Need(size_in, f"trap of {f.tag}: floor drain without a vent, {bare.printed} at least", (bare.basis,))
    said = Basis(f"trap of {f.tag}", f"{units.size(size_in)} in", "job", "", Status.JOB)
    return Need(size_in, f"arm not smaller than its trap: {units.size(size_in)} in chosen", (said,))


def _branch_capacity(sizes: Sizes, pipe: Pipe, size_in: float) -> Cell:
    """Return the branch capacity; where the slope laid carries less by the slope table, that."""
    cell = queries.branch_capacity(sizes.book, size_in)
    try:
        by_slope = queries.building_drain_capacity(sizes.book, size_in, _slope(sizes, pipe, size_in))
    except NotInBook:
        return cell
    return by_slope if by_slope.number < cell.number else cell


def _slope(sizes: Sizes, pipe: Pipe, size_in: float) -> float:
    """Return the slope a pipe is sized at: as laid, but not below the book's least (a finding tells of that)."""
    least = queries.min_slope(sizes.book, size_in).number
    return max(pipe.slope, least)


def _building_drain(sizes: Sizes, pipe: Pipe) -> list[Need]:
    """Return what the building drain or sewer needs: capacity at its slope, and the book's least."""
    book = sizes.book
    what = f"{pipe.role.value} at {units.slope(pipe.slope, sizes.house.job.units)}"
    needs = [
        least_carrying(
            pipe.load,
            lambda s: queries.building_drain_capacity(book, s, _slope(sizes, pipe, s)),
            what,
            book.load_unit,
        )
    ]
    try:
        least = queries.building_drain_least_size(book, closets_on(sizes.house, pipe))
        needs.append(Need(least.number, f"least {pipe.role.value}: {least.printed}", (least.basis,)))
    except NotInBook:
        pass
    return needs


def _storeys(sizes: Sizes, pipe: Pipe) -> list[Need]:
    """Return what the storey with the largest load asks of a stack."""
    levels: dict[str, list[str]] = {}
    for f in sizes.fixtures(pipe.tags):
        levels.setdefault(f.level_id, []).append(f.tag)
    loads = {
        level: load_of(sizes.book, sizes.fixtures(tuple(tags)), sizes.traps_in).value for level, tags in levels.items()
    }
    if not loads:
        return []
    level = max(loads, key=lambda v: (loads[v], v))
    need = least_carrying(
        loads[level],
        lambda s: queries.stack_storey_capacity(sizes.book, s),
        f"stack, from one storey ({level})",
        sizes.book.load_unit,
    )
    return [need] if need.size_in else []


def _by_closets(sizes: Sizes, pipe: Pipe) -> list[Need]:
    """Return what the closets on a pipe ask for: the closet's least drain, and how many one pipe may carry."""
    count = closets_on(sizes.house, pipe)
    if not count:
        return []
    needs: list[Need] = []
    try:
        cell = queries.closet_drain_least_size(sizes.book)
        needs.append(Need(cell.number, f"closet drain: {cell.printed} at least", (cell.basis,)))
    except NotInBook:
        pass
    start = needs[0].size_in if needs else SIZES_IN[0]
    limit: Cell | None = None
    before = start
    for size in (x for x in SIZES_IN if x >= start - 1e-9):
        most = queries.max_closets(sizes.book, size, "vertical" if pipe.vertical else "horizontal")
        if most is None or most.number >= count:
            if limit is not None:
                words = f"{count} closets: {units.size(before)} in may carry {limit.printed}"
                needs.append(Need(size, words, (limit.basis,)))
            break
        limit, before = most, size
    return needs


def _by_kind(sizes: Sizes, pipe: Pipe) -> list[Need]:
    """Return the least branch beyond the trap arm that some fixtures ask for."""
    if pipe.role in ARM_ROLES:
        return []
    needs: list[Need] = []
    own = queries.branch_least_from_joint(sizes.book)
    if own is not None and own.value is True and len(pipe.tags) == 1 and pipe.role in OWN_ROLES:
        return []
    for f in sizes.fixtures(pipe.tags):
        cell = queries.branch_least_size(sizes.book, f.kind)
        if cell is not None and not any(n.size_in >= cell.number for n in needs):
            needs.append(Need(cell.number, f"beyond the trap arm of {f.tag}: {cell.printed} at least", (cell.basis,)))
    return needs


def _by_feeders(sizes: Sizes, pipe: Pipe) -> list[Need]:
    """Return that a drain is not smaller than the largest that feeds it."""
    fed = [p for p in feeders(sizes.network, pipe) if p.id in sizes.final and p.role is not Role.CLEANOUT_EXT]
    if not fed:
        return []
    largest = max(fed, key=lambda p: (sizes.final[p.id], p.id))
    rule = sizes.book.find("drain.no_reduction")
    size = sizes.final[largest.id]
    return [
        Need(
            size,
            f"no reduction downstream: {largest.id} comes in with {units.size(size)} in",
            (rule.basis,) if rule is not None else (),
        )
    ]
