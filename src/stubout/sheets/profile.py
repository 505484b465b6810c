"""The profile for the excavator: inverts, cover and slope from the upstream end to the connection."""

from __future__ import annotations

from stubout.design import Design
from stubout.network.model import Pipe
from stubout.sheets.canvas import XY, Canvas
from stubout.sheets.grid import Grid, draw_grid, rows_that_fit
from stubout.sheets.model import A3, A4, LETTER, TABLOID, Paper, Sheet
from stubout.sheets.notes import draw_notes, notes_height
from stubout.sheets.profile_draw import draw_ground, draw_levels, draw_run, draw_words
from stubout.sheets.profile_facts import Station, main_run, stations
from stubout.sheets.profile_frame import FOOT_MM, LEFT_MM, RIGHT_MM, TOP_MM, frame_of, ground_drawn
from stubout.sheets.profile_words import profile_notes, stations_grid
from stubout.sheets.scales import scale_words
from stubout.sheets.titleblock import body
from stubout.sheets.words import level_mark


def profile(design: Design) -> tuple[Sheet, ...]:
    """Return the profile of building drain and sewer; nothing if the system has none."""
    run = main_run(design)
    if not run:
        return ()
    points = stations(design, run)
    grid = stations_grid(design, points, run)
    small, large = (LETTER, TABLOID) if design.house.job.paper == "letter" else (A4, A3)
    # The paper that every printer has first, the table on a page of its own if need be.
    for paper in (small, large):
        area = body(paper)
        wide_enough = grid.width <= area[2] - area[0]
        if wide_enough and frame_of(design, run, points, paper, grid.height() + 4.0).clear:
            return (_sheet(design, run, points, grid, paper, "below"),)
        if wide_enough and frame_of(design, run, points, paper, 0.0).clear:
            return (_sheet(design, run, points, grid, paper, "back"), *_back(grid, paper))
    return (_sheet(design, run, points, grid, large, "back"), *_back(grid, large))


def _sheet(
    design: Design, run: tuple[Pipe, ...], points: tuple[Station, ...], grid: Grid, paper: Paper, table: str
) -> Sheet:
    area = body(paper)
    width = area[2] - area[0]
    total = points[-1].along_mm
    frame = frame_of(design, run, points, paper, grid.height() + 4.0 if table == "below" else 0.0)
    ratio, times, low_z, top_z = frame.ratio, frame.times, frame.low_z, frame.top_z
    notes = profile_notes(design, times, run)
    if ground_drawn(design, frame)[2]:
        ground = design.house.ground
        notes += (
            f"The ground outside is drawn broken: it lies at {level_mark(design, ground.at_house_z_mm)} at the house "
            f"and {level_mark(design, ground.at_sewer_z_mm)} at the connection.",
        )
    foot = notes_height(notes, width) + 2.0
    canvas = Canvas(paper, area)
    draw_notes(canvas, notes, area[0], area[1] + foot - 2.0, width)
    y0 = area[3] - TOP_MM - (top_z - low_z) * times / ratio
    x0 = area[0] + LEFT_MM + (width - LEFT_MM - RIGHT_MM - total / ratio) / 2

    def at(along: float, z: float) -> XY:
        return x0 + along / ratio, y0 + (z - low_z) * times / ratio

    draw_levels(design, canvas, (low_z, top_z), (x0 - 2.0, x0 + total / ratio + 2.0), at)
    draw_ground(design, canvas, run, points, frame, at)
    draw_run(canvas, run, at)
    draw_words(design, canvas, points, frame, at)
    if table == "below":
        draw_grid(canvas, grid, area[0], y0 - FOOT_MM)
    scale = f"lengths {scale_words(ratio, design.house.job.units)}, heights 1:{ratio / times:.3g}"
    return Sheet("profile", "Profile of building drain and sewer", scale, paper, tuple(canvas.items), notes)


def _back(grid: Grid, paper: Paper) -> tuple[Sheet, ...]:
    area = body(paper)
    fit = max(1, rows_that_fit(grid, area[3] - area[1]))
    out = []
    for k in range(-(-len(grid.rows) // fit)):
        canvas = Canvas(paper, area)
        draw_grid(canvas, grid.part(k * fit, (k + 1) * fit, grid.title), area[0], area[3], grid.widths)
        out.append(
            Sheet(f"profile-stations{k + 1}", "Profile: stations", "not to scale", paper, tuple(canvas.items), ())
        )
    return tuple(out)
