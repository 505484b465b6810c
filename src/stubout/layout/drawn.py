"""Hand-drawn routes as points and runs: kept exactly as drawn, split where a leg joins another.

Completing a partly drawn system is the engine's work. A gap or a loose end is reported as `Blocked`, not repaired.
Circuit vents, combination drains, single and waste stacks are what the job file says they are (`vents by`).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

from stubout.catalog import queries as catalog
from stubout.geometry.vec import angle_deg
from stubout.house.facts import RouteLeg
from stubout.house.model import House, HouseFixture
from stubout.kinds import FixtureKind
from stubout.layout.drawn_faults import SEWER, loose_ends, usable_legs, vent_ends
from stubout.layout.flowgraph import Flow, Reach, flow_of, reach_of, vents_by
from stubout.layout.model import Blocked, Point, PointKind, Role, Run, TrapPlan, VentMethod
from stubout.layout.places import place_of, place_said
from stubout.layout.roles import roles_of
from stubout.layout.sketch import Sketch, join_legs

__all__ = ["Drawing", "drawn_runs", "kinds_of", "place_of", "read_drawing", "trap_of"]

TRAP_WORDS = frozenset({"trap", "p-trap"})


@dataclass(frozen=True, slots=True)
class Drawing:
    """The routes drawn by hand, as points and runs, with what the user said of single points."""

    points: tuple[Point, ...]
    runs: tuple[Run, ...]
    traps: tuple[TrapPlan, ...]
    faults: tuple[Blocked, ...]
    said: Mapping[str, PointKind]  # open ends of vents, cleanouts, caps
    sewer: frozenset[str]  # points that are drawn as the sewer connection
    leg: Mapping[str, str]  # run id -> id of its route


def drawn_runs(house: House) -> tuple[tuple[Point, ...], tuple[Run, ...], tuple[TrapPlan, ...], tuple[Blocked, ...]]:
    """Return points, runs, traps and faults of the routes drawn by hand.

    Args:
        house: The resolved house with its routes; leg points within 1 mm of each other are one point.
    """
    d = read_drawing(house)
    return d.points, d.runs, d.traps, d.faults


def read_drawing(house: House) -> Drawing:
    """Return the routes drawn by hand.

    Args:
        house: The resolved house with its routes; leg points within 1 mm of each other are one point.
    """
    sketch, faults = Sketch(), list[Blocked]()
    routes = usable_legs(house, faults)
    for leg in routes:
        sketch.legs[leg.id] = []
        for i, p in enumerate(leg.points):
            node = sketch.point(p, f"{leg.id}@{i}")
            if not sketch.legs[leg.id] or sketch.legs[leg.id][-1] != node:
                sketch.legs[leg.id].append(node)
    join_legs(sketch, routes)
    faults += loose_ends(house, sketch, routes)
    runs, leg_of = _runs(house, sketch, routes)
    flow = flow_of(runs, sketch.at)
    weirs = _weirs(house, sketch, routes)
    reaches = {tag: reach_of(flow, node) for tag, node in weirs.items()}
    ends = vent_ends(house, sketch, routes)
    traps = tuple(trap_of(house, flow, tag, weirs, reaches, ends) for tag in weirs)
    said = _said(sketch, routes)
    sewer = frozenset(sketch.legs[leg.id][-1] for leg in routes if leg.joins == SEWER)
    access = {n for n, kind in said.items() if kind is PointKind.CLEANOUT}
    roles = roles_of(house, flow, {t.tag: t for t in traps}, access)
    arms = {i: t.tag for t in traps for i in t.arm_runs if roles[i] is Role.TRAP_ARM}
    vents = {i: t.tag for t in traps for i in t.vent_runs}
    runs = tuple(replace(r, role=roles[r.id], tag=arms.get(r.id) or vents.get(r.id) or r.tag) for r in runs)
    kinds = kinds_of(house, flow, sewer, traps, {r.id: r for r in runs}, {**ends, **said})
    points = tuple(
        Point(i, p, kinds[i], next((t.tag for t in traps if t.weir == i), ""), sketch.note.get(i, ""))
        for i, p in sketch.at.items()
    )
    return Drawing(points, runs, traps, tuple(faults), {**ends, **said}, sewer, leg_of)


def _runs(house: House, sketch: Sketch, routes: tuple[RouteLeg, ...]) -> tuple[tuple[Run, ...], dict[str, str]]:
    """Return one run for each straight piece, roles settled later, and the route of each."""
    runs: list[Run] = []
    leg_of: dict[str, str] = {}
    for leg in routes:
        nodes = sketch.legs[leg.id]
        single = len(nodes) == 2
        for k, (a, b) in enumerate(pairwise(nodes), start=1):
            runs.append(
                Run(
                    id=leg.id if single else f"{leg.id}.{k}",
                    system=leg.system,
                    role=Role.DRAIN if leg.system == "drain" else Role.VENT,
                    start=a,
                    end=b,
                    place=place_said(house, leg.lies) or place_of(house, sketch.at[a], sketch.at[b]),
                    size_in=_size(house, leg),
                    tag=leg.fixture or leg.vent_of,
                    drawn=True,
                    vents_by=VentMethod(leg.vents_by) if leg.vents_by else None,
                    said=leg.said,
                    material=leg.material,
                )
            )
            leg_of[runs[-1].id] = leg.id
    return tuple(runs), leg_of


def _size(house: House, leg: RouteLeg) -> float:
    """Return the size drawn [in]; unsaid: the fixture's trap or outlet, else the least drain, for sizing to raise."""
    if leg.size_in is not None:
        return leg.size_in
    fixture = next((f for f in house.fixtures if f.tag == leg.fixture), None)
    if fixture is not None:
        return fixture.trap_in or fixture.outlet_in
    return 1.25


def _weirs(house: House, sketch: Sketch, routes: tuple[RouteLeg, ...]) -> dict[str, str]:
    """Return the weir (or flange) of every fixture whose arm is drawn: where the leg says trap, else its start."""
    out: dict[str, str] = {}
    for leg in routes:
        if leg.system == "drain" and leg.fixture and leg.fixture not in out:
            at = [i for i, word in leg.fittings if word.lower() in TRAP_WORDS and i < len(leg.points)]
            p = leg.points[at[0]] if at else leg.points[0]
            out[leg.fixture] = min(sketch.legs[leg.id], key=lambda n: (sketch.at[n].to(p), n))
    return out


def trap_of(
    house: House,
    flow: Flow,
    tag: str,
    weirs: Mapping[str, str],
    reaches: Mapping[str, Reach],
    ends: Mapping[str, PointKind],
) -> TrapPlan:
    """Return how a drawn trap is vented.

    Args:
        house: The house, for the fixture.
        flow: All runs as a graph.
        tag: The fixture.
        weirs: Point of every trap weir or flange, by tag.
        reaches: Where every trap meets its vent, by tag.
        ends: What the open ends of the vents are.
    """
    reach = reaches[tag]
    fixture = next((f for f in house.fixtures if f.tag == tag), None)
    first = flow.runs[reach.arm[0]].size_in if reach.arm else 1.25
    trap_in = (fixture.trap_in if fixture else None) or first
    partners = [t for t, r in reaches.items() if t != tag and r.takeoff and r.takeoff == reach.takeoff and r.own]
    method = _method(fixture, flow, reach, bool(partners), ends)
    weir_p = flow.at[weirs[tag]]
    closet = fixture is not None and fixture.kind is FixtureKind.WATER_CLOSET
    half = 0.0 if closet else catalog.pipe(house.job.material, first).id_mm / 2
    vented = method is not VentMethod.NONE
    return TrapPlan(
        tag=tag,
        trap_in=trap_in,
        weir=weirs[tag],
        takeoff=reach.takeoff if vented else "",
        arm_runs=reach.arm if vented else _level_part(flow, reach, closet),
        method=method,
        vent_runs=reach.own if vented else (),
        partner=partners[0] if partners and method is VentMethod.COMMON else "",
        wet_through=reach.through if vented else (),
        weir_z_mm=weir_p.z - half,
    )


def _level_part(flow: Flow, reach: Reach, closet: bool) -> tuple[str, ...]:
    """Return the arm of an unvented trap: up to where it first drops; a closet's own drop belongs to it."""
    out: list[str] = []
    for i in reach.arm:
        if flow.vertical(i) and not closet:
            break
        out.append(i)
    return tuple(out)


def _method(
    fixture: HouseFixture | None, flow: Flow, reach: Reach, shared: bool, ends: Mapping[str, PointKind]
) -> VentMethod:
    """Return the vent method the geometry shows."""
    floor_drain = fixture is not None and fixture.kind is FixtureKind.FLOOR_DRAIN
    way = vents_by(flow, reach.takeoff) if reach.takeoff else None
    if way is not None:
        return way
    if not reach.takeoff or (floor_drain and not reach.own):
        return VentMethod.NONE
    closet = fixture is not None and fixture.kind is FixtureKind.WATER_CLOSET
    if reach.through and not closet and any(flow.vertical(i) for i in reach.arm):
        return VentMethod.NONE  # it drops before it meets the wet vent: its weir lies above that air
    if reach.through:
        return VentMethod.WET  # down a stack too: water of others falls past it
    last = flow.runs[reach.own[-1]].end
    if ends.get(last) is PointKind.AAV:
        return VentMethod.AAV
    if (fixture is not None and fixture.in_island) or _comes_back(flow, reach):
        return VentMethod.LOOP
    return VentMethod.COMMON if shared else VentMethod.INDIVIDUAL


def _comes_back(flow: Flow, reach: Reach) -> bool:
    """Return whether a vent is a loop: it comes down again to a foot that opens into a drain, and goes on from there.

    An island is not the only place for one: a cabinet under a window without a bay for a vent is another.
    """
    for i in reach.own:
        foot = flow.runs[i].end
        if not flow.vertical(i) or flow.at[foot].z >= flow.at[flow.runs[i].start].z:
            continue
        ends = [flow.runs[k].end for k in flow.vents_out.get(foot, ()) if k not in reach.own]
        if flow.drains_out.get(foot) or any(flow.drains_in.get(n) or flow.drains_out.get(n) for n in ends):
            return True
    return False


def kinds_of(
    house: House,
    flow: Flow,
    sewer: Collection[str],
    traps: tuple[TrapPlan, ...],
    runs: Mapping[str, Run],
    ends: Mapping[str, PointKind],
) -> dict[str, PointKind]:
    """Return what every point is, the most telling word first.

    Args:
        house: The house, for the fixtures.
        flow: All runs as a graph.
        sewer: Points that are the sewer connection.
        traps: Trap plans of all fixtures.
        runs: The runs by id with their roles settled.
        ends: Open ends of vents, cleanouts and caps.
    """
    closets = {f.tag for f in house.fixtures if f.kind is FixtureKind.WATER_CLOSET}
    weirs = {t.weir: PointKind.FLANGE if t.tag in closets else PointKind.TRAP for t in traps}
    takeoffs = {t.takeoff for t in traps if t.takeoff and t.vent_runs}
    out: dict[str, PointKind] = {}
    for node in flow.at:
        d_in, d_out = flow.drains_in.get(node, ()), flow.drains_out.get(node, ())
        v_in, v_out = flow.vents_in.get(node, ()), flow.vents_out.get(node, ())
        stack_in = any(runs[i].role is Role.STACK for i in d_in)
        stack_out = any(runs[i].role is Role.STACK for i in d_out)
        if node in weirs:
            out[node] = weirs[node]
        elif node in sewer:
            out[node] = PointKind.SEWER
        elif ends.get(node) in (PointKind.CLEANOUT, PointKind.CAP) or (node in ends and not v_out):
            out[node] = ends[node]
        elif stack_out and not stack_in and v_out:
            out[node] = PointKind.STACK_TOP
        elif node in takeoffs or (v_out and (d_in or d_out)):
            out[node] = PointKind.TAKEOFF
        elif stack_in and d_out and not stack_out:
            out[node] = PointKind.STACK_FOOT
        elif len(d_in) > 1:
            out[node] = PointKind.JUNCTION
        elif len(v_in) > 1 or (v_in and (d_in or d_out)):
            out[node] = PointKind.TIE_IN
        elif _reduces(flow, (*d_in, *v_in), (*d_out, *v_out)):
            out[node] = PointKind.REDUCER
        else:
            out[node] = PointKind.TURN
    return out


def _said(sketch: Sketch, routes: tuple[RouteLeg, ...]) -> dict[str, PointKind]:
    """Return the points the user named as cleanout or cap."""
    said: dict[str, PointKind] = {}
    for leg in routes:
        for i, word in leg.fittings:
            kind = {"cleanout": PointKind.CLEANOUT, "cap": PointKind.CAP}.get(word.lower())
            if kind is not None and i < len(leg.points):
                p = leg.points[i]
                said[min(sketch.legs[leg.id], key=lambda n: (sketch.at[n].to(p), n))] = kind
    return said


def _reduces(flow: Flow, come: tuple[str, ...], go: tuple[str, ...]) -> bool:
    """Return whether the size changes at a node where the way goes straight on."""
    if len(come) != 1 or len(go) != 1:
        return False
    a, b = flow.runs[come[0]], flow.runs[go[0]]
    if a.size_in == b.size_in:
        return False
    return angle_deg(flow.at[a.end].minus(flow.at[a.start]), flow.at[b.end].minus(flow.at[b.start])) < 1.0
