"""A small picture of the place a finding speaks of, drawn as the other sheets are, the place ringed.

It stands beside the finding: which wall or floor it is, what is there, and what is round it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise

from stubout.design import Design
from stubout.geometry.vec import Vec
from stubout.house.framing import Wall
from stubout.network.model import Pipe
from stubout.problems import Finding
from stubout.sheets.canvas import XY, Canvas
from stubout.sheets.clip import clip_area, clip_line
from stubout.sheets.finding_place import Spot, spot_of
from stubout.sheets.metrics import Rect
from stubout.sheets.model import Circle, Item, Paper, Sheet, Style, Text
from stubout.sheets.pipeware import od_mm
from stubout.sheets.plan_draw import draw_pipes as draw_plan_pipes
from stubout.sheets.plan_draw import draw_riser
from stubout.sheets.plan_house import PlanView, draw_house
from stubout.sheets.plan_points import crosses
from stubout.sheets.storeys import Storey, storey_of
from stubout.sheets.symbols import cleanout, cross_circle, stub_symbol
from stubout.sheets.wall_facts import pipes_in_wall
from stubout.sheets.wall_frame import Elevation, draw_cabinets, draw_fixtures, draw_frame, draw_obstacles
from stubout.sheets.wall_pipes import draw_bodies, draw_holes
from stubout.sheets.wall_view import WallView

PICTURE = Paper("picture", 50.0, 40.0)
WINDOW: Rect = (0.5, 5.0, 49.5, 39.5)  # of the drawing; its words stand under it
CAPTION_Y = 1.3
WALL_RATIO = 30  # 1:30 shows 1.5 m of wall
PLAN_RATIOS = (40, 60, 80, 120, 160, 240, 400)  # 1:40 shows two metres; the first that shows where in the house
KNOWN_MM = 8.0  # of a wall or an edge of the house on paper: enough to know where one is
RING_MM = 4.2
RING = "place ring"
FRONT_MM = 400.0  # pipes this near the face of a wall are drawn with it
MOST_NAMED = 3  # things of the finding that are named in the picture
MOST_WALLS = 2  # walls named in a plan


def finding_pictures(design: Design, findings: Iterable[Finding]) -> dict[Finding, Sheet]:
    """Return a picture of every finding that has a place, numbered in the order of the findings."""
    out: dict[Finding, Sheet] = {}
    for finding in findings:
        spot = spot_of(design, finding)
        if spot is not None and finding not in out:
            out[finding] = _picture(design, finding, spot, f"place-{len(out) + 1}")
    return out


def _picture(design: Design, finding: Finding, spot: Spot, code: str) -> Sheet:
    canvas = Canvas(PICTURE, WINDOW)
    if spot.wall is not None:
        at, where, ratio = _draw_wall(design, finding, spot, spot.wall, canvas)
    else:
        at, where, ratio = _draw_plan(design, finding, spot, canvas)
    canvas.items[:] = [cut for item in canvas.items for cut in _clipped(item)]
    _ring(canvas, at)
    canvas.rect(WINDOW, Style("thin"), "picture frame", cover="none")
    canvas.text((WINDOW[0], CAPTION_Y), where, "picture words")
    title = f"{finding.check}: {', '.join(finding.about)}: {where}"
    return Sheet(code, title, f"1:{ratio}", PICTURE, tuple(canvas.items))


def _clipped(item: Item) -> list[Item]:
    """Return what of an item is inside the window: symbols reach over the edge of what they stand on."""
    if isinstance(item, Text):
        return [item]
    if isinstance(item, Circle):
        return [item] if _inside(item.centre) else []
    if item.closed:
        area = clip_area(item.points, WINDOW)
        return [replace(item, points=area)] if len(area) > 2 else []
    cuts = (clip_line(a, b, WINDOW) for a, b in pairwise(item.points))
    if all(map(_inside, item.points)):
        return [item]
    return [replace(item, points=cut) for cut in cuts if cut is not None and cut[0] != cut[1]]


def _ring(canvas: Canvas, at: XY) -> None:
    """Ring the place: black in a white edge, so that it stands out over pipes and members."""
    canvas.circle(at, RING_MM, Style("heavy", tint="white"), "place ring edge", cover="none")
    canvas.circle(at, RING_MM, Style("thick"), RING, cover="none")


def _draw_wall(design: Design, finding: Finding, spot: Spot, wall: Wall, canvas: Canvas) -> tuple[XY, str, int]:
    """Draw the surroundings of a place on a wall; return where it is on paper, the words and the scale."""
    x0, y0, x1, y1 = WINDOW
    half, tall = (x1 - x0) / 2 * WALL_RATIO, (y1 - y0) * WALL_RATIO
    station = wall.station(spot.at)
    lo_z = spot.at.z - tall / 2
    view = WallView(spot.side, WALL_RATIO, ((station - half, station + half),), lo_z, lo_z + tall, x0, y0)
    e = Elevation(design, wall, spot.side, view, canvas)
    draw_frame(e)
    draw_cabinets(e)
    draw_fixtures(e)
    draw_obstacles(e)
    own = pipes_in_wall(design, wall)
    draw_bodies(e, (*_before(e, {p.id for p in own}), *own))
    draw_holes(e, tuple(b for b in design.fabrication.bores if lo_z < b.centre.z < lo_z + tall))
    for a, b in view.parts:
        sub = wall.bottom_z_mm
        e.stroke((max(a, 0.0), sub), (min(b, wall.length_mm), sub), Style("thick"), "subfloor")
    _draw_ends(e)
    marks: list[tuple[str, XY]] = []
    for name in finding.about:
        pipe = next((p for p in design.pipes() if p.id == name), None)
        if pipe is not None:
            cut = clip_line(_flat(e, pipe.a), _flat(e, pipe.b), WINDOW)
            marks += [(name, _middle(cut))] if cut is not None else []
    marks += [(s.tag, _flat(e, wall.point(s.station_mm, s.mark_z_mm))) for s in design.stubs if s.wall_id == wall.id]
    _name(canvas, finding, marks)
    return view.at(station, spot.at.z), f"wall {wall.id}, {spot.side} side", WALL_RATIO


def _before(e: Elevation, own: set[str]) -> tuple[Pipe, ...]:
    """Return the pipes in front of a wall, behind it or in a floor over or under it, near enough to be seen with it."""
    half = e.wall.depth_mm / 2 + FRONT_MM
    return tuple(
        p
        for p in e.design.pipes()
        if p.id not in own
        and min(abs(e.wall.offset(p.a)), abs(e.wall.offset(p.b))) <= half
        and clip_line(_flat(e, p.a), _flat(e, p.b), WINDOW) is not None
    )


def _draw_ends(e: Elevation) -> None:
    """Draw the stub-outs and cleanouts of the wall."""
    for s in e.design.stubs:
        at = e.view.at(s.station_mm, s.mark_z_mm)
        near = s.side == e.side
        if s.wall_id != e.wall.id or not _inside(at) or (s.place.clear and not near):
            continue
        radius, layer = od_mm(s.size_in) / 2 / e.view.ratio, f"stub:{s.tag}"
        if near:
            stub_symbol(e.canvas, at, radius, layer, clear=s.place.clear)
        else:
            cross_circle(e.canvas, at, radius, layer, Style("medium", "short"))
    here = {p.id for p in pipes_in_wall(e.design, e.wall)}
    for c in e.design.cleanouts:
        node = e.design.network.node(c.point)
        at = _flat(e, node.at)
        if here.intersection((*node.inflow, *node.outflow)) and _inside(at):
            e.canvas.circle(at, 1.8, Style("thick", fill="white"), f"cleanout:{c.id}")
            e.canvas.circle(at, 0.7, Style("thin", fill="black"), f"cleanout:{c.id}")


def _draw_plan(design: Design, finding: Finding, spot: Spot, canvas: Canvas) -> tuple[XY, str, int]:
    """Draw the surroundings of a place on a floor; return where it is on paper, the words and the scale."""
    x0, y0, x1, y1 = WINDOW
    at = spot.at

    def seen_at(ratio: int) -> PlanView:
        half, tall = (x1 - x0) / 2 * ratio, (y1 - y0) / 2 * ratio
        return PlanView(ratio, False, (at.x - half, at.y - tall, at.x + half, at.y + tall), x0, y0)

    ratio = next((r for r in PLAN_RATIOS if _known(design, spot.storey, seen_at(r))), PLAN_RATIOS[-1])
    view = seen_at(ratio)
    draw_house(design, spot.storey, view, canvas)
    pipes = tuple(p for p in design.pipes() if storey_of(design, p) == spot.storey)
    draw_plan_pipes(tuple(p for p in pipes if _seen(view, p.a, p.b)), view, canvas)
    drawn = {p.id for p in pipes}
    for p in design.pipes():
        cut = crosses(spot.storey, p)
        if cut is not None and p.id not in drawn and view.holds(cut):
            draw_riser(canvas, view.at(cut), p, f"through:{p.id}")
    for c in design.cleanouts:
        node = design.network.node(c.point)
        if drawn.intersection((*node.inflow, *node.outflow)) and view.holds(node.at):
            cleanout(canvas, view.at(node.at), view.direction(c.opens), f"cleanout:{c.id}")
    canvas.text((x1 - 1.0, y1 - 3.4), "N \u2191", "north", anchor="end", bold=True, halo=True)
    marks: list[tuple[str, XY]] = []
    for name in finding.about:
        pipe = next((p for p in pipes if p.id == name), None)
        cut_line = clip_line(view.at(pipe.a), view.at(pipe.b), WINDOW) if pipe is not None else None
        marks += [(name, _middle(cut_line))] if cut_line is not None else []
    for f in design.house.fixtures:
        outlet = design.outlet_of(f)
        if outlet is not None and f.level_id == spot.storey.level.id and view.holds(outlet):
            marks.append((f.tag, view.at(outlet)))
    marks += [(o.id, view.at(o.box.centre)) for o in design.house.obstacles if view.holds(o.box.centre)]
    _name(canvas, finding, marks)
    _name_walls(design, spot.storey, view, canvas)
    return view.at(at), _plan_words(spot), ratio


def _known(design: Design, storey: Storey, view: PlanView) -> bool:
    """Return whether a plan shows enough of a wall, or of an edge of the house in the attic, to know where one is."""
    lo, hi = design.house.footprint
    corners = (lo, Vec(hi.x, lo.y), hi, Vec(lo.x, hi.y))
    lines = [(a, b) for a, b in zip(corners, (*corners[1:], lo), strict=True)]
    if storey.kind != "attic":
        lines += [(w.start, w.end) for w in design.house.walls if w.level_id == storey.level.id]
    return any(_shown_mm(view, a, b) > KNOWN_MM for a, b in lines)


def _shown_mm(view: PlanView, a: Vec, b: Vec) -> float:
    cut = clip_line(view.at(a), view.at(b), view.window)
    return math.dist(*cut) if cut is not None else 0.0


def _name_walls(design: Design, storey: Storey, view: PlanView, canvas: Canvas) -> None:
    """Name the walls of which a plan shows most, where there is room."""
    if storey.kind == "attic":
        return
    here = [w for w in design.house.walls if w.level_id == storey.level.id]
    ranked = sorted(((-_shown_mm(view, w.start, w.end), w.id, w) for w in here), key=lambda r: r[:2])
    for shown, name, wall in ranked[:MOST_WALLS]:
        cut = clip_line(view.at(wall.start), view.at(wall.end), view.window)
        if cut is None or -shown < KNOWN_MM:
            continue
        (ax, ay), (bx, by) = cut
        spots = [(ax + (bx - ax) * t, ay + (by - ay) * t) for t in (0.5, 0.25, 0.75, 0.1, 0.9)]
        words = (f"wall {name}",)
        canvas.place(spots[0], words, f"wall label:{name}", reach=12, optional=True, also=spots[1:], off_pipes=True)


def _plan_words(spot: Spot) -> str:
    name = spot.storey.level.title or spot.storey.level.id
    return {"under": f"under {name}", "storey": f"plan, {name}", "attic": "attic and roof"}[spot.storey.kind]


def _name(canvas: Canvas, finding: Finding, marks: list[tuple[str, XY]]) -> None:
    """Name what the finding speaks of, as far as it is seen, clear of the ring in the middle."""
    x, y = (WINDOW[0] + WINDOW[2]) / 2, (WINDOW[1] + WINDOW[3]) / 2
    canvas.take((x - RING_MM, y - RING_MM, x + RING_MM, y + RING_MM))
    named: list[str] = []
    for name, at in marks:
        if name in finding.about and name not in named and len(named) < MOST_NAMED:
            named.append(name)
            canvas.place(at, (name,), f"name:{name}", reach=25, optional=True, over_pipes=True)


def _flat(e: Elevation, p: Vec) -> XY:
    return e.view.at(e.wall.station(p), p.z)


def _seen(view: PlanView, a: Vec, b: Vec) -> bool:
    return clip_line(view.at(a), view.at(b), view.window) is not None


def _inside(at: XY) -> bool:
    return WINDOW[0] <= at[0] <= WINDOW[2] and WINDOW[1] <= at[1] <= WINDOW[3]


def _middle(cut: tuple[XY, XY]) -> XY:
    return (cut[0][0] + cut[1][0]) / 2, (cut[0][1] + cut[1][1]) / 2
