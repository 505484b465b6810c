"""From take-offs to cut pieces: straight runs through nodes without a fitting, couplings, cut lengths. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from stubout import units
from stubout.catalog import queries as catalogue
from stubout.catalog.model import Catalog, FittingData
from stubout.fabrication.choose_base import Joint, MakeUp, TakeOff
from stubout.fabrication.jogs import Joints
from stubout.fabrication.joining import Reach, Street, refused, room
from stubout.fabrication.model import CutPiece, FittingUse
from stubout.fabrication.parting import Parted
from stubout.geometry.vec import Vec
from stubout.network.model import Network, Pipe
from stubout.problems import weakest

TOO_LONG = "run longer than a stick"
TO_GO_IN = "so that the run can be put in"


@dataclass(frozen=True, slots=True)
class Straight:
    """One straight run: pipes in order, True where walked from start to end."""

    pipes: tuple[tuple[Pipe, bool], ...]
    jogs: tuple[str, ...] = ()  # pipes taken up in the joints at its ends

    @property
    def length_mm(self) -> float:
        """Return the length along the pipe, centre to centre [mm]."""
        return sum(p.length_mm for p, _ in self.pipes)

    @property
    def ids(self) -> tuple[str, ...]:
        """Return the pipe ids in order, jogs taken up in its joints last."""
        return (*(p.id for p, _ in self.pipes), *self.jogs)

    @property
    def upright(self) -> bool:
        """Return whether it stands within 45 degrees of plumb."""
        return self.pipes[0][0].vertical

    def point(self, along_mm: float) -> Vec:
        """Return the point at a distance from the beginning [mm]."""
        left = along_mm
        for p, forward in self.pipes:
            a, b = (p.a, p.b) if forward else (p.b, p.a)
            if left <= p.length_mm or p is self.pipes[-1][0]:
                return a.plus(b.minus(a).times(left / p.length_mm)) if p.length_mm > 0 else a
            left -= p.length_mm
        return self.pipes[-1][0].b

    def at(self, along_mm: float) -> Pipe:
        """Return the pipe at a distance from the beginning [mm]."""
        left = along_mm
        for p, _ in self.pipes:
            if left <= p.length_mm:
                return p
            left -= p.length_mm
        return self.pipes[-1][0]

    @property
    def head(self) -> tuple[str, bool]:
        """Return the end key at the beginning."""
        p, forward = self.pipes[0]
        return (p.id, forward)

    @property
    def tail(self) -> tuple[str, bool]:
        """Return the end key at the end."""
        p, forward = self.pipes[-1]
        return (p.id, not forward)


def straights(network: Network, joints: Mapping[str, Joint], clusters: Joints) -> tuple[Straight, ...]:
    """Return all straight runs, every pipe in exactly one, in network order.

    Args:
        network: The network.
        joints: What stands at every node, by the node that speaks for the joint.
        clusters: Which nodes are one joint, which pipes are taken up in one.
    """
    used: set[str] = set(clusters.taken_up)
    out: list[Straight] = []
    for pipe in network.pipes:
        if pipe.id in used:
            continue
        used.add(pipe.id)
        chain: list[tuple[Pipe, bool]] = [(pipe, True)]
        _grow(network, joints, clusters, chain, used=used, forward=True)
        _grow(network, joints, clusters, chain, used=used, forward=False)
        out.append(Straight(tuple(chain)))
    return _with_jogs(out, clusters)


def end_nodes(run: Straight, clusters: Joints) -> tuple[str, str]:
    """Return the nodes that speak for the joints at the beginning and at the end of a run."""
    first, forward = run.pipes[0]
    last, onward = run.pipes[-1]
    return (
        clusters.head[first.start if forward else first.end],
        clusters.head[last.end if onward else last.start],
    )


def _with_jogs(runs: list[Straight], clusters: Joints) -> tuple[Straight, ...]:
    """Hand every jog to the first run that ends in its joint."""
    given: dict[int, list[str]] = {}
    for jog, joint in clusters.taken_up.items():
        for k, run in enumerate(runs):
            touched = {clusters.head[n] for p, _ in run.pipes for n in (p.start, p.end)}
            if joint in touched:
                given.setdefault(k, []).append(jog)
                break
    return tuple(Straight(run.pipes, tuple(given.get(k, ()))) for k, run in enumerate(runs))


def _grow(
    network: Network,
    joints: Mapping[str, Joint],
    clusters: Joints,
    chain: list[tuple[Pipe, bool]],
    *,
    used: set[str],
    forward: bool,
) -> None:
    while True:
        pipe, along = chain[-1] if forward else chain[0]
        head = clusters.head[pipe.end if along is forward else pipe.start]
        joint = joints.get(head)
        if joint is None or not joint.through:
            return
        nodes = [network.node(n) for n in clusters.nodes[head]]
        rest = [i for n in nodes for i in (*n.inflow, *n.outflow) if i not in used]
        if not rest:
            return
        nxt = network.pipe(rest[0])
        used.add(nxt.id)
        starts_here = clusters.head[nxt.start] == head
        if forward:
            chain.append((nxt, starts_here))
        else:
            chain.insert(0, (nxt, not starts_here))


STUB_NOTES = {
    "stub-out": "open end is the stub-out past the finished wall",
    "arm": "open end is the arm in front of the wall",
}


@dataclass(frozen=True, slots=True)
class EndOfPiece:
    """What a piece ends in: take-off, fitting id, whether there is a socket."""

    take: TakeOff
    fitting: str  # FittingUse id, "" for an open end

    @property
    def named(self) -> str:
        """Return the fitting id, "terminal", or "" for an open end."""
        return self.fitting or ("terminal" if self.take.open_end == "terminal" else "")

    @property
    def stub(self) -> str:
        """Return the note of a piece that ends in a stub-out or an arm before the wall, "" for any other end."""
        return STUB_NOTES.get(self.take.open_end, "")


def cut(
    run: Straight,
    start: EndOfPiece,
    end: EndOfPiece,
    parted: Parted,
    *,
    catalog: Catalog,
    next_fitting: int,
    unit: units.Units,
    reach: Reach | None = None,
) -> tuple[list[CutPiece], list[FittingUse]]:
    """Return the pieces of one straight run and the couplings between them.

    Cut length = centre to centre less both make-ups (US Army engineer plumbing course, fra0202, read).

    Args:
        run: The straight run.
        start: What stands at its beginning.
        end: What stands at its end.
        parted: Its lengths, seat to seat.
        catalog: The catalogue.
        next_fitting: Number of the next fitting.
        unit: Unit of the notes.
        reach: Over which distances a street fitting would join the ends, None where none can.
    """
    lengths = parted.lengths
    size = run.pipes[0][0].size_in
    couplings = [
        _coupling(
            run,
            (one.end_mm + two.start_mm) / 2,
            f"F{next_fitting + k}",
            catalog,
            TO_GO_IN if parted.to_go_in else TOO_LONG,
        )
        for k, (one, two) in enumerate(pairwise(lengths))
    ]
    data = catalogue.fitting("coupling", (size, size), catalog) if couplings else None
    status = weakest((start.take.status, end.take.status, *(c.status for c in couplings[:1])))
    pieces: list[CutPiece] = []
    for k, length in enumerate(lengths):
        first, last = k == 0, k == len(lengths) - 1
        left_id = start.named if first else couplings[k - 1].id
        right_id = end.named if last else couplings[k].id
        left_take = start.take.mm if first else (length.start_mm - lengths[k - 1].end_mm) / 2
        right_take = end.take.mm if last else (lengths[k + 1].start_mm - length.end_mm) / 2
        sockets = sum((_socket(first, start, left_id), _socket(last, end, right_id)))
        centre = length.mm + left_take + right_take
        socket = catalog.socket_mm(size)
        fits = room(length.mm, sockets, socket)
        note, do = ("", "") if fits else refused(length.mm, socket * sockets, centre, reach, unit)
        if fits:
            note = (start.stub if first else "") or (end.stub if last else "")
        if parted.to_go_in or not data:
            made_of = (*_at_start(k, start, data), *(end.take.make_ups if last else _of(data, "inlet")))
        else:  # a whole stick is as long as it is: what the run is shortened by, its last length is
            joined = (*_of(data, "inlet"), *_of(data, "outlet")) * len(couplings)
            made_of = (*start.take.make_ups, *end.take.make_ups, *joined) if last else ()
        pieces.append(
            CutPiece(
                id=f"{run.pipes[0][0].id}-{k + 1}",
                pipe=run.pipes[0][0].id,
                system=run.pipes[0][0].system,
                size_in=size,
                centre_mm=centre,
                takeoff_start_mm=left_take,
                takeoff_end_mm=right_take,
                cut_mm=length.mm,
                start_fitting=left_id,
                end_fitting=right_id,
                status=status,
                fits=fits,
                note=note,
                do=do,
                pipes=run.ids,
                make_ups=made_of,
            )
        )
    return pieces, couplings


def _coupling(run: Straight, along_mm: float, named: str, catalog: Catalog, why: str) -> FittingUse:
    """Return a coupling in a run: it stands on one of its pipes, at no node."""
    pipe = run.at(along_mm)
    sizes = (pipe.size_in, pipe.size_in)
    status = catalogue.fitting("coupling", sizes, catalog).status
    return FittingUse(named, "", "coupling", sizes, run.point(along_mm), (pipe.id, pipe.id), status, why)


def _at_start(k: int, start: EndOfPiece, coupling: FittingData | None) -> tuple[MakeUp, ...]:
    return _of(coupling, "outlet") if k else start.take.make_ups


def _of(coupling: FittingData | None, port: str) -> tuple[MakeUp, ...]:
    """Return what a piece is shortened by at an end in a coupling: half of what keeps its two pipes apart."""
    return ((coupling.key, port),) if coupling else ()


def _socket(outer: bool, end: EndOfPiece, fitting: str) -> bool:
    """Return whether the piece ends in a socket there."""
    return bool(end.fitting) if outer else bool(fitting)


def street_piece(run: Straight, start: EndOfPiece, end: EndOfPiece, street: Street, unit: units.Units) -> CutPiece:
    """Return the line of a run that a street fitting takes the place of: nothing is cut.

    Args:
        run: The straight run.
        start: What stands at its beginning.
        end: What stands at its end; the two take-offs make up the whole run.
        street: The street fitting.
        unit: Unit of the note.
    """
    first = run.pipes[0][0]
    return CutPiece(
        id=f"{first.id}-1",
        pipe=first.id,
        system=first.system,
        size_in=first.size_in,
        centre_mm=run.length_mm,
        takeoff_start_mm=start.take.mm,
        takeoff_end_mm=end.take.mm,
        cut_mm=0.0,
        start_fitting=start.named,
        end_fitting=end.named,
        status=weakest((start.take.status, end.take.status)),
        note=street.said(unit, end.named if street.at_head else start.named),
        pipes=run.ids,
        street=start.named if street.at_head else end.named,
    )
