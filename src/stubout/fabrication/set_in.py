"""New pipe on installed pipe: couplings on the old ends, and the short pieces beside a fitting set into it.

Of another material, or of one that nobody has told, old pipe takes a transition coupling at every port of the new
fitting: a sleeve with a shield that fits both outside diameters, and a short piece of new pipe between it and the hub.
Of the material of the job it is glued, but for one end of a run that is cut through: both ends of it stand fast, so
that one of them is joined by a repair coupling, which has no stop and slides (common practice, no source). [mm]
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from stubout import units
from stubout.catalog import queries as catalogue
from stubout.catalog.model import Catalog
from stubout.fabrication.choose_base import Draft, Joint, TakeOff, taken
from stubout.fabrication.ends import End
from stubout.fabrication.jogs import Joints
from stubout.fabrication.model import UNKNOWN, CutPiece, FittingUse
from stubout.house.model import House
from stubout.network.model import Network, Node, Pipe, PointKind
from stubout.problems import weakest

TRANSITION, REPAIR = "transition coupling", "repair coupling"
INSTALLED = "installed"
LEAST_OLD_MM = 100.0  # shorter than that no old pipe is left between two fittings set in; common practice, no source
NO_JOINT = (PointKind.TRAP, PointKind.FLANGE, PointKind.CLEANOUT)  # slip joints, a bolted ring, a plug: no pipe is cut


def unlike(pipe: Pipe, house: House) -> str:
    """Return the material of an installed pipe that cement does not join to the new pipe, "" where it does.

    Args:
        pipe: The pipe.
        house: The house: new pipe is of the job's material.
    """
    if pipe.said != INSTALLED or pipe.material == house.job.material:
        return ""
    return pipe.material or UNKNOWN


def end_to_end(node: Node, ends: tuple[End, ...], joint: Joint, house: House, catalog: Catalog) -> None:
    """Put a coupling where new pipe goes straight on from installed pipe, and where it ends in that of the street.

    Args:
        node: The node.
        ends: The pipe ends there.
        joint: What was chosen for it; changed.
        house: The house.
        catalog: The catalogue, measurements laid over it.
    """
    sewer = house.sewer
    if node.kind is PointKind.SEWER and sewer.what == "existing pipe" and sewer.material != house.job.material:
        if len(ends) == 1 and joint.drafts and ends[0].pipe.said != INSTALLED:
            _coupled(joint, ends, sewer.material or UNKNOWN, catalog)
        return
    old = [e for e in ends if e.pipe.said == INSTALLED]
    if not joint.through or len(ends) != 2 or len(old) != 1:
        return
    if other := unlike(old[0].pipe, house):  # pipe of the job is cut as one piece, wherever what is in place ends
        joint.through = False
        _coupled(joint, ends, other, catalog)


def _coupled(joint: Joint, ends: tuple[End, ...], onto: str, catalog: Catalog) -> None:
    sizes = (ends[0].size_in, ends[-1].size_in)
    data = catalogue.fitting(TRANSITION, sizes, catalog)
    note = joint.drafts[0].note if joint.drafts else ""
    joint.drafts[:] = [Draft(TRANSITION, sizes, tuple(e.pipe.id for e in ends), data.status, note, onto=onto)]
    for e, port in zip(ends, ("inlet", "outlet"), strict=False):
        joint.take[e.key] = taken(data, port, 0)


class Port(NamedTuple):
    """An installed pipe at a fitting that is set into it."""

    end: End
    take: TakeOff
    node: Node
    fitting: str  # id of what its end stood in, and the short piece stands in now
    onto: str  # its material, "" where cement joins it


@dataclass
class SetIn:
    """What is set in beside the fittings of a network, and what becomes of the pieces of the installed pipes."""

    network: Network
    house: House
    catalog: Catalog
    number: int  # of the last fitting
    couplings: list[FittingUse] = field(default_factory=list)
    pieces: list[CutPiece] = field(default_factory=list)
    whole: dict[str, None] = field(default_factory=dict)  # old pipes of which nothing stays

    def around(self, ports: Iterable[Port]) -> None:
        """Set a coupling and a short piece at each port, or new pipe for the whole of what is too short for both."""
        listed = list(ports)
        by_pipe: dict[str, list[Port]] = {}
        for p in listed:
            by_pipe.setdefault(p.end.pipe.id, []).append(p)
        for pipe_id, own in by_pipe.items():
            old_mm = own[0].end.pipe.length_mm - sum(self.centre_mm(p) + self._half_mm(p) for p in own)
            if len(own) > 1 and old_mm < LEAST_OLD_MM:
                self.whole[pipe_id] = None
                continue
            for p in own:
                self._beside(p, tight=old_mm < 0.0)

    def centre_mm(self, port: Port) -> float:
        """Return how far from the centre of the fitting the coupling has its middle [mm]."""
        bare = self.catalog.figure("bare pipe beside a sleeve").value
        return port.take.mm + self.catalog.socket_mm(port.end.size_in) + bare + self._half_mm(port)

    def _half_mm(self, port: Port) -> float:
        if port.onto:
            return self.catalog.figure("half a transition coupling").value
        return catalogue.coupling_mm(port.end.size_in, self.catalog) / 2

    def _beside(self, port: Port, *, tight: bool) -> None:
        pipe, size = port.end.pipe, port.end.size_in
        data = catalogue.fitting(TRANSITION if port.onto else REPAIR, (size, size), self.catalog)
        gap_mm, centre_mm = data.ports["inlet"], self.centre_mm(port)
        self.number += 1
        named, unit = f"F{self.number}", self.house.job.units
        cut = units.both(centre_mm + gap_mm, unit)
        note = f"cut {pipe.id} {cut} from the centre of {port.fitting}"
        if tight:
            note += "; there is less of it before the next installed fitting: open it up to that one first"
        at = port.node.at.plus(port.end.away.times(centre_mm))
        self.couplings.append(
            FittingUse(
                named, port.node.id, data.pattern, (size, size), at, (pipe.id, pipe.id), data.status, note,
                onto=port.onto,
            )
        )  # fmt: skip
        self.pieces.append(
            CutPiece(
                id=f"{pipe.id}-S{1 if port.end.at_start else 2}",
                pipe=pipe.id,
                system=pipe.system,
                size_in=size,
                centre_mm=centre_mm,
                takeoff_start_mm=port.take.mm,
                takeoff_end_mm=gap_mm,
                cut_mm=centre_mm - port.take.mm - gap_mm,
                start_fitting=port.fitting,
                end_fitting=named,
                status=weakest((port.take.status, data.status)),
                note=f"set into {pipe.id}",
                pipes=(pipe.id,),
                make_ups=(*port.take.make_ups, (data.key, "inlet")),
                set_in="short",
            )
        )


def ports_of(
    network: Network,
    joints: Mapping[str, Joint],
    clusters: Joints,
    ids: Mapping[tuple[str, int], str],
    house: House,
    ends_of: Mapping[str, tuple[End, ...]],
) -> tuple[Port, ...]:
    """Return the installed ends that have to be cut for a new fitting, in the order of the nodes.

    Args:
        network: The network.
        joints: What stands at every node, by the node that speaks for the joint.
        clusters: Which nodes are one joint.
        ids: Number of each draft of a joint.
        house: The house.
        ends_of: The pipe ends of every joint.
    """
    out: list[Port] = []
    sliding: set[str] = set()
    for node in network.nodes:
        joint, ends = joints.get(node.id), ends_of.get(node.id, ())
        old = [e for e in ends if e.pipe.said == INSTALLED and e.pipe.id not in clusters.taken_up]
        if joint is None or not joint.drafts or not old or len(old) == len(ends) or node.kind in NO_JOINT:
            continue
        if len(joint.drafts) == 1 and joint.drafts[0].pattern == TRANSITION:
            continue  # end to end: the coupling is the joint
        odd = [e for e in old if unlike(e.pipe, house)]
        slides = _sliding(old, sliding) if len(old) > 1 and not odd else []
        for e in old:
            take = joint.take.get(e.key)
            if take is not None and (e in odd or e in slides):
                fitting = ids.get((node.id, take.bushed if take.draft < 0 else take.draft), "")
                out.append(Port(e, take, node, fitting, unlike(e.pipe, house)))
    return tuple(out)


def _sliding(old: list[End], sliding: set[str]) -> list[End]:
    """Return the one end that a repair coupling joins, of a pipe that has none yet where there is such a one."""
    end = next((e for e in old if e.pipe.id not in sliding), old[0])
    sliding.add(end.pipe.id)
    return [end]


def set_in_pieces(made: SetIn, pieces: Iterable[CutPiece]) -> tuple[CutPiece, ...]:
    """Return the pieces with those that are set in, and those of installed pipe that are cut anew as a whole.

    Args:
        made: What is set in.
        pieces: The pieces as the runs ask for them.
    """
    note = "new: too short between two fittings to keep"
    return (
        *(
            replace(p, set_in="whole", note="; ".join(t for t in (note, p.note) if t))
            if made.whole.keys() & set(p.pipes or (p.pipe,))
            else p
            for p in pieces
        ),
        *made.pieces,
    )


@dataclass(frozen=True, slots=True)
class CutOut:
    """A fitting set into installed pipe, with what is cut out for it."""

    fitting: FittingUse
    pipes: tuple[str, ...]  # the installed pipes
    cuts_mm: tuple[float, ...]  # where each of them is cut, from the centre of the fitting
    couplings: tuple[FittingUse, ...]
    pieces: tuple[str, ...]


def cut_outs(network: Network, fittings: Iterable[FittingUse], pieces: Iterable[CutPiece]) -> tuple[CutOut, ...]:
    """Return what is set into installed pipe, fitting by fitting, in the order of the numbers.

    Args:
        network: The network.
        fittings: All fittings.
        pieces: All pieces.
    """
    uses = {f.id: f for f in fittings}
    own: dict[str, list[CutPiece]] = {}
    for p in pieces:
        if p.set_in == "short":
            own.setdefault(uses[p.start_fitting].node, []).append(p)
    out: list[CutOut] = []
    for node, here in own.items():
        main = next(f for f in uses.values() if f.node == node)
        cuts = tuple(p.centre_mm + p.takeoff_end_mm for p in here)
        couplings = tuple(uses[p.end_fitting] for p in here)
        out.append(CutOut(main, tuple(p.pipe for p in here), cuts, couplings, tuple(p.id for p in here)))
    beside = {c.id for o in out for c in o.couplings}
    ends = [f for f in uses.values() if f.pattern == TRANSITION and f.id not in beside]
    there = {p.id for p in network.pipes if p.said == INSTALLED}
    out += [CutOut(f, tuple(i for i in f.pipes if i in there), (), (f,), ()) for f in ends]
    return tuple(out)
