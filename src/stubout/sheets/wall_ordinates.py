"""The numbers round a wall elevation: distances from the corner above it, heights from both floors beside it."""

from __future__ import annotations

from dataclasses import dataclass

from stubout.design import Design
from stubout.house.framing import Wall
from stubout.sheets.canvas import spread
from stubout.sheets.metrics import text_width
from stubout.sheets.model import Style
from stubout.sheets.wall_frame import STUD_TEXT_GAP_MM, Elevation
from stubout.sheets.words import mm

_HEAD = ("subfloor", "fin. floor", "mark")
UNDER_MM = 17.0  # how far below the wall heights may stand beside it
_BRACKET_MM, _WORDS_MM, _COLUMN_GAP_MM = 4.2, 5.6, 2.2


@dataclass(frozen=True, slots=True)
class HeightRow:
    """One line of the heights beside a wall: both floors, and the marks at that height."""

    z_mm: float  # house height
    subfloor: str
    finished: str
    marks: str


def height_rows(design: Design, wall: Wall, at: list[tuple[float, float | None, int]]) -> tuple[HeightRow, ...]:
    """Return the heights of marks, low first.

    Args:
        design: The design.
        wall: The wall.
        at: House height of every mark with one, its finished floor (None: no room there), and its number.
    """
    rows: dict[tuple[str, str], tuple[float, list[int]]] = {}
    for z, fin, number in at:
        key = mm(design, z - wall.bottom_z_mm), "no room" if fin is None else mm(design, z - fin)
        rows.setdefault(key, (z, []))[1].append(number)
    out = [HeightRow(z, sub, fin, f"({_few(numbers)})") for (sub, fin), (z, numbers) in rows.items()]
    return tuple(sorted(out, key=lambda r: (r.z_mm, r.subfloor, r.finished)))


def height_columns(rows: tuple[HeightRow, ...]) -> tuple[float, float, float]:
    """Return the widths of the three columns of heights [mm on paper]."""
    columns = zip(*((r.subfloor, r.finished, r.marks) for r in rows), strict=True)
    return tuple(max(text_width(w, 9.0) for w in (h, *c)) for h, c in zip(_HEAD, columns, strict=True))  # type: ignore[return-value]  # _HEAD


def height_width(rows: tuple[HeightRow, ...]) -> float:
    """Return how much paper the heights need beside a wall [mm]."""
    return _WORDS_MM + sum(height_columns(rows)) + 2 * _COLUMN_GAP_MM if rows else 0.0


def draw_ordinates(e: Elevation, stations: list[tuple[float, int]], rows: tuple[HeightRow, ...]) -> None:
    """Write the marks' distances from the corner above the wall and their heights beside it.

    Args:
        e: The elevation.
        stations: Station and number of every mark shown.
        rows: The heights, low first.
    """
    view, canvas = e.view, e.canvas
    # Above the wall: one turned line a station, with the numbers of the marks that stand on it.
    above = sorted((view.x(station), words) for station, words in ordinate_words(e.design, stations))
    top = view.y0 + view.height
    places = spread([x for x, _ in above], STUD_TEXT_GAP_MM, view.x0 - 2.0, view.x0 + view.width + 2.0)
    for (x, words), p in zip(above, places, strict=True):
        canvas.line(((x, top + 0.3), (x, top + 1.5), (p, top + 4.0)), Style("hair"), "ordinate", cover="hard")
        canvas.text((p + 1.1, top + 4.6), words, "ordinate", turn_deg=90)
    if not rows:
        return
    # Beside it, away from the floor labels: heights that lie close together share one line and a bracket.
    right = view.x0 + view.width
    ys = [view.y(r.z_mm) for r in rows]
    need = (len(rows) - 1) * STUD_TEXT_GAP_MM  # many heights go on below the wall rather than into one another
    places = spread(ys, STUD_TEXT_GAP_MM, max(view.y0 - UNDER_MM, min(view.y0 - 2.0, top - 9.0 - need)), top - 9.0)
    first = 0
    for k in range(len(rows)):
        if k + 1 < len(rows) and ys[k + 1] - ys[k] < STUD_TEXT_GAP_MM / 2:
            continue
        y, q = sum(ys[first : k + 1]) / (k + 1 - first), sum(places[first : k + 1]) / (k + 1 - first)
        canvas.line(
            ((right + 0.5, y), (right + 1.6, y), (right + _BRACKET_MM, q)), Style("hair"), "ordinate", cover="hard"
        )
        if k > first:
            x = right + _BRACKET_MM
            ends = (
                (x + 0.8, places[first] - 1.2),
                (x, places[first] - 1.2),
                (x, places[k] + 1.2),
                (x + 0.8, places[k] + 1.2),
            )
            canvas.line(ends, Style("thin"), "ordinate", cover="hard")
        first = k + 1
    wide = height_columns(rows)
    one = right + _WORDS_MM + wide[0]
    two = one + _COLUMN_GAP_MM + wide[1]
    three = two + _COLUMN_GAP_MM
    head = places[-1] + 3.4
    canvas.text((one, head + 3.9), "above", "ordinate", anchor="end")
    canvas.text((two, head + 3.9), "above", "ordinate", anchor="end")
    for x, words, anchor in ((one, _HEAD[0], "end"), (two, _HEAD[1], "end"), (three, _HEAD[2], "start")):
        canvas.text((x, head), words, "ordinate", anchor=anchor)  # type: ignore[arg-type]  # start or end
    for r, q in zip(rows, places, strict=True):
        canvas.text((one, q - 1.1), r.subfloor, "height above subfloor", anchor="end")
        canvas.text((two, q - 1.1), r.finished, "height above finished floor", anchor="end")
        canvas.text((three, q - 1.1), r.marks, "ordinate")


def ordinate_words(design: Design, at: list[tuple[float, int]]) -> list[tuple[float, str]]:
    """Return station and words of each line above a wall: `4'-3 15/16" (3-6)`."""
    groups: dict[str, tuple[float, list[int]]] = {}
    for station, number in at:
        groups.setdefault(mm(design, station), (station, []))[1].append(number)
    return [(station, f"{words} ({_few(numbers)})") for words, (station, numbers) in groups.items()]


def _few(numbers: list[int]) -> str:
    """Return mark numbers in short: `3`, `3, 4`, `1, 3-6`."""
    runs: list[list[int]] = []
    for n in sorted(numbers):
        if runs and n == runs[-1][-1] + 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    words = [f"{r[0]}-{r[-1]}" if len(r) > 2 else ", ".join(str(n) for n in r) for r in runs]
    return ", ".join(words)
