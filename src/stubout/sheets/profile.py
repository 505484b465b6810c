"""The profile for the excavator: inverts, cover and slope from the upstream end to the connection."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from stubout import units
from stubout.design import Design
from stubout.network.model import Pipe
from stubout.sheets.canvas import XY, Canvas, spread
from stubout.sheets.chains import SLOPE_TOL
from stubout.sheets.grid import Column, Grid, draw_grid, rows_that_fit
from stubout.sheets.model import A3, A4, LETTER, TABLOID, Paper, Sheet, Style
from stubout.sheets.notes import draw_notes, notes_height
from stubout.sheets.pipeware import bore_mm, od_mm
from stubout.sheets.profile_facts import (
    LEAVES,
    Branch,
    Station,
    branches,
    crossings,
    exit_along,
    ground_level,
    main_run,
    stations,
)
from stubout.sheets.scales import scale_words, scales
from stubout.sheets.symbols import arrow, cleanout, place_balloon
from stubout.sheets.titleblock import body
from stubout.sheets.words import level_mark, mm, pipe_size, slope

LEFT_MM, RIGHT_MM, TOP_MM, FOOT_MM = 30.0, 8.0, 8.0, 25.0
CLEAR_RATIO = 16.0  # heights drawn at 1:16 or larger show a fall of 1 in 100 as well
CLEAR_TIMES = 4.0  # heights drawn at least so many times as tall as lengths, if the paper allows
ABOVE_MM, BELOW_MM = 350.0, 250.0  # shown over the surface and under the pipe [mm, house]
At = Callable[[float, float], XY]  # length along the run and house height [mm] to paper
GRID_STEPS_MM = {"mm": (100.0, 200.0, 250.0, 500.0, 1000.0), "inch": (76.2, 152.4, 304.8, 609.6, 1219.2)}


def profile(design: Design) -> tuple[Sheet, ...]:
    """Return the profile of building drain and sewer; nothing if the system has none."""
    run = main_run(design)
    if not run:
        return ()
    points = stations(design, run)
    grid = _grid(design, points, run)
    small, large = (LETTER, TABLOID) if design.house.job.paper == "letter" else (A4, A3)
    # The paper that every printer has first, the table on a page of its own if need be.
    for paper in (small, large):
        area = body(paper)
        wide_enough = grid.width <= area[2] - area[0]
        if wide_enough and _frame(design, run, points, paper, grid.height() + 4.0).clear:
            return (_sheet(design, run, points, grid, paper, "below"),)
        if wide_enough and _frame(design, run, points, paper, 0.0).clear:
            return (_sheet(design, run, points, grid, paper, "back"), *_back(grid, paper))
    return (_sheet(design, run, points, grid, large, "back"), *_back(grid, large))


@dataclass(frozen=True, slots=True)
class _Frame:
    """Scales and levels of one profile."""

    ratio: int
    times: float
    low_z: float
    top_z: float
    broken: bool  # the ground outside lies higher than the drawing: it is drawn at the top, broken

    @property
    def clear(self) -> bool:
        """Return whether a fall shows well: drawn much steeper than it is, or its heights drawn large."""
        return self.times >= CLEAR_TIMES or self.ratio / self.times <= CLEAR_RATIO


def _frame(design: Design, run: tuple[Pipe, ...], points: tuple[Station, ...], paper: Paper, taken_mm: float) -> _Frame:
    """Return the largest exaggeration that fits, with the ground broken off if that gives more than three times."""
    area = body(paper)
    width = area[2] - area[0]
    total = points[-1].along_mm
    offered = scales(design.house.job.units)
    ratio = next((s for s in offered if total / s <= width - LEFT_MM - RIGHT_MM), offered[-1])
    foot = notes_height(_notes(design, 10.0, run), width) + 2.0
    room = area[3] - area[1] - foot - TOP_MM - FOOT_MM - taken_mm
    low_z = min(s.invert_z_mm for s in points) - BELOW_MM
    low_z = min([low_z, *(lo - 60.0 for _, (lo, _), _ in _footings(design, run))])
    crown = max(p.a.z for p in run)
    inner = max([crown, *(ground_level(design).subfloor_z_mm for s in points[:1] if s.inside)]) + ABOVE_MM
    outer = max([inner, *(s.surface_z_mm for s in points), design.house.ground.at_house_z_mm]) + ABOVE_MM / 2

    def best(top_z: float) -> float:
        return next((t for t in (10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0) if (top_z - low_z) * t / ratio <= room), 0.0)

    whole, cut = best(outer), best(inner)
    if whole >= 3.0 or cut <= whole:
        return _Frame(ratio, max(whole, 1.0), low_z, outer, False)
    return _Frame(ratio, cut, low_z, inner, True)


def _grid(design: Design, points: tuple[Station, ...], run: tuple[Pipe, ...]) -> Grid:
    total = points[-1].along_mm
    rows = []
    joins = branches(design, run)
    leg = {round(_along(run, i), 2): p for i, p in enumerate(run)}
    now = run[0]
    for s in points:
        now = leg.get(round(s.along_mm, 2), now)
        last = s is points[-1]
        cover = mm(design, s.cover_mm) if s.cover_mm >= 0 else f"{mm(design, -s.cover_mm)} above"
        rows.append(
            (
                str(s.number),
                _what(s, joins),
                mm(design, s.along_mm),
                mm(design, total - s.along_mm),
                level_mark(design, s.invert_z_mm),
                ", ".join(level_mark(design, b.invert_z_mm) for b in _at(s, joins) if not b.drop),
                level_mark(design, s.surface_z_mm),
                cover,
                "" if last else pipe_size(now.size_in),
                "" if last else (slope(design, now) if not now.vertical else "drop"),
                "" if last else now.id,
            )
        )
    columns = (
        Column("No", "end"),
        Column("Point"),
        Column("From|upstream", "end"),
        Column("To|connection", "end"),
        Column("Invert|house z", "end"),
        Column("Branch|invert", "end"),
        Column("Surface|house z", "end"),
        Column("Cover|over pipe", "end"),
        Column("Size to|next"),
        Column("Slope to|next"),
        Column("Pipe"),
    )
    return Grid("Stations", columns, tuple(rows), "stations")


def _at(station: Station, joins: tuple[Branch, ...]) -> list[Branch]:
    """Return the drains that enter the run at a station; none at the wall, which is no point of the network."""
    return [b for b in joins if abs(b.along_mm - station.along_mm) < 0.01 and station.what != LEAVES]


def branch_words(branch: Branch) -> str:
    """Return what a branch is called: the fixtures it carries, or the cleanout it is, and its size."""
    return f"{', '.join(branch.tags) or branch.pipe} {pipe_size(branch.size_in)}"


def _what(station: Station, joins: tuple[Branch, ...]) -> str:
    here = _at(station, joins)
    if not here:
        return station.what
    words = "; ".join(branch_words(b) for b in here)
    word = "up" if all(b.access for b in here) else "in"
    return f"{word if station.what == 'junction' else station.what}: {words}"


def _along(run: tuple[Pipe, ...], index: int) -> float:
    return sum(p.plan_mm for p in run[:index])


def _notes(design: Design, times: float, run: tuple[Pipe, ...]) -> tuple[str, ...]:
    sewer = design.house.sewer
    out = [
        f"Heights are drawn {times:g} times as tall as lengths. Inverts: inside bottom of the pipe; "
        "house z 0 as on the plans. Surface: underside of the slab or floor of the crawl space inside, ground outside.",
        f"Connection: {sewer.what}, {pipe_size(sewer.size_in)}, invert {level_mark(design, sewer.at.z)}"
        + (
            "."
            if sewer.confirmed
            else f", NOT CONFIRMED (may be off by {mm(design, sewer.invert_uncertainty_mm)}): dig up and measure first."
        ),
    ]
    gap = run[-1].b.z - bore_mm(run[-1].size_in) / 2 - sewer.at.z
    if abs(gap) > 3.0:
        word = "above" if gap > 0 else "BELOW"
        out.append(f"The pipe arrives {mm(design, abs(gap))} {word} the invert of the connection.")
    if design.house.climate.footing_depth_mm is not None:
        depth = mm(design, design.house.climate.footing_depth_mm)
        out.append(f"Footing depth against frost by the job: {depth} below the ground outside; dotted where it shows.")
    out.append(
        "Caution: have buried lines located before digging; slope or shore the trench; stay out of an unprotected one. "
        "Keep clear below footings as the authority asks."
    )
    return tuple(out)


def _sheet(
    design: Design, run: tuple[Pipe, ...], points: tuple[Station, ...], grid: Grid, paper: Paper, table: str
) -> Sheet:
    area = body(paper)
    width = area[2] - area[0]
    total = points[-1].along_mm
    frame = _frame(design, run, points, paper, grid.height() + 4.0 if table == "below" else 0.0)
    ratio, times, low_z, top_z = frame.ratio, frame.times, frame.low_z, frame.top_z
    notes = _notes(design, times, run)
    if _ground_z(design, frame)[2]:
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

    _levels(design, canvas, (low_z, top_z), (x0 - 2.0, x0 + total / ratio + 2.0), at)
    _ground(design, canvas, run, points, frame, at)
    _pipes(canvas, run, at)
    _marks(design, canvas, points, frame, at)
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


def _levels(design: Design, canvas: Canvas, z: tuple[float, float], x: tuple[float, float], at: At) -> None:
    """Draw level lines with their heights at the left."""
    steps = GRID_STEPS_MM[design.house.job.units]
    step = next((s for s in steps if at(0.0, s)[1] - at(0.0, 0.0)[1] >= 6.0), steps[-1])
    k = int(z[0] // step) + 1
    while k * step <= z[1]:
        y = at(0.0, k * step)[1]
        canvas.line(((x[0], y), (x[1], y)), Style("hair", tint="light"), "level")
        canvas.text((x[0] - 1.0, y - 1.1), level_mark(design, k * step), "level", anchor="end")
        k += 1


def _footings(design: Design, run: tuple[Pipe, ...]) -> list[tuple[str, tuple[float, float], tuple[float, float]]]:
    """Return name, (bottom, top) and (from, to) along the run of every footing or pad crossed in plan."""
    out = []
    for o in design.house.obstacles:
        if o.kind not in ("footing", "pad"):
            continue
        hit = crossings(run, o.box)
        if hit is not None:
            out.append((f"{o.id} {o.what}", (o.box.lo.z, o.box.hi.z), hit))
    return out


def _ground_z(design: Design, frame: _Frame) -> tuple[float, float, float]:
    """Return the ground at the house and at the connection as drawn, and the shift of a broken line [mm]."""
    ground = design.house.ground
    highest = max(ground.at_house_z_mm, ground.at_sewer_z_mm)
    shift = min(0.0, frame.top_z - 120.0 - highest) if frame.broken else 0.0
    low = frame.top_z - 300.0
    if shift:
        return max(low, ground.at_house_z_mm + shift), max(low, ground.at_sewer_z_mm + shift), shift
    return ground.at_house_z_mm, ground.at_sewer_z_mm, 0.0


def _ground(
    design: Design, canvas: Canvas, run: tuple[Pipe, ...], points: tuple[Station, ...], frame: _Frame, at: At
) -> None:
    """Draw slab or crawl floor inside, the ground line and the footing depth outside, footings crossed."""
    total = points[-1].along_mm
    out_at = exit_along(design, run)
    low = ground_level(design)
    house_z, sewer_z, shift = _ground_z(design, frame)
    if out_at > 1.0:
        if low.kind == "slab":
            a, b = at(0.0, low.subfloor_z_mm - low.slab_mm), at(out_at, low.subfloor_z_mm)
            canvas.rect((a[0], a[1], b[0], b[1]), Style("medium", fill="hatch"), "slab")
        else:
            canvas.line((at(0.0, low.subfloor_z_mm), at(out_at, low.subfloor_z_mm)), Style("medium"), "ground")
        canvas.line((at(out_at, low.subfloor_z_mm), at(out_at, house_z)), Style("thick"), "house wall")
    if out_at < total - 1.0:
        canvas.line(
            (at(out_at, house_z), at(total, sewer_z)), Style("thick", "dashdot" if shift else "solid"), "ground"
        )
        depth = design.house.climate.footing_depth_mm
        if depth is not None:
            z = (design.house.ground.at_house_z_mm - depth, design.house.ground.at_sewer_z_mm - depth)
            if all(frame.low_z < v < frame.top_z for v in z):
                canvas.line((at(out_at, z[0]), at(total, z[1])), Style("medium", "dotted"), "frost depth")
    for name, (lo, hi), (start, end) in _footings(design, run):
        a, b = at(start, lo), at(end, min(hi, frame.top_z))
        canvas.rect((a[0], a[1], max(b[0], a[0] + 0.6), b[1]), Style("medium", fill="hatch"), f"footing:{name}")


def _pipes(canvas: Canvas, run: tuple[Pipe, ...], at: At) -> None:
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


def _marks(design: Design, canvas: Canvas, points: tuple[Station, ...], frame: _Frame, at: At) -> None:
    """Number the points, write their stations under the drawing and the words along the run."""
    y0 = at(0.0, frame.low_z)[1]
    xs = [at(s.along_mm, 0.0)[0] for s in points]
    places = spread(xs, 3.9, xs[0] - 2.0, xs[-1] + 2.0)
    for s, x, p in zip(points, xs, places, strict=True):
        y = at(s.along_mm, s.invert_z_mm)[1]
        canvas.line(((x, y - 0.8), (x, y0 - 0.5), (p, y0 - 2.5)), Style("hair", "short"), "station", cover="soft")
        canvas.text((p + 1.1, y0 - 3.0), mm(design, s.along_mm), "station", anchor="end", turn_deg=90)
    run = main_run(design)
    for name, (lo, _), (start, end) in _footings(design, run):
        words = (name, f"underside {level_mark(design, lo)}")
        canvas.place(at((start + end) / 2, lo), words, "words", reach=60, prefer_deg=270)
    out_at = exit_along(design, run)
    if out_at < points[-1].along_mm - 1.0:
        mid = (out_at + points[-1].along_mm) / 2
        house_z, sewer_z, shift = _ground_z(design, frame)
        words_out = ("ground outside, broken",) if shift else ("ground outside,", "straight between the two")
        ground = design.house.ground
        at_house = ("ground at house", level_mark(design, ground.at_house_z_mm))
        at_sewer = ("ground at connection", level_mark(design, ground.at_sewer_z_mm))
        canvas.place(at(out_at, house_z), at_house, "ground words", prefer_deg=60, clear=0.8)
        canvas.place(at(points[-1].along_mm, sewer_z), at_sewer, "ground words", prefer_deg=120, clear=0.8)
        canvas.place(at(mid, (house_z + sewer_z) / 2), words_out, "words", prefer_deg=90)
        depth = design.house.climate.footing_depth_mm
        z = (ground.at_house_z_mm + ground.at_sewer_z_mm) / 2 - (depth or 0.0)
        if depth is not None and frame.low_z < z < frame.top_z:
            canvas.place(at(mid, z), (f"{mm(design, depth)} below ground",), "words")
    if out_at > 1.0:
        low = ground_level(design)
        word = "slab" if low.kind == "slab" else (low.title or low.id)
        canvas.place(at(out_at * 0.4, low.subfloor_z_mm), (word,), "words", prefer_deg=90)
    _branches(design, canvas, run, at)
    for s in points:
        place_balloon(canvas, at(s.along_mm, s.invert_z_mm), s.number, f"point:{s.number}", 0.8)
    for group in _groups(run):
        first = group[0]
        start = _along(run, run.index(first))
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


def _branches(design: Design, canvas: Canvas, run: tuple[Pipe, ...], at: At) -> None:
    """Mark where each branch enters: a ring at its height, an arrow where it drops in; then its fixtures and invert."""
    labels: list[tuple[XY, list[str], str]] = []
    for b in branches(design, run):
        x, y = at(b.along_mm, b.invert_z_mm)
        layer = f"branch:{b.pipe}"
        words = [branch_words(b), f"invert {level_mark(design, b.invert_z_mm)}"]
        if b.drop:
            high = at(b.along_mm, b.invert_z_mm + od_mm(b.size_in))[1] + 3.5
            canvas.line(((x, high), (x, y)), Style("thick", tint="drain"), layer, cover="firm")
            if b.access:
                cleanout(canvas, (x, high), (0.0, 1.0), layer)
                words = words[:1]
            else:
                arrow(canvas, (x, y), (0.0, -1.0), layer)
            y = high
        else:
            canvas.circle((x, y + 1.1), 1.1, Style("medium", fill="white"), layer)
            y += 1.1
        labels.append(((x, y), words, layer))
    for place, words, layer in labels:
        canvas.place(place, words, layer, clear=1.1, reach=60, prefer_deg=90)
