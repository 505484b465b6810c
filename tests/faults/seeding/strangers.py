"""Things no check can judge, set in front of everything else of a design: none may make a check stop there.

Their pipes are of a size no book and no catalogue has, their fixtures have no rim, outlet, station or number of heads,
their walls and levels are of another house. All their ids begin with "?".
"""

from __future__ import annotations

from dataclasses import replace

from stubout.design import Design
from stubout.fabrication.model import Bore, FittingUse, Hanger
from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Opening, Stud
from stubout.house.model import CabinetBox, Frame, HouseFixture, Obstacle
from stubout.house.outside import RoofPlane
from stubout.kinds import FixtureKind
from stubout.layout.model import CleanoutPlan, Place, PointKind, Role, StubMark, TrapPlan, VentMethod
from stubout.network.model import Network, Node, Pipe
from stubout.problems import Derivation, Status

NO_SIZE_IN = 20.0
FAR = 60_000.0
# Kind of fixture, how it is vented, and whether a vent fitting is named: one of each that some check passes over.
TRAPS = (
    (FixtureKind.WATER_CLOSET, VentMethod.INDIVIDUAL, True),
    (FixtureKind.FLOOR_DRAIN, VentMethod.NONE, False),
    (FixtureKind.LAVATORY, VentMethod.INDIVIDUAL, True),
    (FixtureKind.CLOTHES_WASHER, VentMethod.INDIVIDUAL, True),
    (FixtureKind.SHOWER, VentMethod.SINGLE_STACK, True),
)


def is_stranger(thing: str) -> bool:
    """Return whether an id is one of theirs."""
    return thing.startswith("?")


def behind_strangers(design: Design) -> Design:
    """Return the design with strangers in front of every list."""
    net, home, fab = design.network, design.house, design.fabrication
    nodes, pipes, traps, bodies = _pipework()
    wall = replace(
        home.walls[0], id="?P", level_id="?", start=Vec(FAR, FAR, 0), end=Vec(FAR, FAR + 900.0, 0),
        studs=(Stud(450.0, 38.0),), openings=(Opening("?O", "?P", 100.0, 600.0, 900.0, 1800.0, 1800.0),), bays=(),
    ) if home.walls else None  # fmt: skip
    here = Box(Vec(FAR, FAR, 0), Vec(FAR + 10.0, FAR + 10.0, 10.0))
    return replace(
        design,
        network=Network((*nodes, *net.nodes), (*pipes, *net.pipes), (*traps, *net.traps)),
        stubs=(_mark(), *design.stubs),
        cleanouts=(
            CleanoutPlan("?C1", "?N1", NO_SIZE_IN, Vec(0, 0, 0), 0.0, "nothing", "nowhere"),
            CleanoutPlan("?C2", "?N2", NO_SIZE_IN, Vec(1, 0, 0), 0.0, "nothing", "nowhere"),
            *design.cleanouts,
        ),
        fabrication=replace(
            fab,
            fittings=(
                _fitting("?F1", "?", "thing of no catalogue"), _fitting("?F2", "?N3", "sanitary tee"), *fab.fittings
            ),
            bores=(_bore(), *fab.bores),
            hangers=(Hanger("?H", "?", Vec(FAR, FAR, 0), "hanger"), *fab.hangers) if fab.hangers else (),
        ),
        house=replace(
            home,
            fixtures=(*bodies, *home.fixtures),
            walls=(wall, *home.walls) if wall else (),
            frames=(_frame(), *home.frames),
            obstacles=(
                Obstacle("?D", "duct", here, "duct"), Obstacle("?Z", "zone", here, "zone"),
                Obstacle("?G", "pad", here, "pad"), *home.obstacles,
            ),
            cabinets=(CabinetBox("?K", "?", "", "doors", "?", "left", 0.0, 100.0, here, None), *home.cabinets),
            roof=(RoofPlane("?R", FAR, FAR, FAR, FAR, Vec(FAR, FAR, 0), 0.0, 0.0), *home.roof),
        ),
    )  # fmt: skip


def _pipework() -> tuple[list[Node], list[Pipe], list[TrapPlan], list[HouseFixture]]:
    """Return an arm and a vent to a valve for each kind of trap, all far away, and the fixtures."""
    nodes, pipes, traps, bodies = [], [], [], []
    for i, (kind, method, vented) in enumerate(TRAPS, start=1):
        tag, y = f"?{i}", FAR + 5000.0 * i
        weir, end, top = (f"?{name}{i}" for name in ("W", "N", "T"))
        at = Vec(FAR, y, 100.0), Vec(FAR + 900.0, y, 82.0), Vec(FAR + 900.0, y, 1500.0)
        arm, vent = f"?A{i}", f"?V{i}"
        nodes += [
            Node(weir, at[0], PointKind.TRAP, tag, (), (arm,)),
            Node(end, at[1], PointKind.TAKEOFF, "", (arm,), (vent,)),
            Node(top, at[2], PointKind.CAP, "", (vent,), ()),
        ]
        common = {"place": Place("buried", "?"), "tag": tag, "size_in": NO_SIZE_IN, "load": 0.0, "tags": (tag,)}
        pipes += [
            Pipe(arm, "drain", Role.TRAP_ARM, weir, end, at[0], at[1], **common),
            Pipe(vent, "vent", Role.VENT, end, top, at[1], at[2], **common),
        ]
        traps.append(TrapPlan(tag, NO_SIZE_IN, weir, end if vented else "", (arm,), method, (vent,)))
        bodies.append(HouseFixture(tag, kind, "stranger", "?", "?", 0.0, 0.0, heads=None, primer=True, future=True))
    return nodes, pipes, traps, bodies


def _mark() -> StubMark:
    return StubMark(
        tag="?3", wall_id="?P", side="left", station_mm=0.0, lo_z_mm=0.0, hi_z_mm=900.0, mark_z_mm=500.0,
        lo_governs="", hi_governs="", size_in=NO_SIZE_IN, projection_mm=75.0, finished_z_mm=0.0, subfloor_z_mm=0.0,
        derivation=Derivation("?3", "stub-out height", "500"),
    )  # fmt: skip


def _fitting(name: str, node: str, pattern: str) -> FittingUse:
    return FittingUse(name, node, pattern, (NO_SIZE_IN, NO_SIZE_IN), Vec(FAR, FAR, 0), ("?", "?"), Status.MEMORY)


def _bore() -> Bore:
    return Bore(
        id="?B", member="?", member_kind="stud", wall_or_frame="?", station_mm=0.0, pipe="?A1", centre=Vec(FAR, FAR, 0),
        hole_mm=10.0, depth_mm=140.0, edge_mm=50.0, limit_mm=None, edge_limit_mm=None, verdict="ok",
        height_subfloor_mm=0.0, height_finished_mm=0.0,
    )  # fmt: skip


def _frame() -> Frame:
    return Frame("?J", "?", "sawn", "x", 235.0, 38.0, 0.0, 10.0, -225.0, 0.0, (FAR,), FAR, FAR + 1.0, FAR, FAR + 1.0)
