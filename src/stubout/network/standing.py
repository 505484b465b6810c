"""Which walls a pipe stands or lies in: an upright one is named after one of them, and may come through others."""

from __future__ import annotations

from stubout.house.framing import Wall
from stubout.network.model import Pipe


def in_wall(pipe: Pipe, wall: Wall) -> bool:
    """Return whether a pipe lies in a wall, or comes through it upright from a wall over or under it."""
    if pipe.place.kind != "wall":
        return False
    return pipe.place.ref == wall.id or (pipe.vertical and wall.stands_in(pipe.a, pipe.b))
