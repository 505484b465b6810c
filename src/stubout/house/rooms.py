"""Rooms by their finished faces, and the floor in front of a wall."""

from __future__ import annotations

from collections.abc import Iterable

from stubout.geometry.vec import Vec
from stubout.house.framing import Side, Wall
from stubout.house.lookup import natural
from stubout.house.model import HouseLevel, Room
from stubout.job.model import RoomSaid

_PROBE_MM = 60.0  # how far in front of the stud face a room is looked for: past any finish


def resolve_room(said: RoomSaid, level: HouseLevel) -> Room:
    """Return a room in house coordinates."""
    return Room(
        id=said.id, level_id=said.level, x0_mm=min(said.x), y0_mm=min(said.y), x1_mm=max(said.x), y1_mm=max(said.y),
        build_up_mm=said.floor, drop_ceiling_z_mm=_dropped(said, level), title=said.title or said.id,
        ceiling_open=said.ceiling_open or level.ceiling_open, exposed_pipe_ok=said.pipe_may_show,
    )  # fmt: skip


def _dropped(said: RoomSaid, level: HouseLevel) -> float | None:
    if said.ceiling_may_drop_to is None:
        return None
    return level.subfloor_z_mm + said.floor + said.ceiling_may_drop_to


class Rooms:
    """The rooms of a house; where one is cut out of another, the smaller one holds the point."""

    def __init__(self, rooms: Iterable[Room]) -> None:
        self.ordered = tuple(sorted(rooms, key=lambda r: (-_area(r), natural(r.id))))
        self.known = {r.id: r for r in self.ordered}

    def at(self, level_id: str, p: Vec) -> Room | None:
        """Return the smallest room of a level that holds a plan position."""
        return next((r for r in reversed(self.ordered) if r.level_id == level_id and r.holds(p)), None)

    def before(self, wall: Wall, side: Side, station: float) -> Room | None:
        """Return the room in front of a side of a wall."""
        out = wall.depth_mm / 2 + _PROBE_MM
        return self.at(wall.level_id, wall.point(station, wall.bottom_z_mm, out if side == "left" else -out))

    def build_up_before(self, wall: Wall, side: Side, station: float) -> float:
        """Return the floor build-up in front of a side of a wall [mm]; 0 where no room is drawn."""
        room = self.before(wall, side, station)
        return room.build_up_mm if room else 0.0


def _area(r: Room) -> float:
    return (r.x1_mm - r.x0_mm) * (r.y1_mm - r.y0_mm)
