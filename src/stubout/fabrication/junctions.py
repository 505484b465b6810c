"""Tees, wyes and combinations: what stands where three and more pipes meet, and what it takes off each."""

from __future__ import annotations

from dataclasses import replace

from stubout.catalog import queries as catalogue
from stubout.catalog.model import Catalog
from stubout.fabrication.choose_base import (
    AGAINST_DEG,
    WYE_MAX_DEG,
    Allowed,
    Draft,
    Joint,
    MakeUp,
    TakeOff,
    bush,
    said,
    taken,
)
from stubout.fabrication.close_bends import elbow, kink, moved
from stubout.fabrication.ends import RUN_DEG, End, opening_deg
from stubout.network.model import Role

CLOSET_IN = 3.0


def many(ends: tuple[End, ...], catalog: Catalog, allowed: Allowed, two_way: bool = False) -> Joint:
    """Return the fittings where three or more pipes meet.

    The outlet is where the flow leaves; the straightest other end is the run; the rest are branches, of which two that
    face each other (or stand square in plan on an upright run) share one double fitting.

    Args:
        ends: Pipe ends of the joint, inflow first.
        catalog: The catalogue, measurements laid over it.
        allowed: Whether the book allows a pattern for a turn.
        two_way: Whether a cleanout that comes in from above is to be rodded both ways.
    """
    out = _vent_run(ends) or _outlet(ends)
    others = [e for e in ends if e is not out]
    if (headless := _headless(out, others, catalog, allowed)) is not None:
        return headless
    run = max(others, key=lambda e: _as_run(e, out, others.index(e)))
    branches = [e for e in others if e is not run]
    joint = Joint()
    out_in = run_in = 0.0
    kinks = 180.0 - opening_deg(run, out)
    groups = _groups(branches, out, run)
    stacked = shift = 0.0
    below: list[MakeUp] = []
    for k, group in enumerate(groups):
        pattern, note = _branch_pattern(run, out, group, allowed)
        if two_way and pattern == "combination" and group[0].pipe.role is Role.CLEANOUT_EXT:
            pattern, note = "two-way cleanout tee", "rodded up stream and down stream"
        run_in = max([run.size_in, out.size_in, *(e.size_in for e in group)])
        sizes = (run_in, run_in, *(e.size_in for e in group))
        data = catalogue.fitting(pattern, sizes, catalog)
        upper, lower, *branch_ports = tuple(data.ports)
        if k:
            note = "; ".join(x for x in (note, "stands beside another fitting of the same point: set them apart") if x)
        index = len(joint.drafts)
        pipes = (run.pipe.id, out.pipe.id, *(e.pipe.id for e in group))
        if pattern == "two-way cleanout tee":  # no water comes down its branch: no turn to judge
            pipes = (run.pipe.id, out.pipe.id, "")
        joint.drafts.append(Draft(pattern, sizes, pipes, data.status, note or said(data)))
        leans = []
        for e, port in zip(group, branch_ports, strict=True):
            joint.take[e.key] = taken(data, port, index)
            leans.append(elbow(joint, catalog, e, turn_of(e, out), pattern))
        lean = max(leans, key=abs)
        if k == 0:
            shift = lean
            joint.take[out.key] = taken(data, lower, index)
            out_in = run_in
        else:  # the next fitting up the run: its outlet and two sockets lie between
            stacked += data.ports[lower] + 2 * catalog.socket_mm(run_in)
            below.append((data.key, lower))
            joint.drafts[index] = replace(joint.drafts[index], beside_mm=-stacked - shift)
        stacked += data.ports[upper]
        below.append((data.key, upper))
        joint.take[run.key] = TakeOff(stacked, index, data.statuses[upper], make_ups=tuple(below))
    moved(joint, run.key, shift)
    moved(joint, out.key, -shift)
    bush(joint, catalog, run, run_in)
    bush(joint, catalog, out, out_in)
    if kinks > RUN_DEG:
        kink(joint, catalog, run, out, kinks, square=all(_square(e, run, out) for e in branches))
    return joint


def _square(e: End, run: End, out: End) -> bool:
    """Return whether a branch stands square to the run before a turn and after it."""
    return all(abs(opening_deg(e, x) - 90.0) <= RUN_DEG for x in (run, out))


def _headless(out: End, others: list[End], catalog: Catalog, allowed: Allowed) -> Joint | None:
    """Return the double fitting at the top of a stack without a vent: both branches enter, its upper end is plugged."""
    if not (out.drain and out.pipe.vertical and out.away.z < 0.0) or len(others) not in (2, 3):
        return None
    groups = _groups(others, out, out)
    if any(e.pipe.vertical for e in others) or len(groups) != 1:
        return None
    group = groups[0]
    pattern, note = _branch_pattern(out, out, group, allowed)
    run_in = max(e.size_in for e in (out, *group))
    sizes = (run_in, run_in, *(e.size_in for e in group))
    data = catalogue.fitting(pattern, sizes, catalog)
    _, lower, *branch_ports = tuple(data.ports)
    pipes = ("", out.pipe.id, *(e.pipe.id for e in group))
    plugged = "upper end takes a plug: no vent stands on it"
    joint = Joint(drafts=[Draft(pattern, sizes, pipes, data.status, "; ".join(x for x in (note, plugged) if x))])
    joint.take[out.key] = taken(data, lower, 0)
    leans = []
    for e, port in zip(group, branch_ports, strict=True):
        joint.take[e.key] = taken(data, port, 0)
        leans.append(elbow(joint, catalog, e, turn_of(e, out), pattern))
    moved(joint, out.key, -max(leans, key=abs))
    bush(joint, catalog, out, run_in)
    plug = catalogue.fitting("cleanout adapter", (run_in,), catalog)
    joint.drafts.append(Draft("cleanout adapter", (run_in,), (), plug.status, "plug in the upper end"))
    return joint


def _vent_run(ends: tuple[End, ...]) -> End | None:
    """Return one end of the straight run of a tee among three dry vents, of which none lies in line with the outlet.

    Air has no direction to keep: the outlet takes the branch. Common practice, no source.
    """
    if len(ends) != 3 or any(e.drain for e in ends):
        return None
    out = _outlet(ends)
    first, second = (e for e in ends if e is not out)
    line = 180.0 - RUN_DEG
    if max(opening_deg(first, out), opening_deg(second, out)) >= line or opening_deg(first, second) < line:
        return None
    return max(first, second, key=lambda e: (e.size_in, e.pipe.id))


def _outlet(ends: tuple[End, ...]) -> End:
    """Return the end by which the flow leaves: the drain's outflow, or the vent's where no drain goes on."""
    drains = [e for e in ends if e.drain and e.at_start and e.pipe.role is not Role.CLEANOUT_EXT]
    if drains:
        return min(drains, key=lambda e: e.away.z)
    vents = [e for e in ends if e.at_start]
    return max(vents, key=lambda e: (e.size_in, e.away.z)) if vents else ends[-1]


def _as_run(e: End, out: End, place: int) -> tuple[bool, bool, bool, float, float, int]:
    """Return how well an end makes the straight inlet: straight on first, then upright with it, then large.

    Above an upright outlet the vent that leans away is the run, with a bend in the upper hub, and the arm takes the
    branch; of ends alike that of the same system goes first.
    """
    opening = opening_deg(e, out)
    straight = opening >= 180.0 - RUN_DEG
    leans = out.pipe.vertical and opening >= 180.0 - WYE_MAX_DEG
    return straight, leans, e.drain == out.drain, round(opening, 0), e.size_in, -place


def _groups(branches: list[End], out: End, run: End) -> list[list[End]]:
    """Return the branches, two that face each other (or stand square in plan) taken into one double fitting."""
    left = sorted(branches, key=lambda e: -e.size_in)
    groups: list[list[End]] = []
    while left:
        first = left.pop(0)
        mate = next((e for e in left if _pairs(first, e, out)), None)
        if mate is None:
            groups.append([first])
            continue
        left.remove(mate)
        third = next((e for e in left if run.pipe.vertical and _other_hand(first, mate, e, out)), None)
        if third is not None:
            left.remove(third)
        groups.append([first, mate] if third is None else [first, mate, third])
    return groups


def _pairs(a: End, b: End, out: End) -> bool:
    across = opening_deg(a, b)
    same = abs(turn_of(a, out) - turn_of(b, out)) < 15.0
    opposed = across > 150.0 or (turn_of(a, out) < WYE_MAX_DEG and across > 80.0)
    side_inlet = out.pipe.vertical and 75.0 < across < 105.0
    return same and (opposed or side_inlet)


def _other_hand(first: End, mate: End, e: End, out: End) -> bool:
    """Return whether a third branch is the side inlet on the other hand of a tee that has one on this."""
    facing = opening_deg(mate, e) > 150.0 and e.size_in == mate.size_in and all(x.drain for x in (first, mate, e))
    return facing and out.pipe.vertical and 75.0 < opening_deg(first, e) < 105.0 and _pairs(first, e, out)


def turn_of(branch: End, out: End) -> float:
    """Return how much what enters by a branch turns to leave by the outlet [deg]."""
    return 180.0 - opening_deg(branch, out)


def _branch_pattern(run: End, out: End, group: list[End], allowed: Allowed) -> tuple[str, str]:
    first = group[0]
    turn = turn_of(first, out)
    against = f"a branch turns {turn:.0f} degrees: against the flow" if turn > AGAINST_DEG else ""
    drains = any(e.drain for e in (run, out, *group))
    double = len(group) > 1
    if turn <= WYE_MAX_DEG:
        return ("double wye" if double else "wye"), against
    if not drains:
        return ("double sanitary tee" if double else "inverted sanitary tee"), against
    vertical_run = run.pipe.vertical and out.pipe.vertical
    wet = first.drain
    if vertical_run and wet:
        fixture = all(e.fixture_drain for e in group)
        if not double:
            ok = allowed("sanitary tee", "h-v", first.size_in, fixture)
            return ("sanitary tee" if ok else "combination"), against
        if len(group) == 3:
            return "sanitary tee with two side inlets", against
        if opening_deg(group[0], group[1]) < 120.0:
            return "side-inlet sanitary tee", against
        closets = any(e.size_in >= CLOSET_IN for e in group)  # one would flush across into the other
        inlet_in = max(e.size_in for e in group)
        barrel_in = max(inlet_in, run.size_in, out.size_in)
        if not closets and allowed("double sanitary tee", "h-v", inlet_in, fixture, barrel_in=barrel_in):
            return "double sanitary tee", against
        return "double fixture fitting", against
    if vertical_run:  # a dry vent enters a stack vent's drain part from the side
        return "inverted sanitary tee", against
    if wet:
        return ("double combination" if double else "combination"), against
    return "combination", "; ".join(x for x in (against, "branch up, takes the vent") if x)
