"""Puts fittings and cut pieces together again, to see whether they come out where the design has its points.

Another way than the cut list's: fittings are bodies. Each is put where its own shape wants it - the bend at the corner,
the tee on its run, so that a bend in its hub lies on the line of its pipe - and its seats follow from centre, axis and
make-up. A piece is right when it is as long as its two seats are apart. What the cut list takes off is never asked.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise

from stubout.catalog import queries as catalogue
from stubout.catalog.model import Catalog
from stubout.catalog.shipped import SHIPPED
from stubout.design import Design
from stubout.fabrication.jogs import find
from stubout.fabrication.model import CutPiece, Fabrication, FittingUse
from stubout.geometry.vec import Vec
from stubout.layout.model import Role
from stubout.network.model import Network

BRANCHED = ("tee", "wye", "combination")


@dataclass(frozen=True)
class Miss:
    """One straight run put together: how much its pieces are too long or short, and what they stand between."""

    pipes: tuple[str, ...]
    mm: float
    off_deg: float  # between the line of its two seats and the line of the pipe
    beside: bool  # a fitting at one end is said to stand beside its point
    fits: bool


@dataclass
class Bench:
    """The seats of all fittings, by the end of the pipe that goes into them."""

    net: Network
    parts: Catalog
    head: dict[str, str]
    seats: dict[tuple[str, bool], Vec] = field(default_factory=dict)
    beside: set[tuple[str, bool]] = field(default_factory=set)

    def here(self, node: str) -> set[str]:
        return {n for n, h in self.head.items() if h == node}

    def away(self, pid: str, node: str) -> Vec:
        """Return the direction of a pipe away from a joint."""
        p = self.net.pipe(pid)
        d = p.b.minus(p.a)
        return (d if p.start in self.here(node) else d.times(-1.0)).unit()

    def put(self, pid: str, node: str, seat: Vec, *, beside: bool = False) -> None:
        p = self.net.pipe(pid)
        for at_start, n in ((True, p.start), (False, p.end)):
            if n in self.here(node):
                self.seats[(pid, at_start)] = seat
                if beside:
                    self.beside.add((pid, at_start))

    def ports(self, use: FittingUse) -> dict[str, float]:
        return dict(catalogue.fitting(use.pattern, use.sizes_in, self.parts).ports)

    def kind(self, use: FittingUse) -> str:
        return self.parts.pattern(use.pattern).kind


def angle(a: Vec, b: Vec) -> float:
    """Return the angle between two unit vectors [rad]."""
    return math.acos(max(-1.0, min(1.0, a.dot(b))))


def assembled(design: Design) -> list[Miss]:
    """Return every straight run of a design, put together."""
    return put_together(design.network, design.fabrication, SHIPPED.with_measured(design.house.measured))


def put_together(net: Network, fab: Fabrication, parts: Catalog = SHIPPED) -> list[Miss]:
    """Return every straight run of pieces, put together."""
    clusters = find(net)
    bench = Bench(net, parts, clusters.head)
    spigots = {p.street: p for p in fab.pieces if p.street}
    by_node: dict[str, list[FittingUse]] = {}
    for use in fab.fittings:
        if use.node:
            by_node.setdefault(clusters.head[use.node], []).append(use)
    for node, uses in by_node.items():
        _joint(bench, node, uses, spigots)
    runs: dict[tuple[str, ...], list[CutPiece]] = {}
    for piece in fab.pieces:
        if piece.pipes:
            runs.setdefault(piece.pipes, []).append(piece)
    return [_run(bench, tuple(i for i in ids if i not in clusters.taken_up), own) for ids, own in runs.items()]


def _joint(bench: Bench, node: str, uses: list[FittingUse], spigots: dict[str, CutPiece]) -> None:
    bushed = {u.pipes[0]: bench.ports(u)["outlet"] for u in uses if u.pattern == "bushing"}
    close = {
        u.pipes[0]: bench.ports(u)
        for u in uses
        if bench.kind(u) == "street" and len(u.pipes) == 2 and u.pipes[0] == u.pipes[1]
    }
    branched = [u for u in uses if bench.kind(u) in BRANCHED]
    bends = [u for u in uses if bench.kind(u) in ("bend", "street")]
    if branched:
        _branched(bench, node, branched, uses, close=close, bushed=bushed)
    elif len(bends) == 2:
        _pair(bench, node, bends, bushed)
    else:
        _single(bench, node, uses, spigots=spigots, bushed=bushed)


def _branched(
    bench: Bench,
    node: str,
    branched: list[FittingUse],
    uses: list[FittingUse],
    *,
    close: dict[str, dict[str, float]],
    bushed: dict[str, float],
) -> None:
    """Place the tees and wyes of a joint, one above the other, and the bends in their hubs."""
    first = branched[0]
    run, out = first.pipes[0], first.pipes[1]
    point = bench.net.node(node).at
    up = bench.away(out, node).times(-1.0) if out else bench.away(run, node)
    legs = list(bench.ports(first).values())
    centre = point
    for k, pid in enumerate(first.pipes[2:]):
        if pid in close:  # moved along the run until the bend's centre lies on the branch's own line
            own = math.radians(45.0 if "wye" in first.pattern else 90.0)
            leg, turn = legs[2 + k] + close[pid]["spigot"], angle(bench.away(pid, node), up)
            along = leg * math.sin(own) / math.sin(turn)
            shift = along * math.cos(turn) - leg * math.cos(own)
            centre = point.plus((bench.away(run, node) if shift > 0 and run else up).times(shift))
            bench.put(pid, node, point.plus(bench.away(pid, node).times(along + close[pid]["hub"])))
    if run in close and len(branched) == 1:  # the bend at the corner, the tee down stream of it
        centre = point.minus(up.times(legs[0] + bushed.get(run, 0.0) + close[run]["spigot"]))
        bench.put(run, node, point.plus(bench.away(run, node).times(close[run]["hub"])))
    elif out in close:  # or up stream of it
        up = bench.away(run, node)
        centre = point.plus(up.times(legs[1] + bushed.get(out, 0.0) + close[out]["spigot"]))
        bench.put(out, node, point.plus(bench.away(out, node).times(close[out]["hub"])))
    for k, use in enumerate(branched):
        legs = list(bench.ports(use).values())
        if k:
            below = next(iter(bench.ports(branched[k - 1]).values()))
            centre = centre.plus(up.times(below + 2 * bench.parts.socket_mm(max(use.sizes_in)) + legs[1]))
        if k == 0 and out and out not in close:
            bench.put(out, node, centre.minus(up.times(legs[1] + bushed.get(out, 0.0))))
        if use is branched[-1] and run and run not in close:
            bench.put(run, node, centre.plus(up.times(legs[0] + bushed.get(run, 0.0))))
        stands = centre.minus(point).dot(up)
        assert not use.beside_mm or abs(stands + use.beside_mm) < 0.5, (use.id, use.beside_mm, stands)
        for leg, pid in zip(legs[2:], use.pipes[2:], strict=False):
            said = pid or _rodded(bench, node, uses)
            if said and said not in close:
                seat = centre.plus(bench.away(said, node).times(leg + bushed.get(said, 0.0)))
                bench.put(said, node, seat, beside=bool(use.beside_mm))


def _rodded(bench: Bench, node: str, uses: list[FittingUse]) -> str:
    """Return the extension of a cleanout that comes into a two-way tee, which names no pipe there."""
    named = {i for u in uses for i in u.pipes}
    around = (i for n in bench.here(node) for i in (*bench.net.node(n).inflow, *bench.net.node(n).outflow))
    return next((i for i in around if i not in named and bench.net.pipe(i).role is Role.CLEANOUT_EXT), "")


def _pair(bench: Bench, node: str, bends: list[FittingUse], bushed: dict[str, float]) -> None:
    """Place two bends joined closely: their centres on the lines of the two pipes, a spigot and a leg apart."""
    one, two = (bench.ports(b) for b in bends)
    into, out = bends[0].pipes
    point = bench.net.node(node).at
    a, b = bench.away(into, node), bench.away(out, node)
    turn = math.pi - angle(a, b)
    angles = [bench.parts.pattern(u.pattern).turn_deg for u in bends]
    share = [turn * x / sum(angles) for x in angles]
    apart = one.get("outlet", one.get("hub", 0.0)) + two["spigot"]
    first, last = (apart * math.sin(s) / math.sin(turn) for s in (share[1], share[0]))
    bench.put(into, node, point.plus(a.times(first + one.get("inlet", one.get("spigot", 0.0)) + bushed.get(into, 0))))
    bench.put(out, node, point.plus(b.times(last + two["hub"] + bushed.get(out, 0.0))))


def _single(
    bench: Bench,
    node: str,
    uses: list[FittingUse],
    *,
    spigots: dict[str, CutPiece],
    bushed: dict[str, float],
) -> None:
    """Place a bend, a coupling, a trap or what closes an end."""
    point = bench.net.node(node).at
    bend = next((u for u in uses if bench.kind(u) in ("bend", "street")), None)
    for use in uses:
        legs = bench.ports(use)
        if use.pattern == "bushing" or (use.pattern == "closet flange" and bend is not None):
            continue
        ends = list(use.pipes)
        if use.pattern == "P-trap":  # a drain may come down to it
            ends += [i for i in bench.net.node(use.node).inflow if i not in ends]
        for k, pid in enumerate(ends):
            leg = list(legs.values())[min(k, len(legs) - 1)]
            if bench.kind(use) == "street":  # its spigot is where no pipe is, as long as it is cut
                held = spigots[use.id]
                cut = held.takeoff_start_mm if held.start_fitting == use.id else held.takeoff_end_mm
                leg = cut if pid in held.pipes else legs["hub"]
            elif use is bend and len(ends) == 1:
                leg = legs["outlet"]
            base = use.at if use.pattern == "trap adapter" else point
            take = 0.0 if use.pattern == "trap adapter" else leg + bushed.get(pid, 0.0)
            bench.put(pid, node, base.plus(bench.away(pid, node).times(take)))


def _run(bench: Bench, ids: tuple[str, ...], pieces: list[CutPiece]) -> Miss:
    """Return how far the pieces of a run are from reaching from seat to seat."""
    net, head = bench.net, bench.head
    pipes = [net.pipe(i) for i in ids]
    ends = [{head[p.start], head[p.end]} for p in pipes]
    forward = len(pipes) == 1 or head[pipes[0].end] in ends[1]
    onward = len(pipes) == 1 or head[pipes[-1].start] in ends[-2]
    first, last = (ids[0], forward), (ids[-1], not onward)
    a = bench.seats.get(first, pipes[0].a if forward else pipes[0].b)
    b = bench.seats.get(last, pipes[-1].b if onward else pipes[-1].a)
    between = [net.node(next(iter(x & y))).at for x, y in pairwise(ends)]
    way = [a, *(m for m in between if m.minus(a).dot(b.minus(a)) > 0 and m.minus(b).dot(a.minus(b)) > 0), b]
    length = sum(p.to(q) for p, q in pairwise(way))
    line = (pipes[0].b.minus(pipes[0].a) if forward else pipes[0].a.minus(pipes[0].b)).unit()
    over = len(way) == 2 and b.minus(a).dot(line) < 0  # the seats overlap
    off = angle(b.minus(a).unit(), line.times(-1.0 if over else 1.0)) if length > 20.0 else 0.0
    length = -length if over else length
    made = sum(p.cut_mm for p in pieces) + sum(x.takeoff_end_mm + y.takeoff_start_mm for x, y in pairwise(pieces))
    beside = bool(bench.beside & {first, last})
    return Miss(ids, made - length, math.degrees(off), beside, all(p.fits for p in pieces))
