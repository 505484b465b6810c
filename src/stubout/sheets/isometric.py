"""The isometric of the whole system: every pipe sized, fixtures with their load, slopes, cleanouts, terminals."""

from __future__ import annotations

from dataclasses import replace

from stubout.design import Design
from stubout.sheets.canvas import Canvas
from stubout.sheets.iso_draw import draw_cut, draw_ends, draw_lines
from stubout.sheets.iso_frame import Aspect, aspect, fitted
from stubout.sheets.iso_split import IsoPart, halves
from stubout.sheets.iso_words import cut_note, iso_notes, write_labels
from stubout.sheets.model import A3, A4, LETTER, TABLOID, Paper, Sheet
from stubout.sheets.notes import draw_notes, notes_height
from stubout.sheets.symbols import north
from stubout.sheets.titleblock import body

SIDE_MM, TOP_MM, FOOT_MM = 34.0, 12.0, 12.0  # paper kept free round the pipes for words
CROWDED = 14  # words over a pipe or far from it that one sheet may have


def isometric(design: Design) -> tuple[Sheet, ...]:
    """Return the isometric on the paper of the job, on two sheets cut at a floor if its words crowd on one."""
    if not design.pipes():
        return ()
    seen = aspect(design.network)
    parts = halves(design)
    sheet, strained = _fitted(design, IsoPart(design, "", {}), seen, "", CROWDED if parts else None)
    if not parts or strained <= CROWDED:
        return (sheet,)
    # Both halves from the same corner of the house, so that a cut is found again.
    return tuple(
        _fitted(design, part, aspect(part.design.network, seen.quarter), f"-{n}")[0] for n, part in enumerate(parts, 1)
    )


def _fitted(design: Design, part: IsoPart, seen: Aspect, suffix: str, most: int | None = None) -> tuple[Sheet, int]:
    """Return a sheet, on the small paper if every word finds room there, and how many words stand badly.

    With `most`, words are written only until more than that many stand badly.
    """
    small, large = (LETTER, TABLOID) if design.house.job.paper == "letter" else (A4, A3)
    notes = iso_notes(part.design) + cut_note(part)
    small, large = _best_turn(notes, seen, small), _best_turn(notes, seen, large)
    # The small paper first: a large sheet printed small falls below 9 pt, so it is the last resort.
    tries: list[tuple[Paper, float]] = [(small, 9.0), (large, 11.0), (large, 10.0), (large, 9.0)]
    best: tuple[int, Sheet, int] | None = None
    for paper, size_pt in tries:
        sheet, missing, strained = _draw(part, seen, paper, size_pt, suffix, most)
        if best is None or missing < best[0]:
            best = (missing, sheet, strained)
        if missing == 0:
            break
    if best is None:
        raise ValueError("no paper")
    return best[1], best[2]


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


def _draw(
    part: IsoPart, seen: Aspect, paper: Paper, size_pt: float, suffix: str, most: int | None
) -> tuple[Sheet, int, int]:
    """Return the sheet, how many labels found no room, and how many stand badly."""
    design = part.design
    area = body(paper)
    width = area[2] - area[0]
    notes = iso_notes(design) + cut_note(part)
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
    missing = write_labels(design, view, canvas, size_pt, most)
    title = "Isometric of drains and vents" + (f", {part.title}" if part.title else "")
    sheet = Sheet(f"isometric{suffix}", title, "not to scale", paper, tuple(canvas.items), notes)
    return sheet, missing, len(canvas.strained)
