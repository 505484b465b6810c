"""Routes drawn by hand as a whole layout: where they trap, drain and vent every fixture nothing is left to search.

What is wrong with a drawing is told with the line of the job file, never repaired. Lengths [mm].
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace

from stubout import units
from stubout.catalog import queries as catalog
from stubout.geometry.vec import Vec
from stubout.house.model import House, HouseFixture
from stubout.kinds import FixtureKind
from stubout.layout.arms import UNDER_BOX_MM
from stubout.layout.drawn import Drawing
from stubout.layout.flowgraph import Flow, chain_down, flow_of
from stubout.layout.model import (
    Blocked,
    CleanoutPlan,
    Layout,
    Point,
    PointKind,
    Role,
    Run,
    StubMark,
    TrapPlan,
    VentMethod,
)
from stubout.layout.places import level_under
from stubout.layout.stub_place import stubs_in_place, through_face
from stubout.layout.stubs import marked_at, stub_marks
from stubout.problems import NotInBook, several
from stubout.rulebooks import queries as ask
from stubout.rulebooks.model import RuleBook

CLIMB_MM = 0.5  # a lying drain that rises more than this climbs; less is rounding in the job file
MARK_MOVED_MM = 0.5


def drawn_layout(house: House, book: RuleBook, drawing: Drawing) -> Layout | None:
    """Return the drawing as the layout, None if it leaves something to be laid out.

    Args:
        house: The resolved house with its routes.
        book: The rule book, amendments applied.
        drawing: The routes as points and runs.
    """
    if not drawing.runs or unserved(house, book, drawing):
        return None
    sizes = {r.id: r.size_in for r in drawing.runs}
    arms = {t.tag: sizes[t.arm_runs[0]] if t.arm_runs else t.trap_in for t in drawing.traps}
    marks = drawn_marks(house, stub_marks(house, book, arms), drawing.traps, drawing.points, drawing.runs)
    return Layout(
        points=drawing.points,
        runs=drawing.runs,
        traps=drawing.traps,
        stubs=marks,
        cleanouts=drawn_cleanouts(house, book, drawing.points, drawing.runs),
        blocked=(
            *faults_of_drawing(house, drawing),
            *dead_ends(house, drawing.points, drawing.runs, drawing.traps, _lines(house)),
        ),
        notes=(f"The whole system is drawn in the job file. {routes_told(house)}",)
        if any(leg.said for leg in house.routes)
        else ("The whole system is drawn by hand in the job file and kept as drawn.",),
    )


def routes_told(house: House) -> str:
    """Return in words what of the system the job file draws: what is installed, what is kept, what is drawn by hand."""
    by_hand = [leg.id for leg in house.routes if not leg.said]
    out = [f"Drawn by hand and kept as drawn: {', '.join(by_hand)}."] if by_hand else []
    for since in dict.fromkeys(leg.installed for leg in house.routes if leg.installed):
        there = ", ".join(leg.id for leg in house.routes if leg.installed == since)
        out.append(f"Installed ({since}) and not moved: {there}.")
    kept = sum(leg.said == "kept" for leg in house.routes)
    out += [f"Kept as it was laid out before: {several(kept, 'pipe')}."] if kept else []
    return " ".join(out)


def unserved(house: House, book: RuleBook, drawing: Drawing) -> dict[str, str]:
    """Return what the drawing leaves open, by fixture: "all" if nothing of it is drawn, "vent" if only its vent lacks.

    A fixture whose drawn drain or vent goes astray is not open: its fault is told, and its drawing is kept.
    """
    out: dict[str, str] = {}
    traps = {t.tag: t for t in drawing.traps}
    venting = {leg.vent_of for leg in house.routes if leg.system == "vent"}
    for f in house.fixtures:
        trap = traps.get(f.tag)
        if trap is None:
            out[f.tag] = "all"
        elif trap.method is VentMethod.NONE and f.tag not in venting and not _may_go_unvented(f, book):
            out[f.tag] = "vent"
    return out


def _may_go_unvented(f: HouseFixture, book: RuleBook) -> bool:
    return f.kind is FixtureKind.FLOOR_DRAIN and ask.floor_drain_unvented_min(book) is not None


def faults_of_drawing(house: House, drawing: Drawing) -> tuple[Blocked, ...]:
    """Return the faults of the drawing, each with the line of its route, and the lying drains that climb."""
    lines = _lines(house)
    out: list[Blocked] = []
    for f in drawing.faults:
        line = next((lines[i] for i in f.about if lines.get(i)), 0)
        out.append(replace(f, constraint=f.constraint + (f" (line {line})" if line else "")))
    return (*out, *_climbing(house, drawing, lines))


def _lines(house: House) -> dict[str, int]:
    return {leg.id: leg.line for leg in house.routes}


def _climbing(house: House, drawing: Drawing, lines: Mapping[str, int]) -> Iterable[Blocked]:
    at = {p.id: p.at for p in drawing.points}
    for r in drawing.runs:
        rise = at[r.end].z - at[r.start].z
        if r.system != "drain" or rise <= CLIMB_MM:
            continue
        leg = drawing.leg[r.id]
        where = f" (line {lines[leg]})" if lines.get(leg) else ""
        yield Blocked(
            tuple(dict.fromkeys((leg, r.id))),
            f"drain {r.id} climbs {units.named(rise, house.job.units)} in the direction of flow{where}",
            "turn the order of its points round, or lower its lower end",
        )


def dead_ends(
    house: House, points: Iterable[Point], runs: Iterable[Run], traps: Iterable[TrapPlan], legs: Mapping[str, int]
) -> tuple[Blocked, ...]:
    """Return a fault for every drawn drain whose upper end nothing flows into: not a trap, an outlet or a cleanout.

    Args:
        house: The resolved house.
        points: All points.
        runs: All runs.
        traps: All traps.
        legs: Line of the job file by route.
    """
    points, runs = tuple(points), tuple(runs)
    kinds = {p.id: p.kind for p in points}
    flow = flow_of(runs, {p.id: p.at for p in points})
    weirs = {t.weir for t in traps}
    out: list[Blocked] = []
    for r in runs:
        if r.system != "drain" or not r.drawn or flow.drains_in.get(r.start) or r.start in weirs:
            continue
        if r.role in (Role.FIXTURE_DRAIN, Role.CLEANOUT_EXT) or kinds[r.start] in (PointKind.CLEANOUT, PointKind.CAP):
            continue
        leg = next((i for i in (r.id, r.id.rpartition(".")[0]) if i in legs), r.id)
        where = f" (line {legs[leg]})" if legs.get(leg) else ""
        out.append(
            Blocked(
                tuple(dict.fromkeys((leg, r.id))),
                f"nothing drains into the upper {units.named(flow.length_mm(r.id), house.job.units)} of {leg}{where}",
                f"begin {leg} at its first joint, or set a cleanout on its upper end",
            )
        )
    return tuple(out)


def drawn_marks(
    house: House, marks: tuple[StubMark, ...], traps: Iterable[TrapPlan], points: Iterable[Point], runs: Iterable[Run]
) -> tuple[StubMark, ...]:
    """Return the stub-outs with the marks of drawn arms where the arm passes the finished wall, or meets its riser.

    Args:
        house: The resolved house.
        marks: The stub-outs as the height solver marks them.
        traps: Traps whose arms are drawn by hand.
        points: All points.
        runs: All runs.
    """
    points, runs = tuple(points), tuple(runs)
    at = {p.id: p.at for p in points}
    by_id = {r.id: r for r in runs}
    by_tag = {t.tag: t for t in traps}
    arms = {tag: t.arm_runs for tag, t in by_tag.items()}
    out: list[StubMark] = []
    for m in marks:
        pieces = [(at[by_id[i].start], at[by_id[i].end]) for i in arms.get(m.tag, ())]
        p = next((q for a, b in pieces if (q := through_face(house, m, a, b)) is not None), None)
        if p is None and m.tag in by_tag and by_tag[m.tag].weir in at:
            weir = at[by_tag[m.tag].weir]
            out.append(_mark_at_trap(house, m, weir, next((b for a, b in pieces if a == weir), weir)))
        else:
            out.append(m if p is None else _mark_at(house, m, p))
    return stubs_in_place(house, out, by_tag.values(), points, runs)


def _mark_at_trap(house: House, m: StubMark, weir: Vec, on: Vec) -> StubMark:
    """Return the mark of an arm that lies in the wall whole: where its standpipe stands, if not under the box.

    Args:
        house: The resolved house.
        m: The mark.
        weir: Where its arm begins.
        on: Where the first piece of it ends: the standpipe comes down on the other side of the weir.
    """
    wall = house.wall(m.wall_id)
    station, reach = wall.station(weir), catalog.trap_reach_mm(m.size_in)
    way = wall.station(on) - station
    stand = station - math.copysign(reach, way if abs(way) > MARK_MOVED_MM else station - m.station_mm)
    if abs(wall.offset(weir)) > wall.depth_mm / 2 or abs(stand - m.station_mm) <= UNDER_BOX_MM + MARK_MOVED_MM:
        return m
    return replace(m, station_mm=stand)


def _mark_at(house: House, m: StubMark, p: Vec) -> StubMark:
    """Return a mark put at a point."""
    u, why = house.job.units, ""
    if abs(p.z - m.mark_z_mm) > MARK_MOVED_MM:
        why = f"arm drawn by hand: it passes the finished wall at {units.named(p.z - m.finished_z_mm, u)} AFF"
    return replace(marked_at(m, p.z, u, why), station_mm=house.wall(m.wall_id).station(p))


def drawn_cleanouts(
    house: House, book: RuleBook, points: Iterable[Point], runs: Iterable[Run], taken: Collection[str] = ()
) -> tuple[CleanoutPlan, ...]:
    """Return the access openings that the user drew, each looking back along its pipe.

    Args:
        house: The resolved house.
        book: The rule book, amendments applied.
        points: All points.
        runs: All runs.
        taken: Points that already have a cleanout.
    """
    points = tuple(points)
    flow = flow_of(runs, {p.id: p.at for p in points})
    out: list[CleanoutPlan] = []
    for p in points:
        outs = flow.drains_out.get(p.id, ())
        if p.kind is not PointKind.CLEANOUT or not outs or p.id in taken:
            continue
        run = flow.runs[outs[0]]
        away = flow.at[run.start].minus(flow.at[run.end])
        if away.length < 1.0:
            continue
        try:
            space = ask.cleanout_clearance(book, run.size_in)
        except NotInBook:
            space = None
        bases = () if space is None else (space.basis,)
        out.append(
            CleanoutPlan(
                id=run.id,
                point=p.id,
                size_in=run.size_in,
                opens=away.unit(),
                clearance_mm=0.0 if space is None else space.number,
                serves=_served(flow, run),
                access=_where(house, p.at),
                basis=bases,
            )
        )
    return tuple(out)


def _served(flow: Flow, run: Run) -> str:
    """Return what an opening serves: the drain its extension comes down to."""
    below = next((flow.runs[i] for i in chain_down(flow, run.id) if flow.runs[i].role is not run.role), None)
    if below is None:
        return run.role.value
    return f"{below.role.value} {below.id}"


def _where(house: House, p: Vec) -> str:
    """Return from where an opening is reached."""
    lo, hi = house.footprint.lo, house.footprint.hi
    if not (lo.x <= p.x <= hi.x and lo.y <= p.y <= hi.y):
        return "outside"
    room = next((r for r in house.rooms if r.holds(p) and (v := level_under(house, p.z)) and v.id == r.level_id), None)
    if room is not None:
        return room.title or room.id
    level = level_under(house, p.z)
    return (level.title or level.id) if level is not None else "below the floor"
