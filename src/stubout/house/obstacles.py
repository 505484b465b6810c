"""Things that are there first, as boxes in space."""

from __future__ import annotations

from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Side, Wall
from stubout.house.lookup import Faults
from stubout.house.model import Obstacle
from stubout.house.rooms import Rooms
from stubout.house.walls import wall_box
from stubout.job.model import ObstacleSaid


def in_wall(said: ObstacleSaid, wall: Wall, rooms: Rooms, faults: Faults) -> Obstacle | None:
    """Return an obstacle said by wall, stations and heights.

    Without a side it fills the stud depth. With a side it reaches from the finished face of that side `deep` into the
    wall, or through the whole stud depth where nothing is said.
    """
    if said.from_ is None or said.to is None:
        faults.add(said.line, f"obstacles.{said.id}", "a wall without stations", "`from` and `to`")
        return None
    middle = (said.from_ + said.to) / 2
    z0, z1 = _heights(said, wall, rooms, middle)
    half = wall.depth_mm / 2
    out0, out1 = -half, half
    if said.side is not None:
        face = wall.face_offset(said.side, middle, (z0 + z1) / 2)
        sign = 1 if said.side == "left" else -1
        out0 = face
        out1 = -sign * half if said.deep is None else face - sign * said.deep
    return Obstacle(
        said.id, said.what, wall_box(wall, said.from_, said.to, z0, z1, out0, out1), said.kind, wall.id,
        said.no_pipe_above_or_below,
    )  # fmt: skip


def _heights(said: ObstacleSaid, wall: Wall, rooms: Rooms, station: float) -> tuple[float, float]:
    if said.above_floor is not None:
        z = wall.bottom_z_mm + _build_up(said.side, wall, rooms, station)
        return z + said.above_floor[0], z + said.above_floor[1]
    if said.above_subfloor is not None:
        return wall.bottom_z_mm + said.above_subfloor[0], wall.bottom_z_mm + said.above_subfloor[1]
    if said.z is not None:
        return said.z[0], said.z[1]
    return wall.bottom_z_mm, wall.top_z_mm


def _build_up(side: Side | None, wall: Wall, rooms: Rooms, station: float) -> float:
    """Return the floor build-up in front of a side of a wall; of the thicker side where no side is said."""
    sides: tuple[Side, ...] = ("left", "right") if side is None else (side,)
    return max(rooms.build_up_before(wall, s, station) for s in sides)


def in_space(said: ObstacleSaid, faults: Faults) -> Obstacle | None:
    """Return an obstacle said by x, y and z."""
    if said.x is None or said.y is None or said.z is None:
        faults.add(said.line, f"obstacles.{said.id}", "no place", "a wall with stations, or `x`, `y` and `z`")
        return None
    lo = Vec(min(said.x), min(said.y), min(said.z))
    hi = Vec(max(said.x), max(said.y), max(said.z))
    return Obstacle(said.id, said.what, Box(lo, hi), said.kind, "", said.no_pipe_above_or_below)
