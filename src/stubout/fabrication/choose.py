"""Which fitting stands at a node, from geometry and flow direction alone, and what it takes off every pipe end.

A node where two pipes of one size run straight on needs no fitting; the pieces are then cut through it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

from stubout.catalog import queries as catalogue
from stubout.catalog.model import Catalog
from stubout.fabrication.ends import (
    RUN_DEG,
    STRAIGHT_DEG,
    End,
    EndKey,
    opening_deg,
    turn_deg,
    turn_word,
)
from stubout.network.model import Node, PointKind, Role
from stubout.problems import Status, weakest

Allowed = Callable[[str, str, float, bool], bool]  # pattern, turn, size_in, fixture drain

SINGLE_BENDS = ((22.5, "1/16 bend"), (45.0, "1/8 bend"), (60.0, "1/6 bend"), (90.0, "1/4 bend"))
BEND_PLAY_DEG = 8.0  # what two sockets and a falling pipe may add to a bend's own angle
WYE_MAX_DEG = 62.0  # a branch that turns up to this is a wye, above it a tee or combination
AGAINST_DEG = 105.0  # a branch that turns more than this enters against the flow


@dataclass(frozen=True, slots=True)
class Draft:
    """One fitting, before it has a number."""

    pattern: str
    sizes_in: tuple[float, ...]
    pipes: tuple[str, ...]
    status: Status
    note: str = ""


@dataclass(frozen=True, slots=True)
class TakeOff:
    """What is between the node and the end of the pipe in its socket."""

    mm: float
    draft: int  # index of the fitting whose socket it enters, -1 = none
    status: Status
    open_end: str = ""  # "stub-out", "terminal", "open": no socket here


@dataclass(slots=True)
class Joint:
    """What stands at a node."""

    drafts: list[Draft] = field(default_factory=list)
    take: dict[EndKey, TakeOff] = field(default_factory=dict)
    through: bool = False  # no fitting: the pipe runs on


def choose(node: Node, ends: tuple[End, ...], catalog: Catalog, allowed: Allowed, cleanout_in: float = 0.0) -> Joint:
    """Return the fittings of a node and the take-off of every end.

    Args:
        node: The node; its kind decides what stands at an open end.
        ends: Pipe ends that meet there, inflow first.
        catalog: The catalogue, measurements laid over it.
        allowed: Whether the book allows a pattern for a turn.
        cleanout_in: Size of an access opening planned on this node itself, 0 for none [in].
    """
    if not ends:
        return Joint()
    if len(ends) == 1:
        return _end(node, ends[0], catalog)
    if len(ends) == 2:
        return _two(node, ends, catalog, allowed, cleanout_in)
    return _many(ends, catalog, allowed)


# open ends ------------------------------------------------------------------------------------------------------------


def _end(node: Node, e: End, catalog: Catalog) -> Joint:
    joint = Joint()
    size = e.size_in
    if node.kind is PointKind.SEWER:
        note = "to the sewer or tank; size and material there"
        _single(joint, catalog, e, pattern="coupling", sizes=(size, size), port="inlet", note=note)
        return joint
    words = {
        PointKind.TRAP: "P-trap",
        PointKind.FLANGE: "closet flange",
        PointKind.AAV: "air admittance valve",
        PointKind.CLEANOUT: "cleanout adapter",
        PointKind.CAP: "cap",
        PointKind.TERMINAL: "vent flashing",
    }
    pattern = words.get(node.kind, "cap")
    note = "open end of the layout" if node.kind not in words else ""
    _single(joint, catalog, e, pattern=pattern, sizes=(size,), port="outlet", note=note)
    if node.kind is PointKind.TERMINAL:
        joint.take[e.key] = TakeOff(0.0, -1, Status.READ, "terminal")
    return joint


def _single(
    joint: Joint, catalog: Catalog, e: End, *, pattern: str, sizes: tuple[float, ...], port: str, note: str = ""
) -> None:
    data = catalogue.fitting(pattern, sizes, catalog)
    joint.drafts.append(Draft(pattern, sizes, (e.pipe.id,), data.status, note or data.note))
    joint.take[e.key] = TakeOff(data.ports[port], len(joint.drafts) - 1, data.statuses[port])


# two pipes ------------------------------------------------------------------------------------------------------------


def _two(node: Node, ends: tuple[End, ...], catalog: Catalog, allowed: Allowed, cleanout_in: float) -> Joint:
    into, out = _ordered(ends[0], ends[1])
    turn = turn_deg(into, out)
    if node.kind is PointKind.TRAP:
        return _trap(into, out, catalog)
    if node.kind is PointKind.CLEANOUT or cleanout_in:
        return _inline_cleanout(into, out, catalog, cleanout_in or max(into.size_in, out.size_in), turn)
    if turn <= STRAIGHT_DEG:
        if into.size_in == out.size_in:
            return Joint(through=True)
        return _straight(into, out, catalog)
    return _bend(into, out, turn, catalog, allowed)


def _ordered(a: End, b: End) -> tuple[End, End]:
    """Return the ends in flow order; where both start (a drain goes down, its vent up) the vent is the inlet."""
    if a.at_start == b.at_start:
        return (b, a) if (a.drain and not b.drain) else (a, b)
    return (b, a) if a.at_start else (a, b)


def _straight(into: End, out: End, catalog: Catalog) -> Joint:
    joint = Joint()
    sizes = (into.size_in, out.size_in)
    data = catalogue.fitting("reducing coupling", sizes, catalog)
    joint.drafts.append(Draft("reducing coupling", sizes, (into.pipe.id, out.pipe.id), data.status, data.note))
    joint.take[into.key] = TakeOff(data.ports["inlet"], 0, data.statuses["inlet"])
    joint.take[out.key] = TakeOff(data.ports["outlet"], 0, data.statuses["outlet"])
    return joint


def _trap(into: End, out: End, catalog: Catalog) -> Joint:
    joint = Joint()
    data = catalogue.fitting("P-trap", (out.size_in,), catalog)
    joint.drafts.append(Draft("P-trap", (out.size_in,), (out.pipe.id,), data.status, data.note))
    for e in (into, out):
        joint.take[e.key] = TakeOff(data.ports["outlet"], 0, data.status)
    _bush(joint, catalog, into, out.size_in)
    return joint


def _inline_cleanout(into: End, out: End, catalog: Catalog, cleanout_in: float, turn: float) -> Joint:
    """A tee with plug in a vertical pipe, a wye with plug in a horizontal one; at a turn the run ends in the plug."""
    joint = Joint()
    run = max(into.size_in, out.size_in)
    if turn > RUN_DEG:  # foot of a stack: the branch takes the flow, the straight inlet takes the plug
        pattern = "combination" if turn > WYE_MAX_DEG else "wye"
        sizes = (run, run, into.size_in)
        data = catalogue.fitting(pattern, sizes, catalog)
        note = "straight inlet takes the cleanout adapter"
        joint.drafts.append(Draft(pattern, sizes, ("", out.pipe.id, into.pipe.id), data.status, note))
        joint.take[into.key] = TakeOff(data.ports["branch"], 0, data.statuses["branch"])
        joint.take[out.key] = TakeOff(data.ports["outlet"], 0, data.statuses["outlet"])
        plug_in = run
    else:
        plug_in = min(cleanout_in, run)
        sizes = (run, run, plug_in)
        tee = out.pipe.vertical
        pattern = "cleanout tee" if tee else "wye"
        data = catalogue.fitting(pattern, sizes, catalog)
        upper, lower = tuple(data.ports)[:2]
        note = "branch takes the cleanout adapter"
        joint.drafts.append(Draft(pattern, sizes, (into.pipe.id, out.pipe.id, ""), data.status, note))
        joint.take[into.key] = TakeOff(data.ports[upper], 0, data.statuses[upper])
        joint.take[out.key] = TakeOff(data.ports[lower], 0, data.statuses[lower])
    for e in (into, out):
        _bush(joint, catalog, e, run if e is out or turn <= RUN_DEG else e.size_in)
    adapter = catalogue.fitting("cleanout adapter", (plug_in,), catalog)
    joint.drafts.append(Draft("cleanout adapter", (plug_in,), (), adapter.status, "in the cleanout opening"))
    return joint


def _bend(into: End, out: End, turn: float, catalog: Catalog, allowed: Allowed) -> Joint:
    joint = Joint()
    size = max(into.size_in, out.size_in)
    if _under_flange(into) and turn > 75.0:
        turn_kind = turn_word(into.pipe, out.pipe)
        short = allowed("closet bend", turn_kind, out.size_in, into.fixture_drain)
        pattern = "closet bend" if short else "long-turn 1/4 bend"
        sizes = (into.size_in, out.size_in)
        data = catalogue.fitting(pattern, sizes, catalog)
        joint.drafts.append(Draft(pattern, sizes, (into.pipe.id, out.pipe.id), data.status, data.note))
        joint.take[into.key] = TakeOff(data.ports["inlet"], 0, data.statuses["inlet"])
        joint.take[out.key] = TakeOff(data.ports["outlet"], 0, data.statuses["outlet"])
        return joint
    names, angles = bends_for(turn, _quarter(into, out, size, allowed))
    before, after = _legs(names, angles, size, catalog)
    made = "" if len(names) == 1 else f"turn of {turn:.0f} degrees made of {len(names)} bends joined closely"
    off = turn - sum(angles)
    if abs(off) > BEND_PLAY_DEG:
        made = f"turn of {turn:.0f} degrees: no such bend; nearest {sum(angles):g}"
    elif abs(off) > 4.0 and not made:
        made = f"turn of {turn:.0f} degrees, {abs(off):.0f} off the bend: set to the bend's angle"
    for name in names:
        data = catalogue.fitting(name, (size, size), catalog)
        status = data.status if not made else weakest((data.status, Status.ESTIMATE))
        joint.drafts.append(Draft(name, (size, size), (into.pipe.id, out.pipe.id), status, made or data.note))
    status = joint.drafts[0].status
    joint.take[into.key] = TakeOff(before, 0, status)
    joint.take[out.key] = TakeOff(after, len(names) - 1, status)
    for e in (into, out):
        _bush(joint, catalog, e, size)
    return joint


def _under_flange(into: End) -> bool:
    return into.pipe.role is Role.FIXTURE_DRAIN and into.pipe.vertical and into.size_in >= 3.0


def _quarter(into: End, out: End, size: float, allowed: Allowed) -> str:
    """Return the kind of 90 degree bend: short where the book lets it be short, long-turn elsewhere."""
    if not into.drain and not out.drain:
        low = Role.FOOT_VENT in (into.pipe.role, out.pipe.role)  # island foot vents are laid with drainage fittings
        return "long-turn 1/4 bend" if low and not (into.pipe.vertical and out.pipe.vertical) else "1/4 bend"
    if not into.drain or not out.drain:
        return "1/4 bend"
    turn = turn_word(into.pipe, out.pipe)
    short = turn == "h-v" or (into.fixture_drain and size <= 2.0)
    if short and allowed("1/4 bend", turn, size, into.fixture_drain):
        return "1/4 bend"
    return "long-turn 1/4 bend"


def bends_for(turn: float, quarter: str) -> tuple[tuple[str, ...], tuple[float, ...]]:
    """Return the bends, and their angles, that make a turn [deg]: one if one comes near enough, else two.

    >>> bends_for(44.0, "1/4 bend")
    (('1/8 bend',), (45.0,))
    >>> bends_for(135.0, "1/4 bend")
    (('1/4 bend', '1/8 bend'), (90.0, 45.0))
    """
    table = [(a, quarter if n == "1/4 bend" else n) for a, n in SINGLE_BENDS]
    angle, name = min(table, key=lambda b: abs(b[0] - turn))
    pairs = [(x, y) for x in table for y in table if x[0] >= y[0]]
    one, two = min(pairs, key=lambda p: (abs(p[0][0] + p[1][0] - turn), -p[0][0]))
    if abs(angle - turn) <= max(BEND_PLAY_DEG, abs(one[0] + two[0] - turn)):
        return (name,), (angle,)
    return (one[1], two[1]), (one[0], two[0])


def _legs(names: tuple[str, ...], angles: tuple[float, ...], size: float, catalog: Catalog) -> tuple[float, float]:
    """Return the take-off before and after the node [mm]; two bends are a street bend in a hub."""
    ports = [catalogue.fitting(n, (size, size), catalog).ports for n in names]
    if len(names) == 1:
        return ports[0]["inlet"], ports[0]["outlet"]
    apart = ports[0]["outlet"] + catalog.socket_mm(size) + ports[1]["inlet"]
    both = math.radians(sum(angles))
    if math.sin(both) < 0.05:
        return ports[0]["inlet"], ports[1]["outlet"]
    first = apart * math.sin(math.radians(angles[1])) / math.sin(both)
    last = apart * math.sin(math.radians(angles[0])) / math.sin(both)
    return first + ports[0]["inlet"], last + ports[1]["outlet"]


def _bush(joint: Joint, catalog: Catalog, e: End, port_in: float) -> None:
    """Put a flush bushing into a port that is larger than its pipe."""
    if e.size_in >= port_in:
        return
    sizes = (port_in, e.size_in)
    data = catalogue.fitting("bushing", sizes, catalog)
    joint.drafts.append(Draft("bushing", sizes, (e.pipe.id,), data.status, data.note))
    was = joint.take[e.key]
    joint.take[e.key] = TakeOff(
        was.mm + data.ports["outlet"], len(joint.drafts) - 1, weakest((was.status, data.status))
    )


# three and more -------------------------------------------------------------------------------------------------------


def _many(ends: tuple[End, ...], catalog: Catalog, allowed: Allowed) -> Joint:
    out = _outlet(ends)
    others = [e for e in ends if e is not out]
    run = max(others, key=lambda e: (round(opening_deg(e, out), 1), e.drain == out.drain, -others.index(e)))
    branches = [e for e in others if e is not run]
    joint = Joint()
    out_in = run_in = 0.0
    kinks = 180.0 - opening_deg(run, out)
    groups = _groups(branches, out)
    stacked = 0.0
    for k, group in enumerate(groups):
        pattern, note = _branch_pattern(run, out, group, allowed)
        run_in = max([run.size_in, out.size_in, *(e.size_in for e in group)])
        sizes = (run_in, run_in, *(e.size_in for e in group))
        data = catalogue.fitting(pattern, sizes, catalog)
        upper, lower, *branch_ports = tuple(data.ports)
        if k:
            note = "; ".join(x for x in (note, "stands beside another fitting of the same point: set them apart") if x)
        index = len(joint.drafts)
        pipes = (run.pipe.id, out.pipe.id, *(e.pipe.id for e in group))
        joint.drafts.append(Draft(pattern, sizes, pipes, data.status, note or data.note))
        for e, port in zip(group, branch_ports, strict=True):
            joint.take[e.key] = TakeOff(data.ports[port], index, data.statuses[port])
            _elbow(joint, catalog, e, out, pattern)
        if k == 0:
            joint.take[out.key] = TakeOff(data.ports[lower], index, data.statuses[lower])
            out_in = run_in
        else:  # the next fitting up the run: its outlet and two sockets lie between
            stacked += data.ports[lower] + 2 * catalog.socket_mm(run_in)
        stacked += data.ports[upper]
        joint.take[run.key] = TakeOff(stacked, index, data.statuses[upper])
    _bush(joint, catalog, run, run_in)
    _bush(joint, catalog, out, out_in)
    if kinks > RUN_DEG:
        _kink(joint, catalog, run, kinks)
    return joint


def _outlet(ends: tuple[End, ...]) -> End:
    """Return the end by which the flow leaves: the drain's outflow, or the vent's where no drain goes on."""
    drains = [e for e in ends if e.drain and e.at_start and e.pipe.role is not Role.CLEANOUT_EXT]
    if drains:
        return min(drains, key=lambda e: e.away.z)
    vents = [e for e in ends if e.at_start]
    return max(vents, key=lambda e: (e.size_in, e.away.z)) if vents else ends[-1]


def _groups(branches: list[End], out: End) -> list[list[End]]:
    """Return the branches, two that face each other (or stand square in plan) taken into one double fitting."""
    left = sorted(branches, key=lambda e: -e.size_in)
    groups: list[list[End]] = []
    while left:
        first = left.pop(0)
        mate = next((e for e in left if _pairs(first, e, out)), None)
        if mate is not None:
            left.remove(mate)
        groups.append([first] if mate is None else [first, mate])
    return groups


def _pairs(a: End, b: End, out: End) -> bool:
    across = opening_deg(a, b)
    same = abs(turn_of(a, out) - turn_of(b, out)) < 15.0
    opposed = across > 150.0 or (turn_of(a, out) < WYE_MAX_DEG and across > 80.0)
    side_inlet = out.pipe.vertical and 75.0 < across < 105.0
    return same and (opposed or side_inlet)


def turn_of(branch: End, out: End) -> float:
    """Return how much what enters by a branch turns to leave by the outlet [deg]."""
    return 180.0 - opening_deg(branch, out)


def _branch_pattern(run: End, out: End, group: list[End], allowed: Allowed) -> tuple[str, str]:
    first = group[0]
    turn = turn_of(first, out)
    against = f"a branch turns {turn:.0f} degrees: against the flow" if turn > AGAINST_DEG else ""
    drains = any(e.drain for e in (run, out, *group))
    double = len(group) == 2
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
        if opening_deg(group[0], group[1]) < 120.0:
            return "side-inlet sanitary tee", against
        if allowed("double sanitary tee", "h-v", max(e.size_in for e in group), fixture):
            return "double sanitary tee", against
        return "double fixture fitting", against
    if vertical_run:  # a dry vent enters a stack vent's drain part from the side
        return "inverted sanitary tee", against
    if wet:
        return ("double combination" if double else "combination"), against
    return "combination", "; ".join(x for x in (against, "branch up, takes the vent") if x)


def _elbow(joint: Joint, catalog: Catalog, e: End, out: End, pattern: str) -> None:
    """Add a bend where a branch neither stands square nor at 45 degrees to the run."""
    turn = turn_of(e, out)
    own = 45.0 if pattern in ("wye", "double wye") else 90.0
    off = abs(turn - own)
    if off <= RUN_DEG:
        return
    names, angles = bends_for(off, "1/4 bend")
    data = catalogue.fitting(names[0], (e.size_in, e.size_in), catalog)
    was = joint.take[e.key]
    note = f"branch turns {turn:.0f} degrees: the fitting makes {own:g}, this bend {angles[0]:g}"
    joint.drafts.append(Draft(names[0], (e.size_in, e.size_in), (e.pipe.id, e.pipe.id), Status.ESTIMATE, note))
    more = catalog.socket_mm(e.size_in) + data.ports["inlet"] + data.ports["outlet"]
    joint.take[e.key] = TakeOff(was.mm + more, len(joint.drafts) - 1, Status.ESTIMATE)


def _kink(joint: Joint, catalog: Catalog, run: End, kinks: float) -> None:
    """Add a bend before the straight inlet where the run is not straight through the fitting."""
    names, angles = bends_for(kinks, "long-turn 1/4 bend")
    size = run.size_in
    data = catalogue.fitting(names[0], (size, size), catalog)
    was = joint.take[run.key]
    note = f"run turns {kinks:.0f} degrees at the fitting: no single fitting, {angles[0]:g} bend before it"
    joint.drafts.append(Draft(names[0], (size, size), (run.pipe.id, run.pipe.id), Status.ESTIMATE, note))
    more = catalog.socket_mm(size) + data.ports["inlet"] + data.ports["outlet"]
    joint.take[run.key] = TakeOff(was.mm + more, len(joint.drafts) - 1, Status.ESTIMATE)
