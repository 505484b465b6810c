"""The walls of a design as they are worked on: one side a screen, marks with windows, a picture of its own."""

from __future__ import annotations

from collections.abc import Iterable

from stubout import units
from stubout.design import Design, Direction, Window
from stubout.house.framing import Side, Wall
from stubout.run_field.model import WallMark, WallSide, Way
from stubout.sheets.canvas import Canvas
from stubout.sheets.model import Paper, Sheet
from stubout.sheets.symbols import place_balloon
from stubout.sheets.wall_draw import draw_wordless
from stubout.sheets.wall_facts import Mark, marks, pipes_in_wall, sides_with_work
from stubout.sheets.wall_frame import Elevation
from stubout.sheets.wall_notes import wall_notes, wall_title
from stubout.sheets.wall_pipes import draw_marks
from stubout.sheets.wall_stretch import broken, heights_shown, stretches, work_stretch
from stubout.sheets.wall_view import BREAK_MM, WallView
from stubout.sheets.words import start_end

SCREEN_MM = 100.0  # width of a picture: on a phone one millimetre is about four points of the screen
LEFT_MM, RIGHT_MM, TOP_MM, BOTTOM_MM = 4.0, 4.0, 4.0, 6.0
CLEAR_MM = {"stub": 2.4, "cleanout": 1.9, "floor": 1.0}  # round a mark, before its number


def sides(design: Design, windows: Iterable[Window], sheet_files: dict[str, str]) -> list[tuple[WallSide, Sheet]]:
    """Return every wall side with work, level by level, with its picture; `sheet_files` by the id of the sheet."""
    off: dict[tuple[str, str, str, str], dict[Direction, Window]] = {}
    known = tuple(windows)
    for w in known:
        off.setdefault((w.wall, w.side, w.kind, w.about), {})[w.direction] = w
    order = {v.id: v.order for v in design.house.levels}
    out = []
    for wall in sorted(design.house.walls, key=lambda w: order[w.level_id]):
        for side in sides_with_work(design, wall):
            found = marks(design, wall, side, known)
            if not found and not pipes_in_wall(design, wall):
                continue
            stretch = work_stretch(design, wall, found)
            code = f"wall-{wall.id}-{side[0].upper()}"
            level = design.house.level(wall.level_id)
            one = WallSide(
                id=code,
                wall=wall.id,
                level=level.title or level.id,
                title=wall_title(design, wall, side, found, stretch),
                corner=f"{start_end(wall)} of the framing of wall {wall.id}",
                cautions=tuple(n for n in wall_notes(design, wall, side, found, stretch) if _cautions(n)),
                picture="",
                sheet=sheet_files.get(code, ""),
                marks=tuple(_mark(design, wall, m, off.get((wall.id, side, m.kind, m.about), {})) for m in found),
                covered=bool(pipes_in_wall(design, wall)) or any(not m.clear for m in found),
            )
            out.append((one, _picture(design, wall, side, found, one)))
    return out


def _cautions(note: str) -> bool:
    return note.startswith(("STOP", "Caution", "Each hole"))


def _mark(design: Design, wall: Wall, m: Mark, off: dict[Direction, Window]) -> WallMark:
    system = design.house.job.units
    sub = m.z_mm - wall.bottom_z_mm if m.z_mm is not None else None
    fin = m.z_mm - m.finished_z_mm if m.z_mm is not None and m.finished_z_mm is not None else None
    height = f", {round(sub)} mm up" if sub is not None else ""
    return WallMark(
        number=m.number,
        kind=m.kind,
        about=m.about,
        what=m.what,
        station=units.named(m.station_mm, system),
        subfloor="" if sub is None else units.named(sub, system),
        finished="" if fin is None else units.named(fin, system),
        hole="" if m.hole_mm is None else units.named(m.hole_mm, system),
        remark=m.remark,
        stop=m.stop,
        place=_place(wall, m, height),
        above_subfloor_mm=sub,
        above_finished_mm=fin,
        up=_way(off.get("up")),
        down=_way(off.get("down")),
    )


def _place(wall: Wall, m: Mark, height: str) -> str:
    """Return what a mark is known by: a fixture by its tag, wherever it stands; a hole or fitting by where it is."""
    if m.kind in ("stub", "floor", "standpipe", "box"):
        return f"{m.kind} of {m.about}"
    return f"{m.kind} of wall {wall.id} {round(m.station_mm)} mm from the corner{height}"


def _way(window: Window | None) -> Way | None:
    if window is None:
        return None
    words = f"{window.check} {window.name}: {window.words}" if window.check else ""
    return Way(window.amount_mm, window.bound, words)


def _picture(design: Design, wall: Wall, side: Side, found: tuple[Mark, ...], one: WallSide) -> Sheet:
    """Draw a wall side for a small screen: what is there, the pipes, and every mark with its number."""
    parts = stretches(work_stretch(design, wall, found))
    parts = broken(design, wall, found, parts)
    lo, hi = heights_shown(wall, found)
    wide = SCREEN_MM - LEFT_MM - RIGHT_MM - BREAK_MM * (len(parts) - 1)
    ratio = sum(b - a for a, b in parts) / wide
    paper = Paper("screen", SCREEN_MM, (hi - lo) / ratio + TOP_MM + BOTTOM_MM)
    canvas = Canvas(paper, (0.0, 0.0, paper.width, paper.height))
    e = Elevation(design, wall, side, WallView(side, ratio, parts, lo, hi, LEFT_MM, BOTTOM_MM), canvas)
    draw_wordless(e)
    draw_marks(e, found)
    for m in found:
        at = e.view.at(m.station_mm, m.z_mm if m.z_mm is not None else wall.bottom_z_mm)
        clear = max(CLEAR_MM.get(m.kind, 0.9), (m.hole_mm or 0.0) / 2 / ratio)
        place_balloon(canvas, at, m.number, f"mark:{m.number}", clear)
    return Sheet(f"screen-{one.id}", one.title, f"1:{ratio:.0f}", paper, tuple(canvas.items))
