"""The numbered points of a plan: floor penetrations, inverts, ends."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from stubout import units
from stubout.design import Design
from stubout.geometry.vec import Vec
from stubout.kinds import FixtureKind
from stubout.layout.model import PointKind, Role
from stubout.network.model import Node, Pipe
from stubout.problems import NotInBook
from stubout.rulebooks.queries import terminal_above_roof
from stubout.sheets.grid import Column, Grid
from stubout.sheets.pipeware import bore_mm
from stubout.sheets.point_words import STRAIGHT_ON, cleanout_above, point_words
from stubout.sheets.storeys import Storey, storey_of
from stubout.sheets.words import SHORT_ROLE, level_mark, mm, pipe_size


@dataclass(frozen=True, slots=True)
class Spot:
    """One numbered point of a plan."""

    at: Vec
    what: str
    invert_z_mm: float | None
    pipe: str
    node: str
    number: int = 0


def spots_of(design: Design, storey: Storey, pipes: tuple[Pipe, ...]) -> tuple[Spot, ...]:
    """Return the points of a plan that get a number: floor penetrations, inverts, ends."""
    mine = {p.id for p in pipes}
    above = {p.id for p in ends_above(design)} if storey.kind == "storey" and _has_roof_plan(design) else set()
    found: dict[tuple[int, int, str], Spot] = {}

    def add(at: Vec, what: str, invert: float | None, pipe: str, node: str) -> None:
        key = (round(at.x), round(at.y), "" if invert is None else f"{invert:.0f}")
        if key not in found:
            found[key] = Spot(at, what, invert, pipe, node)

    for n in design.network.nodes:
        touching = [p for p in design.pipes() if n.id in (p.start, p.end) and p.id in mine]
        if not touching:
            continue
        words = point_words(design, n)
        level = [p for p in touching if p.system == "drain" and not p.vertical]
        if n.kind is PointKind.TERMINAL:
            words = "vent up to its terminal" if touching[0].id in above else "vent terminal"
            add(n.at, f"{words} {pipe_size(touching[0].size_in)}", None, touching[0].id, n.id)
        elif level and words and words != STRAIGHT_ON and (storey.kind != "storey" or _shown(storey, n, level)):
            big = max(level, key=lambda p: (p.size_in, p.id))
            add(n.at, words, n.at.z - bore_mm(big.size_in) / 2, big.id, n.id)
    for p in design.pipes():
        cut = crosses(storey, p)
        if cut is not None:
            add(cut, f"{_riser_words(design, p)} {pipe_size(p.size_in)} through floor", None, p.id, "")
    if storey.kind == "storey":
        for f in design.house.fixtures:
            at = design.outlet_of(f)
            if f.level_id != storey.level.id or not f.floor_outlet or at is None or f.outlet is None:
                continue
            if any(math.hypot(o.at.x - at.x, o.at.y - at.y) < 5.0 for o in found.values()):
                continue  # its pipe through the floor has a number already
            words = "flange centre" if f.kind is FixtureKind.WATER_CLOSET else "outlet centre"
            aside = math.hypot(at.x - f.outlet.x, at.y - f.outlet.y)
            moved = f", moved {units.length(aside, design.house.job.units)} off its plan place" if aside > 1.0 else ""
            drop = next((p for p in design.network.drains() if p.tags == (f.tag,)), None)
            size = f" {pipe_size(drop.size_in)}" if drop is not None else ""
            add(at, f"{f.tag} {words}{size} through floor{moved}", None, drop.id if drop is not None else "", "")
    spots = sorted(_merged(list(found.values())), key=lambda s: (round(s.at.y), round(s.at.x), s.what, s.pipe))
    return tuple(replace(s, number=i) for i, s in enumerate(spots, 1))


def _merged(spots: list[Spot]) -> list[Spot]:
    """Return the points, a pipe through the floor made one with the invert right under it."""
    out: list[Spot] = []
    for s in sorted(spots, key=lambda s: (s.invert_z_mm is None, s.at, s.what)):
        same = next((k for k, o in enumerate(out) if _over(o, s)), None)
        if same is None:
            out.append(s)
        else:
            low = out[same].what.split(" under ")[0]  # the cleanout over it is named by its riser already
            out[same] = replace(
                out[same], what=f"{s.what}; {low}", pipe=", ".join(i for i in (s.pipe, out[same].pipe) if i)
            )
    return out


def _over(low: Spot, up: Spot) -> bool:
    plan = math.hypot(low.at.x - up.at.x, low.at.y - up.at.y)
    return plan < 20.0 and low.invert_z_mm is not None and up.invert_z_mm is None and ";" not in low.what


def _riser_words(design: Design, p: Pipe) -> str:
    if p.system == "vent":
        return "vent up"
    opening = next((c.id for c in design.cleanouts if c.point == p.start), "")
    opening = opening or cleanout_above(design, design.network.node(p.end))
    if p.role is Role.CLEANOUT_EXT and opening:
        return f"{SHORT_ROLE[p.role]} {opening}"
    return f"{SHORT_ROLE[p.role]} {p.tag}".strip()


def _shown(storey: Storey, n: Node, level: list[Pipe]) -> bool:
    """Return whether a point of level drains is one of the plan of a storey: under its floor, or open in a room."""
    return n.at.z < storey.level.subfloor_z_mm or any(p.place.kind == "room" for p in level)


def crosses(storey: Storey, p: Pipe) -> Vec | None:
    """Return where a pipe passes the floor of a plan, None if it does not."""
    if not p.vertical:
        return None
    z = storey.level.subfloor_z_mm
    if storey.kind == "attic":
        return None
    lo, hi = sorted((p.a.z, p.b.z))
    if not lo <= z - 10.0 or not hi >= z + 5.0:
        return None
    t = (z - p.a.z) / (p.b.z - p.a.z)
    return p.a.plus(p.b.minus(p.a).times(t))


def ends_above(design: Design) -> list[Pipe]:
    """Return the vents drawn by hand as one run from a storey to their terminal: they are on the plan of the storey."""
    ends = {n.id for n in design.network.nodes if n.kind is PointKind.TERMINAL}
    vents = (p for p in design.pipes() if p.drawn and p.vertical and p.system == "vent" and p.end in ends)
    return [p for p in vents if storey_of(design, p).kind == "storey"]


def _has_roof_plan(design: Design) -> bool:
    return any(storey_of(design, p).kind == "attic" for p in design.pipes())


def points_grid(design: Design, storey: Storey, spots: tuple[Spot, ...]) -> Grid:
    """Return the table of points: place from the control corner, invert against the house and the level."""
    sub = storey.level.subfloor_z_mm
    name = storey.level.title or storey.level.id
    rows: list[tuple[str, ...]] = [
        (str(s.number), s.what, s.pipe, mm(design, s.at.x), mm(design, s.at.y)) for s in spots
    ]
    columns = [
        Column("No", "end"),
        Column("Point"),
        Column("Pipe"),
        Column("East of|corner", "end"),
        Column("North of|corner", "end"),
    ]
    if any(s.invert_z_mm is not None for s in spots):
        columns.append(Column("Invert|house z", "end"))
        rows = [(*r, _mark(design, s, 0.0)) for r, s in zip(rows, spots, strict=True)]
        if abs(sub) > 0.5:  # the level is not the house's zero
            columns.append(Column(f"to subfloor|{name}", "end"))
            rows = [(*r, _mark(design, s, sub)) for r, s in zip(rows, spots, strict=True)]
    ends = [design.network.node(s.node) if s.node else None for s in spots]
    if any(n is not None and n.kind is PointKind.TERMINAL for n in ends):
        least = _least_above_roof(design)
        columns += [Column("Above|the roof", "end"), Column("least|by the book", "end")]
        tops = [(_above_roof(design, n), least) if n and n.kind is PointKind.TERMINAL else ("", "") for n in ends]
        rows = [(*r, *top) for r, top in zip(rows, tops, strict=True)]
    return Grid("Points", tuple(columns), tuple(rows), "points")


def _above_roof(design: Design, n: Node) -> str:
    """Return how high a terminal ends over the roof that it comes through, plumb: the length to leave."""
    roof = design.house.roof_over(n.at)
    return "OPEN" if roof is None else mm(design, n.at.z - roof.z_at(n.at.x, n.at.y))


def _least_above_roof(design: Design) -> str:
    """Return the least that the book asks for there, marked where nobody has verified it; open where it is silent."""
    try:
        cell = terminal_above_roof(design.book, design.house.climate.frost_prone_vents)
    except NotInBook:
        return "OPEN"
    return f"{mm(design, cell.number)}{'' if cell.basis.status.verified else ', unverified'}"


def _mark(design: Design, spot: Spot, zero_mm: float) -> str:
    return "" if spot.invert_z_mm is None else level_mark(design, spot.invert_z_mm - zero_mm)
