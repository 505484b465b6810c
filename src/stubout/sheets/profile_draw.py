"""What a profile draws: level lines, ground and footings, the run, its branches, then words where paper is left."""

from __future__ import annotations

from collections.abc import Callable

from stubout import units
from stubout.design import Design
from stubout.network.model import Pipe
from stubout.sheets.canvas import XY, Canvas, spread
from stubout.sheets.chains import SLOPE_TOL
from stubout.sheets.model import Style
from stubout.sheets.pipeware import bore_mm, od_mm
from stubout.sheets.profile_facts import Station, branches, exit_along, ground_level, main_run
from stubout.sheets.profile_frame import Frame, footings, ground_drawn, plug_drawn
from stubout.sheets.profile_words import branch_words, length_before, opening_words
from stubout.sheets.symbols import arrow, cleanout, place_balloon, zigzag
from stubout.sheets.words import level_mark, mm, pipe_size

At = Callable[[float, float], XY]  # length along the run and house height [mm] to paper
DROP_MM = 3.5  # what is shown of a drain that comes down from above: where it comes from is on other sheets
BREAK_MM = 6.0  # of a riser that is drawn broken
GRID_STEPS_MM = {"mm": (100.0, 200.0, 250.0, 500.0, 1000.0), "inch": (76.2, 152.4, 304.8, 609.6, 1219.2)}


def draw_levels(design: Design, canvas: Canvas, z: tuple[float, float], x: tuple[float, float], at: At) -> None:
    """Draw level lines with their heights at the left."""
    steps = GRID_STEPS_MM[design.house.job.units]
    step = next((s for s in steps if at(0.0, s)[1] - at(0.0, 0.0)[1] >= 6.0), steps[-1])
    k = int(z[0] // step) + 1
    while k * step <= z[1]:
        y = at(0.0, k * step)[1]
        canvas.line(((x[0], y), (x[1], y)), Style("hair", tint="light"), "level")
        canvas.text((x[0] - 1.0, y - 1.1), level_mark(design, k * step), "level", anchor="end")
        k += 1


def draw_ground(
    design: Design, canvas: Canvas, run: tuple[Pipe, ...], points: tuple[Station, ...], frame: Frame, at: At
) -> None:
    """Draw slab or crawl floor inside, the ground line and the footing depth outside, footings crossed."""
    total = points[-1].along_mm
    out_at = exit_along(design, run)
    low = ground_level(design)
    house_z, sewer_z, shift = ground_drawn(design, frame)
    if out_at > 1.0:
        shown = low.subfloor_z_mm >= frame.low_z  # not where it comes in high over the floor of a basement
        if shown and low.kind == "slab":
            a, b = at(0.0, low.subfloor_z_mm - low.slab_mm), at(out_at, low.subfloor_z_mm)
            canvas.rect((a[0], a[1], b[0], b[1]), Style("medium", fill="hatch"), "slab")
        elif shown:
            canvas.line((at(0.0, low.subfloor_z_mm), at(out_at, low.subfloor_z_mm)), Style("medium"), "ground")
        foot_z = max(low.subfloor_z_mm, frame.low_z)
        canvas.line((at(out_at, foot_z), at(out_at, house_z)), Style("thick"), "house wall")
    if out_at < total - 1.0:
        canvas.line(
            (at(out_at, house_z), at(total, sewer_z)), Style("thick", "dashdot" if shift else "solid"), "ground"
        )
        frost = _frost_line(design, frame)
        if frost is not None:
            canvas.line((at(out_at, frost[0]), at(total, frost[1])), Style("medium", "dotted"), "frost depth")
    for name, (lo, hi), (start, end) in footings(design, run):
        a, b = at(start, lo), at(end, min(hi, frame.top_z))
        canvas.rect((a[0], a[1], max(b[0], a[0] + 0.6), b[1]), Style("medium", fill="hatch"), f"footing:{name}")


def _frost_line(design: Design, frame: Frame) -> tuple[float, float] | None:
    """Return the depth against frost at the house and at the connection; None where the sheet does not show it."""
    depth = design.house.climate.frost_depth_mm
    if depth is None:
        return None
    ends = (design.house.ground.at_house_z_mm - depth, design.house.ground.at_sewer_z_mm - depth)
    return ends if all(frame.low_z < v < frame.top_z for v in ends) else None


def draw_run(canvas: Canvas, run: tuple[Pipe, ...], at: At) -> None:
    """Draw the run: its invert heavy, its crown thin, with the flow."""
    here = 0.0
    for p in run:
        bottom, top = bore_mm(p.size_in) / 2, od_mm(p.size_in) / 2
        a, b = at(here, p.a.z - bottom), at(here + p.plan_mm, p.b.z - bottom)
        canvas.line((a, b), Style("heavy", tint="drain"), f"pipe:{p.id}", cover="firm")
        canvas.line(
            (at(here, p.a.z + top), at(here + p.plan_mm, p.b.z + top)), Style("thin"), f"crown:{p.id}", cover="firm"
        )
        if p.plan_mm > 0 and b[0] - a[0] > 8:
            tip = (a[0] * 0.4 + b[0] * 0.6, a[1] * 0.4 + b[1] * 0.6)
            arrow(canvas, tip, (b[0] - a[0], b[1] - a[1]), f"flow:{p.id}")
        here += p.plan_mm


def draw_words(design: Design, canvas: Canvas, points: tuple[Station, ...], frame: Frame, at: At) -> None:
    """Number the points, write their stations under the drawing and the words along the run."""
    y0 = at(0.0, frame.low_z)[1]
    xs = [at(s.along_mm, 0.0)[0] for s in points]
    places = spread(xs, 3.9, xs[0] - 2.0, xs[-1] + 2.0)
    for s, x, p in zip(points, xs, places, strict=True):
        y = at(s.along_mm, s.invert_z_mm)[1]
        canvas.line(((x, y - 0.8), (x, y0 - 0.5), (p, y0 - 2.5)), Style("hair", "short"), "station", cover="soft")
        canvas.text((p + 1.1, y0 - 3.0), mm(design, s.along_mm), "station", anchor="end", turn_deg=90)
    run = main_run(design)
    _branches(design, canvas, run, frame, at)
    for name, (lo, _), (start, end) in footings(design, run):
        words = (name, f"underside {level_mark(design, lo)}")
        canvas.place(at((start + end) / 2, lo), words, "words", reach=60, prefer_deg=270)
    out_at = exit_along(design, run)
    if out_at < points[-1].along_mm - 1.0:
        mid = (out_at + points[-1].along_mm) / 2
        house_z, sewer_z, shift = ground_drawn(design, frame)
        words_out = ("ground outside, broken",) if shift else ("ground outside,", "straight between the two")
        ground = design.house.ground
        at_house = ("ground at house", level_mark(design, ground.at_house_z_mm))
        at_sewer = ("ground at connection", level_mark(design, ground.at_sewer_z_mm))
        canvas.place(at(out_at, house_z), at_house, "ground words", prefer_deg=60, clear=0.8)
        canvas.place(at(points[-1].along_mm, sewer_z), at_sewer, "ground words", prefer_deg=120, clear=0.8)
        canvas.place(at(mid, (house_z + sewer_z) / 2), words_out, "words", prefer_deg=90)
        frost = _frost_line(design, frame)
        if frost is not None:
            depth = mm(design, ground.at_house_z_mm - frost[0])
            canvas.place(at(mid, sum(frost) / 2), (f"{depth} below ground",), "words")
    low = ground_level(design)
    if out_at > 1.0 and low.subfloor_z_mm >= frame.low_z:
        word = "slab" if low.kind == "slab" else (low.title or low.id)
        canvas.place(at(out_at * 0.4, low.subfloor_z_mm), (word,), "words", prefer_deg=90)
    for s in points:
        place_balloon(canvas, at(s.along_mm, s.invert_z_mm), s.number, f"point:{s.number}", 0.8)
    for group in _groups(run):
        first = group[0]
        start = length_before(run, run.index(first))
        length = sum(p.plan_mm for p in group)
        names = first.id if len(group) == 1 else f"{first.id} to {group[-1].id}"
        words = (f"{names}  {pipe_size(first.size_in)}", units.slope(first.slope, design.house.job.units))
        spots = []
        for share in (0.5, 0.35, 0.65, 0.8, 0.2):
            along = start + length * share
            spots.append(at(along, _invert(run, along)))
        canvas.place(spots[0], words, f"size:{first.id}", clear=0.6, reach=86, prefer_deg=270, also=spots[1:])


def _invert(run: tuple[Pipe, ...], along_mm: float) -> float:
    """Return the invert of the run at a length along it [mm, house z]."""
    here = 0.0
    for p in run:
        if along_mm <= here + p.plan_mm or p is run[-1]:
            t = (along_mm - here) / p.plan_mm if p.plan_mm else 1.0
            return p.a.z + (p.b.z - p.a.z) * t - bore_mm(p.size_in) / 2
        here += p.plan_mm
    return run[-1].b.z


def _groups(run: tuple[Pipe, ...]) -> list[list[Pipe]]:
    """Return the stretches of one size and slope: one label speaks for each."""
    out: list[list[Pipe]] = []
    for p in run:
        last = out[-1][-1] if out else None
        if last is not None and last.size_in == p.size_in and abs(last.slope - p.slope) < SLOPE_TOL:
            out[-1].append(p)
        else:
            out.append([p])
    return out


def _branches(design: Design, canvas: Canvas, run: tuple[Pipe, ...], frame: Frame, at: At) -> None:
    """Mark where each branch enters: a ring at its height, an arrow where it drops in; then its fixtures and invert.

    A cleanout's riser is drawn up to its plug.
    """
    labels: list[tuple[XY, list[str], str]] = []
    for b in branches(design, run):
        x, y = at(b.along_mm, b.invert_z_mm)
        layer = f"branch:{b.pipe}"
        words = [branch_words(b)]
        if not (b.access and b.drop):
            words.append(f"invert {level_mark(design, b.invert_z_mm)}")
        if opens := opening_words(design, b):
            words.append(opens)
        if b.drop and b.opens_z_mm is not None:
            z, broken = plug_drawn(design, run, frame, b)
            high = max(at(b.along_mm, z)[1], y + 1.0)
            if broken:
                words.append("riser drawn broken")
            _riser(canvas, x, (y, high), broken, layer)
            y = high
        elif b.drop:
            high = at(b.along_mm, b.invert_z_mm + od_mm(b.size_in))[1] + DROP_MM
            canvas.line(((x, high), (x, y)), Style("thick", tint="drain"), layer, cover="firm")
            arrow(canvas, (x, y), (0.0, -1.0), layer)
            y = high
        else:
            canvas.circle((x, y + 1.1), 1.1, Style("medium", fill="white"), layer)
            y += 1.1
        labels.append(((x, y), words, layer))
    for place, words, layer in labels:
        canvas.place(place, words, layer, clear=1.1, reach=60, prefer_deg=90)


def _riser(canvas: Canvas, x: float, ends: tuple[float, float], broken: bool, layer: str) -> None:
    """Draw the riser of a cleanout with its plug, broken in the middle where it is longer than it is drawn."""
    style = Style("thick", tint="drain")
    low, high = ends
    if broken and high - low > BREAK_MM:
        lo, hi = (low + high - BREAK_MM) / 2, (low + high + BREAK_MM) / 2
        canvas.line(((x, high), (x, hi)), style, layer, cover="firm")
        canvas.line(((x, lo), (x, low)), style, layer, cover="firm")
        zigzag(canvas, x, lo, hi)
    else:
        canvas.line(((x, high), (x, low)), style, layer, cover="firm")
    cleanout(canvas, (x, high), (0.0, 1.0), layer)
