"""Can it be put in? Straight pieces through several members, and in what order a wall is put together. Lengths [mm].

A piece that goes through two members and more stands square in their holes and cannot be slanted in: it has to lie in
line beside the first of them before it goes in. The room there is the bay up to the next member, or none is limited
where the wall has an open end. Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from stubout.fabrication.model import Bore, CutPiece, PutIn, WallOrder
from stubout.geometry.vec import Vec
from stubout.house.framing import Wall
from stubout.house.model import House
from stubout.network.model import Network, Pipe

SEVERAL = 2  # members: one alone lets a pipe be slanted in its hole
LINED = ("stud", "joist", "i-joist", "truss")
CORNER_MM = 50.0  # a wall that comes this near to the end of another one closes it


def put_in(pieces: tuple[CutPiece, ...], bores: tuple[Bore, ...], network: Network, house: House) -> tuple[PutIn, ...]:
    """Return every piece through several members: the room it has, and the couplings it needs where that is too short.

    Args:
        pieces: The cut pieces.
        bores: The holes.
        network: The network.
        house: Walls and frames.
    """
    by_pipe: dict[str, list[Bore]] = {}
    for b in bores:
        if b.member_kind in LINED:
            by_pipe.setdefault(b.pipe, []).append(b)
    out = []
    for piece, span in _spans(pieces, network):
        owners: dict[str, list[Bore]] = {}
        for b in (b for i in piece.pipes for b in by_pipe.get(i, ()) if _within(b.centre, span)):
            owners.setdefault(b.wall_or_frame, []).append(b)
        for owner, through in owners.items():
            if len(through) < SEVERAL:
                continue
            room, open_end = _room(house, owner, through)
            fits = open_end or piece.cut_mm <= room + 1e-6
            couplings = 0 if fits else math.ceil(piece.cut_mm / room) - 1 if room > 0 else len(through)
            out.append(PutIn(piece.id, owner, len(through), piece.cut_mm, room, open_end, couplings))
    return tuple(out)


def _spans(pieces: tuple[CutPiece, ...], network: Network) -> Iterator[tuple[CutPiece, tuple[Vec, Vec]]]:
    """Yield the pieces of level runs with their two ends in the house."""
    known = {p.id: p for p in network.pipes}
    along: dict[tuple[str, ...], float] = {}
    for piece in pieces:
        run = [known[i] for i in piece.pipes if i in known]
        if not run or piece.cut_mm <= 0 or run[0].vertical:
            continue
        at = along.get(piece.pipes, 0.0) + piece.takeoff_start_mm
        along[piece.pipes] = at + piece.cut_mm + piece.takeoff_end_mm
        a, line = _line(run)
        yield piece, (a.plus(line.times(at)), a.plus(line.times(at + piece.cut_mm)))


def _line(run: list[Pipe]) -> tuple[Vec, Vec]:
    """Return where a run begins and its direction; its pipes lie in one line."""
    first = run[0]
    backward = len(run) > 1 and first.start in (run[1].start, run[1].end)
    a, b = (first.b, first.a) if backward else (first.a, first.b)
    return a, b.minus(a).unit()


def _within(at: Vec, span: tuple[Vec, Vec]) -> bool:
    line = span[1].minus(span[0])
    share = at.minus(span[0]).dot(line) / max(line.dot(line), 1e-9)
    return 0.0 <= share <= 1.0


def _room(house: House, owner: str, through: list[Bore]) -> tuple[float, bool]:
    """Return the longest length in line beside the members a piece goes through, and whether one end is open."""
    stations = [b.station_mm for b in through]
    lo, hi = min(stations), max(stations)
    wall = next((w for w in house.walls if w.id == owner), None)
    frame = next((f for f in house.frames if f.id == owner), None)
    if wall is not None:
        members = [(s.station_mm - s.width_mm / 2, s.station_mm + s.width_mm / 2) for s in wall.studs]
    elif frame is not None:
        members = [(c - frame.width_mm / 2, c + frame.width_mm / 2) for c in frame.centres_mm]
    else:
        return 0.0, False
    first = min((m for m in members if m[1] > lo - 1.0), default=(lo, lo))[0]
    last = max((m for m in members if m[0] < hi + 1.0), default=(hi, hi))[1]
    before = [m[1] for m in members if m[1] <= first + 1e-6]
    after = [m[0] for m in members if m[0] >= last - 1e-6]
    rooms = [first - max(before)] if before else []
    rooms += [min(after) - last] if after else []
    open_end = wall is not None and (
        (not before and _open(house, wall, wall.start)) or (not after and _open(house, wall, wall.end))
    )
    return max(rooms, default=0.0), open_end


def _open(house: House, wall: Wall, end: Vec) -> bool:
    """Return whether no other wall of the storey closes an end of a wall."""
    for other in house.walls:
        if other.id == wall.id or other.level_id != wall.level_id:
            continue
        along = other.station(end)
        reach = other.depth_mm / 2 + wall.depth_mm / 2 + CORNER_MM
        if -reach <= along <= other.length_mm + reach and abs(other.offset(end)) <= reach:
            return False
    return True


def wall_orders(pieces: tuple[CutPiece, ...], network: Network, house: House) -> tuple[WallOrder, ...]:
    """Return the pieces of every wall in the order they are put in.

    From the foot up: at every point the level pieces come before the upright one that stands on it and closes them off.

    Args:
        pieces: The cut pieces.
        network: The network.
        house: The house; its walls in their order.
    """
    by_pipe: dict[str, list[CutPiece]] = {}
    for piece in pieces:
        for i in (piece.pipes or (piece.pipe,))[:1]:
            by_pipe.setdefault(i, []).append(piece)
    whole = {i: p.pipes[0] for p in pieces if p.pipes for i in p.pipes}
    out = []
    for wall in house.walls:
        inside = [p for p in network.pipes if p.place.kind == "wall" and p.place.ref == wall.id]
        order: list[str] = []
        for pipe in _from_the_foot(inside):
            for piece in by_pipe.get(whole.get(pipe.id, pipe.id), ()):
                if piece.id not in order:
                    order.append(piece.id)
        if order:
            out.append(WallOrder(wall.id, tuple(order)))
    return tuple(out)


def _from_the_foot(pipes: list[Pipe]) -> Iterator[Pipe]:
    """Yield pipes from the lowest point up, along what is joined already, level ones before upright ones."""
    left = list(pipes)
    reached: dict[str, float] = {}  # point -> its height

    def rank(p: Pipe) -> tuple[float, bool, str]:
        joined = [reached[n] for n in (p.start, p.end) if n in reached]
        return (round(min(joined, default=min(p.a.z, p.b.z)), 1), p.vertical, p.id)

    while left:
        near = [p for p in left if p.start in reached or p.end in reached] or left
        pipe = min(near, key=rank)
        left.remove(pipe)
        reached |= {pipe.start: pipe.a.z, pipe.end: pipe.b.z}
        yield pipe
