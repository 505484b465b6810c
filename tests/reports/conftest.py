"""A small design made by hand: one lavatory and one closet over a crawl space. Invented throughout."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.design import Design
from stubout.fabrication.model import (
    Bore,
    CutPiece,
    Fabrication,
    FittingUse,
    Hanger,
    MaterialLine,
    Plate,
    Stick,
    TestCap,
)
from stubout.geometry.vec import Box, Vec
from stubout.house.facts import Climate, JobFacts, Reading, TestPlanFacts, Wishes
from stubout.house.framing import Wall
from stubout.house.model import House, HouseFixture, HouseLevel, Room
from stubout.house.outside import Ground, Sewer
from stubout.kinds import FixtureKind
from stubout.layout.model import (
    Blocked,
    CleanoutPlan,
    Place,
    PointKind,
    Role,
    StubMark,
    TrapPlan,
    VentMethod,
)
from stubout.network.model import Network, Node, Pipe
from stubout.problems import Basis, Derivation, Finding, Level, NotChecked, Question, Status
from stubout.rulebooks.model import Cell, RuleBook
from stubout.rulebooks.overlay import Amend

READ = Basis("vent size", '1-1/2"', "test-book", "7.1", Status.READ)
WEAK = Basis("trap arm", "1800 mm", "test-book", "2.5.6.3", Status.MEMORY)


def _cell(value_id: str, what: str, value: float, unit: str, printed: str) -> Cell:
    return Cell(value_id, what, value, unit, printed, "test-book", "9.9", Status.READ)


def _book(book_id: str, family: str) -> RuleBook:
    values = {
        "test.head": _cell("test.head", "test head", 3048.0, "mm", "10 ft"),
        "test.hold": _cell("test.hold", "test time", 15.0, "min", "15 min"),
    }
    return RuleBook(book_id, f"Invented {book_id}", "2030", family, {}, values, {}, note="Invented for tests.")  # type: ignore[arg-type]


def _house() -> House:
    level = HouseLevel("main", "Main floor", 1, "frame", 0.0, 2467.0)
    crawl = HouseLevel("crawl", "Crawl space", 0, "ground", -1000.0, 0.0)
    wall = Wall(
        "W1",
        "main",
        Vec(0, 0),
        Vec(3000, 0),
        140.0,
        406.0,
        (),
        0.0,
        2467.0,
        38.0,
        76.0,
        False,
        False,
        False,
        (),
        (),
        (),
        (),
    )
    room = Room("bath", "main", 0, 0, 3000, 3000, 19.0, title="Bath")
    fixtures = (
        HouseFixture("LV1", FixtureKind.LAVATORY, "Lavatory", "bath", "main", 0.0, 19.0, "W1", "left", 1000.0),
        HouseFixture("WC1", FixtureKind.WATER_CLOSET, "Closet", "bath", "main", 0.0, 19.0, floor_outlet=True),
    )
    job = JobFacts(
        "Test house #1 *bold* $x$",
        "1 Example Point",
        "",
        "B",
        "2030-01-15",
        "test-book",
        "test-framing",
        "x",
        "abs",
        (3660.0,),
        "letter",
        (("B", "builder"),),
        TestPlanFacts("water", None, None),
    )  # type: ignore[arg-type]
    job = replace(job, units="inch", book_id="test-book", framing_id="test-framing", material="abs")
    return House(
        job=job,
        climate=Climate(True, None, None),
        levels=(crawl, level),
        frames=(),
        walls=(wall,),
        rooms=(room,),
        cabinets=(),
        obstacles=(),
        fixtures=fixtures,
        roof=(),
        roof_openings=(),
        roof_zones=(),
        sewer=Sewer(Vec(0, -3000, -1500), 3.0, "south", "sewer"),
        ground=Ground(-500.0, -600.0),
        footprint=Box(Vec(0, 0, -1000), Vec(3000, 3000, 5000)),
        wishes=Wishes(),
        amendments=(Amend("terminal.above_roof", "450 mm", "town rule 7", "Inspector I", "2030-01-02", "snow"),),
        readings=(
            Reading("LV1", "stub height", "480 mm", "2030-02-01", "crew"),
            Reading("ARM001 LV1", "waiver", "accepted as drawn", "2030-02-02", "Inspector I"),
        ),
    )


def _network() -> Network:
    weir, takeoff, foot = Vec(1000, 100, 480), Vec(1200, 0, 476), Vec(1200, 0, -600)
    end, top = Vec(1200, -3000, -660), Vec(1200, 0, 5000)
    wall, crawl = Place("wall", "W1", 2), Place("crawl", "crawl")
    pipes = (
        Pipe("D1", "drain", Role.TRAP_ARM, "N1", "N2", weir, takeoff, wall, "LV1", 1.5, 1.0, ("LV1",)),
        Pipe("D2", "drain", Role.STACK, "N2", "N3", takeoff, foot, wall, "", 3.0, 5.0, ("LV1", "WC1")),
        Pipe("D3", "drain", Role.BUILDING_DRAIN, "N3", "N4", foot, end, crawl, "", 3.0, 5.0, ("LV1", "WC1")),
        Pipe("V1", "vent", Role.VENT, "N2", "N5", takeoff, top, wall, "LV1", 1.5, 1.0, ("LV1",), False, 4524.0),
    )
    nodes = (
        Node("N1", weir, PointKind.TRAP, "LV1", (), ("D1",)),
        Node("N2", takeoff, PointKind.TAKEOFF, "LV1", ("D1",), ("D2", "V1")),
        Node("N3", foot, PointKind.STACK_FOOT, "", ("D2",), ("D3",)),
        Node("N4", end, PointKind.SEWER, "", ("D3",), ()),
        Node("N5", top, PointKind.TERMINAL, "", ("V1",), ()),
    )
    return Network(nodes, pipes, (TrapPlan("LV1", 1.25, "N1", "N2", ("D1",), VentMethod.INDIVIDUAL, ("V1",)),))


def _fabrication() -> Fabrication:
    return Fabrication(
        fittings=(
            FittingUse(
                "F1", "N2", "sanitary tee", (3.0, 3.0, 1.5), Vec(1200, 0, 476), ("V1", "D2", "D1"), Status.MEMORY
            ),
        ),
        pieces=(
            CutPiece("D1-1", "D1", "drain", 1.5, 224.0, 10.0, 63.5, 150.5, "trap", "F1", Status.MEMORY),
            CutPiece("D2-1", "D2", "drain", 3.0, 1076.0, 52.0, 103.0, 921.0, "F1", "", Status.READ),
            CutPiece("D3-1", "D3", "drain", 3.0, 40.0, 52.0, 103.0, -115.0, "F1", "", Status.READ, fits=False),
        ),
        bores=(
            Bore(
                "B1",
                "W1 stud at 406",
                "stud",
                "W1",
                406.0,
                "D1",
                Vec(1100, 0, 478),
                54.0,
                140.0,
                43.0,
                56.0,
                16.0,
                "ok",
                459.0,
                478.0,
                (READ,),
            ),
            Bore(
                "B2",
                "main floor joist at 1200 E",
                "i-joist",
                "main floor",
                1200.0,
                "D2",
                Vec(1200, 0, -100),
                92.0,
                302.0,
                60.0,
                None,
                None,
                "engineer",
                -119.0,
                -100.0,
                (WEAK,),
            ),
        ),
        plates=(Plate("P1", "nail plate", "B1", "left", 130.0, 25.0, (READ,)),),
        hangers=(Hanger("H1", "D3", Vec(1200, -500, -610), "hanger", (READ,)),),
        caps=(TestCap("C1", "N4", 3.0, Vec(1200, -3000, -660), "plug", 5660.0),),
        sticks=(Stick(3.0, 3660.0, ("D2-1",), 2736.0),),
        materials=(
            MaterialLine("pipe", "ABS DWV pipe", '3" x 12 ft', 1, "stick"),
            MaterialLine("fitting", "=sanitary tee", '3" x 3" x 1-1/2"', 1, "each", status=Status.MEMORY),
        ),
    )


@pytest.fixture
def small_design() -> Design:
    """Return the hand-made design."""
    stub = StubMark(
        "LV1",
        "W1",
        "left",
        1000.0,
        400.0,
        500.0,
        480.0,
        "cabinet floor",
        "trap entry",
        1.25,
        76.0,
        19.0,
        0.0,
        Derivation("LV1", "stub-out height", "480 mm", ("outlet less trap entry",), (WEAK,)),
    )
    return Design(
        house=_house(),
        book=_book("test-book", "n"),
        framing=_book("test-framing", "framing"),
        network=_network(),
        stubs=(stub,),
        cleanouts=(CleanoutPlan("CO1", "N3", 3.0, Vec(0, 1, 0), 450.0, "building drain", "crawl space", (WEAK,)),),
        fabrication=_fabrication(),
        derivations=(
            Derivation("LV1", "load", "1", ("single row",), (READ,)),
            Derivation("V1", "size", '1-1/2"', ("trap 1-1/4",), (READ,)),
            Derivation("D1", "size", '1-1/2"', ("trap 1-1/4", "least arm"), (WEAK,)),
        ),
        questions=(Question("Q1", "Is the crawl space heated?", "B", "insulation", "assumed cold"),),
        blocked=(Blocked(("KS",), "arm too long", "move the sink by 70 mm", (WEAK,)),),
    )


@pytest.fixture
def small_findings() -> tuple[Finding, ...]:
    """Return findings of each level; the first is accepted by a record of the job."""
    return (
        Finding(
            "ARM001",
            "trap-arm-too-long",
            Level.FIX,
            ("LV1",),
            "1867 mm",
            "at most 1800 mm",
            "turn the sink",
            (WEAK,),
            "the seal is lost",
        ),
        Finding(
            "BOR001",
            "hole-in-engineered-member",
            Level.STOP,
            ("B2",),
            "92 mm hole",
            "maker's chart",
            "get the chart",
            (READ,),
        ),
        Finding("ASK001", "heads-unknown", Level.ASK, ("SH3",), "one head or two?", "a number", owner="B", line=12),
    )


@pytest.fixture
def small_not_checked() -> tuple[NotChecked, ...]:
    """Return one check that lacked data."""
    return (NotChecked("AAV001", "valve-without-leave", "the job says nothing of valves"),)
