"""Vent fittings that stand where their lying drain turns, for which there is no fitting. [mm]."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from stubout.geometry.vec import Vec
from stubout.layout.draft import DEdge, DNode
from stubout.layout.work import TrapDraft, Work

SWALLOWED_MM = 15.0  # a piece this short is taken up inside a joint
SIXTEENTH_DEG = 30.0
STRAIGHT_DEG = 12.0  # the run through a tee may bend this much: built-in pitch, falling pipes
ALIKE = 1e-6  # ways and slopes of two pipes of one line


@dataclass(frozen=True, slots=True)
class Turn:
    """A vent fitting at a turn: the lying pipe that comes in, the one that goes on, and where to."""

    trap: TrapDraft
    at: DNode
    arm: DEdge
    on: DEdge
    u: Vec  # way of the arm
    v: Vec  # way on
    deg: float


def turned(work: Work) -> Iterator[Turn]:
    """Yield the turns in which vent fittings of fixtures stand."""
    for trap in work.traps.values():
        if (turn := turn_at(work, trap)) is not None:
            yield turn


def turn_at(work: Work, trap: TrapDraft) -> Turn | None:
    """Return the turn in which a fixture's vent fitting stands, None where it stands in a straight drain."""
    board = work.board
    at = board.nodes.get(trap.takeoff)
    if trap.drawn or at is None or at.z is None or at.drawn or at.fixed:
        return None
    into, out = board.into(at.id), board.out(at.id)
    if len(into) != 1 or len(out) != 1 or not board.out(at.id, "vent") or any(e.plumb or e.drawn for e in into + out):
        return None
    u, v = way_of(work, into[0]), way_of(work, out[0])
    if u.dot(v) > 1.0 - ALIKE and (before := jogged(work, into[0])) is not None:
        u = way_of(work, before)  # the joint swallows what lies between the turn and the fitting
    deg = math.degrees(math.acos(max(-1.0, min(1.0, u.dot(v)))))
    return Turn(trap, at, into[0], out[0], u, v, deg) if STRAIGHT_DEG < deg < 180.0 - SIXTEENTH_DEG else None


def way_of(work: Work, e: DEdge) -> Vec:
    """Return the way of a lying pipe in plan."""
    a, b = work.board.nodes[e.up].xy, work.board.nodes[e.down].xy
    return Vec(b[0] - a[0], b[1] - a[1], 0.0).unit()


def jogged(work: Work, last: DEdge) -> DEdge | None:
    """Return the piece of an arm before its last one, where that is so short that a joint swallows it."""
    board = work.board
    if board.plan(last) >= SWALLOWED_MM:
        return None
    before = [e for e in board.edges.values() if last.up in (e.up, e.down) and e.id != last.id]
    if len(before) != 1 or before[0].down != last.up or before[0].plumb or before[0].drawn:
        return None
    return before[0]
