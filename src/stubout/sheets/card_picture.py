"""The picture on a card: one face of a wall, what lies behind it hatched, with the letters of its zones. No words."""

from __future__ import annotations

from stubout.design import Design
from stubout.house.framing import Side, Wall
from stubout.sheets.canvas import Canvas
from stubout.sheets.card_facts import Zone
from stubout.sheets.model import Paper, Sheet, Style
from stubout.sheets.symbols import datum
from stubout.sheets.wall_facts import pipes_in_wall
from stubout.sheets.wall_frame import Elevation, draw_frame
from stubout.sheets.wall_pipes import draw_bodies, draw_holes
from stubout.sheets.wall_stretch import PAD_STATION_MM, broken, stretches
from stubout.sheets.wall_view import BREAK_MM, WallView

WIDE_MM, TALL_MM = 165.0, 105.0  # room on the card, letter or A4
EDGE_MM = 7.0
LETTER_PT = 14.0
ZONE = Style("thick", fill="hatch")


def card_picture(design: Design, wall: Wall, side: Side, found: tuple[Zone, ...], name: str) -> Sheet:
    """Return the picture of a face; the triangle at its foot is the control corner."""
    parts = _parts(design, wall, found)
    lo, hi = wall.bottom_z_mm - 60.0, wall.top_z_mm + 30.0
    gaps = BREAK_MM * (len(parts) - 1)
    long = sum(b - a for a, b in parts)
    ratio = max(long / (WIDE_MM - 2 * EDGE_MM - gaps), (hi - lo) / (TALL_MM - 2 * EDGE_MM))
    paper = Paper("card", long / ratio + gaps + 2 * EDGE_MM, (hi - lo) / ratio + 2 * EDGE_MM)
    canvas = Canvas(paper, (0.0, 0.0, paper.width, paper.height))
    e = Elevation(design, wall, side, WallView(side, ratio, parts, lo, hi, EDGE_MM, EDGE_MM), canvas)
    draw_frame(e)
    for z in found:
        e.area(*z.stations_mm, *z.heights_mm, ZONE, f"zone:{z.letter}")
    draw_bodies(e, pipes_in_wall(design, wall))
    draw_holes(e, design.fabrication.bores)
    datum(canvas, e.view.at(0.0, wall.bottom_z_mm), "corner", -1.0 if side == "right" else 1.0)
    for z in found:
        at = e.view.at(sum(z.stations_mm) / 2, sum(z.heights_mm) / 2)
        canvas.place(at, [z.letter], f"letter:{z.letter}", size_pt=LETTER_PT, boxed=True, bold_first=True, reach=80.0)
    return Sheet(f"card-{name}", "", f"1:{ratio:.0f}", paper, tuple(canvas.items))


def _parts(design: Design, wall: Wall, found: tuple[Zone, ...]) -> tuple[tuple[float, float], ...]:
    """Return the stretches of wall shown: from the corner on, long idle ones left out."""
    lo = max(0.0, min(z.stations_mm[0] for z in found) - PAD_STATION_MM)
    hi = min(wall.length_mm, max(z.stations_mm[1] for z in found) + PAD_STATION_MM)
    return broken(design, wall, (), stretches((lo, max(hi, min(wall.length_mm, lo + 600.0)))))
