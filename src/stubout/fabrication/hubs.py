"""Which ends of a pipe lie in a fitting, and how deep: what is drawn of fittings on sheets and in the model."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stubout.fabrication.model import CutPiece, Fabrication, FittingUse
from stubout.fabrication.set_in import REPAIR, TRANSITION
from stubout.network.model import Pipe


@dataclass(frozen=True, slots=True)
class HubEnd:
    """One end of a pipe in the hub of a fitting."""

    at_start: bool  # at the upstream end of the pipe, else at the downstream one
    fitting: str  # id
    takeoff_mm: float  # from the centre of the joint to the seat of the socket


def hub_ends(fabrication: Fabrication, p: Pipe) -> Iterator[HubEnd]:
    """Yield the ends of a pipe that stand in a hub; none where a street fitting's own spigot stands instead of pipe."""
    pieces = [c for c in fabrication.pieces if c.set_in != "short" and p.id in (c.pipes or (c.pipe,))]
    if not pieces:
        return
    first, last = pieces[0], pieces[-1]
    # Where a straight run goes on past an end of this pipe, no fitting is there.
    begins = not first.pipes or first.pipes[0] == p.id
    ends = not last.pipes or last.pipes[-1] == p.id
    if begins and _in_hub(first, first.start_fitting, first.takeoff_start_mm):
        yield HubEnd(True, first.start_fitting, first.takeoff_start_mm)
    if ends and _in_hub(last, last.end_fitting, last.takeoff_end_mm):
        yield HubEnd(False, last.end_fitting, last.takeoff_end_mm)


def couplings_on(fabrication: Fabrication, p: Pipe) -> Iterator[FittingUse]:
    """Yield the couplings that stand on a pipe, between its ends."""
    return (f for f in fabrication.fittings if f.in_run and f.pipes[0] == p.id)


def set_in_couplings(fabrication: Fabrication, p: Pipe) -> Iterator[FittingUse]:
    """Yield the couplings that join an installed pipe to new pipe, beside a fitting that is set into it."""
    return (f for f in fabrication.fittings if f.pattern in (TRANSITION, REPAIR) and f.pipes == (p.id, p.id))


def _in_hub(piece: CutPiece, fitting: str, takeoff_mm: float) -> bool:
    return fitting not in ("", "trap", "terminal", piece.street) and takeoff_mm > 0
