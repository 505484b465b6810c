"""One wall elevation, drawn: frame, what is in the way, pipes, holes, marks; then words where paper is left."""

from __future__ import annotations

from stubout.design import Design
from stubout.house.framing import Wall
from stubout.sheets.symbols import place_balloon
from stubout.sheets.wall_facts import NO_HOLE, Mark
from stubout.sheets.wall_frame import (
    Elevation,
    draw_cabinets,
    draw_corner,
    draw_fixtures,
    draw_floors,
    draw_frame,
    draw_obstacles,
    draw_stations,
)
from stubout.sheets.wall_labels import label_cabinets, label_fixtures, label_obstacles, label_openings
from stubout.sheets.wall_ordinates import HeightRow, draw_ordinates, height_rows
from stubout.sheets.wall_pipes import draw_holes, draw_marks, draw_pipes, label_pipes
from stubout.sheets.words import mm


def mark_heights(design: Design, wall: Wall, found: tuple[Mark, ...]) -> tuple[HeightRow, ...]:
    """Return the heights of the marks, each told once."""
    return height_rows(design, wall, [(m.z_mm, m.finished_z_mm, m.number) for m in found if m.z_mm is not None])


def draw_wordless(e: Elevation) -> None:
    """Draw what can be seen of a wall without a word or a mark: frame, what is in the way, pipes, holes."""
    draw_frame(e)
    draw_cabinets(e)
    draw_fixtures(e)
    draw_obstacles(e)
    draw_pipes(e)
    draw_holes(e, e.design.fabrication.bores)


def draw_elevation(e: Elevation, found: tuple[Mark, ...]) -> None:
    """Draw one elevation: frame, what is in the way, pipes, holes, marks; then words where paper is left."""
    draw_wordless(e)
    draw_marks(e, found)
    draw_floors(e)
    draw_stations(e)
    draw_corner(e)
    shown = tuple(m for m in found if e.view.shows(m.station_mm))
    draw_ordinates(e, [(m.station_mm, m.number) for m in shown], mark_heights(e.design, e.wall, shown))
    sub = e.wall.bottom_z_mm
    for m in found:
        if not e.view.shows(m.station_mm):
            continue
        at = e.view.at(m.station_mm, m.z_mm if m.z_mm is not None else sub)
        if m.kind == "stub":
            _label_stub(e, m, at)
    for s in e.design.stubs:
        if s.wall_id == e.wall.id and s.side != e.side and not s.place.clear and e.view.shows(s.station_mm):
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
    if m.off_wall_mm is not None:
        lines[1:1] = [f"{m.clear}:", NO_HOLE, f"from fin. wall {mm(d, m.off_wall_mm)}"]
    layer = f"stub label:{m.about}"
    if e.canvas.place(at, lines, layer, clear=2.4, reach=75, bold_first=True, boxed=True) is None:
        place_balloon(e.canvas, at, m.number, layer, 2.4)
