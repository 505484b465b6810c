"""Sizes of wet vents and circuit-vented branches: drains that also bring air."""

from __future__ import annotations

from stubout import units
from stubout.kinds import FixtureKind
from stubout.layout.model import SAID_METHODS, TrapPlan, VentMethod
from stubout.network.counts import closets_in, feeders
from stubout.network.loads import load_of
from stubout.network.model import Network, Pipe
from stubout.problems import NotInBook
from stubout.rulebooks import queries
from stubout.rulebooks.tables import size_up
from stubout.sizing.drains import least_carrying
from stubout.sizing.need import Need, Sizes


def wet_systems(network: Network) -> tuple[frozenset[str], ...]:
    """Return the wet vents as sets of pipe ids: pipes that share a trap, or meet, are one wet vent."""
    groups: list[set[str]] = []
    for trap in network.traps:
        if not trap.wet_through:
            continue
        mine = set(trap.wet_through)
        for g in [g for g in groups if g & mine]:
            mine |= g
            groups.remove(g)
        groups.append(mine)
    return tuple(frozenset(g) for g in sorted(groups, key=sorted))


def traps_wet_vented(network: Network, pipe_id: str) -> tuple[TrapPlan, ...]:
    """Return the traps that get their air through a drain."""
    return tuple(t for t in network.traps if pipe_id in t.wet_through)


def wet_needs(sizes: Sizes) -> dict[str, Need]:
    """Return what every wet vent pipe needs, by pipe id.

    A section is sized by what drains through it: the most downstream fixture joins at its end and so is left out, as
    the books that speak of it want. Where the book lets a wet vent not be reduced, all its sections get the largest.
    """
    out: dict[str, Need] = {}
    for system in wet_systems(sizes.network):
        found: dict[str, Need] = {}
        for i in sorted(system):
            need = _section(sizes, sizes.network.pipe(i)) if i in sizes.needs else None
            if need is not None:
                found[i] = need
        rule = sizes.book.find("wet_vent.not_reduced")
        if found and rule is not None and rule.value is True:
            top = max(found.values(), key=lambda n: n.size_in)
            for i in sorted(system & sizes.needs.keys()):
                if i not in found or found[i].size_in < top.size_in:
                    words = f"wet vent not reduced: {units.size(top.size_in)} in its whole length ({top.words})"
                    found[i] = Need(top.size_in, words, (*top.bases, rule.basis))
        out.update(found)
    return out


def _section(sizes: Sizes, pipe: Pipe) -> Need | None:
    """Return what one section of a wet vent needs, None if the book has no figure."""
    book = sizes.book
    served = traps_wet_vented(sizes.network, pipe.id)
    methods = {t.method for t in served}
    if methods <= {VentMethod.CIRCUIT}:
        return _circuit(sizes, served)
    if methods & set(SAID_METHODS):
        return None  # drawn by hand with its size: the checks of its method judge it
    fixtures = sizes.fixtures(pipe.tags)
    load = load_of(book, fixtures, sizes.traps_in, groups=False)
    others = load_of(
        book, [f for f in fixtures if f.kind is not FixtureKind.WATER_CLOSET], sizes.traps_in, groups=False
    )
    closets = closets_in(sizes.house, {t.tag for t in served})
    words = f"wet vent of {', '.join(sorted(t.tag for t in served))}"
    try:
        cell = queries.wet_vent_size(book, load=load.value, closets=closets, other_load=others.value)
    except NotInBook as gap:
        return Need(0.0, f"{words}: {gap}")
    counted = others.value if closets else load.value
    unit = book.load_unit
    closet_words = f", {closets} closet{'s' if closets > 1 else ''} served, other fixtures" if closets else ","
    need = Need(cell.number, f"{words}: {cell.printed}{closet_words} {counted:g} {unit} through it", (cell.basis,))
    upright = _upright(sizes, pipe, served)
    return upright if upright is not None and upright.size_in > need.size_in else need


def _upright(sizes: Sizes, pipe: Pipe, served: tuple[TrapPlan, ...]) -> Need | None:
    """Return what a vertical wet vent needs where the book sizes it by what comes from above; None elsewhere.

    Vertical means here: a trap arm joins the upright pipe itself. One size larger than the largest drain coming in, or
    than the load alone needs; the least of all wet vents is in the size it is compared with.
    """
    rule = sizes.book.find("wet_vent.vertical_size")
    if rule is None or not pipe.vertical or all(t.takeoff != pipe.end for t in served):
        return None
    incoming = max((sizes.needed[p.id] for p in feeders(sizes.network, pipe)), default=0.0)
    load = least_carrying(
        pipe.load, lambda s: queries.stack_capacity(sizes.book, s), "vertical wet vent", sizes.book.load_unit
    )
    base = max(incoming, load.size_in)
    if not base:
        return None
    words = f"wet vent, vertical: one size larger than {units.size(base)} in above it"
    return Need(size_up(base), words, (rule.basis, *load.bases))


def _circuit(sizes: Sizes, served: tuple[TrapPlan, ...]) -> Need | None:
    """Return the least branch of a circuit vent by the traps on it, None if the book sets none."""
    large = any(t.trap_in >= 2.0 for t in served)
    rule = sizes.book.find("circuit_vent.branch_large" if large else "circuit_vent.branch_small")
    if rule is None:
        return None
    return Need(rule.number, f"circuit-vented branch: {rule.printed} at least", (rule.basis,))
