"""The isometric of the whole system: every pipe sized, fixtures with their load, slopes, cleanouts, terminals."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import combinations

from stubout.design import Design
from stubout.layout.model import PointKind
from stubout.sheets.canvas import Canvas
from stubout.sheets.iso_draw import draw_cut, draw_ends, draw_lines
from stubout.sheets.iso_frame import Aspect, IsoFrame, aspect, aspects, fitted
from stubout.sheets.iso_split import IsoPart, halves
from stubout.sheets.iso_words import cut_note, iso_notes, write_labels
from stubout.sheets.model import A3, A4, LETTER, TABLOID, Paper, Sheet
from stubout.sheets.notes import draw_notes, notes_height
from stubout.sheets.symbols import north
from stubout.sheets.titleblock import body

SIDE_MM, TOP_MM, FOOT_MM = 34.0, 12.0, 12.0  # paper kept free round the pipes for words
CROWDED = 14  # words over a pipe or far from it that one sheet may have
SYMBOL_MM = 3.5  # between the middles of two symbols that touch
CALM = 2  # as badly as words may stand before other views are tried
HOPELESS = 2 * CROWDED  # so many that no other view helps, and the sheet is cut at once
VIEWS = 8  # other views that are tried


def isometric(design: Design) -> tuple[Sheet, ...]:
    """Return the isometric on the paper of the job, on two sheets cut at a floor if its words crowd on one."""
    if not design.pipes():
        return ()
    parts = halves(design)
    drawn = _fitted(design, IsoPart(design, "", {}), "", parted=bool(parts))
    if not parts or drawn.strained <= CROWDED:
        return (drawn.sheet,)
    # Both halves from the same corner of the house, so that a cut is found again.
    corner = aspect(design.network).quarter
    return tuple(_fitted(design, part, f"-{n}", corner).sheet for n, part in enumerate(parts, 1))


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A sheet, and how well its words stand."""

    sheet: Sheet
    missing: int  # words that found no room
    strained: int  # that stand badly
    over: int  # that stand over a pipe
    touching: int  # fixtures that lie on one another

    @property
    def badly(self) -> tuple[int, int]:
        """Return how badly it is read: words over a pipe hide what they speak of, fixtures on one another are one."""
        return self.missing, self.strained + 2 * self.over + 3 * self.touching


def _fitted(design: Design, part: IsoPart, suffix: str, corner: int | None = None, *, parted: bool = False) -> _Drawn:
    """Return a sheet, on the small paper if every word finds room there.

    Args:
        design: The design.
        part: What of it the sheet shows.
        suffix: Of the id of the sheet.
        corner: Quarter turns of the house, if it must be seen from a certain corner.
        parted: Whether it can be cut where it is too full.
    """
    small, large = (LETTER, TABLOID) if design.house.job.paper == "letter" else (A4, A3)
    seen = aspect(part.design.network, corner)
    # The small paper first: a large sheet printed small falls below 9 pt, so it is the last resort.
    best = _best_view(part, seen, small, suffix, corner, parted=parted)
    for size_pt in (11.0, 10.0, 9.0):
        if best.missing == 0:
            break
        drawn = _draw(part, seen, large, size_pt, suffix)
        if drawn.missing < best.missing:
            best = drawn
    return best


def _best_view(part: IsoPart, seen: Aspect, paper: Paper, suffix: str, corner: int | None, *, parted: bool) -> _Drawn:
    """Return a sheet in the view in which pipes cross least, or in another in which its words stand better."""
    best = _draw(part, seen, paper, 9.0, suffix)
    if best.badly <= (0, CALM) or (parted and best.strained > HOPELESS):
        return best
    for view in aspects(part.design.network, VIEWS, corner):
        drawn = _draw(part, view, paper, 9.0, suffix)
        if drawn.badly < best.badly:
            best = drawn
    return best


def _best_turn(notes: tuple[str, ...], seen: Aspect, paper: Paper) -> Paper:
    """Return the paper lying or standing, whichever shows the system larger: a tall house wants it upright."""
    upright = Paper(f"{paper.name} upright", paper.height, paper.width)

    def size(p: Paper) -> float:
        view = fitted(seen, *_room(p, notes))
        return view.plan_scale * view.rise_scale

    return max((paper, upright), key=size)


def _room(paper: Paper, notes: tuple[str, ...]) -> tuple[float, float]:
    """Return the width and height the pipes may fill [mm on paper]."""
    area = body(paper)
    foot = notes_height(notes, area[2] - area[0]) + 2.0
    return area[2] - area[0] - 2 * SIDE_MM, area[3] - area[1] - foot - TOP_MM - FOOT_MM


def _draw(part: IsoPart, seen: Aspect, paper: Paper, size_pt: float, suffix: str) -> _Drawn:
    """Return the sheet of a part in one view, on the paper lying or standing."""
    design = part.design
    notes = iso_notes(design) + cut_note(part)
    paper = _best_turn(notes, seen, paper)
    area = body(paper)
    width = area[2] - area[0]
    foot = notes_height(notes, width) + 2.0
    canvas = Canvas(paper, area)
    draw_notes(canvas, notes, area[0], area[1] + foot - 2.0, width)
    view = fitted(seen, *_room(paper, notes))
    view = replace(view, x0=view.x0 + area[0] + SIDE_MM, y0=view.y0 + area[1] + foot + FOOT_MM)
    canvas.body = (area[0], area[1] + foot, area[2], area[3])
    draw_lines(design, view, canvas)
    north(canvas, (area[2] - 13.0, area[3] - 13.0), view.north_deg())
    draw_ends(design, view, canvas)
    for node, letter in part.cuts.items():
        draw_cut(view.point(node), letter, canvas)
    missing = write_labels(design, view, canvas, size_pt)
    title = "Isometric of drains and vents" + (f", {part.title}" if part.title else "")
    sheet = Sheet(f"isometric{suffix}", title, "not to scale", paper, tuple(canvas.items), notes)
    return _Drawn(sheet, missing, len(canvas.strained), len(canvas.over), _touching(design, view))


def _touching(design: Design, view: IsoFrame) -> int:
    """Return how many pairs of fixtures lie so near each other on paper that their symbols touch."""
    at = [view.point(n.id) for n in design.network.nodes if n.kind in (PointKind.TRAP, PointKind.FLANGE)]
    return sum(math.dist(a, b) < SYMBOL_MM for a, b in combinations(at, 2))
