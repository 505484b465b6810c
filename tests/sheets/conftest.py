"""A small cottage over a crawl space, made by hand: one plumbing wall, a lavatory, a sink, a closet, one stack."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from laid_out import design_named

from stubout.design import Design
from stubout.fabrication.model import Bore, CutPiece, Fabrication, FittingUse, Plate
from stubout.geometry.vec import Box, Vec
from stubout.house.facts import Climate, JobFacts, TestPlanFacts, Wishes
from stubout.house.framing import Bay, FinishZone, Opening, Stud, Wall
from stubout.house.model import CabinetBox, Drawer, Frame, House, HouseFixture, HouseLevel, Obstacle, Room
from stubout.house.outside import Ground, RoofPlane, Sewer
from stubout.kinds import FixtureKind
from stubout.layout.model import CleanoutPlan, Place, PointKind, Role, StubMark, TrapPlan, VentMethod
from stubout.network.model import Network, Node, Pipe
from stubout.problems import Basis, Derivation, Status
from stubout.rulebooks.model import RuleBook


def _wall(wall_id: str, start: Vec, end: Vec, depth: float, openings: tuple[Opening, ...] = ()) -> Wall:
    length = start.to(end)
    stations = [19.0]
    k = 1
    while 406.4 * k < length - 60:
        s = 406.4 * k
        if not any(o.station_mm - 38 < s < o.station_mm + o.width_mm + 38 for o in openings):
            stations.append(s)
        k += 1
    stations.append(length - 19.0)
    studs = [Stud(s, 38.0, "end" if s in (stations[0], stations[-1]) else "stud", 38.0, 2391.0) for s in stations]
    for o in openings:
        for at, kind in ((-19.0, "jack"), (-57.0, "king"), (o.width_mm + 19.0, "jack"), (o.width_mm + 57.0, "king")):
            studs.append(Stud(o.station_mm + at, 38.0, kind, 38.0, 2391.0))  # type: ignore[arg-type]
    studs.sort(key=lambda s: s.station_mm)
    bays = tuple(Bay(wall_id, i, a.station_mm + 19, b.station_mm - 19) for i, (a, b) in enumerate(pairwise(studs)))
    face = (FinishZone(13.0, 0.0, length, -1e6, 1e6),)
    return Wall(
        wall_id, "main", start, end, depth, 406.4, tuple(studs), 0.0, 2467.0, 38.0, 76.0, False, False, False,
        face, face, openings, bays,
    )  # fmt: skip


def _house(units: str, paper: str) -> House:
    door = Opening("D1", "P", 2500.0, 711.0, 0.0, 2080.0, 2391.0, "door")
    walls = (
        _wall("S", Vec(0, 70), Vec(7300, 70), 140.0),
        _wall("N", Vec(0, 6030), Vec(7300, 6030), 140.0),
        _wall("P", Vec(2400, 2400), Vec(2400, 5960), 140.0, (door,)),
    )
    rooms = (
        Room("bath", "main", 500, 2400, 2317, 5947, 19.0, title="bath"),
        Room("kitchen", "main", 2483, 153, 7147, 5947, 22.0, title="kitchen"),
    )
    fixtures = (
        HouseFixture("LV1", FixtureKind.LAVATORY, "lavatory", "bath", "main", 0.0, 19.0, "P", "left", 900.0,
                     flood_rim_z_mm=850.0, outlet_in=1.25),
        HouseFixture("KS", FixtureKind.KITCHEN_SINK, "kitchen sink", "kitchen", "main", 0.0, 22.0, "P", "right", 1700.0,
                     flood_rim_z_mm=936.0),
        HouseFixture("WC1", FixtureKind.WATER_CLOSET, "closet", "bath", "main", 0.0, 19.0, "P", "left", 2100.0,
                     outlet=Vec(2012, 4500, 19), floor_outlet=True, flood_rim_z_mm=400.0, outlet_in=3.0,
                     extent=Box(Vec(1600, 4300, 19), Vec(2317, 4700, 780))),
    )  # fmt: skip
    cabinet = CabinetBox(
        "K1.1", "K1", "sink base", "sink base", "P", "right", 1243.0, 2157.0,
        Box(Vec(2483, 3643, 22), Vec(3093, 4557, 906)), 140.0, counter_z_mm=936.0, counter_mm=30.0,
    )  # fmt: skip
    drawers = CabinetBox(
        "K1.2", "K1", "drawer bank", "drawers", "P", "right", 786.0, 1243.0,
        Box(Vec(2483, 3186, 22), Vec(3093, 3643, 906)), 140.0, drawers=(Drawer(160, 500), Drawer(520, 860)),
        counter_z_mm=936.0, counter_mm=30.0,
    )  # fmt: skip
    vanity = CabinetBox(
        "V1.1", "V1", "vanity", "sink base", "P", "left", 600.0, 1200.0,
        Box(Vec(1757, 3000, 19), Vec(2317, 3600, 850)), 130.0, counter_z_mm=870.0, counter_mm=20.0,
    )  # fmt: skip
    obstacles = (
        Obstacle("O1", "medicine cabinet", Box(Vec(2317, 3100, 1220), Vec(2400, 3500, 1840)), "box", "P"),
        Obstacle("O2", "pier pad", Box(Vec(3300, 2700, -1216), Vec(3900, 3300, -1016)), "pad"),
        Obstacle("O3", "strip footing", Box(Vec(-150, -150, -1216), Vec(7450, 350, -1016)), "footing"),
    )
    frame = Frame(
        "main floor", "main", "sawn", "x", 235.0, 38.0, 38.0, -18.0, -253.0, 18.0,
        tuple(203.2 + 406.4 * k for k in range(15)), 0.0, 7300.0, 0.0, 6100.0,
    )  # fmt: skip
    levels = (
        HouseLevel("crawl", "crawl space", 0, "ground", -1016.0, 0.0),
        HouseLevel("main", "main floor", 1, "frame", 0.0, 2467.0, attic_above=True, ceiling_z_mm=2467.0),
    )
    facts = JobFacts(
        "Cottage of the tests", "12 Specimen Lane, Example County (invented)", "T-000-01 (dummy)", "B", "2030-01-15",
        units, "example-2030", "example-framing", "abs", (3048.0,), paper,  # type: ignore[arg-type]
        (("B", "builder"),), TestPlanFacts("water", 3048.0, 15.0),
    )  # fmt: skip
    return House(
        job=facts,
        climate=Climate(True, -8.0, 1066.8),
        levels=levels,
        frames=(frame,),
        walls=walls,
        rooms=rooms,
        cabinets=(cabinet, drawers, vanity),
        obstacles=obstacles,
        fixtures=fixtures,
        roof=(RoofPlane("R1", 0, 0, 7300, 6100, Vec(0, 0, 2600), 0.0, 0.4),),
        roof_openings=(),
        roof_zones=(),
        sewer=Sewer(Vec(2400, -3600, -1150 - 50.8), 4.0, "south", "sewer"),
        ground=Ground(-450.0, -500.0),
        footprint=Box(Vec(0, 0, -1016), Vec(7300, 6100, 5000)),
        wishes=Wishes(),
    )


POINTS: dict[str, tuple[Vec, PointKind, str]] = {
    "n1": (Vec(2200, 3300, 480), PointKind.TRAP, "LV1"),
    "n2": (Vec(2400, 3300, 476), PointKind.TURN, ""),
    "n3": (Vec(2400, 3720, 467.6), PointKind.TAKEOFF, "LV1"),
    "n4": (Vec(2600, 4100, 420), PointKind.TRAP, "KS"),
    "n5": (Vec(2400, 4100, 416), PointKind.TURN, ""),
    "n6": (Vec(2400, 3720, 408.4), PointKind.TAKEOFF, "KS"),
    "n7": (Vec(2400, 3720, -620), PointKind.STACK_FOOT, ""),
    "n8": (Vec(2012, 4500, 19), PointKind.FLANGE, "WC1"),
    "n9": (Vec(2012, 4500, -600), PointKind.TURN, ""),
    "n10": (Vec(2400, 4112, -611), PointKind.JUNCTION, ""),
    "n11": (Vec(2400, 4700, -599.2), PointKind.CLEANOUT, ""),
    "n12": (Vec(2400, 400, -686.4), PointKind.JUNCTION, ""),
    "n13": (Vec(2400, -3600, -766.4), PointKind.SEWER, ""),
    "n14": (Vec(2400, 3720, 2700), PointKind.TURN, ""),
    "n15": (Vec(3000, 3720, 2712), PointKind.TURN, ""),
    "n16": (Vec(3000, 3720, 4400), PointKind.TERMINAL, ""),
}
WALL, CRAWL, ATTIC = Place("wall", "P"), Place("crawl", "crawl"), Place("attic", "attic")
RUNS = (
    ("D1", "drain", Role.TRAP_ARM, "n1", "n2", WALL, "LV1", 1.5, ("LV1",)),
    ("D2", "drain", Role.TRAP_ARM, "n2", "n3", WALL, "LV1", 1.5, ("LV1",)),
    ("D3", "drain", Role.TRAP_ARM, "n4", "n5", WALL, "KS", 1.5, ("KS",)),
    ("D4", "drain", Role.TRAP_ARM, "n5", "n6", WALL, "KS", 1.5, ("KS",)),
    ("D5", "drain", Role.DRAIN, "n3", "n6", WALL, "", 2.0, ("LV1",)),
    ("D6", "drain", Role.STACK, "n6", "n7", WALL, "", 2.0, ("KS", "LV1")),
    ("D7", "drain", Role.FIXTURE_DRAIN, "n8", "n9", Place("through floor", "main"), "WC1", 3.0, ("WC1",)),
    ("D8", "drain", Role.BRANCH, "n9", "n10", CRAWL, "WC1", 3.0, ("WC1",)),
    ("D9", "drain", Role.CLEANOUT_EXT, "n11", "n10", CRAWL, "", 3.0, ()),
    ("D10", "drain", Role.BUILDING_DRAIN, "n10", "n7", CRAWL, "", 3.0, ("WC1",)),
    ("D11", "drain", Role.BUILDING_DRAIN, "n7", "n12", CRAWL, "", 3.0, ("KS", "LV1", "WC1")),
    ("D12", "drain", Role.SEWER, "n12", "n13", Place("buried"), "", 4.0, ("KS", "LV1", "WC1")),
    ("V1", "vent", Role.VENT, "n3", "n14", WALL, "LV1", 1.5, ("KS", "LV1")),
    ("V2", "vent", Role.BRANCH_VENT, "n14", "n15", ATTIC, "", 2.0, ("KS", "LV1")),
    ("V3", "vent", Role.STACK_VENT, "n15", "n16", Place("roof"), "", 3.0, ("KS", "LV1")),
)


def _network() -> Network:
    pipes = tuple(
        Pipe(i, system, role, a, b, POINTS[a][0], POINTS[b][0], place, tag, size, 2.0 * max(1, len(tags)), tags)
        for i, system, role, a, b, place, tag, size, tags in RUNS
    )
    nodes = tuple(
        Node(n, at, kind, tag, tuple(p.id for p in pipes if p.end == n), tuple(p.id for p in pipes if p.start == n))
        for n, (at, kind, tag) in POINTS.items()
    )
    traps = (
        TrapPlan("LV1", 1.25, "n1", "n3", ("D1", "D2"), VentMethod.COMMON, ("V1",)),
        TrapPlan("KS", 1.5, "n4", "n6", ("D3", "D4"), VentMethod.COMMON, ("V1",)),
    )
    return Network(nodes, pipes, traps)


def _fabrication() -> Fabrication:
    def bore(i: str, kind: str, station: float, pipe: str, at: Vec, hole: float) -> Bore:
        return Bore(
            i, f"P {kind} {station:.0f}", kind, "P", station, pipe, at, hole, 140.0, 43.0, 84.0, 16.0, "ok",  # type: ignore[arg-type]
            at.z, at.z - 19.0,
        )  # fmt: skip

    bores = (
        bore("B1", "stud", 1219.2, "D2", Vec(2400, 3619.2, 469.6), 54.0),
        bore("B2", "stud", 1625.6, "D4", Vec(2400, 4025.6, 414.5), 54.0),
        bore("B3", "bottom plate", 1320.0, "D6", Vec(2400, 3720, 19), 65.0),
        bore("B4", "top plate", 1320.0, "V1", Vec(2400, 3720, 2429), 54.0),
    )
    fittings = (
        FittingUse(
            "F1", "n3", "sanitary tee", (1.5, 2.0, 1.5), Vec(2400, 3720, 467.6), ("V1", "D5", "D2"), Status.MEMORY
        ),
        FittingUse(
            "F2", "n6", "sanitary tee", (2.0, 2.0, 1.5), Vec(2400, 3720, 408.4), ("D5", "D6", "D4"), Status.MEMORY
        ),
    )
    pieces = tuple(
        CutPiece(f"{i}-1", i, system, size, 500.0, 44.0, 44.0, 412.0, "F1", "F2", Status.MEMORY)
        for i, system, size in (("D2", "drain", 1.5), ("D4", "drain", 1.5), ("D6", "drain", 2.0), ("V1", "vent", 1.5))
    )
    plates = (
        Plate("S1", "nail plate", "B1", "both", 127.0, 43.0),
        Plate("S2", "nail plate", "B3", "left", 127.0, 37.0),
    )
    return Fabrication(fittings, pieces, bores, plates, (), (), (), ())


def _stub(tag: str, side: str, station: float, lo: float, hi: float, mark: float, fin: float) -> StubMark:
    basis = Basis("outlet to trap entry", "50 mm", "catalog", "", Status.MEMORY)
    return StubMark(
        tag, "P", side, station, lo, hi, mark, "cabinet floor", "bowl", 1.5, 76.2, fin, 0.0,  # type: ignore[arg-type]
        Derivation(tag, "stub-out height", f"{mark:.0f} mm", bases=(basis,)),
    )  # fmt: skip


def make_design(units: str = "inch", paper: str = "letter") -> Design:
    """Return the cottage."""
    book = RuleBook("example-2030", "Example Plumbing Code", "2030", "n", {}, {}, {})
    stubs = (
        _stub("LV1", "left", 900.0, 255.0, 560.0, 476.0, 19.0),
        _stub("KS", "right", 1700.0, 280.0, 455.0, 416.0, 22.0),
    )
    return Design(
        house=_house(units, paper),
        book=book,
        framing=replace(book, id="example-framing", family="framing"),
        network=_network(),
        stubs=stubs,
        cleanouts=(CleanoutPlan("CO1", "n11", 3.0, Vec(0, 1, 0), 450.0, "building drain", "crawl space"),),
        fabrication=_fabrication(),
        derivations=tuple(s.derivation for s in stubs),
        questions=(),
        blocked=(),
    )


@pytest.fixture(scope="session", params=["inch", "mm"])
def cottage(request: pytest.FixtureRequest) -> Design:
    return make_design(request.param, "letter" if request.param == "inch" else "a4")


def _example(name: str) -> Design:
    return design_named(name)


@pytest.fixture(scope="session")
def drawn_bath() -> Design:
    return _example("drawn-bath")


@pytest.fixture(scope="session")
def large_house() -> Design:
    return _example("01-two-storey-basement")


@pytest.fixture(scope="session", params=["demo", "02-slab-bungalow", "03-crawlspace-cottage"])
def real_house(request: pytest.FixtureRequest) -> Design:
    return design_named(request.param)
