"""Which checks look at fixtures, cabinets, what is in walls, walls, rooms: only those can say else when one is moved.

As `windows.looks`: each check is made once on a design that notes what is asked of it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from stubout.checks.base import Check
from stubout.design import Design
from stubout.house.framing import Opening, Wall
from stubout.house.model import CabinetBox, HouseFixture, Obstacle, Room
from stubout.windows.looks import Looks, Thing, asked_by, each_noting, noting_kind

_FIXTURE = noting_kind(
    HouseFixture, "tag", outlet="place", station_mm="place", extent="place", cabinet_id="cabinet", outlet_z_mm="height",
    flood_rim_z_mm="height",
)  # fmt: skip
_BOX = noting_kind(
    CabinetBox, "id", box="box", from_station_mm="box", to_station_mm="box", partition_station_mm="box"
)  # fmt: skip

_OPENING = noting_kind(
    Opening, "id", station_mm="opening", width_mm="opening", sill_z_mm="opening", head_z_mm="opening",
    header_top_z_mm="opening",
)  # fmt: skip
_OBSTACLE = noting_kind(Obstacle, "id", box="obstacle")
_WALL = noting_kind(
    Wall, "id", "along", "leftward", start="wall", end="wall", length_mm="wall", _line="wall", studs="wall",
    bays="wall",
)  # fmt: skip
_ROOM = noting_kind(Room, "id", x0_mm="room", y0_mm="room", x1_mm="room", y1_mm="room")


def house_looks_of(design: Design, checks: Iterable[Check]) -> Looks:
    """Return what each of some checks looks at of the things in a house that can be dragged, as the design stands."""
    told: set[Thing] = set()
    house = design.house
    noted = replace(
        house,
        fixtures=each_noting(house.fixtures, _FIXTURE, told),
        cabinets=each_noting(house.cabinets, _BOX, told),
        walls=each_noting(_with_openings(house.walls, told), _WALL, told),
        rooms=each_noting(house.rooms, _ROOM, told),
        obstacles=each_noting(house.obstacles, _OBSTACLE, told),
    )
    return asked_by(checks, replace(design, house=noted), told)


def _with_openings(walls: tuple[Wall, ...], told: set[Thing]) -> tuple[Wall, ...]:
    return tuple(replace(w, openings=each_noting(w.openings, _OPENING, told)) for w in walls)
