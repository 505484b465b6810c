"""The key sheet: symbols, lines, letters."""

from __future__ import annotations

from collections.abc import Callable

from stubout.design import Design
from stubout.sheets.canvas import XY, Canvas
from stubout.sheets.grid import Column, Grid, draw_grid
from stubout.sheets.model import A4, LETTER, Sheet, Style
from stubout.sheets.symbols import arrow, balloon, cleanout, cross_circle, datum, in_place, north, stub_symbol, zigzag
from stubout.sheets.titleblock import body
from stubout.sheets.words import level_mark

ROW_MM = 8.3
Drawer = Callable[[Canvas, XY], None]


def _line(weight: str, dash: str) -> Drawer:
    def draw(canvas: Canvas, at: XY) -> None:
        x, y = at
        canvas.line(((x - 9, y), (x + 9, y)), Style(weight, dash), "key", cover="hard")  # type: ignore[arg-type]

    return draw


def _body(dash: str, fill: str) -> Drawer:
    def draw(canvas: Canvas, at: XY) -> None:
        x, y = at
        canvas.rect((x - 9, y - 1.5, x + 9, y + 1.5), Style("medium", dash, fill=fill), "key", cover="hard")  # type: ignore[arg-type]

    return draw


def _flow(canvas: Canvas, at: XY) -> None:
    x, y = at
    canvas.line(((x - 9, y), (x + 9, y)), Style("heavy"), "key", cover="hard")
    arrow(canvas, (x + 2, y), (1, 0), "key")


def _installed(canvas: Canvas, at: XY) -> None:
    x, y = at
    canvas.line(((x - 9, y), (x + 9, y)), Style("thick"), "key", cover="hard")
    in_place(canvas, (x - 9, y), (x + 9, y), "key")


def _behind(canvas: Canvas, at: XY) -> None:
    x, y = at
    canvas.line(((x - 9, y - 2), (x + 9, y + 2)), Style("thick"), "key", cover="hard")
    canvas.line(((x - 5, y + 3), (x - 0.9, y + 0.6)), Style("thick"), "key", cover="hard")
    canvas.line(((x + 1.1, y - 0.6), (x + 5, y - 3)), Style("thick"), "key", cover="hard")


def _window(canvas: Canvas, at: XY) -> None:
    x, y = at
    canvas.line(((x, y - 3), (x, y + 3)), Style("medium"), "key", cover="hard")
    for off in (-3.0, 3.0):
        canvas.line(((x - 0.9, y + off), (x + 0.9, y + off)), Style("medium"), "key", cover="hard")


def _hole(canvas: Canvas, at: XY) -> None:
    canvas.circle(at, 1.6, Style("thick"), "key")
    x, y = at
    canvas.rect((x + 2.2, y - 3, x + 3.0, y + 3), Style("thin", fill="black"), "key", cover="hard")


def _stop(canvas: Canvas, at: XY) -> None:
    canvas.circle(at, 1.6, Style("thick"), "key")
    x, y = at
    for sign in (1, -1):
        canvas.line(((x - 2.5, y - 2.5 * sign), (x + 2.5, y + 2.5 * sign)), Style("thick"), "key", cover="hard")


def _outlet(canvas: Canvas, at: XY) -> None:
    x, y = at
    canvas.line(((x - 6, y - 1), (x + 6, y - 1)), Style("thick"), "key", cover="hard")
    canvas.line(((x, y - 1), (x - 1.3, y + 1.2), (x + 1.3, y + 1.2)), Style("thin", fill="black"), "key", closed=True)


def _riser(dash: str) -> Drawer:
    def draw(canvas: Canvas, at: XY) -> None:
        canvas.circle(at, 1.7, Style("thick", dash, fill="white"), "key")  # type: ignore[arg-type]

    return draw


def _co_wall(canvas: Canvas, at: XY) -> None:
    canvas.circle(at, 1.8, Style("thick", fill="white"), "key")
    canvas.circle(at, 0.7, Style("thin", fill="black"), "key")


def _terminal(canvas: Canvas, at: XY) -> None:
    x, y = at
    canvas.line(((x, y - 3), (x, y + 1)), Style("thick", "short"), "key", cover="hard")
    for off in (-1.6, 1.6):
        canvas.line(((x, y + 1), (x + off, y + 3)), Style("medium"), "key", cover="hard")


def _flange(canvas: Canvas, at: XY) -> None:
    x, y = at
    canvas.line(((x - 2.2, y + 1), (x + 2.2, y + 1)), Style("heavy"), "key", cover="hard")
    canvas.line(((x, y + 1), (x, y - 3)), Style("heavy"), "key", cover="hard")


def _trap(canvas: Canvas, at: XY) -> None:
    x, y = at
    canvas.line(((x, y), (x + 8, y)), Style("thick"), "key", cover="hard")
    canvas.circle(at, 1.1, Style("medium", fill="white"), "key")


SYMBOLS: tuple[tuple[Drawer, str], ...] = (
    (_line("heavy", "solid"), "drain, 3 in and larger"),
    (_line("thick", "solid"), "drain, smaller than 3 in"),
    (_line("heavy", "dashed"), "vent, 3 in and larger"),
    (_line("thick", "dashed"), "vent, smaller than 3 in"),
    (_body("solid", "light"), "drain, real width (wall sheets)"),
    (_body("dashed", "white"), "vent, real width (wall sheets)"),
    (_body("solid", "grey"), "hub of a fitting, real width"),
    (_flow, "direction of flow"),
    (_installed, "pipe that is installed: not moved"),
    (_behind, "pipe that passes behind another"),
    (_riser("solid"), "drain that goes up or down (plans)"),
    (_riser("short"), "vent that goes up (plans)"),
    (lambda c, at: cleanout(c, at, (1.0, 0.0), "key"), "cleanout (plans, isometric)"),
    (_co_wall, "cleanout (wall sheets)"),
    (_trap, "trap: the arm starts here"),
    (_flange, "closet flange"),
    (_terminal, "vent terminal above the roof"),
    (lambda c, at: cross_circle(c, at, 2.0, "key", Style("thick", fill="white")), "stub-out, centre"),
    (lambda c, at: stub_symbol(c, at, 1.6, "key", clear=True), "arm at its riser: no hole in the wall"),
    (_window, "window of a mark: between the ends"),
    (_hole, "hole in a stud, shield on this face"),
    (_stop, "hole not to be bored: ask first"),
    (_outlet, "floor outlet or flange, centre"),
    (lambda c, at: balloon(c, at, 7, "key"), "mark or point number, see the table"),
    (lambda c, at: datum(c, at, "key", 1.0), "control corner: 0 of all distances"),
    (_line("thick", "solid"), "subfloor (wall sheets)"),
    (_line("medium", "dashdot"), "finished floor (wall sheets)"),
    (_line("thin", "dashed"), "cabinet, counter"),
    (_line("thin", "dotted"), "fixture"),
    (_body("solid", "hatch"), "obstacle: duct, box, post, footing"),
    (lambda c, at: zigzag(c, at[0], at[1] - 4.0, at[1] + 4.0, "key"), "drawing broken, a piece left out"),
)

LETTERS: tuple[tuple[str, str], ...] = (
    ("AAV", "air admittance valve"),
    ("C, J, K, P", "cripple, jack, king, post (stud stations)"),
    ("CO", "cleanout"),
    ("D1, D2 ...", "drain pipes, numbered"),
    ("V1, V2 ...", "vent pipes, numbered"),
    ("VTR", "vent through roof"),
    ("house z", "height from the house's zero level"),
    ("invert", "inside bottom of a pipe"),
    ("1/4 in/ft, 1:50", "fall over level length"),
)


def legend(design: Design) -> tuple[Sheet, ...]:
    """Return the key of symbols and letters used on all sheets."""
    paper = LETTER if design.house.job.paper == "letter" else A4
    area = body(paper)
    canvas = Canvas(paper, area)
    half = (len(SYMBOLS) + 2) // 3
    column = 88.0
    for i, (draw, words) in enumerate(SYMBOLS):
        x = area[0] + (i // half) * column
        y = area[3] - 7.0 - (i % half) * ROW_MM
        draw(canvas, (x + 11.0, y))
        canvas.text((x + 23.0, y - 1.1), words, "key words")
    rows = (*LETTERS, (design.book.load_unit, "fixture units of the rule book"))
    grid = Grid("Letters", (Column("Short"), Column("Means")), rows)
    draw_grid(canvas, grid, area[0], area[3] - half * ROW_MM - 6.0)
    low = area[3] - half * ROW_MM - 6.0
    north(canvas, (area[2] - 30.0, low - 14.0), 90.0, "key")
    canvas.text((area[2] - 22.0, low - 14.0), "north", "key words")
    _people(design, canvas, (area[0] + grid.width + 8.0, area[3] - half * ROW_MM - 6.0))
    notes = ("Line type and weight carry the meaning; colour only helps.",)
    return (Sheet("legend", "Key of symbols and letters", "not to scale", paper, tuple(canvas.items), notes),)


def _people(design: Design, canvas: Canvas, at: XY) -> None:
    """List floors with their zero, and who answers questions."""
    rows = tuple(
        (v.title or v.id, level_mark(design, v.subfloor_z_mm))
        for v in sorted(design.house.levels, key=lambda v: v.order)
    )
    grid = Grid("Levels", (Column("Top of subfloor, slab or ground"), Column("House z", "end")), rows)
    end = draw_grid(canvas, grid, at[0], at[1])
    people = tuple((k, v) for k, v in design.house.job.people)
    if people:
        asked = Grid("Who answers", (Column("Letter"), Column("Person")), people)
        if end - 3.0 - asked.height() > canvas.body[1]:
            draw_grid(canvas, asked, at[0], end - 3.0)
