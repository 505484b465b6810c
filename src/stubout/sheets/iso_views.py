"""Sheets of rooms of an isometric drawn larger, one or two on each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stubout.sheets.canvas import Canvas
from stubout.sheets.free_box import free_box
from stubout.sheets.iso_enlarged import Enlarged, best_seen, draw_room, placed
from stubout.sheets.iso_frame import Aspect, IsoFrame, aspect
from stubout.sheets.iso_rooms import IsoRoom
from stubout.sheets.iso_split import only
from stubout.sheets.iso_words import iso_notes
from stubout.sheets.metrics import Rect
from stubout.sheets.model import Paper, Sheet
from stubout.sheets.notes import draw_notes, notes_height
from stubout.sheets.symbols import north
from stubout.sheets.titleblock import body

LEAST_MM = (84.0, 84.0)  # paper that a view beside the isometric needs
GAP_MM = 4.0  # between what is drawn beside each other
GAIN = 1.25  # a room is drawn at least so much larger
WHOLE_NOTE = (
    "Dash-dot or dotted line round a room: its sizes, slopes, loads and cleanouts stand in the view named there, which "
    "shows larger, from the same corner, the pipes that serve only the fixtures of this room. Letter in a ring inside: "
    "where a pipe of that view goes on here."
)
VIEW_NOTE = (
    "Each view shows the pipes that serve only the fixtures of one room, from the same corner as the isometric; what "
    "passes is on the isometric. Letter in a ring at a bar: the pipe goes on at the same letter there."
)


@dataclass(frozen=True, slots=True)
class ViewSheet:
    """A sheet of rooms drawn larger."""

    sheet: Sheet
    drawn: tuple[Enlarged, ...]

    @property
    def badly(self) -> tuple[int, int]:
        """Return how badly it is read."""
        return sum(d.badly[0] for d in self.drawn), sum(d.badly[1] for d in self.drawn)


def view_sheets(rooms: Sequence[IsoRoom], whole: IsoFrame, paper: Paper) -> tuple[ViewSheet, ...]:
    """Return the sheets of rooms drawn larger, two on one where they read as well there as each on its own.

    Args:
        rooms: The rooms.
        whole: The view of the isometric, which they are seen like and larger than.
        paper: The paper of the job.
    """
    left = [(room, _sheet([room], whole, paper)) for room in rooms]
    out: list[ViewSheet] = []
    while left:
        (first, alone), *left = left
        if left:
            second, other = left[0]
            both = _sheet([first, second], whole, paper)
            apart = alone.badly[0] + other.badly[0], alone.badly[1] + other.badly[1]
            if both.badly <= apart and min(d.gain(whole) for d in both.drawn) >= GAIN:
                alone, left = both, left[1:]
        out.append(alone)
    return tuple(out)


def worth_a_view(room: IsoRoom, whole: IsoFrame, paper: Paper) -> bool:
    """Return whether a sheet of its own shows a room larger than the isometric does."""
    seen = aspect(room.part.design.network, whole.quarter)
    boxes = (_over_notes([room], p)[0] for p in (paper, _standing(paper)))
    return max(Enlarged(room, placed(seen, box), (), 0).gain(whole) for box in boxes) >= GAIN


def _standing(paper: Paper) -> Paper:
    return Paper(f"{paper.name} upright", paper.height, paper.width)


def _sheet(rooms: Sequence[IsoRoom], whole: IsoFrame, paper: Paper) -> ViewSheet:
    """Return one sheet of rooms, on the paper lying or standing: that which is larger enough, and is read better."""

    def worth(s: ViewSheet) -> tuple[bool, tuple[int, int], float]:
        small = min(d.gain(whole) for d in s.drawn) < GAIN
        return small, s.badly, -sum(d.view.plan_scale * d.view.rise_scale for d in s.drawn)

    return min((_on(rooms, whole.quarter, p) for p in (paper, _standing(paper))), key=worth)


def _over_notes(rooms: Sequence[IsoRoom], paper: Paper) -> tuple[Rect, tuple[str, ...]]:
    """Return the part of a sheet that rooms are drawn in, and the notes below it."""
    x0, y0, x1, y1 = body(paper)
    design = rooms[0].part.design
    notes = (*iso_notes(only(design, [p for r in rooms for p in r.part.design.pipes()])), VIEW_NOTE)
    return (x0, y0 + notes_height(notes, x1 - x0) + 2.0, x1, y1), notes


def _on(rooms: Sequence[IsoRoom], corner: int, paper: Paper) -> ViewSheet:
    """Return one sheet of rooms on paper as it lies."""
    area, (free, notes) = body(paper), _over_notes(rooms, paper)
    canvas = Canvas(paper, area)
    draw_notes(canvas, notes, area[0], free[1] - 2.0, area[2] - area[0])
    north_at = (area[2] - 13.0, area[3] - 13.0)
    drawn: list[Enlarged] = []
    for room, box in zip(rooms, _parted(free, len(rooms)), strict=True):
        best = best_seen(room, corner, paper, box)
        if not drawn:
            north(canvas, north_at, best.view.north_deg())
        drawn.append(draw_room(room, Aspect(best.view.at, best.view.quarter), canvas, box))
    letters = "-".join(r.letter for r in rooms)
    title = "Isometric, enlarged: " + ", ".join(f"view {r.letter} ({r.title})" for r in rooms)
    sheet = Sheet(f"isometric-enlarged-{letters}", title, "not to scale", paper, tuple(canvas.items), notes)
    return ViewSheet(sheet, tuple(drawn))


def _parted(box: Rect, number: int) -> list[Rect]:
    """Return a box parted across its longer side."""
    x0, y0, x1, y1 = box
    if x1 - x0 > y1 - y0:
        step = (x1 - x0 + GAP_MM) / number
        return [(x0 + k * step, y0, x0 + (k + 1) * step - GAP_MM, y1) for k in range(number)]
    step = (y1 - y0 + GAP_MM) / number
    return [(x0, y1 - (k + 1) * step + GAP_MM, x1, y1 - k * step) for k in range(number)]


def draw_beside(rooms: Sequence[IsoRoom], whole: IsoFrame, canvas: Canvas) -> tuple[Enlarged, ...]:
    """Draw those rooms beside the isometric for which its sheet has room enough; return them.

    Args:
        rooms: The rooms.
        whole: The view of the whole.
        canvas: The isometric, all its words written.
    """
    out: list[Enlarged] = []
    for room in rooms:
        free = free_box(canvas, (LEAST_MM[0] + 2 * GAP_MM, LEAST_MM[1] + 2 * GAP_MM))
        if free is None:
            break
        area = (free[0] + GAP_MM, free[1] + GAP_MM, free[2] - GAP_MM, free[3] - GAP_MM)
        best = best_seen(room, whole.quarter, canvas.paper, area)
        if best.badly == (0, 0) and best.gain(whole) >= GAIN:
            out.append(draw_room(room, Aspect(best.view.at, best.view.quarter), canvas, area))
    return tuple(out)
