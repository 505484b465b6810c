"""Pipe that is in place already: it is drawn and judged like all other, but neither cut nor ordered nor hung again."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from stubout.fabrication.model import CutPiece, FittingUse, Hanger
from stubout.network.model import Network

NOTE = "in place: not cut, not ordered"


def pipes_in_place(network: Network) -> frozenset[str]:
    """Return the ids of the pipes that the job file says are installed."""
    return frozenset(p.id for p in network.pipes if p.said == "installed")


def piece_in_place(piece: CutPiece, there: frozenset[str]) -> bool:
    """Return whether a piece lies in installed pipe on its whole length; one that goes on into new pipe is cut."""
    return there.issuperset(piece.pipes or (piece.pipe,))


def to_cut(pieces: Iterable[CutPiece], there: frozenset[str]) -> tuple[CutPiece, ...]:
    """Return the pieces that the saw has to make."""
    return tuple(p for p in pieces if not piece_in_place(p, there))


def to_set(fittings: Iterable[FittingUse], there: frozenset[str]) -> tuple[FittingUse, ...]:
    """Return the fittings to buy: all but those between installed pipes only; one where new pipe joins is bought."""
    return tuple(f for f in fittings if not _between(f, there))


def to_hang(hangers: Iterable[Hanger], there: frozenset[str]) -> tuple[Hanger, ...]:
    """Return the supports to buy; installed pipe hangs already."""
    return tuple(h for h in hangers if h.pipe not in there)


def cut_into(fittings: Iterable[FittingUse], there: frozenset[str]) -> tuple[FittingUse, ...]:
    """Return the fittings that are set into installed pipe: it stands at two or more of their ports, new pipe too."""
    return tuple(f for f in fittings if sum(i in there for i in f.pipes) > 1 and not _between(f, there))


def noted(pieces: Iterable[CutPiece], there: frozenset[str]) -> tuple[CutPiece, ...]:
    """Return the pieces, those in place saying so."""
    return tuple(
        replace(p, note="; ".join(t for t in (NOTE, p.note) if t)) if piece_in_place(p, there) else p for p in pieces
    )


def _between(fitting: FittingUse, there: frozenset[str]) -> bool:
    pipes = {i for i in fitting.pipes if i}
    return bool(pipes) and pipes <= there
