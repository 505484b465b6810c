"""What a card on a wall says of the pipes behind its face: between which stations and heights nothing may be nailed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from stubout.design import Design
from stubout.house.framing import Side, Wall
from stubout.sheets.pipeware import hub_mm
from stubout.sheets.wall_facts import pipes_in_wall
from stubout.sheets.words import finished_z

NAIL_MM = 25.4  # kept clear round a pipe, since nobody nails to the millimetre; common practice, no source
SAME_LINE_MM = 12.0  # pipes this near one line are one line to the one who nails
TOUCH_MM = 40.0  # stretches this near each other are one stretch
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # none that looks like a figure


@dataclass(frozen=True, slots=True)
class Zone:
    """One stretch of wall face behind which pipe lies."""

    letter: str
    drain: bool  # a drain is in it; else vents only
    sizes_in: tuple[float, ...]
    stations_mm: tuple[float, float]  # with the clear space
    heights_mm: tuple[float, float]  # in the house, with the clear space
    floor_z_mm: float | None  # finished floor in front of it, None where no room is described
    deep_mm: float  # from this face of the framing to the pipe or its hub; 0 where it comes through


@dataclass(frozen=True, slots=True)
class _Piece:
    drain: bool
    size_in: float
    upright: bool
    lo: float
    hi: float
    lo_z: float
    hi_z: float
    deep: float


def zones(design: Design, wall: Wall, side: Side) -> tuple[Zone, ...]:
    """Return what is behind one face of a wall, from the control corner on."""
    found = sorted(_joined(_pieces(design, wall, side)), key=lambda g: (_span(g)[0], _span(g)[2]))
    out = []
    for i, group in enumerate(found):
        lo, hi, lo_z, hi_z = _span(group)
        # Past the letters the count goes on with two of them.
        letter = LETTERS[i % len(LETTERS)] * (1 + i // len(LETTERS))
        out.append(
            Zone(
                letter,
                any(p.drain for p in group),
                tuple(sorted({p.size_in for p in group}, reverse=True)),
                (max(0.0, lo - NAIL_MM), min(wall.length_mm, hi + NAIL_MM)),
                (max(wall.bottom_z_mm, lo_z - NAIL_MM), min(wall.top_z_mm, hi_z + NAIL_MM)),
                finished_z(design, wall, side, (lo + hi) / 2),
                max(0.0, min(p.deep for p in group)),
            )
        )
    return tuple(out)


def _pieces(design: Design, wall: Wall, side: Side) -> Iterator[_Piece]:
    """Yield the pipes of a wall as boxes on its face, as wide as their hubs, cut at its plates' outer edges."""
    sign = 1.0 if side == "left" else -1.0
    for p in pipes_in_wall(design, wall):
        half = hub_mm(p.size_in) / 2
        stations = sorted((wall.station(p.a), wall.station(p.b)))
        heights = sorted((p.a.z, p.b.z))
        if heights[0] > wall.top_z_mm or heights[1] < wall.bottom_z_mm:
            continue
        near = wall.depth_mm / 2 - max(sign * wall.offset(p.a), sign * wall.offset(p.b)) - half
        upright = heights[1] - heights[0] > stations[1] - stations[0]
        ends = (0.0, half) if upright else (half, 0.0)  # wide across the pipe, not beyond its ends
        yield _Piece(
            p.system == "drain",
            p.size_in,
            upright,
            stations[0] - ends[1],
            stations[1] + ends[1],
            max(wall.bottom_z_mm, heights[0] - ends[0]),
            min(wall.top_z_mm, heights[1] + ends[0]),
            near,
        )


def _joined(pieces: Iterable[_Piece]) -> list[list[_Piece]]:
    """Return the pieces in groups that make one stretch: upright over one station, lying at one height."""
    groups: list[list[_Piece]] = []
    for piece in sorted(pieces, key=lambda p: (not p.upright, p.lo, p.lo_z)):
        for group in groups:
            if group[0].upright == piece.upright and _one_line(group, piece):
                group.append(piece)
                break
        else:
            groups.append([piece])
    return groups


def _one_line(group: list[_Piece], piece: _Piece) -> bool:
    lo, hi, lo_z, hi_z = _span(group)
    along, across = (lo_z - piece.hi_z, piece.lo_z - hi_z), ((lo + hi) / 2, (piece.lo + piece.hi) / 2)
    if not piece.upright:
        along, across = (lo - piece.hi, piece.lo - hi), ((lo_z + hi_z) / 2, (piece.lo_z + piece.hi_z) / 2)
    return max(along) <= TOUCH_MM and abs(across[0] - across[1]) <= SAME_LINE_MM


def _span(group: list[_Piece]) -> tuple[float, float, float, float]:
    return (
        min(p.lo for p in group), max(p.hi for p in group), min(p.lo_z for p in group), max(p.hi_z for p in group),
    )  # fmt: skip
