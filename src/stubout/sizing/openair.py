"""What the vents need as a whole: one of enough size, enough area to the open air, enlarged against frost."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stubout import units
from stubout.catalog import queries as catalog
from stubout.layout.main_vent import bay_takes
from stubout.layout.model import PointKind, Role
from stubout.network.counts import feeders
from stubout.network.model import Pipe
from stubout.problems import Basis, NotInBook, Status
from stubout.rulebooks import queries
from stubout.rulebooks.tables import size_up
from stubout.sizing.drains import LOWEST_ROLES
from stubout.sizing.need import Need, Sizes, stocked

AREA_TOL_IN2 = 0.05  # areas are published to two decimals
SAME_LENGTH_MM = 100.0  # what counts as as much pipe


def nominal_area_in2(size_in: float) -> float:
    """Return the section of a pipe by its nominal size [in2], as the area rule reckons it."""
    return math.pi / 4.0 * size_in * size_in


def terminals(sizes: Sizes) -> tuple[Pipe, ...]:
    """Return the last pipe of every vent that ends in the open air."""
    return tuple(p for p in sizes.network.vents() if sizes.network.node(p.end).kind is PointKind.TERMINAL)


def required_drain(sizes: Sizes) -> float:
    """Return the largest size the building drain or sewer is required to have [in]; 0 if there is none."""
    lowest = [p for p in sizes.network.drains() if p.role in LOWEST_ROLES]
    pipes = lowest or list(sizes.network.drains())
    return max((sizes.needed.get(p.id, 0.0) for p in pipes), default=0.0)


def building_vent(sizes: Sizes) -> bool:
    """Raise one vent from the drain to the open air to the least the book asks of each building drain.

    The vent chosen is one that has the room all the way, then the one that is largest already, a stack vent, the one
    with least to enlarge, with most load, then by id. One in a wall too narrow for its hubs is not grown: a hole that
    cannot be cut is no vent, and a finding tells that the large one is missing. Returns whether a pipe grew.
    """
    drain = required_drain(sizes)
    rule = queries.building_vent_least(sizes.book, drain) if drain else None
    if rule is None:
        return False
    ways = [w for w in (_way(sizes, p) for p in _starts(sizes)) if w]
    if any(all(sizes.final[p.id] >= rule.number - 1e-9 for p in w) for w in ways):
        return False
    ways = [w for w in ways if all(_takes(sizes, p, rule.number) for p in w)]
    if not ways:
        return False
    best = max(
        ways,
        key=lambda w: (
            all(p.size_in >= rule.number - 1e-9 for p in w),
            min(sizes.final[p.id] for p in w),
            any(p.role is Role.STACK_VENT for p in w),
            -round(sum(p.length_mm for p in w if sizes.final[p.id] < rule.number - 1e-9) / SAME_LENGTH_MM),
            w[0].load,
            [-ord(c) for c in w[0].id],
        ),
    )
    grew = False
    for p in best:
        need = Need(rule.number, f"one open vent of the building drain: {rule.printed}", (rule.basis,))
        grew = sizes.raise_to(p, need) or grew
    return grew


def _takes(sizes: Sizes, pipe: Pipe, size_in: float) -> bool:
    """Return whether a vent is so large already, was laid out with room for it, or stands where it finds that room.

    In a wall that is a plumb pipe whose hubs go between the faces and the studs; studs bored for a lying one are not
    bored larger.
    """
    wall = next((w for w in sizes.house.walls if pipe.place.kind == "wall" and w.id == pipe.place.ref), None)
    if wall is None or max(sizes.final[pipe.id], pipe.size_in) >= size_in - 1e-9:
        return True
    return pipe.vertical and bay_takes(wall, wall.station(pipe.a), catalog.hub_od_mm(size_in))


def _starts(sizes: Sizes) -> tuple[Pipe, ...]:
    """Return the vents that rise from a drain of the house, closets and stacks among them; not island foot vents."""
    return tuple(p for p in sizes.network.vents() if not feeders(sizes.network, p) and p.role is not Role.FOOT_VENT)


def _way(sizes: Sizes, pipe: Pipe) -> tuple[Pipe, ...]:
    """Return the pipes from a vent's start to its terminal, empty if it ends elsewhere."""
    way = (pipe, *sizes.network.downstream(pipe))
    return way if sizes.network.node(way[-1].end).kind is PointKind.TERMINAL else ()


def total_area(sizes: Sizes) -> bool:
    """Raise the trunk of the main terminal until all vents together have the area of the required sewer.

    Measured at the openings and again where the vents leave the drains, so that a wide mouth on narrow vents does not
    count. Returns whether a pipe grew.
    """
    rule = sizes.book.find("vent.area_rule")
    drain = required_drain(sizes)
    if rule is None or rule.text != "sewer area" or not drain:
        return False
    need_in2 = nominal_area_in2(drain)
    ends = sorted(
        terminals(sizes), key=lambda p: (not _free(sizes, p), -p.load, -sizes.final[p.id], [ord(c) for c in p.id])
    )
    if not ends:
        return False
    basis = (rule.basis, Basis("required building sewer", f"{units.size(drain)} in", sizes.book.id, "", Status.DERIVED))
    out = [(p, _trunk(sizes, p)) for p in ends]
    where = f"to the open air, required sewer {units.size(drain)} in"
    grew = _made_up(sizes, out, need_in2, where, basis)
    starts = sorted(_starts(sizes), key=lambda p: (-p.load, -sizes.final[p.id], [ord(c) for c in p.id]))
    ways = [(p, (p, *sizes.network.downstream(p))) for p in starts]
    where = f"at the drains, required sewer {units.size(drain)} in"
    return _made_up(sizes, ways, need_in2, where, basis) or grew


def _made_up(
    sizes: Sizes,
    ways: Sequence[tuple[Pipe, tuple[Pipe, ...]]],
    need_in2: float,
    where: str,
    bases: tuple[Basis, ...],
) -> bool:
    """Raise one vent to the size that makes up the area of all, or where none can be, one to the room that it has."""
    counted = tuple(one for one, _ in ways)
    return any(
        _enlarge(sizes, counted, one, way, need_in2, where, bases, to_room=to_room)
        for to_room in (False, True)
        for one, way in ways
    )


def _free(sizes: Sizes, end: Pipe) -> bool:
    """Return whether the trunk of a terminal lies free in attic and roof: it grows without a wall having to take it."""
    return all(p.place.kind in ("attic", "roof") for p in _trunk(sizes, end))


def _enlarge(
    sizes: Sizes,
    counted: tuple[Pipe, ...],
    one: Pipe,
    way: tuple[Pipe, ...],
    need_in2: float,
    where: str,
    bases: tuple[Basis, ...],
    *,
    to_room: bool,
) -> bool:
    """Raise one vent, and the pieces on its way, to the least size that makes up the area of all those counted.

    Nothing is raised where a wall on its way is too narrow for that. With `to_room` it is raised as far as it was laid
    out with room for, though that is not enough: others have to make up the rest.
    """
    have = _area(sizes, counted)
    if have >= need_in2 - AREA_TOL_IN2:
        return False
    rest = have - nominal_area_in2(sizes.final[one.id])
    size = sizes.final[one.id]
    while rest + nominal_area_in2(size) < need_in2 - AREA_TOL_IN2:
        size = stocked(sizes.house.job.material, size_up(size))
    if to_room:
        size = min(p.size_in for p in way)
    if size <= sizes.final[one.id] + 1e-9 or not all(_takes(sizes, p, size) for p in way):
        return False
    words = f"vent area {where}: {have:.2f} of {need_in2:.2f} sq in, so {units.size(size)} in"
    grew = False
    for p in way:
        grew = sizes.raise_to(p, Need(size, words, bases)) or grew
    return grew


def _area(sizes: Sizes, pipes: tuple[Pipe, ...]) -> float:
    return sum(nominal_area_in2(sizes.final[p.id]) for p in pipes)


def _trunk(sizes: Sizes, end: Pipe) -> tuple[Pipe, ...]:
    """Return the pieces from a terminal down to the last tie-in."""
    out = [end]
    while True:
        below = feeders(sizes.network, out[-1])
        if len(below) != 1:
            return tuple(out)
        out.append(below[0])


def frost(sizes: Sizes) -> bool:
    """Enlarge the last piece of every vent through the roof where frost may close it. Returns whether one grew.

    The last piece is the run that ends at the terminal; the layout splits it where the enlargement begins.
    """
    climate = sizes.house.climate
    limit = sizes.book.find("terminal.frost_below")
    cold = limit is not None and climate.winter_design_f is not None and climate.winter_design_f <= limit.number + 1e-9
    if not (climate.frost_prone_vents or cold):
        return False
    grew = False
    for p in terminals(sizes):
        try:
            least = queries.terminal_frost_size(sizes.book)
        except NotInBook:
            return grew
        below = feeders(sizes.network, p)
        coming = max((sizes.final[b.id] for b in below), default=0.0) or max(
            (n.size_in for n in sizes.needs[p.id] if not n.words.startswith("frost")), default=0.0
        )
        steps = sizes.book.find("terminal.frost_steps")
        size = max(least.number, size_up(coming, int(steps.number)) if steps is not None and coming else 0.0)
        more = f", {steps.printed}" if steps is not None else ""
        words = f"frost at the terminal: {least.printed} at least{more}: {units.size(size)} in"
        bases = (least.basis, *((steps.basis,) if steps is not None else ()))
        grew = sizes.raise_to(p, Need(size, words, bases)) or grew
    return grew
