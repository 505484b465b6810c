"""Can it be put in? Pieces through several members, and in what order a wall is put together. Lengths [mm]."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from stubout.fabrication.joined import Joined
from stubout.fabrication.model import CutPiece, InLine, PutIn, WallOrder
from stubout.fabrication.parting import SEVERAL, Length, Line, Passed, Way
from stubout.fabrication.pieces import Straight
from stubout.fabrication.turns import Turns, turns
from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.network.model import Network, Pipe
from stubout.network.standing import in_wall


def put_in(made: Joined) -> tuple[PutIn, ...]:
    """Return every run through several members: the room it has, what it is cut into, and whether that can be put in.

    Of upright runs also those through one member that cannot be put in whole.

    Args:
        made: The runs and their pieces.
    """
    by_run: dict[tuple[str, ...], list[CutPiece]] = {}
    for piece in (p for p in made.pieces if p.set_in != "short"):
        by_run.setdefault(piece.pipes, []).append(piece)
    out: list[PutIn] = []
    for run in made.runs:
        own = by_run[run.ids]
        line = made.framing.line(run, own[0].takeoff_start_mm, own[-1].takeoff_end_mm)
        if own[0].street or not line.passed:
            continue
        out += _upright(run, line, own) if run.upright else _lying(line, own)
    return tuple(out)


def _lying(line: Line, own: list[CutPiece]) -> Iterator[PutIn]:
    """Yield how a lying run is put in, owner by owner of what it goes through."""
    order = turns(line, _lengths(line, own))
    for owner in dict.fromkeys(p.owner for p in line.passed):
        through = [p for p in line.passed if p.owner == owner and line.start_mm <= p.at_mm <= line.end_mm]
        if len(through) < SEVERAL:
            continue
        rooms = (through[0].before_mm, through[-1].after_mm)
        yield _put_in(line, own, order, through, rooms, owner)


def _upright(run: Straight, line: Line, own: list[CutPiece]) -> Iterator[PutIn]:
    """Yield how an upright run is put in; nothing where one member does not keep it from going in whole."""
    lengths = _lengths(line, own)
    order = turns(line, lengths)
    through = [p for p in line.passed if line.start_mm <= p.at_mm <= line.end_mm]
    if not through or (len(through) < SEVERAL and len(own) == 1 and order.goes):
        return
    rises = run.point(run.length_mm).z > run.point(0.0).z
    words: dict[Way | None, InLine] = {"before": "up" if rises else "down", "after": "down" if rises else "up"}
    rooms = [r for p in line.passed for r in (p.before_mm, p.after_mm)]
    owner = ", ".join(dict.fromkeys(p.owner for p in (through if rises else reversed(through))))
    ways = tuple("first" if line.poured(lengths[k]) else words.get(w, "side") for k, w in order.ways.items())
    yield replace(_put_in(line, own, order, through, rooms, owner), ways=ways)


def _put_in(
    line: Line, own: list[CutPiece], order: Turns, through: Sequence[Passed], rooms: Sequence[float], owner: str
) -> PutIn:
    """Return how a run is put in.

    Args:
        line: The run.
        own: Its pieces.
        order: The order they go in.
        through: What it goes through.
        rooms: The stretches in line beside that, without end where it is open.
        owner: Whose members those are.
    """
    bays = [r for r in rooms if r < math.inf]
    return PutIn(
        piece=own[0].id,
        owner=owner,
        members=len(through),
        length_mm=line.end_mm - line.start_mm,
        room_mm=max(bays, default=0.0),
        open_end=len(bays) < len(rooms),
        couplings=len(own) - 1,
        pieces=tuple(own[k].id for k in order.ways),
        joints=tuple(p.end_fitting for p in own[:-1]),
        goes=order.goes,
    )


def _lengths(line: Line, own: list[CutPiece]) -> list[Length]:
    """Return where the pieces of a run begin and end, in their sockets."""
    out: list[Length] = []
    for k, piece in enumerate(own):
        start = out[-1].end_mm + own[k - 1].takeoff_end_mm + piece.takeoff_start_mm if k else line.start_mm
        out.append(Length(start, start + piece.cut_mm))
    return out


def wall_orders(
    pieces: tuple[CutPiece, ...],
    network: Network,
    house: House,
    threaded: tuple[PutIn, ...],
    runs: Sequence[Straight],
) -> tuple[WallOrder, ...]:
    """Return the pieces of every wall in the order they are put in, an upright one in each wall it stands in.

    From the foot up: at every point the level pieces come before the upright one that stands on it and closes them off.

    Args:
        pieces: The cut pieces.
        network: The network.
        house: The house; its walls in their order.
        threaded: What goes through several members, in the order in which it does.
        runs: The straight runs that the pieces are cut from.
    """
    by_pipe: dict[str, list[CutPiece]] = {}
    turn = {i: k for run in threaded for k, i in enumerate(run.pieces)}
    for piece in sorted(pieces, key=lambda p: turn.get(p.id, 0)):
        for i in (piece.pipes or (piece.pipe,))[:1]:
            by_pipe.setdefault(i, []).append(piece)
    whole = {i: p.pipes[0] for p in pieces if p.pipes for i in p.pipes}
    ends = {piece.id: (a, b) for run in runs for piece, a, b in _along(run, pieces)}
    out = []
    for wall in house.walls:
        order: list[str] = []
        for pipe in _from_the_foot([p for p in network.pipes if in_wall(p, wall)]):
            for piece in by_pipe.get(whole.get(pipe.id, pipe.id), ()):
                here = pipe.place.ref == wall.id or (piece.id in ends and wall.stands_in(*ends[piece.id]))
                if here and piece.id not in order:
                    order.append(piece.id)
        if order:
            out.append(WallOrder(wall.id, tuple(order)))
    return tuple(out)


def _along(run: Straight, pieces: Sequence[CutPiece]) -> Iterator[tuple[CutPiece, Vec, Vec]]:
    """Yield the pieces of an upright run with the ends of each, in the middles of its fittings."""
    at_mm = 0.0
    for piece in pieces if run.upright else ():
        if piece.pipes == run.ids:
            yield piece, run.point(at_mm), run.point(at_mm + piece.centre_mm)
            at_mm += piece.centre_mm


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
