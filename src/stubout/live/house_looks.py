"""Which checks look at fixtures and cabinets: only those can say something else when one of them is moved.

As `windows.looks`: each check is made once on a design that notes what is asked of it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from stubout.checks.base import Check
from stubout.design import Design
from stubout.house.model import CabinetBox, HouseFixture
from stubout.windows.looks import Looks, Thing, asked_by, each_noting, noting_kind

_FIXTURE = noting_kind(
    HouseFixture, "tag", outlet="place", station_mm="place", extent="place", cabinet_id="cabinet", outlet_z_mm="height",
    flood_rim_z_mm="height",
)  # fmt: skip
_BOX = noting_kind(
    CabinetBox, "id", box="box", from_station_mm="box", to_station_mm="box", partition_station_mm="box"
)  # fmt: skip


def house_looks_of(design: Design, checks: Iterable[Check]) -> Looks:
    """Return what each of some checks looks at of fixtures and cabinets, as the design stands."""
    told: set[Thing] = set()
    house = design.house
    noted = replace(
        house,
        fixtures=each_noting(house.fixtures, _FIXTURE, told),
        cabinets=each_noting(house.cabinets, _BOX, told),
    )
    return asked_by(checks, replace(design, house=noted), told)
