"""Sizes of vents: by trap or half the drain, by load and developed length, never smaller than what joins."""

from __future__ import annotations

from stubout import units
from stubout.layout.model import Role, TrapPlan
from stubout.network.counts import feeders, stack_foot
from stubout.network.model import Pipe
from stubout.network.vents import horizontal_share_mm
from stubout.problems import NotInBook
from stubout.rulebooks import queries
from stubout.rulebooks.tables import least, size_up, table
from stubout.sizing.need import Need, Sizes
from stubout.sizing.wet import wet_systems


def size_vent(sizes: Sizes, pipe: Pipe) -> None:
    """Settle the size of one vent; the drains and the vents that join it must be settled.

    Args:
        sizes: Sizes so far.
        pipe: The vent.
    """
    traps = [t for t in sizes.network.traps if t.tag in pipe.tags]
    by_trap = _least(sizes, traps)
    floor_in = by_trap[0].size_in if by_trap else 0.0
    needs = [*by_trap, *_by_length(sizes, pipe, traps, floor_in), *_by_feeders(sizes, pipe)]
    if not traps:
        needs.insert(0, Need(0.0, "no trap gets air through it"))
    sizes.settle(pipe, needs)


def _least(sizes: Sizes, traps: list[TrapPlan]) -> list[Need]:
    """Return the largest of the least vents of the traps served; empty if the book has none for them."""
    best: Need | None = None
    for t in traps:
        fixture = next((f for f in sizes.house.fixtures if f.tag == t.tag), None)
        try:
            cell = queries.vent_least_size(
                sizes.book, trap_in=t.trap_in, drain_in=drain_of(sizes, t), kind=fixture.kind if fixture else None
            )
        except NotInBook:
            continue
        if best is None or cell.number > best.size_in:
            words = f"least vent: {cell.printed} for {t.tag}, trap {units.size(t.trap_in)} in"
            best = Need(cell.number, words, (cell.basis,))
    return [best] if best is not None else []


def drain_of(sizes: Sizes, trap: TrapPlan) -> float:
    """Return the required size of the drain a trap's vent serves [in]: its arm, or the wet vent it lies on."""
    own = [sizes.needed.get(i, 0.0) for i in trap.arm_runs]
    wet = [
        sizes.needed.get(i, 0.0)
        for system in wet_systems(sizes.network)
        if system & set(trap.wet_through)
        for i in sorted(system)
    ]
    return max([*own, *wet, 0.0]) or trap.trap_in


def base_of(sizes: Sizes, pipe: Pipe) -> Pipe | None:
    """Return the foot of the stack a stack vent continues, None for any other vent."""
    if pipe.role is not Role.STACK_VENT:
        return None
    low = pipe
    while True:
        below = [p for p in feeders(sizes.network, low) if p.role is Role.STACK_VENT]
        if not below:
            break
        low = below[0]
    drains = [sizes.network.pipe(i) for i in sizes.network.node(low.start).outflow]
    down = [p for p in drains if p.system == "drain" and p.vertical]
    if not down:
        return None
    return stack_foot(sizes.network, down[0]) if down[0].role is Role.STACK else down[0]


def _by_length(sizes: Sizes, pipe: Pipe, traps: list[TrapPlan], floor_in: float) -> list[Need]:
    """Return what load and developed length ask for, by the book's table for this kind of vent."""
    if not traps:
        return []
    book, u = sizes.book, sizes.house.job.units
    base = base_of(sizes, pipe)
    single = pipe.role in (Role.VENT, Role.FOOT_VENT) and not any(t.wet_through for t in traps)
    rule = book.find("vent.individual_length")
    if single and rule is not None and rule.text == "ignored":
        return [Need(0.0, f"individual or common vent: length does not count ({rule.printed})", (rule.basis,))]
    load = base.load if base is not None else pipe.load
    drain = max(drain_of(sizes, t) for t in traps)
    stack_in = sizes.final[base.id] if base is not None else drain
    drain_in = max(drain, sizes.needed[base.id]) if base is not None else drain
    if book.find("vent.horizontal_part") is not None:
        return _by_load_then_length(sizes, pipe, load, floor_in)
    length = units.named(pipe.vent_length_mm, u)
    kind = f"{pipe.role.value} of a {units.size(stack_in)} in stack" if base is not None else pipe.role.value
    try:
        cell = queries.vent_capacity(
            book,
            load=load,
            length_mm=pipe.vent_length_mm,
            stack=base is not None,
            stack_in=stack_in,
            drain_in=drain_in,
        )
    except NotInBook as gap:
        return [Need(0.0, f"{kind}, {load:g} {book.load_unit}, {length} developed: {gap}")]
    words = f"{kind}: {load:g} {book.load_unit}, {length} developed: {cell.printed}"
    return [Need(cell.number, words, (cell.basis,))]


def _by_load_then_length(sizes: Sizes, pipe: Pipe, load: float, floor_in: float) -> list[Need]:
    """Return the vent for a load; one size larger over the whole length where it is too long or too flat.

    Only part of the permitted length may be horizontal; one size larger lifts both limits (published answer of the
    code body: 120 ft flat and 60 ft upright on a load that needs 2 in take 2-1/2 in).
    """
    book, u = sizes.book, sizes.house.job.units
    try:
        by_load, cell = least(table(book, "vent_load"), "vent_in", load)
    except NotInBook as gap:
        return [Need(0.0, f"{pipe.role.value}, {load:g} {book.load_unit}: {gap}")]
    words = f"{pipe.role.value}: {units.size(by_load)} in takes {cell.printed}, load {load:g} {book.load_unit}"
    needs = [Need(by_load, words, (cell.basis,))]
    base = max(by_load, floor_in)
    most = queries.vent_max_length(book, vent_in=base, load=load, stack=False, stack_in=0.0)
    part = book.value("vent.horizontal_part")
    if most is None:
        return needs
    flat_mm = horizontal_share_mm(sizes.flow, pipe.id)
    length, flat = units.named(pipe.vent_length_mm, u), units.named(flat_mm, u)
    if pipe.vent_length_mm <= most.number + 1e-6 and flat_mm <= part.number * most.number + 1e-6:
        words = f"{length} developed, {flat} of it horizontal: within {most.printed} and {part.printed}"
        return [*needs, Need(0.0, words, (most.basis, part.basis))]
    lift = book.value("vent.long_steps")
    size = size_up(base, int(lift.number))
    words = f"{length} developed, {flat} of it horizontal, over {most.printed} or {part.printed}: {lift.printed}"
    return [*needs, Need(size, words, (most.basis, part.basis, lift.basis))]


def _by_feeders(sizes: Sizes, pipe: Pipe) -> list[Need]:
    """Return that a vent is not smaller than the largest vent that joins it."""
    fed = [p for p in feeders(sizes.network, pipe) if p.id in sizes.final]
    if not fed:
        return []
    largest = max(fed, key=lambda p: (sizes.final[p.id], p.id))
    rule = sizes.book.find("vent.not_reduced")
    size = sizes.final[largest.id]
    return [
        Need(
            size,
            f"not smaller than what joins: {largest.id} comes in with {units.size(size)} in",
            (rule.basis,) if rule is not None else (),
        )
    ]
