"""Pipe that is in place already: it is drawn and judged like all other, but neither cut nor ordered nor hung again."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from stubout.fabrication.model import Bore, CutPiece, FittingUse, Hanger, Plate
from stubout.fabrication.set_in import REPAIR, TRANSITION
from stubout.network.model import Network

NOTE = "in place: not cut, not ordered"


def pipes_in_place(network: Network) -> frozenset[str]:
    """Return the ids of the pipes that the job file says are installed."""
    return frozenset(p.id for p in network.pipes if p.said == "installed")


def piece_in_place(piece: CutPiece, there: frozenset[str]) -> bool:
    """Return whether a piece lies in installed pipe on its whole length; one that is set into it is cut."""
    return not piece.set_in and there.issuperset(piece.pipes or (piece.pipe,))


def to_cut(pieces: Iterable[CutPiece], there: frozenset[str]) -> tuple[CutPiece, ...]:
    """Return the pieces that the saw has to make."""
    return tuple(p for p in pieces if not piece_in_place(p, there))


def to_set(fittings: Iterable[FittingUse], network: Network) -> tuple[FittingUse, ...]:
    """Return the fittings to buy: all but those where installed pipes only meet; where new pipe joins all are new."""
    return tuple(f for f in fittings if not _there(f, network))


def to_shield(plates: Iterable[Plate], bores: Iterable[Bore], there: frozenset[str]) -> tuple[Plate, ...]:
    """Return the plates and straps to buy: the holes of installed pipe are there already, with what protects them."""
    old = {b.id for b in bores if b.pipe in there}
    return tuple(p for p in plates if p.bore not in old)


def to_hang(hangers: Iterable[Hanger], there: frozenset[str]) -> tuple[Hanger, ...]:
    """Return the supports to buy; installed pipe hangs already."""
    return tuple(h for h in hangers if h.pipe not in there)


def noted(pieces: Iterable[CutPiece], there: frozenset[str]) -> tuple[CutPiece, ...]:
    """Return the pieces, those in place saying so."""
    return tuple(
        replace(p, note="; ".join(t for t in (NOTE, p.note) if t)) if piece_in_place(p, there) else p for p in pieces
    )


def _there(fitting: FittingUse, network: Network) -> bool:
    """Return whether a fitting is in place: only installed pipes meet where it stands; a coupling set in is new."""
    if fitting.pattern in (TRANSITION, REPAIR):
        return False
    there = pipes_in_place(network)
    here = {i for n in network.nodes if n.id == fitting.node for i in (*n.inflow, *n.outflow)}
    here |= {i for i in fitting.pipes if i}
    return bool(here) and here <= there
