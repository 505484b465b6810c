"""Which fitting stands at a node, from geometry and flow direction alone, and what it takes off every pipe end.

A node where two pipes of one size run straight on needs no fitting; the pieces are then cut through it.
"""

from __future__ import annotations

import math
from dataclasses import replace

from stubout.catalog import queries as catalogue
from stubout.catalog.model import Catalog
from stubout.fabrication.choose_base import (
    STREET,
    WYE_MAX_DEG,
    Allowed,
    Draft,
    Joint,
    TakeOff,
    bends_for,
    bush,
    made_of,
    said,
    taken,
)
from stubout.fabrication.ends import (
    RUN_DEG,
    STRAIGHT_DEG,
    End,
    turn_deg,
    turn_word,
)
from stubout.fabrication.junctions import many
from stubout.network.model import Node, PointKind, Role
from stubout.problems import Status, weakest


def choose(
    node: Node,
    ends: tuple[End, ...],
    catalog: Catalog,
    allowed: Allowed,
    cleanout_in: float = 0.0,
    two_way: bool = False,
) -> Joint:
    """Return the fittings of a node and the take-off of every end.

    Args:
        node: The node; its kind decides what stands at an open end.
        ends: Pipe ends that meet there, inflow first.
        catalog: The catalogue, measurements laid over it.
        allowed: Whether the book allows a pattern for a turn.
        cleanout_in: Size of an access opening planned on this node itself, 0 for none [in].
        two_way: Whether the cleanout whose extension comes in here is to be rodded both ways.
    """
    if not ends:
        return Joint()
    if len(ends) == 1:
        return _end(node, ends[0], catalog, allowed)
    if len(ends) == 2:
        return _two(node, ends, catalog, allowed, cleanout_in)
    return many(ends, catalog, allowed, two_way)


# open ends ------------------------------------------------------------------------------------------------------------


def _end(node: Node, e: End, catalog: Catalog, allowed: Allowed) -> Joint:
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
    if node.kind is PointKind.FLANGE and not e.pipe.vertical:
        return _closet(e, catalog, allowed)
    _single(joint, catalog, e, pattern=pattern, sizes=(size,), port="outlet", note=note)
    if node.kind is PointKind.TERMINAL:
        joint.take[e.key] = TakeOff(0.0, -1, Status.READ, "terminal")
    return joint


def _closet(e: End, catalog: Catalog, allowed: Allowed) -> Joint:
    """A flange whose node is the bend under it: flange, drop and bend, the drop being cut apart from the network."""
    size = e.size_in
    joint = Joint()
    flange = catalogue.fitting("closet flange", (size,), catalog)
    joint.drafts.append(Draft("closet flange", (size,), (e.pipe.id,), flange.status, said(flange)))
    pattern = "closet bend" if allowed("closet bend", "v-h", size, True) else "long-turn 1/4 bend"
    bend = catalogue.fitting(pattern, (size, size), catalog)
    joint.drafts.append(Draft(pattern, (size, size), (e.pipe.id,), bend.status, said(bend)))
    joint.take[e.key] = taken(bend, "outlet", 1)
    return joint


def _single(
    joint: Joint, catalog: Catalog, e: End, *, pattern: str, sizes: tuple[float, ...], port: str, note: str = ""
) -> None:
    data = catalogue.fitting(pattern, sizes, catalog)
    joint.drafts.append(Draft(pattern, sizes, (e.pipe.id,), data.status, note or said(data)))
    joint.take[e.key] = taken(data, port, len(joint.drafts) - 1)


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
    joint.drafts.append(Draft("reducing coupling", sizes, (into.pipe.id, out.pipe.id), data.status, said(data)))
    joint.take[into.key] = taken(data, "inlet", 0)
    joint.take[out.key] = taken(data, "outlet", 0)
    return joint


def _trap(into: End, out: End, catalog: Catalog) -> Joint:
    joint = Joint()
    data = catalogue.fitting("P-trap", (out.size_in,), catalog)
    joint.drafts.append(Draft("P-trap", (out.size_in,), (out.pipe.id,), data.status, said(data)))
    for e in (into, out):
        joint.take[e.key] = taken(data, "outlet", 0)
    bush(joint, catalog, into, out.size_in)
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
        joint.take[into.key] = taken(data, "branch", 0)
        joint.take[out.key] = taken(data, "outlet", 0)
        plug_in = run
    else:
        # a book may ask for an opening of 3-1/2 in: the branch is the next pipe size, never larger than the run
        plug_in = min(next((s for s in catalog.sizes() if s >= cleanout_in), run), run)
        sizes = (run, run, plug_in)
        tee = out.pipe.vertical
        pattern = "cleanout tee" if tee else "wye"
        data = catalogue.fitting(pattern, sizes, catalog)
        upper, lower = tuple(data.ports)[:2]
        note = "branch takes the cleanout adapter"
        joint.drafts.append(Draft(pattern, sizes, (into.pipe.id, out.pipe.id, ""), data.status, note))
        joint.take[into.key] = taken(data, upper, 0)
        joint.take[out.key] = taken(data, lower, 0)
    for e in (into, out):
        bush(joint, catalog, e, run if e is out or turn <= RUN_DEG else e.size_in)
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
        joint.drafts.append(Draft(pattern, sizes, (into.pipe.id, out.pipe.id), data.status, said(data)))
        joint.take[into.key] = taken(data, "inlet", 0)
        joint.take[out.key] = taken(data, "outlet", 0)
        return joint
    names, angles = bends_for(turn, _quarter(into, out, size, allowed))
    made, off = made_of(turn, angles)
    for k, name in enumerate(names):
        pattern = STREET[name] if k else name  # of two bends the second goes into the hub of the first
        data = catalogue.fitting(pattern, (size, size), catalog)
        status = data.status if not made else weakest((data.status, Status.ESTIMATE))
        pipes = (into.pipe.id, out.pipe.id)
        joint.drafts.append(Draft(pattern, (size, size), pipes, status, made or said(data), off))
    before, after = _legs(tuple(d.pattern for d in joint.drafts), angles, size, catalog)
    status = joint.drafts[0].status
    joint.take[into.key] = replace(before, status=status)
    joint.take[out.key] = replace(after, status=status)
    for e in (into, out):
        bush(joint, catalog, e, size)
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


def _legs(
    patterns: tuple[str, ...], angles: tuple[float, ...], size: float, catalog: Catalog
) -> tuple[TakeOff, TakeOff]:
    """Return what is taken off before and after the node; two bends are a street bend in a hub."""
    bends = [catalogue.fitting(p, (size, size), catalog) for p in patterns]
    first = taken(bends[0], "inlet", 0)
    if len(bends) == 1:
        return first, taken(bends[0], "outlet", 0)
    last = taken(bends[1], "hub", 1)
    both = math.radians(sum(angles))
    if math.sin(both) < 0.05:
        return first, last
    between = ((bends[0].key, "outlet"), (bends[1].key, "spigot"))
    apart = bends[0].ports["outlet"] + bends[1].ports["spigot"]
    sides = (apart * math.sin(math.radians(a)) / math.sin(both) for a in reversed(angles))
    made = [
        replace(t, mm=t.mm + side, make_ups=(*t.make_ups, *between))
        for t, side in zip((first, last), sides, strict=True)
    ]
    return made[0], made[1]
