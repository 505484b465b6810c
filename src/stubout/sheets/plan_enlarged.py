"""Crowded parts of a plan drawn larger, with the distances from the control corner at their edges."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from stubout.design import Design
from stubout.geometry.vec import Vec
from stubout.network.model import Pipe
from stubout.sheets.canvas import Canvas
from stubout.sheets.metrics import text_width
from stubout.sheets.model import Item, Paper, Sheet, Style
from stubout.sheets.notes import draw_notes, notes_height
from stubout.sheets.plan_crowds import RULER_MM, halves, room
from stubout.sheets.plan_draw import draw_plan, seen
from stubout.sheets.plan_house import EDGE_MM, JOIST_MARGIN_MM, RIGHT_MM, Extent, PlanView, label_house
from stubout.sheets.plan_points import Spot
from stubout.sheets.scales import scale_words, scales
from stubout.sheets.storeys import Storey
from stubout.sheets.titleblock import body
from stubout.sheets.words import mm

CROWDED = 2  # labels of a part that may stand badly before it is cut in two
CROWDED_SHARE = 0.1  # or this share of all its labels
NORTH_MM = 18.0  # kept free for the north arrow at the upper right
RULER_STEP_MM = {"mm": 500.0, "inch": 609.6}
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a plan drawn larger on a sheet of its own."""

    letter: str
    extent: Extent
    scale: str
    paper: Paper
    items: tuple[Item, ...]
    view: PlanView
    strained: int  # labels that found no good place

    def holds(self, spot: Spot) -> bool:
        """Return whether a point is in the part."""
        return self.view.holds(spot.at)

    def sheet(self, plan_id: str, title: str) -> Sheet:
        """Return the sheet of the part; its layers say that its items stand on the plan as well."""
        items = tuple(replace(i, layer=f"enlarged {i.layer}") for i in self.items)
        notes = _notes(self.letter)
        name = f"{title}: part {self.letter}, enlarged"
        return Sheet(f"{plan_id}-enlarged-{self.letter}", name, self.scale, self.paper, items, notes)


def _notes(letter: str) -> tuple[str, ...]:
    return (
        f"Part {letter}, in a dashed frame on the plan. The numbers are those of the table of points of the plan.",
        "E, N: distances east and north of the control corner (0, 0). A pipe cut at the edge goes on on the plan, or "
        "on the part beside this one.",
    )


def enlarged(
    design: Design,
    storey: Storey,
    pipes: tuple[Pipe, ...],
    spots: tuple[Spot, ...],
    extent: Extent,
    first: int,
    paper: Paper,
    largest: float,
) -> list[Part]:
    """Return a part of a plan drawn as large as the paper allows; cut in two while its words stand badly.

    Args:
        design: The design.
        storey: The floor.
        pipes: The pipes of its plan.
        spots: The numbered points of its plan.
        extent: The part of the house.
        first: How many parts have a letter already.
        paper: The paper of the job.
        largest: The smallest scale that is worth a sheet: 32 means 1:32.
    """
    units = design.house.job.units
    found = [
        (s, turned)
        for s in scales(units)
        for turned in (False, True)
        if s <= largest
        and (extent[2] - extent[0]) / s <= room(paper, turned)[0] + 1e-6
        and (extent[3] - extent[1]) / s <= room(paper, turned)[1] + 1e-6
    ]
    if not found:
        return []
    ratio, turned = found[0]
    if not any(seen(p, PlanView(ratio, turned, extent, 0.0, 0.0)) for p in pipes):
        return []
    letter = LETTERS[first % len(LETTERS)]
    canvas, view = _drawn(design, storey, pipes, spots, PlanView(ratio, turned, extent, 0.0, 0.0), paper, letter)
    strained = len(canvas.strained)
    if strained > max(CROWDED, CROWDED_SHARE * len(canvas.spoken)):
        told = [view.back(at) for at in canvas.spoken]
        out: list[Part] = []
        for piece in halves(extent, [(p.x, p.y) for p in told]):
            out += enlarged(design, storey, pipes, spots, piece, first + len(out), paper, ratio)
        if out and sum(p.strained for p in out) <= strained / 2:
            return out
    label_house(design, storey, view, canvas)
    return [Part(letter, extent, scale_words(ratio, units), paper, tuple(canvas.items), view, strained)]


def _drawn(
    design: Design,
    storey: Storey,
    pipes: tuple[Pipe, ...],
    spots: tuple[Spot, ...],
    view: PlanView,
    paper: Paper,
    letter: str,
) -> tuple[Canvas, PlanView]:
    area = body(paper)
    canvas = Canvas(paper, area)
    notes = _notes(letter)
    width = area[2] - area[0]
    draw_notes(canvas, notes, area[0], area[1] + notes_height(notes, width), width)
    x0 = area[0] + (width - view.width - JOIST_MARGIN_MM - RIGHT_MM - RULER_MM) / 2 + JOIST_MARGIN_MM
    view = replace(view, x0=x0, y0=area[3] - EDGE_MM - view.height)
    draw_ruler(design, view, canvas)
    draw_plan(design, storey, tuple(p for p in pipes if seen(p, view)), spots, view, canvas, whole=False)
    return canvas, view


def draw_part_frames(canvas: Canvas, view: PlanView, parts: tuple[Part, ...]) -> None:
    """Draw the dashed frame of each part that another sheet shows larger, and hide its words here."""
    for part in parts:
        box = view.box(part.extent)
        canvas.rect(box, Style("medium", "dashed"), f"part:{part.letter}")
        canvas.hide(box)


def label_parts(canvas: Canvas, view: PlanView, parts: tuple[Part, ...]) -> None:
    """Write the letter and scale of each part at its frame."""
    for part in parts:
        x0, y0, x1, y1 = view.box(part.extent)
        corners = [(x0, y1), (x1, y1), (x0, y0), (x1, y0)]
        words = (f"PART {part.letter}", f"enlarged {part.scale.split(' (')[0]}")
        canvas.place(corners[0], words, f"part:{part.letter}", bold_first=True, also=corners[1:])


def draw_ruler(design: Design, view: PlanView, canvas: Canvas) -> None:
    """Write the distances from the control corner along the upper edge and the right edge of a plan."""
    step = RULER_STEP_MM[design.house.job.units]
    x0, y0, x1, y1 = view.extent
    over, beside = (("N", y0, y1), ("E", x0, x1)) if view.turned else (("E", x0, x1), ("N", y0, y1))

    def ticks(lo: float, hi: float) -> list[float]:
        return [k * step for k in range(math.ceil(lo / step), math.floor(hi / step) + 1)]

    for value in ticks(*over[1:]):
        x, y = view.at(Vec(x1, value) if view.turned else Vec(value, y1))
        words = f"{over[0]} {mm(design, value)}"
        half = text_width(words, 9.0) / 2
        if x + half > view.x0 + view.width:  # the north arrow stands there
            continue
        if canvas.free((x - half, y + 2.0, x + half, y + 6.5)):
            canvas.line(((x, y - 1.5), (x, y + 1.5)), Style("thin"), "ruler", cover="hard")
            canvas.text((x, y + 3.0), words, "ruler", anchor="middle")
    for value in ticks(*beside[1:]):
        x, y = view.at(Vec(value, y0) if view.turned else Vec(x1, value))
        if y > view.y0 + view.height - NORTH_MM:
            continue
        words = f"{beside[0]} {mm(design, value)}"
        if canvas.free((x + 1.6, y - 2.0, x + 2.0 + text_width(words, 9.0), y + 2.6)):
            canvas.line(((x - 1.5, y), (x + 1.5, y)), Style("thin"), "ruler", cover="hard")
            canvas.text((x + 2.0, y - 1.1), words, "ruler")
