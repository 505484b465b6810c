"""Wall mark sheets: one wall side a page, for the person with the drill."""

from __future__ import annotations

import math

from stubout.design import Design, Window
from stubout.house.framing import Side, Wall
from stubout.network.model import Pipe
from stubout.sheets.canvas import Canvas
from stubout.sheets.grid import Column, Grid, draw_grid, rows_that_fit
from stubout.sheets.metrics import text_width
from stubout.sheets.model import A4, LETTER, Paper, Sheet
from stubout.sheets.notes import draw_notes, notes_height
from stubout.sheets.scales import scale_words, scales
from stubout.sheets.symbols import place_balloon
from stubout.sheets.titleblock import body
from stubout.sheets.wall_facts import Mark, marks, other, pipes_in_wall, sides_with_work
from stubout.sheets.wall_frame import (
    Elevation,
    HeightRow,
    draw_cabinets,
    draw_corner,
    draw_fixtures,
    draw_floors,
    draw_frame,
    draw_obstacles,
    draw_ordinates,
    draw_stations,
    floor_words,
    height_rows,
    height_width,
    ordinate_words,
)
from stubout.sheets.wall_labels import label_cabinets, label_fixtures, label_obstacles, label_openings
from stubout.sheets.wall_pipes import draw_holes, draw_marks, draw_pipes, label_pipes
from stubout.sheets.wall_view import BREAK_MM, WallView
from stubout.sheets.wall_windows import window_sheets
from stubout.sheets.words import mm, side_room, start_end

Parts = tuple[tuple[float, float], ...]  # stretches of wall, by station [mm]
LEFT_MM, RIGHT_MM, TOP_MM, BOTTOM_MM = 36.0, 36.0, 14.0, 21.0  # round an elevation, for words
GAP_MM = 4.0
SIDE_MM = 60.0  # least width of notes beside a drawing
PAD_STATION_MM = 320.0
IDLE_MM = 1200.0  # a stretch without work longer than this may be left out
CORNER_MM = 200.0  # stretch of wall shown at the control corner when the work lies far off
BEST_RATIO = 15  # no elevation is drawn larger than this
CROWDED = 1  # words over a pipe or far from it that a sheet with drawing and table may have
WORST_ON_ONE_PAGE = 32  # smaller than this, marks go on the back of the sheet


def wall_marks(design: Design, windows: tuple[Window, ...] = ()) -> tuple[Sheet, ...]:
    """Return the mark sheets of all wall sides that carry pipe, level by level, wall by wall.

    Behind those of a side stands how far its marks may be off, where the windows are known.
    """
    order = {v.id: v.order for v in design.house.levels}
    walls = sorted(design.house.walls, key=lambda w: order[w.level_id])
    return tuple(
        sheet
        for wall in walls
        for side in sides_with_work(design, wall)
        for sheet in (
            *_sheets(design, wall, side),
            *window_sheets(design, wall, side, marks(design, wall, side), windows, _paper(design)),
        )
    )


def _paper(design: Design) -> Paper:
    return LETTER if design.house.job.paper == "letter" else A4


def _grid(design: Design, wall: Wall, found: tuple[Mark, ...], title: str) -> Grid:
    """Return the table of marks; every height from both floors."""
    sub = wall.bottom_z_mm
    rows = []
    for m in found:
        fin = m.finished_z_mm
        window = ""
        if m.lo_z_mm is not None and m.hi_z_mm is not None:
            window = f"{mm(design, m.lo_z_mm - sub)} to {mm(design, m.hi_z_mm - sub)}"
        elif m.play_mm is not None:
            room_mm = play(design, m.play_mm)
            window = f"+/- {room_mm} in hole" if room_mm.strip('"') != "0" else "no play"
        rows.append(
            (
                str(m.number),
                m.what,
                mm(design, m.station_mm),
                "" if m.z_mm is None else mm(design, m.z_mm - sub),
                "" if m.z_mm is None else (mm(design, m.z_mm - fin) if fin is not None else "no room"),
                window,
                "" if m.hole_mm is None else mm(design, m.hole_mm),
                m.remark,
            )
        )
    columns = (
        Column("No", "end"),
        Column("Mark"),
        Column("From|corner", "end"),
        Column("Above|subfloor", "end"),
        Column("Above|fin. floor", "end"),
        Column("Window|above subfl.", "end"),
        Column("Hole", "end"),
        Column("Remark"),
    )
    return Grid(title, columns, tuple(rows), "marks")


def play(design: Design, play_mm: float) -> str:
    """Return a tolerance rounded down, to the millimetre or 1/16 in: it must not promise more than there is."""
    step = 1.0 if design.house.job.units == "mm" else 25.4 / 16
    return mm(design, math.floor(play_mm / step + 1e-6) * step)


def _notes(
    design: Design, wall: Wall, side: Side, found: tuple[Mark, ...], stretch: tuple[float, float]
) -> tuple[str, ...]:
    level = design.house.level(wall.level_id)
    floors: dict[str, float] = {}
    n = 60
    for k in range(n + 1):
        room = side_room(design, wall, side, stretch[0] + (stretch[1] - stretch[0]) * k / n)
        if room is not None:
            floors[room.title or room.id] = room.build_up_mm
    fin = ", ".join(f"{mm(design, v)} over subfloor in {k}" for k, v in floors.items()) or "no room described here"
    notes = [
        f"Seen from the {side} side. Control corner: {start_end(wall)} of the framing of wall {wall.id}; all distances "
        "run from it along the wall to the centre of the mark.",
        f"Heights to the centre. Subfloor: top of the floor of {level.title or level.id} before flooring "
        f"(house z {mm(design, wall.bottom_z_mm)}). Finished floor: {fin}.",
        "Solid and grey: drain. Dashed: vent. Dark: hub at its real width. Bar beside a stub-out: its window. "
        "Black bar beside a hole: shield on this face. Crossed hole: do not bore.",
    ]
    sides = sides_with_work(design, wall)
    if len(sides) == 2:
        notes.append(
            "Each hole and fitting through this wall has its number once: here, "
            f"or on the sheet of the {other(side)} side."
        )
    stop = [str(m.number) for m in found if m.stop]
    if stop:
        notes.append(f"STOP: do not bore mark {', '.join(stop)} before the builder or engineer has decided.")
    role = []
    if wall.bearing:
        role.append("BEARING WALL: no hole or notch but those listed")
    role.append("look for wires, pipes and gas behind before drilling; wear eye protection")
    text = "; ".join(role)
    notes.append(f"Caution: {text}.")
    return tuple(notes)


def _range_z(wall: Wall, found: tuple[Mark, ...]) -> tuple[float, float]:
    lo = wall.bottom_z_mm - 60.0
    hi = wall.top_z_mm + 30.0
    for m in found:
        if m.z_mm is not None:
            lo, hi = min(lo, m.z_mm - 60.0), max(hi, m.z_mm + 60.0)
    return lo, hi


def _work(design: Design, wall: Wall, found: tuple[Mark, ...]) -> tuple[float, float]:
    """Return the stretch of wall with work on it, padded, cut at the ends of the wall."""
    at = [m.station_mm for m in found]
    at += [wall.station(p) for q in pipes_in_wall(design, wall) for p in (q.a, q.b)]
    at += [m for s in design.stubs if s.wall_id == wall.id for m in (s.station_mm,)]
    lo = max(0.0, min(at) - PAD_STATION_MM)
    hi = min(wall.length_mm, max(at) + PAD_STATION_MM)
    return lo, max(hi, min(wall.length_mm, lo + 600.0))


def _parts(work: tuple[float, float]) -> Parts:
    """Return the stretches shown: from the corner on, or the corner, a break, and the work."""
    lo, hi = work
    if lo <= 900.0:
        return ((0.0, hi),)
    return ((0.0, CORNER_MM), (lo, hi))


def _broken(design: Design, wall: Wall, found: tuple[Mark, ...], parts: Parts) -> Parts:
    """Return the stretches shown with the long idle ones left out."""
    busy = [(m.station_mm, m.station_mm) for m in found]
    busy += [(min(a, b), max(a, b)) for q in pipes_in_wall(design, wall) for a, b in [_ends(wall, q)]]
    busy += [(s.station_mm, s.station_mm) for s in design.stubs if s.wall_id == wall.id]
    out: list[tuple[float, float]] = []
    for lo, hi in parts:
        first = lo
        at = lo + (CORNER_MM if lo == 0.0 else 0.0)
        for a, b in sorted(busy):
            if b < lo or a > hi:
                continue
            if a - at > IDLE_MM:
                out.append((first, at))
                first = a - PAD_STATION_MM
            at = max(at, b + PAD_STATION_MM)
        out.append((first, hi))
    return tuple(out)


def _ends(wall: Wall, pipe: Pipe) -> tuple[float, float]:
    return wall.station(pipe.a), wall.station(pipe.b)


def _paper_width(parts: Parts, ratio: float) -> float:
    return sum(b - a for a, b in parts) / ratio + BREAK_MM * (len(parts) - 1)


def _heights(design: Design, wall: Wall, found: tuple[Mark, ...]) -> tuple[HeightRow, ...]:
    return height_rows(design, wall, [(m.z_mm, m.finished_z_mm, m.number) for m in found if m.z_mm is not None])


def _left_mm(design: Design, wall: Wall) -> float:
    """Return the paper left of an elevation: what its widest floor label needs, and the words of the corner."""
    floors = [r.build_up_mm for r in design.house.rooms if r.level_id == wall.level_id]
    return max([LEFT_MM, *(text_width(floor_words(design, f), 9.0) + 6.5 for f in floors)])


def _right_mm(rows: tuple[HeightRow, ...]) -> float:
    return max(RIGHT_MM, height_width(rows) + 1.0)


def _sheets(design: Design, wall: Wall, side: Side) -> list[Sheet]:
    found = marks(design, wall, side)
    if not found and not pipes_in_wall(design, wall):
        return []
    work = _work(design, wall, found)
    paper = _paper(design)
    area = body(paper)
    wide = area[2] - area[0] - _left_mm(design, wall) - _right_mm(_heights(design, wall, found))
    units = design.house.job.units
    # A long run of work is split so that no piece is drawn smaller than the floor plans are.
    smallest = next(s for s in scales(units) if s >= 40)
    pieces = 1
    while _paper_width(_parts((work[0], work[0] + (work[1] - work[0]) / pieces)), smallest) > wide and pieces < 8:
        pieces += 1
    out: list[Sheet] = []
    step = (work[1] - work[0]) / pieces
    for k in range(pieces):
        lo, hi = work[0] + k * step, work[0] + (k + 1) * step
        mine = tuple(m for m in found if lo <= m.station_mm < hi or (k == pieces - 1 and m.station_mm >= hi))
        if mine or pieces == 1:
            out += _piece(design, wall, side, mine, (lo, hi), (k + 1, pieces))
    return out


def _block(parts: Parts, tall_mm: float, ratio: float, top_mm: float, beside_mm: float) -> tuple[float, float]:
    """Return width and height on paper of an elevation with its words."""
    return _paper_width(parts, ratio) + beside_mm, tall_mm / ratio + top_mm + BOTTOM_MM


def _piece(
    design: Design, wall: Wall, side: Side, found: tuple[Mark, ...], work: tuple[float, float], nr: tuple[int, int]
) -> list[Sheet]:
    paper, units = _paper(design), design.house.job.units
    area = body(paper)
    width, height = area[2] - area[0], area[3] - area[1]
    parts = _parts(work)
    lo_z, hi_z = _range_z(wall, found)
    room = side_room(design, wall, side, sum(work) / 2)
    where = f", {room.title or room.id}" if room is not None else ""
    title = f"Wall {wall.id}, {side} side{where}"
    code = f"wall-{wall.id}-{side[0].upper()}"
    if nr[1] > 1:
        title += f" ({nr[0]} of {nr[1]})"
        code += f"-{nr[0]}"
    grid = _grid(design, wall, found, "Marks")
    notes = _notes(design, wall, side, found, work)
    words = ordinate_words(design, [(m.station_mm, m.number) for m in found])
    top_mm = max([TOP_MM, *(text_width(w, 9.0) + 6.0 for _, w in words)])
    left_mm = _left_mm(design, wall)
    beside_mm = left_mm + _right_mm(_heights(design, wall, found))
    foot = notes_height(notes, width) + 2.0
    usable = [s for s in scales(units) if s >= BEST_RATIO]

    def choose(parts: Parts, *, apart: bool) -> tuple[int, str, str]:
        """Return scale, place of the table, place of the notes; the table on the back if `apart`."""
        for s in () if apart else usable:
            w, h = _block(parts, hi_z - lo_z, s, top_mm, beside_mm)
            if s > WORST_ON_ONE_PAGE:
                break
            if grid.width <= width - w - GAP_MM and max(grid.height(), h) <= height - foot:
                return s, "beside", "foot"
            if max(grid.width, w) <= width and h + GAP_MM + grid.height() <= height - foot:
                return s, "below", "foot"
            beside = width - w - GAP_MM
            fits = grid.width <= width and h + GAP_MM + grid.height() <= height
            if fits and beside >= SIDE_MM and notes_height(notes, beside) <= h:
                return s, "below", "side"
        for s in usable:
            w, h = _block(parts, hi_z - lo_z, s, top_mm, beside_mm)
            beside = width - w - GAP_MM
            if w <= width and h <= height - foot:
                return s, "back", "foot"
            if h <= height and beside >= SIDE_MM and notes_height(notes, beside) <= height:
                return s, "back", "side"
        return usable[-1], "back", "foot"

    def drawn(parts: Parts, *, apart: bool) -> tuple[list[Sheet], int]:
        """Return the sheets, and how many words stand badly on the drawing."""
        ratio, table, place = choose(parts, apart=apart)
        cut = _broken(design, wall, found, parts)
        if len(cut) > len(parts) and choose(cut, apart=apart)[0] < ratio:
            parts = cut
            ratio, table, place = choose(parts, apart=apart)
        w, h = _block(parts, hi_z - lo_z, ratio, top_mm, beside_mm)
        canvas = Canvas(paper, area)
        if place == "side":
            draw_notes(canvas, notes, area[0] + w + GAP_MM, area[3], width - w - GAP_MM)
        else:
            draw_notes(canvas, notes, area[0], area[1] + foot - 2.0, width)
        x_left = area[0] if table == "beside" or place == "side" else area[0] + (width - w) / 2
        view = WallView(side, ratio, parts, lo_z, hi_z, x_left + left_mm, area[3] - top_mm - (hi_z - lo_z) / ratio)
        if table == "beside":
            draw_grid(canvas, grid, area[0] + w + GAP_MM, area[3])
        elif table == "below":
            draw_grid(canvas, grid, area[0], area[3] - h - GAP_MM)
        _draw(Elevation(design, wall, side, view, canvas), found)
        sheets = [Sheet(code, title, scale_words(ratio, units), paper, tuple(canvas.items), notes)]
        if table == "back":
            sheets += _back(paper, grid, title, code, notes)
        return sheets, len(canvas.strained)

    # One page where its words stand well; else the drawing larger and the table on the back.
    together, strained = drawn(parts, apart=False)
    if strained > CROWDED and len(together) == 1:
        alone, left = drawn(parts, apart=True)
        return alone if left < strained else together
    return together


def _back(paper: Paper, grid: Grid, title: str, code: str, notes: tuple[str, ...]) -> list[Sheet]:
    """Return the table of marks on pages of its own: the back of the drawing."""
    area = body(paper)
    width, height = area[2] - area[0], area[3] - area[1]
    foot = notes_height(notes[:2], width) + 2.0
    fit = max(1, rows_that_fit(grid, height - foot))
    out = []
    pages = max(1, -(-len(grid.rows) // fit))
    for k in range(pages):
        canvas = Canvas(paper, area)
        words = f"Marks of {title[0].lower()}{title[1:]}" + (f", page {k + 1} of {pages}" if pages > 1 else "")
        part = grid.part(k * fit, (k + 1) * fit, words)
        draw_grid(canvas, part, area[0], area[3], _squeezed(grid.widths, width))
        draw_notes(canvas, notes[:2], area[0], area[1] + foot - 2.0, width)
        suffix = f"-marks{k + 1}" if pages > 1 else "-marks"
        out.append(Sheet(code + suffix, f"{title}: marks", "not to scale", paper, tuple(canvas.items), notes[:2]))
    return out


def _squeezed(widths: tuple[float, ...], width: float) -> tuple[float, ...]:
    total = sum(widths)
    return widths if total <= width else (*widths[:-1], width - sum(widths[:-1]))


def _draw(e: Elevation, found: tuple[Mark, ...]) -> None:
    """Draw one elevation: frame, what is in the way, pipes, holes, marks; then words where paper is left."""
    draw_frame(e)
    draw_cabinets(e)
    draw_fixtures(e)
    draw_obstacles(e)
    draw_pipes(e)
    draw_holes(e, e.design.fabrication.bores)
    draw_marks(e, found)
    draw_floors(e)
    draw_stations(e)
    draw_corner(e)
    shown = tuple(m for m in found if e.view.shows(m.station_mm))
    draw_ordinates(e, [(m.station_mm, m.number) for m in shown], _heights(e.design, e.wall, shown))
    sub = e.wall.bottom_z_mm
    for m in found:
        if not e.view.shows(m.station_mm):
            continue
        at = e.view.at(m.station_mm, m.z_mm if m.z_mm is not None else sub)
        if m.kind == "stub":
            _label_stub(e, m, at)
    for s in e.design.stubs:
        if s.wall_id == e.wall.id and s.side != e.side and e.view.shows(s.station_mm):
            at = e.view.at(s.station_mm, s.mark_z_mm)
            e.canvas.place(at, (f"{s.tag} (other side)",), f"far label:{s.tag}", clear=2.0, reach=40, over_pipes=True)
    label_pipes(e, upright=True)
    for m in found:
        if e.view.shows(m.station_mm):
            at = e.view.at(m.station_mm, m.z_mm if m.z_mm is not None else sub)
            clear = {"stub": 2.4, "cleanout": 1.9, "stud hole": 0.9, "floor": 1.0}.get(m.kind, 0.3)
            if m.hole_mm is not None:
                clear = max(clear, m.hole_mm / 2 / e.view.ratio)
            if m.kind != "stub":
                place_balloon(e.canvas, at, m.number, f"mark:{m.number}", clear)
    label_openings(e)
    label_obstacles(e)
    label_cabinets(e)
    label_fixtures(e)
    label_pipes(e, upright=False)


def _label_stub(e: Elevation, m: Mark, at: tuple[float, float]) -> None:
    """Write a stub-out's numbers beside it: the sheet is read at arm's length."""
    d, sub = e.design, e.wall.bottom_z_mm
    z = m.z_mm if m.z_mm is not None else sub
    fin = m.finished_z_mm
    lines = [
        f"{m.number}  {m.what}",
        f"from corner {mm(d, m.station_mm)}",
        f"above subfloor {mm(d, z - sub)}",
    ]
    if fin is not None:
        lines.append(f"above fin. floor {mm(d, z - fin)}")
    layer = f"stub label:{m.about}"
    if e.canvas.place(at, lines, layer, clear=2.4, reach=75, bold_first=True, boxed=True) is None:
        place_balloon(e.canvas, at, m.number, layer, 2.4)
