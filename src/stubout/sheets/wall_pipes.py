"""The pipes of a wall elevation: bodies at real width, hubs, holes, shields, stub-outs."""

from __future__ import annotations

import math

from stubout.fabrication.hubs import couplings_on, hub_ends, set_in_couplings
from stubout.fabrication.model import Bore
from stubout.geometry.vec import Vec
from stubout.network.model import Pipe
from stubout.sheets.clip import clip_area, clip_line
from stubout.sheets.model import Style, Text
from stubout.sheets.pipeware import coupling_mm, hub_mm, od_mm, sleeve_mm, socket_mm
from stubout.sheets.symbols import in_place, stub_symbol
from stubout.sheets.wall_facts import Mark, pipes_in_wall
from stubout.sheets.wall_frame import Elevation
from stubout.sheets.words import pipe_size

DRAIN = Style("medium", tint="drain", fill="light")
VENT = Style("medium", "dashed", tint="vent", fill="white")


def pipe_style(pipe: Pipe) -> Style:
    """Return how a pipe's body is drawn: drains solid and grey, vents dashed and white."""
    return DRAIN if pipe.system == "drain" else VENT


def draw_pipes(e: Elevation) -> None:
    """Draw every pipe in the wall."""
    draw_bodies(e, pipes_in_wall(e.design, e.wall))


def draw_bodies(e: Elevation, pipes: tuple[Pipe, ...]) -> None:
    """Draw pipes as bodies of their outside diameter, then hubs and centre lines over them."""
    for p in pipes:
        _body(e, p)
    for p in pipes:
        _hubs(e, p)
    for p in pipes:
        a, b = _flat(e, p.a), _flat(e, p.b)
        if math.dist(a, b) < od_mm(p.size_in) / 2:
            continue
        e.stroke(a, b, Style("hair", "dashdot"), "centre line")
        if p.said == "installed":
            _mark_installed(e, p, a, b)


def _mark_installed(e: Elevation, p: Pipe, a: tuple[float, float], b: tuple[float, float]) -> None:
    """Draw the sign of an installed pipe on the longest piece of it that the sheet shows."""
    shown = [clip_line(e.view.at(*a), e.view.at(*b), e.view.window(n)) for n in range(len(e.view.parts))]
    longest = max((c for c in shown if c is not None), key=lambda c: math.dist(*c), default=None)
    if longest is not None:
        in_place(e.canvas, longest[0], longest[1], f"installed:{p.id}", od_mm(p.size_in) / 2 / e.view.ratio)


def _flat(e: Elevation, p: Vec) -> tuple[float, float]:
    return e.wall.station(p), p.z


def _body(e: Elevation, p: Pipe) -> None:
    a, b = _flat(e, p.a), _flat(e, p.b)
    layer = f"pipe:{p.id}"
    half = od_mm(p.size_in) / 2
    if math.dist(a, b) < half:  # runs away from the eye: a ring
        at = e.view.at((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        if e.view.shows((a[0] + b[0]) / 2) and e.view.lo_z_mm < a[1] < e.view.hi_z_mm:
            e.canvas.circle(at, half / e.view.ratio, pipe_style(p), layer, cover="firm")
        return
    _bar(e, a, b, half, pipe_style(p), layer, firm=True)


def _bar(
    e: Elevation, a: tuple[float, float], b: tuple[float, float], half: float, style: Style, layer: str, *, firm: bool
) -> None:
    n = math.dist(a, b)
    nx, nz = -(b[1] - a[1]) / n * half, (b[0] - a[0]) / n * half
    corners = [(a[0] + nx, a[1] + nz), (b[0] + nx, b[1] + nz), (b[0] - nx, b[1] - nz), (a[0] - nx, a[1] - nz)]
    for part in range(len(e.view.parts)):
        lo, hi = e.view.parts[part]
        if max(c[0] for c in corners) <= lo or min(c[0] for c in corners) >= hi:
            continue
        cut = clip_area([e.view.at(*c) for c in corners], e.view.window(part))
        if len(cut) < 3:
            continue
        e.canvas.line(cut, style, layer, closed=True)
        line = clip_line(e.view.at(*a), e.view.at(*b), e.view.window(part))
        if firm and line:
            xs, ys = sorted((line[0][0], line[1][0])), sorted((line[0][1], line[1][1]))
            r = half / e.view.ratio
            if xs[1] - xs[0] < 1.5 or ys[1] - ys[0] < 1.5:
                e.canvas.take((xs[0] - r, ys[0] - r, xs[1] + r, ys[1] + r), "firm")
            else:
                e.canvas.line(line, Style("hair", "dashdot"), "centre line", cover="firm")


def _hubs(e: Elevation, p: Pipe) -> None:
    """Draw the hub at each end that has a fitting: as wide as hubs are, as long as make-up and socket.

    Where a street fitting stands instead of pipe, its own end is a spigot: pipe width, no hub.
    """
    a, b = _flat(e, p.a), _flat(e, p.b)
    n = math.dist(a, b)
    if n < od_mm(p.size_in) / 2:
        return
    for end in hub_ends(e.design.fabrication, p):
        at, far = (a, b) if end.at_start else (b, a)
        reach = min(end.takeoff_mm + socket_mm(p.size_in), n)
        start = min(end.takeoff_mm * 0.98, reach)
        ux, uz = (far[0] - at[0]) / n, (far[1] - at[1]) / n
        s = (at[0] + ux * start, at[1] + uz * start)
        t = (at[0] + ux * reach, at[1] + uz * reach)
        if math.dist(s, t) < 1.0:
            continue
        _bar(e, s, t, hub_mm(p.size_in) / 2, Style("medium", fill="grey"), f"hub:{p.id}", firm=True)
    for use in couplings_on(e.design.fabrication, p):
        at, half = _flat(e, use.at), coupling_mm(p.size_in) / 2
        ux, uz = (b[0] - a[0]) / n * half, (b[1] - a[1]) / n * half
        s, t = (at[0] - ux, at[1] - uz), (at[0] + ux, at[1] + uz)
        _bar(e, s, t, hub_mm(p.size_in) / 2, Style("medium", fill="grey"), f"hub:{p.id}", firm=True)
    for use in set_in_couplings(e.design.fabrication, p):
        at, half = _flat(e, use.at), sleeve_mm(use.pattern, p.size_in) / 2
        ux, uz = (b[0] - a[0]) / n * half, (b[1] - a[1]) / n * half
        _bar(
            e, (at[0] - ux, at[1] - uz), (at[0] + ux, at[1] + uz), hub_mm(p.size_in) / 2, Style("medium"),
            f"sleeve:{use.id}", firm=True,
        )  # fmt: skip


def label_pipes(e: Elevation, *, upright: bool) -> None:
    """Write number and size of each pipe that is long enough to carry them.

    Args:
        e: The elevation.
        upright: First round: along risers only, where the words cut no stud. Second round: beside the rest.
    """
    told = {i.layer for i in e.canvas.items if isinstance(i, Text)}
    for p in pipes_in_wall(e.design, e.wall):
        a, b = _flat(e, p.a), _flat(e, p.b)
        layer = f"pipe label:{p.id}"
        if math.dist(a, b) < 150.0 or layer in told:
            continue
        for part in range(len(e.view.parts)):
            cut = clip_line(e.view.at(*a), e.view.at(*b), e.view.window(part))
            if cut is None or math.dist(*cut) <= 4.0:
                continue
            mid = ((cut[0][0] + cut[1][0]) / 2, (cut[0][1] + cut[1][1]) / 2)
            half = od_mm(p.size_in) / 2 / e.view.ratio
            words = f"{p.id} {pipe_size(p.size_in)}"
            if not upright:
                # Over another pipe the words would be read as its own: rather farther off, on a leader.
                away = e.canvas.place(mid, (words,), layer, clear=half, reach=24, optional=True, off_pipes=True)
                if away is None:
                    e.canvas.place(mid, (words,), layer, clear=half, reach=10, optional=True)
            elif abs(cut[0][0] - cut[1][0]) < 0.2:
                off = max(half, hub_mm(p.size_in) / 2 / e.view.ratio) + 2.1
                low, high = sorted((cut[0][1], cut[1][1]))
                e.canvas.place_upright((mid[0] - off, mid[0] + off), (low - 2.0, high + 2.0), words, layer)
            break


def draw_holes(e: Elevation, bores: tuple[Bore, ...]) -> None:
    """Draw the holes: a white ring of the hole's size on each stud, a gap in each plate; shields as black bars."""
    shields = {p.bore: p for p in e.design.fabrication.plates}
    for b in bores:
        if b.wall_or_frame != e.wall.id:
            continue
        station = b.station_mm if b.member_kind == "stud" else e.wall.station(b.centre)
        if not e.view.shows(station):
            continue
        x, y = e.view.at(station, b.centre.z)
        half = b.hole_mm / 2 / e.view.ratio
        if b.member_kind == "stud":
            e.canvas.circle((x, y), half, Style("thick"), f"bore:{b.id}")
        else:
            e.canvas.line(((x - half, y), (x + half, y)), Style("heavy"), f"bore:{b.id}", cover="hard")
        if b.verdict not in ("ok", "strap"):  # not to be bored before somebody has decided
            r = max(half, 1.2) + 0.9
            for sign in (1, -1):
                e.canvas.line(
                    ((x - r, y - r * sign), (x + r, y + r * sign)), Style("thick"), f"stop:{b.id}", cover="hard"
                )
        shield = shields.get(b.id)
        if shield is None:
            continue
        here = shield.face in (e.side, "both", "top")
        style = Style("thin", fill="black") if here else Style("thin", "short", fill="white")
        tall = shield.length_mm / 2 / e.view.ratio
        if b.member_kind == "stud":
            e.canvas.rect(
                (x + half + 0.3, y - tall, x + half + 1.1, y + tall), style, f"shield:{shield.id}", cover="hard"
            )
        else:
            e.canvas.rect((x - tall, y + 0.5, x + tall, y + 1.3), style, f"shield:{shield.id}", cover="hard")


def draw_marks(e: Elevation, marks: tuple[Mark, ...]) -> None:
    """Draw stub-outs with their windows, cleanouts, floor outlets."""
    sub = e.wall.bottom_z_mm
    sizes = {s.tag: s.size_in for s in e.design.stubs}
    traps = {s.tag: s.mark_z_mm for s in e.design.stubs}
    for m in marks:
        if not e.view.shows(m.station_mm):
            continue
        at = e.view.at(m.station_mm, m.z_mm if m.z_mm is not None else sub)
        if m.kind == "stub":
            radius = max(1.2, od_mm(sizes[m.about]) / 2 / e.view.ratio)
            stub_symbol(e.canvas, at, radius, f"stub:{m.about}", clear=bool(m.clear))
            if m.lo_z_mm is not None and m.hi_z_mm is not None:
                x = at[0] + radius + 1.0
                lo, hi = e.view.y(m.lo_z_mm), e.view.y(m.hi_z_mm)
                thick = Style("medium")
                e.canvas.line(((x, lo), (x, hi)), thick, f"window:{m.about}", cover="hard")
                for y in (lo, hi):
                    e.canvas.line(((x - 0.9, y), (x + 0.9, y)), thick, f"window:{m.about}", cover="hard")
        elif m.kind == "cleanout":
            e.canvas.circle(at, 1.8, Style("thick", fill="white"), f"cleanout:{m.about}")
            e.canvas.circle(at, 0.7, Style("thin", fill="black"), f"cleanout:{m.about}")
        elif m.kind in ("standpipe", "box"):
            x, y = at
            if m.kind == "standpipe":  # it stands on its trap: no pipe of the network, but the crew sets it
                foot = e.view.y(traps[m.about])
                e.canvas.line(((x, foot), (x, y)), Style("medium", tint="drain"), f"standpipe:{m.about}", cover="firm")
            for a, b in (((x - 1.8, y), (x + 1.8, y)), ((x, y - 1.8), (x, y + (1.8 if m.kind == "box" else 0.0)))):
                e.canvas.line((a, b), Style("medium"), f"{m.kind}:{m.about}", cover="hard")
        elif m.kind == "floor":
            x, y = at
            e.canvas.line(((x, y - 2.6), (x, y + 2.6)), Style("medium", "dashdot"), f"floor:{m.about}", cover="hard")
            tri = ((x, y), (x - 1.3, y + 2.2), (x + 1.3, y + 2.2))
            e.canvas.line(tri, Style("thin", fill="black"), f"floor:{m.about}", closed=True, cover="hard")
    for s in e.design.stubs:
        if s.wall_id == e.wall.id and s.side != e.side and not s.place.clear and e.view.shows(s.station_mm):
            at = e.view.at(s.station_mm, s.mark_z_mm)
            radius = max(1.2, od_mm(s.size_in) / 2 / e.view.ratio)
            e.canvas.circle(at, radius, Style("medium", "short"), f"far stub:{s.tag}")
