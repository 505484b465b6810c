"""A pencil for small systems: points, runs and traps in a few words, and a house that only knows its fixtures."""

from __future__ import annotations

from typing import Any

import pytest

from stubout.files.books import load_book
from stubout.geometry.vec import Box, Vec
from stubout.house import facts as said
from stubout.house import model as m
from stubout.house import outside
from stubout.house.facts import TestPlanFacts
from stubout.kinds import FixtureKind
from stubout.layout import model as lm

K = FixtureKind
KINDS = {"WC": K.WATER_CLOSET, "LV": K.LAVATORY, "BT": K.BATHTUB, "SH": K.SHOWER, "KS": K.KITCHEN_SINK,
         "BS": K.BAR_SINK, "MS": K.SINK, "AW": K.CLOTHES_WASHER, "LT": K.LAUNDRY_TRAY, "FD": K.FLOOR_DRAIN}  # fmt: skip
TRAPS = {"WC": 3.0, "LV": 1.25, "BT": 1.5, "SH": 2.0, "KS": 1.5, "BS": 1.5, "MS": 1.5, "AW": 2.0, "LT": 1.5, "FD": 2.0}


class Sketch:
    """Draw with `run("id", "a", "b", ...)`; points are made by `at`."""

    def __init__(self, units: str = "inch", book_id: str = "npc-2020") -> None:
        self.units, self.book_id = units, book_id
        self.book = load_book(book_id)
        self.points: dict[str, lm.Point] = {}
        self.runs: list[lm.Run] = []
        self.traps: list[lm.TrapPlan] = []
        self.fixtures: list[m.HouseFixture] = []
        self.climate = said.Climate(False, None, None)

    def at(self, pid: str, x: float, y: float, z: float, kind: str = "turn", tag: str = "") -> str:
        self.points[pid] = lm.Point(pid, Vec(x, y, z), lm.PointKind(kind), tag)
        return pid

    def drain(self, rid: str, a: str, b: str, role: str = "branch", size: float = 1.25, **more: Any) -> str:
        self.runs.append(lm.Run(rid, "drain", lm.Role(role), a, b, lm.Place("room"), size, **more))
        return rid

    def vent(self, rid: str, a: str, b: str, role: str = "vent", size: float = 1.25, **more: Any) -> str:
        self.runs.append(lm.Run(rid, "vent", lm.Role(role), a, b, lm.Place("wall"), size, **more))
        return rid

    def fixture(self, tag: str, level: str = "main", **more: Any) -> m.HouseFixture:
        f = m.HouseFixture(tag=tag, kind=KINDS[tag[:2]], title="", room_id="r", level_id=level, subfloor_z_mm=0.0,
                           finished_z_mm=0.0, **more)  # fmt: skip
        self.fixtures.append(f)
        return f

    def trap(
        self, tag: str, weir: str, takeoff: str, arm: tuple[str, ...], method: str = "individual", **more: Any
    ) -> None:
        size = more.pop("trap_in", TRAPS[tag[:2]])
        self.traps.append(lm.TrapPlan(tag, size, weir, takeoff, arm, lm.VentMethod(method), **more))

    def layout(self) -> lm.Layout:
        return lm.Layout(tuple(self.points.values()), tuple(self.runs), tuple(self.traps), (), ())

    def house(self, **more: Any) -> m.House:
        job = said.JobFacts(
            title="t", address="", permit="", revision="0", issued="", units=self.units, book_id=self.book_id,  # type: ignore[arg-type]
            framing_id="", material="abs", stock_mm=(3048.0,), paper="letter", people=(),
            test=TestPlanFacts("water", None, None),
        )  # fmt: skip
        levels = (
            m.HouseLevel("basement", "basement", 0, "slab", -2698.0, 2440.0),
            m.HouseLevel("main", "main", 1, "frame", 0.0, 2467.0),
            m.HouseLevel("upper", "upper", 2, "frame", 2720.0, 2467.0),
        )
        facts: dict[str, Any] = {
            "climate": self.climate, "levels": levels, "frames": (), "walls": (), "rooms": (), "cabinets": (),
            "obstacles": (), "roof": (outside.RoofPlane("R", -1e5, -1e5, 1e5, 1e5, Vec(0, 0, 6000.0), 0.0, 0.0),),
            "roof_openings": (), "roof_zones": (), "sewer": outside.Sewer(Vec(0, -20000, -3300), 4.0, "south", "sewer"),
            "ground": outside.Ground(-450.0, -900.0), "footprint": Box(Vec(-1e4, -1e4, -3e3), Vec(1e4, 1e4, 7e3)),
            "wishes": said.Wishes(),
        }  # fmt: skip
        return m.House(job=job, fixtures=tuple(self.fixtures), **(facts | more))


@pytest.fixture
def sketch() -> type[Sketch]:
    return Sketch
