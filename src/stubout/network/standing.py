"""Which walls a pipe stands or lies in: an upright one is named after one of them, and may come through others."""

from __future__ import annotations

from collections.abc import Iterable

from stubout.house.framing import Wall
from stubout.network.model import Pipe


def in_wall(pipe: Pipe, wall: Wall) -> bool:
    """Return whether a pipe lies in a wall, or comes through it upright from a wall over or under it."""
    if pipe.place.kind != "wall":
        return False
    return pipe.place.ref == wall.id or (pipe.vertical and wall.stands_in(pipe.a, pipe.b))


def walls_of(pipe: Pipe, walls: Iterable[Wall]) -> tuple[Wall, ...]:
    """Return the walls of a house that a pipe lies in or comes through upright, from the lowest up."""
    return tuple(sorted((w for w in walls if in_wall(pipe, w)), key=lambda w: (w.bottom_z_mm, w.id)))
