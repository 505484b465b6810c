"""Can it be put in? Pieces through several members, and in what order a wall is put together. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterator

from stubout.fabrication.joined import Joined
from stubout.fabrication.model import CutPiece, PutIn, WallOrder
from stubout.fabrication.parting import SEVERAL, WAYS, Length, Line, Way
from stubout.house.model import House
from stubout.network.model import Network, Pipe


def put_in(made: Joined) -> tuple[PutIn, ...]:
    """Return every run through several members: the room it has, what it is cut into, and whether that can be put in.

    Args:
        made: The runs and their pieces.
    """
    by_run: dict[tuple[str, ...], list[CutPiece]] = {}
    for piece in made.pieces:
        by_run.setdefault(piece.pipes, []).append(piece)
    out = []
    for run in made.runs:
        own = by_run[run.ids]
        line = made.framing.line(run, own[0].takeoff_start_mm, own[-1].takeoff_end_mm)
        if own[0].street or not line.passed:
            continue
        order, goes = _order(line, own)
        for owner in dict.fromkeys(p.owner for p in line.passed):
            through = [p for p in line.passed if p.owner == owner and line.start_mm <= p.at_mm <= line.end_mm]
            if len(through) < SEVERAL:
                continue
            rooms = (through[0].before_mm, through[-1].after_mm)
            bays = [r for r in rooms if r < float("inf")]
            out.append(
                PutIn(
                    piece=own[0].id,
                    owner=owner,
                    members=len(through),
                    length_mm=line.end_mm - line.start_mm,
                    room_mm=max(bays, default=0.0),
                    open_end=len(bays) < len(rooms),
                    couplings=len(own) - 1,
                    pieces=tuple(own[k].id for k in order),
                    joints=tuple(p.end_fitting for p in own[:-1]),
                    goes=goes,
                )
            )
    return tuple(out)


def _order(line: Line, own: list[CutPiece]) -> tuple[list[int], bool]:
    """Return the pieces of a run in the order they go in, and whether all of them do.

    Those that have to come in from before the members go in first, the last of them first; then those that have to
    come in from behind; then those that are slanted in.
    """
    lengths: list[Length] = []
    for k, piece in enumerate(own):
        start = lengths[-1].end_mm + own[k - 1].takeoff_end_mm + piece.takeoff_start_mm if k else line.start_mm
        lengths.append(Length(start, start + piece.cut_mm))
    can = [{way for way in WAYS if line.lets(one, way)} for one in lengths]
    threaded = [k for k, one in enumerate(lengths) if line.several(one)]
    ways: dict[int, Way] = {}
    last = max((k for k in threaded if can[k] == {"before"}), default=-1)
    for k in threaded:
        ways[k] = "before" if k <= last or "after" not in can[k] else "after"
    goes = all(ways[k] in can[k] for k in threaded)
    before = [k for k in reversed(threaded) if ways[k] == "before"]
    after = [k for k in threaded if ways[k] == "after"]
    return [*before, *after, *(k for k in range(len(own)) if k not in ways)], goes


def wall_orders(
    pieces: tuple[CutPiece, ...], network: Network, house: House, threaded: tuple[PutIn, ...]
) -> tuple[WallOrder, ...]:
    """Return the pieces of every wall in the order they are put in.

    From the foot up: at every point the level pieces come before the upright one that stands on it and closes them off.

    Args:
        pieces: The cut pieces.
        network: The network.
        house: The house; its walls in their order.
        threaded: What goes through several members, in the order in which it does.
    """
    by_pipe: dict[str, list[CutPiece]] = {}
    turn = {i: k for run in threaded for k, i in enumerate(run.pieces)}
    for piece in sorted(pieces, key=lambda p: turn.get(p.id, 0)):
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
