"""Small hand-made houses: one wall each, the facts of the three example houses copied by hand."""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest

from stubout.files.books import load_book
from stubout.geometry.vec import Box, Vec
from stubout.house import facts as said
from stubout.house import framing, outside
from stubout.house import model as m
from stubout.house.facts import TestPlanFacts
from stubout.house.framing import FinishZone

INCH = 25.4


def job_facts(units: str, book: str, material: str = "abs") -> said.JobFacts:
    return said.JobFacts(
        title="test", address="", permit="", revision="0", issued="", units=units, book_id=book, framing_id="",  # type: ignore[arg-type]
        material=material, stock_mm=(3048.0,), paper="letter", people=(), test=TestPlanFacts("water", None, None),  # type: ignore[arg-type]
    )  # fmt: skip


def make_wall(wall_id: str, start: Vec, end: Vec, depth: float = 89.0, **more: Any) -> framing.Wall:
    facts: dict[str, Any] = {
        "level_id": "main", "spacing_mm": 406.0, "studs": (), "bottom_z_mm": 0.0, "top_z_mm": 2467.0,
        "bottom_plate_mm": 38.0, "top_plate_mm": 76.0, "bearing": False, "exterior": False, "insulated": False,
        "left": (FinishZone(13.0, -1e6, 1e6, -1e6, 1e6),), "right": (FinishZone(13.0, -1e6, 1e6, -1e6, 1e6),),
        "openings": (), "bays": (),
    }  # fmt: skip
    return framing.Wall(id=wall_id, start=start, end=end, depth_mm=depth, **(facts | more))


def make_house(units: str, book: str, fixtures: Any = (), **more: Any) -> m.House:
    level = m.HouseLevel("main", "main", 0, "frame", 0.0, 2467.0)
    facts: dict[str, Any] = {
        "climate": said.Climate(False, None, None), "levels": (level,), "frames": (),
        "walls": (make_wall("A", Vec(0, 0, 0), Vec(10000, 0, 0)),), "rooms": (), "cabinets": (), "obstacles": (),
        "roof": (), "roof_openings": (), "roof_zones": (),
        "sewer": outside.Sewer(Vec(0, -7500, -3300), 4.0, "south", "sewer"),
        "ground": outside.Ground(-450.0, -900.0), "footprint": Box(Vec(0, 0, -3000), Vec(9800, 8600, 7000)),
        "wishes": said.Wishes(),
    }  # fmt: skip
    material = more.pop("material", "abs")
    return m.House(job=job_facts(units, book, material), fixtures=tuple(fixtures), **(facts | more))


def make_box(units_mm: float = 1.0, **more: Any) -> m.CabinetBox:
    facts: dict[str, Any] = {
        "id": "C1", "run_id": "C", "label": "sink base", "kind": "sink base", "wall_id": "A", "side": "left",
        "from_station_mm": 0.0, "to_station_mm": 1000.0, "box": Box(Vec(0, 0, 0), Vec(1000, 600, 900)),
        "floor_z_mm": None,
    }  # fmt: skip
    return m.CabinetBox(**(facts | more))


@pytest.fixture
def make() -> SimpleNamespace:
    return SimpleNamespace(house=make_house, box=make_box, wall=make_wall, job=job_facts)


@pytest.fixture(scope="session")
def book() -> Callable[[str], Any]:
    return load_book
