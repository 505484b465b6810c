"""What a plan draws: the house, the pipes, their points, then words where paper is left."""

from __future__ import annotations

import math

from stubout.design import Design
from stubout.geometry.vec import Vec
from stubout.layout.model import Role
from stubout.network.model import Pipe
from stubout.sheets.canvas import XY, Canvas
from stubout.sheets.chains import Chain, chains, lines_of
from stubout.sheets.clip import clip_line
from stubout.sheets.model import Style, Weight
from stubout.sheets.plan_house import PlanView, draw_house, draw_joist_marks, label_fixtures
from stubout.sheets.plan_points import Spot, crosses
from stubout.sheets.storeys import Storey
from stubout.sheets.symbols import arrow, cleanout, in_place, north, place_balloon
from stubout.sheets.words import SHORT_ROLE, mm, pipe_size, slope

RISER_MM = 1.7
LABEL_SHARES = (0.5, 0.3, 0.7)  # of a pipe, where its words may point


def drain_style(pipe: Pipe, *, short: bool = False) -> Style:
    """Return the single-line style of a pipe: drains solid, vents dashed, heavier from 3 in up."""
    weight: Weight = "heavy" if pipe.size_in >= 3 else "thick"
    if pipe.system == "drain":
        return Style(weight, tint="drain")
    return Style(weight, "short" if short else "dashed", tint="vent")


def seen(p: Pipe, view: PlanView) -> bool:
    """Return whether any of a pipe lies in a part of the plan."""
    a, b = view.at(p.a), view.at(p.b)
    if math.dist(a, b) < 1.2:  # it stands
        return view.holds(p.a.plus(p.b).times(0.5))
    return clip_line(a, b, view.window) is not None


def draw_plan(
    design: Design,
    storey: Storey,
    pipes: tuple[Pipe, ...],
    spots: tuple[Spot, ...],
    view: PlanView,
    canvas: Canvas,
    *,
    whole: bool = True,
) -> None:
    """Draw the plan of a floor, or a part of it: first what is there, then pipes, then words where paper is left.

    The names of the house are still to come (`plan_house.label_house`): they change nothing of how the words stand.
    """
    draw_things(design, storey, pipes, view, canvas)
    write_words(design, storey, pipes, spots, view, canvas, whole=whole)


def draw_things(design: Design, storey: Storey, pipes: tuple[Pipe, ...], view: PlanView, canvas: Canvas) -> None:
    """Draw what a plan shows, without a word but those at fixed places."""
    draw_house(design, storey, view, canvas)
    draw_pipes(pipes, view, canvas)
    drawn_upright = {p.id for p in pipes}
    for p in design.pipes():  # what passes this floor but is drawn on another plan
        cut = crosses(storey, p)
        if cut is not None and p.id not in drawn_upright and view.holds(cut):
            draw_riser(canvas, view.at(cut), p, f"through:{p.id}")
    for c in design.cleanouts:
        node = design.network.node(c.point)
        if any(p.id in drawn_upright for p in pipes if c.point in (p.start, p.end)) and view.holds(node.at):
            cleanout(canvas, view.at(node.at), view.direction(c.opens), f"cleanout:{c.id}")
    corner = view.at(Vec(0.0, 0.0))
    if view.holds(Vec(0.0, 0.0)):
        canvas.line(
            ((corner[0] - 3, corner[1]), (corner[0] + 3, corner[1])), Style("medium"), "control corner", cover="hard"
        )
        canvas.line(
            ((corner[0], corner[1] - 3), (corner[0], corner[1] + 3)), Style("medium"), "control corner", cover="hard"
        )
        canvas.circle(corner, 1.6, Style("medium"), "control corner")
    draw_joist_marks(design, storey, view, canvas)
    nx = view.x0 + view.width + (11.0 if view.turned else 5.0)  # the N of a turned plan stands left of its ring
    north(canvas, (nx, view.y0 + view.height - 8.0), 180.0 if view.turned else 90.0)


def write_words(
    design: Design,
    storey: Storey,
    pipes: tuple[Pipe, ...],
    spots: tuple[Spot, ...],
    view: PlanView,
    canvas: Canvas,
    *,
    whole: bool = True,
) -> None:
    """Write tags, numbers and sizes where paper is left."""
    label_fixtures(design, storey, view, canvas)
    # What is marked on the floor stands next to its point; the pipes' words take what paper is left, then the rest.
    through = [s for s in spots if view.holds(s.at) and "through floor" in s.what]
    for s in through:
        place_balloon(canvas, view.at(s.at), s.number, f"point:{s.number}", RISER_MM)
    _label_pipes(design, pipes, view, canvas)
    for s in spots:
        if view.holds(s.at) and s not in through:
            place_balloon(canvas, view.at(s.at), s.number, f"point:{s.number}", 0.8 if s.node else RISER_MM)
    if whole:
        _lead_off(design, pipes, spots, view, canvas)
    if view.holds(Vec(0.0, 0.0)):
        corner = view.at(Vec(0.0, 0.0))
        canvas.place(corner, ("control corner (0, 0)",), "control corner", clear=3.0, reach=40, lesser=True)


def _lead_off(design: Design, pipes: tuple[Pipe, ...], spots: tuple[Spot, ...], view: PlanView, canvas: Canvas) -> None:
    """Say where a pipe goes that leaves the plan: how far to its next numbered point."""
    numbers = {s.node: s for s in spots if s.node}
    for p in pipes:
        if view.holds(p.b) or p.end not in numbers:
            continue
        cut = clip_line(view.at(p.a), view.at(p.b), view.window)
        if cut is None:
            continue
        spot = numbers[p.end]
        edge = cut[1]
        shown = math.dist(cut[0], cut[1]) * view.ratio
        more = p.b.minus(p.a).plan_length - (shown if view.holds(p.a) else 0.0)
        arrow(canvas, edge, (cut[1][0] - cut[0][0], cut[1][1] - cut[0][1]), f"flow:{p.id}", 3.2)
        words = (f"{mm(design, more)} on to point {spot.number}:", spot.what, "see the profile")
        canvas.place(edge, words, f"off:{p.id}", reach=60)


def draw_pipes(pipes: tuple[Pipe, ...], view: PlanView, canvas: Canvas) -> None:
    """Draw the pipes of a plan: lines with the flow, rings where they stand."""
    for p in pipes:
        a, b = view.at(p.a), view.at(p.b)
        if math.dist(a, b) < 1.2:  # stands, or nearly
            mid = view.at(p.a.plus(p.b).times(0.5))
            draw_riser(canvas, mid, p, f"pipe:{p.id}")
            continue
        cut = clip_line(a, b, view.window)
        if cut is None:
            cut = (a, a)
        short = math.dist(*cut) < 8.0
        canvas.line(cut, drain_style(p, short=short), f"pipe:{p.id}", cover="firm")
        if p.said == "installed":
            in_place(canvas, cut[0], cut[1], f"installed:{p.id}", along=0.3)
        if p.system == "drain" and not p.vertical and math.dist(*cut) > 5.0:
            t = 0.55
            tip = (cut[0][0] + (cut[1][0] - cut[0][0]) * t, cut[0][1] + (cut[1][1] - cut[0][1]) * t)
            arrow(canvas, tip, (cut[1][0] - cut[0][0], cut[1][1] - cut[0][1]), f"flow:{p.id}")


def draw_riser(canvas: Canvas, at: XY, p: Pipe, layer: str) -> None:
    """Draw a pipe that stands: solid ring for a drain, dashed for a vent."""
    style = Style("thick", "solid" if p.system == "drain" else "short", fill="white")
    canvas.circle(at, RISER_MM if p.size_in >= 3 else RISER_MM * 0.75, style, layer)


def _label_pipes(design: Design, pipes: tuple[Pipe, ...], view: PlanView, canvas: Canvas) -> None:
    """Write ids, size and slope at every run of like pipes, as far as they are told on this sheet."""
    done: set[tuple[float, float, str]] = set()
    for c in chains(pipes):
        spots = _spots(c, view, canvas)
        if not spots:
            continue
        p = c.longest
        lines = lines_of([q.id for q in c.pipes if q.id in spots or not seen(q, view)])
        lines[-1] += f"  {pipe_size(c.size_in)}"
        if p.system == "drain" and not c.vertical:
            lines.append(slope(design, p))
        elif p.system == "vent":
            lines[-1] += " vent"
        if p.role in (Role.BUILDING_DRAIN, Role.SEWER):
            lines.insert(0, SHORT_ROLE[p.role])
        first, *more = (
            at for q in sorted(c.pipes, key=lambda q: (-round(q.plan_mm), q.id)) for at in spots.get(q.id, ())
        )
        key = (round(first[0], 1), round(first[1], 1), lines[0])
        if key in done:
            continue
        done.add(key)
        clear = RISER_MM if c.vertical else 0.2
        canvas.place(first, lines, f"size:{c.pipes[0].id}", clear=clear, reach=104, also=more)


def _spots(c: Chain, view: PlanView, canvas: Canvas) -> dict[str, list[XY]]:
    """Return where the words of a run may point, by pipe: the pipes whose words stand on another sheet are left out."""
    out: dict[str, list[XY]] = {}
    for p in c.pipes:
        cut = clip_line(view.at(p.a), view.at(p.b), view.window)
        if cut is None:
            continue
        a, b = cut
        shares = LABEL_SHARES if math.dist(a, b) > 12.0 else (0.5,)
        found = [(a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t) for t in shares]
        told = [at for at in found if not canvas.hides(at)]
        if told:
            out[p.id] = told
    return out
