"""A system too large for one isometric, cut at a floor: each half with the pipes cut there named alike on both.

What is drawn larger beside it (`iso_rooms.py`) is cut by the same knife.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stubout.design import Design
from stubout.house.model import HouseLevel
from stubout.layout.model import PointKind
from stubout.network.model import Network, Node, Pipe

UNDER_FRAME_MM = 60.0  # the cut lies so far under the frame of the floor: what hangs in the frame is above it
SAME_MM = 1.0


@dataclass(frozen=True, slots=True)
class IsoPart:
    """A part of a system: its pipes as a design of their own, and where it was cut."""

    design: Design
    title: str  # "above the Main floor"
    cuts: dict[str, str]  # node of a cut -> its letter on both drawings


def halves(design: Design) -> tuple[IsoPart, ...]:
    """Return the system below and above the floor that shares its pipes most evenly; nothing if no floor parts it."""
    best: tuple[int, float, str] | None = None
    for level in sorted(design.house.levels, key=lambda v: v.order)[1:]:
        z = under_floor(design, level)
        below = sum(min(p.a.z, p.b.z) < z for p in design.pipes())
        above = sum(max(p.a.z, p.b.z) > z for p in design.pipes())
        if below and above and (best is None or max(below, above) < best[0]):
            best = (max(below, above), z, level.title or level.id)
    if best is None:
        return ()
    _, z, name = best
    cut = sorted((p for p in design.pipes() if _lo(p) < z - SAME_MM and _hi(p) > z + SAME_MM), key=lambda p: p.id)
    letters = {f"cut {p.id}": letter(k) for k, p in enumerate(cut)}
    return (
        IsoPart(side(design, z, upper=False), f"below the {name}", letters),
        IsoPart(side(design, z, upper=True), f"{name} and above", letters),
    )


def under_floor(design: Design, level: HouseLevel) -> float:
    """Return the height at which what hangs in the floor of a level is above and the storey below it is not [mm]."""
    frame = design.house.frame_carrying(level.id)
    return (frame.bottom_z_mm if frame is not None else level.subfloor_z_mm) - UNDER_FRAME_MM


def letter(k: int) -> str:
    """Return a, b, ... z, aa, ab ..."""
    return ("" if k < 26 else letter(k // 26 - 1)) + chr(ord("a") + k % 26)


def _lo(p: Pipe) -> float:
    return min(p.a.z, p.b.z)


def _hi(p: Pipe) -> float:
    return max(p.a.z, p.b.z)


def side(design: Design, z: float, *, upper: bool, knife: str = "cut") -> Design:
    """Return the design with the pipes of one side of a height only, what crosses it cut there.

    Args:
        design: The design.
        z: The height [mm].
        upper: Whether the upper side stays.
        knife: Begins the id of the point at which a pipe is cut; the id of the pipe follows.
    """
    pipes: list[Pipe] = []
    points: list[Node] = []
    for p in design.pipes():
        lo, hi = _lo(p), _hi(p)
        if lo >= z - SAME_MM or hi <= z + SAME_MM:
            if (lo >= z - SAME_MM) == upper:
                pipes.append(p)
            continue
        at = p.a.plus(p.b.minus(p.a).times((z - p.a.z) / (p.b.z - p.a.z)))
        name = f"{knife} {p.id}"
        starts_here = (p.a.z > z) == upper
        pipes.append(replace(p, end=name, b=at) if starts_here else replace(p, start=name, a=at))
        points.append(Node(name, at, PointKind.TURN, "", (p.id,), (p.id,)))
    return only(design, pipes, points)


def only(design: Design, pipes: Sequence[Pipe], points: Sequence[Node] = ()) -> Design:
    """Return the design with some of its pipes only, and the points they were cut at."""
    nodes = list(points)
    ids = {p.id for p in pipes}
    ends = {n for p in pipes for n in (p.start, p.end)}
    for n in design.network.nodes:
        if n.id in ends:
            inflow, outflow = (tuple(i for i in flow if i in ids) for flow in (n.inflow, n.outflow))
            nodes.append(replace(n, inflow=inflow, outflow=outflow))
    return replace(design, network=Network(tuple(nodes), tuple(pipes), design.network.traps))
