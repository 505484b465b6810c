"""Crowded rooms of an isometric drawn larger: the line round them, and the view that shows each."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from stubout.design import Design
from stubout.geometry.convex import convex
from stubout.geometry.distance import point_segment
from stubout.geometry.vec import Vec
from stubout.layout.model import PointKind
from stubout.sheets.canvas import XY, Canvas
from stubout.sheets.iso_draw import draw_cut, draw_ends, draw_lines
from stubout.sheets.iso_frame import Aspect, IsoFrame, aspect, aspects, fitted
from stubout.sheets.iso_rooms import LETTERS, IsoRoom
from stubout.sheets.iso_split import IsoPart
from stubout.sheets.iso_words import Elsewhere, Said, doubts, write_labels
from stubout.sheets.metrics import Rect
from stubout.sheets.model import Dash, Item, Paper, Style, Text
from stubout.sheets.symbols import place_balloon
from stubout.sheets.titleblock import body

SIDE_MM, HEAD_MM, FOOT_MM = 30.0, 15.0, 11.0  # paper kept free round the pipes of a view for words and its name
PAD_MM = 3.5  # from the pipes of a room to the line round them
VIEWS = 8  # other views that are tried
SYMBOL_MM = 3.5  # between the middles of two symbols that touch
OWN_MM = 2.2  # a trap nearer to a pipe looks as if it drained into it there
ENDS = (PointKind.TRAP, PointKind.FLANGE)
ROUND: tuple[Dash, ...] = ("dashdot", "dotted")  # rooms side by side are told apart


@dataclass(frozen=True, slots=True)
class Enlarged:
    """A room as it is drawn larger in one place, and how its words stand."""

    room: IsoRoom
    view: IsoFrame
    said: tuple[Said, ...]
    crowded: int  # fixtures that lie on one another, or on a pipe that is not theirs

    @property
    def badly(self) -> tuple[int, int]:
        """Return how badly it is read."""
        return sum(s.missing for s in self.said), doubts(self.said) + 2 * self.crowded

    def gain(self, on: IsoFrame) -> float:
        """Return how much longer its pipes are on paper than in the view of the whole."""
        pipes = [p for p in self.room.part.design.pipes() if p.start in on.at and p.end in on.at]
        here, there = (sum(math.dist(v.point(p.start), v.point(p.end)) for p in pipes) for v in (self.view, on))
        return here / (there or 1.0)


def outline_rooms(part: IsoPart, rooms: Sequence[IsoRoom], view: IsoFrame, canvas: Canvas) -> None:
    """Draw the line round each room that is drawn larger."""
    for room in rooms:
        canvas.line(_outline(room, part, view), _style(room), f"view:{room.letter}", closed=True)


def mark_joins(part: IsoPart, rooms: Sequence[IsoRoom], view: IsoFrame, canvas: Canvas) -> None:
    """Write the letters at which the pipes of the rooms that are drawn larger go on."""
    at = {letter: _on_whole(n, part, r, view) for r in rooms for n, letter in r.part.cuts.items() if n not in part.cuts}
    for letter, point in at.items():
        place_balloon(canvas, point, letter, f"join:{letter}", 0.9)


def name_rooms(part: IsoPart, rooms: Sequence[IsoRoom], view: IsoFrame, canvas: Canvas) -> int:
    """Write at the line round each room which view shows it larger; return how many names found no room."""
    missing = 0
    for room in rooms:
        first, *also = _outline(room, part, view)
        words, layer = (f"SEE VIEW {room.letter}", room.title), f"view:{room.letter}"
        missing += canvas.place(first, words, layer, bold_first=True, also=also) is None
    return missing


def _style(room: IsoRoom) -> Style:
    """Return the line round a room and round the view of it."""
    return Style("thin", ROUND[LETTERS.index(room.letter) % len(ROUND)])


def _on_whole(node: str, part: IsoPart, room: IsoRoom, view: IsoFrame) -> XY:
    """Return the paper point of a point of a room in the view of the whole, where the pipe is not cut there."""
    if node in view.at:
        return view.point(node)
    p = part.design.network.pipe(node.split(" ", 1)[1])
    share = (room.part.design.network.node(node).at.z - p.a.z) / (p.b.z - p.a.z)
    start, end = view.at[p.start], view.at[p.end]
    return view.flat(start.plus(end.minus(start).times(share)))


def _outline(room: IsoRoom, part: IsoPart, view: IsoFrame) -> tuple[XY, ...]:
    """Return the line round the pipes of a room in the view of the whole."""
    rays = [(PAD_MM * math.cos(math.radians(d)), PAD_MM * math.sin(math.radians(d))) for d in range(0, 360, 30)]
    points = [_on_whole(n.id, part, room, view) for n in room.part.design.network.nodes]
    return convex((x + dx, y + dy) for x, y in points for dx, dy in rays)


def placed(seen: Aspect, area: Rect) -> IsoFrame:
    """Return a view that fills an area of a sheet but for what its words and its name need."""
    x0, y0, x1, y1 = area
    side = min(SIDE_MM, 0.22 * (x1 - x0))
    view = fitted(seen, x1 - x0 - 2 * side, y1 - y0 - HEAD_MM - FOOT_MM)
    return replace(view, x0=view.x0 + x0 + side, y0=view.y0 + y0 + FOOT_MM)


def draw_room(room: IsoRoom, seen: Aspect, canvas: Canvas, area: Rect) -> Enlarged:
    """Draw a room into an area of a sheet, framed like the line round it on the isometric, and named."""
    x0, y0, x1, y1 = area
    first = len(canvas.items)
    layer = f"view:{room.letter}"
    canvas.rect(area, _style(room), layer)
    canvas.text((x0 + 3.0, y1 - 6.0), f"VIEW {room.letter}: {room.title}", layer, size_pt=11.0, bold=True)
    view = placed(seen, area)
    whole, canvas.body = canvas.body, (x0 + 1.0, y0 + 1.0, x1 - 1.0, y1 - 8.0)
    design = room.part.design
    draw_lines(design, view, canvas)
    draw_ends(design, view, canvas)
    for node, letter in room.part.cuts.items():
        draw_cut(view.point(node), letter, canvas, "join")
    said = write_labels(design, view, canvas, 9.0, Elsewhere(goes_on=frozenset(room.part.cuts)))
    canvas.body = whole
    canvas.items[first:] = [_as_enlarged(i) for i in canvas.items[first:]]
    return Enlarged(room, view, said, touching(design, view) + _on_others(design, view))


def _as_enlarged(item: Item) -> Item:
    """Return an item with a layer that says that it stands on the isometric as well; words stand here only."""
    return item if isinstance(item, Text) or item.layer == "leader" else replace(item, layer=f"enlarged {item.layer}")


def best_seen(room: IsoRoom, corner: int, paper: Paper, area: Rect) -> Enlarged:
    """Return a room in the view in which its words stand best, from the corner the isometric is seen from."""
    network = room.part.design.network
    views = (aspect(network, corner), *aspects(network, VIEWS, corner))
    drawn = (draw_room(room, seen, Canvas(paper, body(paper)), area) for seen in views)
    return min(drawn, key=lambda d: d.badly)


def touching(design: Design, view: IsoFrame) -> int:
    """Return how many pairs of fixtures lie so near each other on paper that their symbols touch."""
    at = [view.point(n.id) for n in design.network.nodes if n.kind in ENDS]
    return sum(math.dist(a, b) < SYMBOL_MM for a, b in combinations(at, 2))


def _on_others(design: Design, view: IsoFrame) -> int:
    """Return how many traps and flanges lie on a pipe that does not start there."""
    lines = [(p, Vec(*view.point(p.start)), Vec(*view.point(p.end))) for p in design.pipes()]
    ends = [(n.id, Vec(*view.point(n.id))) for n in design.network.nodes if n.kind in ENDS]
    return sum(n not in (p.start, p.end) and point_segment(at, a, b) < OWN_MM for n, at in ends for p, a, b in lines)
