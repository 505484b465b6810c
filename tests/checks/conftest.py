"""A small clean bath by hand, and ways to spoil it.

One 2x6 wall P runs north from the origin; a lavatory LV1 and a closet WC1 stand east of it on a slab. The closet's vent
is the one 3 in vent, the lavatory has its own. The building drain leaves south to the sewer. Every fault of a test is
this house with one thing changed, so that the finding has one cause.
"""

from __future__ import annotations

import itertools
import sys
from collections import Counter
from dataclasses import fields, replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from stubout.checks.registry import by_id, run_all
from stubout.design import Design
from stubout.fabrication.model import Fabrication
from stubout.files.books import known_values, load_book
from stubout.geometry.vec import Box, Vec
from stubout.house.facts import Climate, JobFacts, TestPlanFacts, Wishes
from stubout.house.framing import Bay, FinishZone, Stud, Wall
from stubout.house.model import CabinetBox, House, HouseFixture, HouseLevel, Obstacle, Room
from stubout.house.outside import Ground, RoofPlane, Sewer
from stubout.kinds import FixtureKind
from stubout.layout.model import CleanoutPlan, Place, PointKind, Role, StubMark, TrapPlan, VentMethod
from stubout.network.model import Network, Node, Pipe
from stubout.problems import Derivation
from stubout.rulebooks.model import RuleBook

sys.path.insert(0, str(Path(__file__).parents[1] / "faults"))
from seeding.sense import nonsense
from seeding.strangers import behind_strangers, is_stranger

BOOKS = {i: load_book(i) for i in ("npc-2020", "upc-2021", "irc-2021", "ipc-2021")}
FRAMING = load_book("irc-framing-2021")

# id: system, role, start, end, size, load, tags, place
PIPES: dict[str, dict[str, Any]] = {
    "A1": {"role": "trap arm", "a": (230, 609, 500), "b": (0, 609, 495.4), "size": 1.5, "tags": "LV1", "load": 1.5},
    "D1": {"role": "drain", "a": (0, 609, 495.4), "b": (0, 609, -323.9), "size": 1.5, "tags": "LV1", "load": 1.5},
    "A2": {"role": "trap arm", "a": (388, 1421, 13), "b": (388, 1421, -300), "size": 3, "tags": "WC1", "load": 4,
           "place": "under slab:main"},
    "A3": {"role": "trap arm", "a": (388, 1421, -300), "b": (0, 1421, -307.8), "size": 3, "tags": "WC1", "load": 4,
           "place": "under slab:main"},
    "B1": {"role": "building drain", "a": (0, 1421, -307.8), "b": (0, 609, -323.9), "size": 4, "tags": "WC1",
           "load": 4, "place": "under slab:main"},
    "B2": {"role": "building drain", "a": (0, 609, -323.9), "b": (0, -500, -346), "size": 4, "tags": "LV1 WC1",
           "load": 5.5, "place": "under slab:main"},
    "C1": {"role": "cleanout extension", "a": (0, -500, -250), "b": (0, -500, -346), "size": 4, "place": "buried:main"},
    "S1": {"role": "building sewer", "a": (0, -500, -346), "b": (0, -5000, -436), "size": 4, "tags": "LV1 WC1",
           "load": 5.5, "place": "buried:main"},
    "V1": {"system": "vent", "role": "vent", "a": (0, 609, 495.4), "b": (0, 609, 3300), "size": 1.5, "tags": "LV1",
           "load": 1.5, "vent_mm": 2805},
    "V2": {"system": "vent", "role": "vent", "a": (0, 1421, -307.8), "b": (0, 1421, 3300), "size": 3, "tags": "WC1",
           "load": 4, "vent_mm": 3608},
}  # fmt: skip
KINDS = {
    (230, 609, 500): "trap",
    (0, 609, 495.4): "vent take-off",
    (388, 1421, 13): "flange",
    (0, 1421, -307.8): "vent take-off",
    (0, 609, -323.9): "junction",
    (0, -500, -250): "cleanout",
    (0, -5000, -436): "sewer connection",
    (0, 609, 3300): "terminal",
    (0, 1421, 3300): "terminal",
}


def _pipe(pipe_id: str, spec: dict[str, Any], node_ids: dict[tuple[float, ...], str]) -> Pipe:
    kind, _, ref = spec.get("place", "wall:P").partition(":")
    a, b = tuple(map(float, spec["a"])), tuple(map(float, spec["b"]))
    for p in (a, b):
        node_ids.setdefault(p, f"N{len(node_ids) + 1}")
    tags = tuple(spec.get("tags", "").split())
    return Pipe(
        id=pipe_id,
        system=spec.get("system", "drain"),
        role=Role(spec["role"]),
        start=node_ids[a],
        end=node_ids[b],
        a=Vec(*a),
        b=Vec(*b),
        place=Place(kind, ref),  # type: ignore[arg-type]
        tag=tags[0] if len(tags) == 1 else "",
        size_in=float(spec["size"]),
        load=float(spec.get("load", 0.0)),
        tags=tags,
        wet=spec.get("wet", False),
        vent_length_mm=float(spec.get("vent_mm", 0.0)),
    )


def network(specs: dict[str, dict[str, Any]], kinds: dict[tuple[float, ...], str], traps: tuple[Any, ...]) -> Network:
    """Return a network of pipes by their end points; ends that coincide are one node."""
    node_ids: dict[tuple[float, ...], str] = {}
    pipes = tuple(_pipe(i, s, node_ids) for i, s in specs.items())
    said = {tuple(map(float, k)): v for k, v in kinds.items()}
    nodes = tuple(
        Node(
            id=node_id,
            at=Vec(*p),
            kind=PointKind(said.get(p, "turn")),
            tag=next((q.tag for q in pipes if q.start == node_id and q.role == Role.TRAP_ARM), ""),
            inflow=tuple(q.id for q in pipes if q.end == node_id),
            outflow=tuple(q.id for q in pipes if q.start == node_id),
        )
        for p, node_id in node_ids.items()
    )
    by_id_ = {p.id: p for p in pipes}
    plans = []
    for t in traps:
        arm = tuple(i for i in t["arm"] if i in by_id_)
        plans.append(
            TrapPlan(
                tag=t["tag"],
                trap_in=t.get("trap_in", 1.5),
                weir=by_id_[arm[0]].start if arm else "",
                takeoff=by_id_[arm[-1]].end if arm and t.get("vented", True) else "",
                arm_runs=arm,
                method=VentMethod(t.get("method", "individual")),
                wet_through=tuple(t.get("through", ())),
            )
        )
    return Network(nodes, pipes, tuple(plans))


TRAPS: tuple[dict[str, Any], ...] = (
    {"tag": "LV1", "arm": ("A1",)},
    {"tag": "WC1", "arm": ("A2", "A3"), "trap_in": 3.0},
)


def wall(**changes: Any) -> Wall:
    """Return the wall P: studs every 406 mm, 13 mm board on both sides."""
    studs = tuple(Stud(s, 38.0) for s in (19.0, *(406.0 * i for i in range(1, 10)), 3981.0))
    bays = tuple(
        Bay("P", i, p.station_mm + 19.0, q.station_mm - 19.0) for i, (p, q) in enumerate(itertools.pairwise(studs))
    )
    board = (FinishZone(13.0, 0.0, 4000.0, -10.0, 3000.0),)
    base = Wall(
        id="P", level_id="main", start=Vec(0, 0, 0), end=Vec(0, 4000, 0), depth_mm=140.0, spacing_mm=406.0,
        studs=studs, bottom_z_mm=0.0, top_z_mm=2467.0, bottom_plate_mm=38.0, top_plate_mm=76.0, bearing=False,
        exterior=False, insulated=False, left=board, right=board, openings=(), bays=bays,
    )  # fmt: skip
    return replace(base, **changes)


def fixture(tag: str, kind: str, **changes: Any) -> HouseFixture:
    """Return a fixture on the slab in the room "bath"."""
    base = HouseFixture(
        tag=tag, kind=FixtureKind(kind), title=kind, room_id="bath", level_id="main", subfloor_z_mm=0.0,
        finished_z_mm=13.0, wall_id="P", side="right", group="bath",
    )  # fmt: skip
    return replace(base, **changes)


LV1 = fixture(
    "LV1", "lavatory", station_mm=609.0, flood_rim_z_mm=863.0, outlet_z_mm=660.0, outlet_in=1.25, from_wall_mm=190.0
)
WC1 = fixture(
    "WC1", "water closet", station_mm=1421.0, outlet=Vec(388, 1421, 13), floor_outlet=True, from_wall_mm=305.0,
    outlet_in=3.0,
)  # fmt: skip


def stub(**changes: Any) -> StubMark:
    """Return the stub-out mark of LV1, in the middle of its band."""
    base = StubMark(
        tag="LV1", wall_id="P", side="right", station_mm=609.0, lo_z_mm=250.0, hi_z_mm=606.0, mark_z_mm=496.0,
        lo_governs="cabinet floor", hi_governs="outlet of the bowl", size_in=1.5, projection_mm=75.0,
        finished_z_mm=13.0, subfloor_z_mm=0.0, derivation=Derivation("LV1", "stub-out height", "496"),
    )  # fmt: skip
    return replace(base, **changes)


FACTS = JobFacts(
    title="Small bath", address="1 Example Lane", permit="D-0", revision="A", issued="2026-01-15", units="mm",
    book_id="npc-2020", framing_id="irc-framing-2021", material="abs", stock_mm=(3660.0,), paper="a4", people=(),
    test=TestPlanFacts("water", 3050.0, 15.0),
)  # fmt: skip


def house(**changes: Any) -> House:
    """Return the house on a slab, without frost."""
    base = House(
        job=FACTS,
        climate=Climate(frost_prone_vents=False, winter_design_f=40.0, footing_depth_mm=None),
        levels=(HouseLevel("main", "Main floor", 0, "slab", 0.0, 2467.0, slab_mm=100.0, attic_above=True),),
        frames=(),
        walls=(wall(),),
        rooms=(Room("bath", "main", 83.0, 13.0, 2500.0, 3900.0, 13.0, title="bath"),),
        cabinets=(),
        obstacles=(),
        fixtures=(LV1, WC1),
        roof=(RoofPlane("north slope", -3000, -500, 3000, 4500, Vec(0, 0, 3000), 0.0, 0.0),),
        roof_openings=(),
        roof_zones=(),
        sewer=Sewer(Vec(0, -5000, -487), 4.0, "south", "sewer"),
        ground=Ground(-150.0, -150.0),
        footprint=Box(Vec(-3000, -50, -400), Vec(3000, 4050, 3500)),
        wishes=Wishes(),
    )
    return replace(base, **changes)


EMPTY = Fabrication((), (), (), (), (), (), (), ())


def design(
    *,
    book: str = "npc-2020",
    edit: dict[str, dict[str, Any]] | None = None,
    add: dict[str, dict[str, Any]] | None = None,
    drop: tuple[str, ...] = (),
    kinds: dict[tuple[float, ...], str] | None = None,
    traps: tuple[dict[str, Any], ...] = TRAPS,
    fabrication: Fabrication = EMPTY,
    stubs: tuple[StubMark, ...] | None = None,
    cleanouts: tuple[CleanoutPlan, ...] | None = None,
    values: dict[str, Any] | None = None,
    home: House | None = None,
    questions: tuple[Any, ...] = (),
    blocked: tuple[Any, ...] = (),
    **house_changes: Any,
) -> Design:
    """Return the small bath with some things changed.

    `values` overlays values of the book, None takes one out; other keywords change the house.
    """
    specs = {i: {**s, **(edit or {}).get(i, {})} for i, s in PIPES.items() if i not in drop} | (add or {})
    net = network(specs, {**KINDS, **(kinds or {})}, traps)
    rules = BOOKS[book]
    if values is not None:
        cells = dict(rules.values)
        for value_id, value in values.items():
            if value is None:
                cells.pop(value_id, None)
            else:
                cells[value_id] = replace(next(iter(rules.values.values())), id=value_id, value=value, unit="mm")
        rules = replace(rules, values=cells)
    spot = next((n.id for n in net.nodes if n.kind == PointKind.CLEANOUT), net.nodes[0].id)
    return Design(
        house=home or house(**house_changes),
        book=rules,
        framing=FRAMING,
        network=net,
        stubs=(stub(),) if stubs is None else stubs,
        cleanouts=(CleanoutPlan("CO1", spot, 4.0, Vec(0, 0, 1), 450.0, "building drain, two-way", "front bed"),)
        if cleanouts is None
        else cleanouts,
        fabrication=fabrication,
        derivations=(),
        questions=questions,
        blocked=blocked,
    )


NOT_OUR_WORDS = ("ASK001", "BLK001")  # they pass on what others say
NAMES_ONE = ("CLA004", "FIT008", "MTH001")  # they name one of several that are as good


FAR = Box(Vec(90_000, 90_000, 90_000), Vec(90_100, 90_100, 90_100))
FAR_OBSTACLE = Obstacle("far", "duct", FAR, "duct")
FAR_CABINET = CabinetBox("far", "far", "doors", "doors", "", "left", 0.0, 100.0, FAR, None)


def turned_round(design_: Design) -> Design:
    """Return the same design with every list the other way round, and things far away that no check may stop at.

    Storeys keep their order.
    """
    net, house_, fab = design_.network, design_.house, design_.fabrication
    nodes = tuple(replace(n, inflow=n.inflow[::-1], outflow=n.outflow[::-1]) for n in net.nodes[::-1])
    lists = ("walls", "rooms", "fixtures", "frames", "roof", "roof_openings", "roof_zones")
    parts = [f.name for f in fields(fab) if isinstance(getattr(fab, f.name), tuple)]
    return replace(
        design_,
        network=Network(nodes, net.pipes[::-1], net.traps[::-1]),
        house=replace(
            house_,
            **{name: getattr(house_, name)[::-1] for name in lists},
            obstacles=(FAR_OBSTACLE, *house_.obstacles[::-1]),
            cabinets=(FAR_CABINET, *house_.cabinets[::-1]),
        ),
        fabrication=replace(fab, **{name: getattr(fab, name)[::-1] for name in parts}),
        stubs=design_.stubs[::-1],
        cleanouts=design_.cleanouts[::-1],
        questions=design_.questions[::-1],
        blocked=design_.blocked[::-1],
    )


def found(check_id: str, design_: Design) -> list[Any]:
    """Return the findings of one check.

    They do not hang on the order in which things stand in the design, nor on things that cannot be judged before them.
    """
    check = by_id(check_id)
    assert check is not None
    three = (design_, turned_round(design_), behind_strangers(design_))
    one, other, third = (
        Counter(
            (f.level, frozenset(() if check_id in NAMES_ONE else f.about))
            for f in check.run(d)[0]
            if not any(map(is_stranger, f.about))
        )
        for d in three
    )
    assert one == other
    assert one == third
    told = list(check.run(design_)[0])
    assert not any(nonsense(f) for f in told if f.check not in NOT_OUR_WORDS), [nonsense(f) for f in told]
    return told


def unjudged(check_id: str, design_: Design) -> list[str]:
    """Return what one check could not judge."""
    check = by_id(check_id)
    assert check is not None
    return [n.reason for n in check.run(design_)[1]]


@pytest.fixture(autouse=True)
def only_known_values(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let no check ask for a value that the vocabulary of the books does not know: it would be silent for ever."""
    known = known_values()

    def watched(ask: Any) -> Any:
        def asked(book: RuleBook, value_id: str) -> Any:
            assert value_id in known, f"no book can hold {value_id!r}"
            return ask(book, value_id)

        return asked

    monkeypatch.setattr(RuleBook, "find", watched(RuleBook.find))
    monkeypatch.setattr(RuleBook, "value", watched(RuleBook.value))


@pytest.fixture
def kit() -> SimpleNamespace:
    """Return the builders."""
    return SimpleNamespace(
        design=design, house=house, wall=wall, fixture=fixture, stub=stub, LV1=LV1, WC1=WC1, FACTS=FACTS, TRAPS=TRAPS,
        EMPTY=EMPTY, found=found, unjudged=unjudged, run_all=run_all, network=network, BOOKS=BOOKS, PIPES=PIPES,
    )  # fmt: skip
