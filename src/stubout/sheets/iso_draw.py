"""What an isometric draws: pipes with the gaps of those behind, floors, ends, cuts."""

from __future__ import annotations

import math

from stubout.design import Design
from stubout.layout.model import PointKind
from stubout.network.model import Pipe
from stubout.sheets.canvas import XY, Canvas
from stubout.sheets.iso_frame import IsoFrame, crossing
from stubout.sheets.model import Style
from stubout.sheets.plan_draw import drain_style
from stubout.sheets.symbols import arrow, cleanout, in_place, place_balloon

GAP_MM = 1.1  # half the gap in a line that passes behind another
TRAP_MM = 1.1  # radius of a trap


def draw_cut(at: XY, letter: str, canvas: Canvas, kind: str = "cut") -> None:
    """Draw the end of a pipe that goes on on another drawing, with the letter both give it; `kind` names its layer."""
    layer = f"{kind}:{letter}"
    canvas.line(((at[0] - 2.0, at[1] - 0.8), (at[0] + 2.0, at[1] + 0.8)), Style("thick"), layer, cover="hard")
    place_balloon(canvas, at, letter, layer, 0.9)


def draw_lines(design: Design, view: IsoFrame, canvas: Canvas) -> None:
    """Draw every pipe; one that passes behind another is interrupted there."""
    pipes = design.pipes()
    lines = {p.id: (view.point(p.start), view.point(p.end)) for p in pipes}
    gaps = _gaps_at_traps(design, view, lines)
    for i, p in enumerate(pipes):
        for q in pipes[i + 1 :]:
            if {p.start, p.end} & {q.start, q.end}:
                continue
            hit = crossing(*lines[p.id], *lines[q.id])
            if hit is None:
                continue
            behind = []
            for pipe, t in ((p, hit[0]), (q, hit[1])):
                start, end = view.at[pipe.start], view.at[pipe.end]
                behind.append((view.depth(start.plus(end.minus(start).times(t))), pipe.id, t))
            far = max(behind)
            gaps.setdefault(far[1], []).append((far[2], GAP_MM))
    for p in pipes:
        a, b = lines[p.id]
        n = math.dist(a, b)
        style = drain_style(p, short=n < 9.0)
        pieces = [(0.0, 1.0)]
        for t, wide in sorted(gaps.get(p.id, [])):
            half = wide / n
            lo, hi = pieces.pop()
            pieces += [(lo, max(lo, t - half)), (min(hi, t + half), hi)]
        for lo, hi in pieces:
            if hi - lo < 1e-6 and n > 1e-6:
                continue
            head = (a[0] + (b[0] - a[0]) * lo, a[1] + (b[1] - a[1]) * lo)
            tail = (a[0] + (b[0] - a[0]) * hi, a[1] + (b[1] - a[1]) * hi)
            canvas.line((head, tail), style, f"pipe:{p.id}", cover="firm")
        if p.said == "installed":
            in_place(canvas, a, b, f"installed:{p.id}", along=0.3)
        if p.system == "drain" and not p.vertical and n > 9.0:
            tip = (a[0] + (b[0] - a[0]) * 0.62, a[1] + (b[1] - a[1]) * 0.62)
            arrow(canvas, tip, (b[0] - a[0], b[1] - a[1]), f"flow:{p.id}", 2.2)
        if p.vertical:
            _floors(design, view, canvas, p)


def _gaps_at_traps(
    design: Design, view: IsoFrame, lines: dict[str, tuple[XY, XY]]
) -> dict[str, list[tuple[float, float]]]:
    """Return where a pipe is interrupted for a trap that only seems to stand on it: share of its length, half gap [mm].

    Without the gap the trap would be read as that pipe's.
    """
    gaps: dict[str, list[tuple[float, float]]] = {}
    traps = [n for n in design.network.nodes if n.kind is PointKind.TRAP]
    for p in design.pipes():
        (ax, ay), (bx, by) = lines[p.id]
        dx, dy = bx - ax, by - ay
        n = math.hypot(dx, dy)
        if n < 4 * TRAP_MM:
            continue
        for node in traps:
            if node.id in (p.start, p.end):
                continue
            x, y = view.point(node.id)
            t = ((x - ax) * dx + (y - ay) * dy) / (n * n)
            off = abs((x - ax) * dy - (y - ay) * dx) / n
            if off < TRAP_MM and 2 * TRAP_MM < t * n < n - 2 * TRAP_MM:
                gaps.setdefault(p.id, []).append((t, TRAP_MM + GAP_MM))
    return gaps


def _floors(design: Design, view: IsoFrame, canvas: Canvas, p: Pipe) -> None:
    """Draw a short bar where an upright pipe passes a floor."""
    a, b = view.at[p.start], view.at[p.end]
    for level in design.house.levels:
        if level.kind == "ground":
            continue
        lo, hi = sorted((p.a.z, p.b.z))
        if not lo + 20 < level.subfloor_z_mm < hi - 20:
            continue
        t = (level.subfloor_z_mm - p.a.z) / (p.b.z - p.a.z)
        x, y = view.flat(a.plus(b.minus(a).times(t)))
        canvas.line(((x - 2.4, y - 1.2), (x + 2.4, y + 1.2)), Style("medium"), "floor", cover="hard")


def draw_ends(design: Design, view: IsoFrame, canvas: Canvas) -> None:
    """Draw traps, flanges, terminals, cleanouts, caps and the sewer end."""
    cos = {c.point for c in design.cleanouts}
    for n in design.network.nodes:
        at = view.point(n.id)
        touching = [p for p in design.pipes() if n.id in (p.start, p.end)]
        if not touching:
            continue
        if n.kind is PointKind.TRAP:
            canvas.circle(at, TRAP_MM, Style("medium", fill="white"), f"trap:{n.tag}")
        elif n.kind is PointKind.FLANGE:
            canvas.line(((at[0] - 2.2, at[1]), (at[0] + 2.2, at[1])), Style("heavy"), f"flange:{n.tag}", cover="hard")
        elif n.kind is PointKind.TERMINAL:
            for off in (-1.6, 1.6):
                canvas.line((at, (at[0] + off, at[1] + 2.0)), Style("medium"), f"terminal:{n.id}", cover="hard")
        elif n.kind is PointKind.AAV:
            canvas.circle(at, 1.5, Style("medium", "short", fill="white"), f"aav:{n.id}")
        elif n.kind is PointKind.CAP:
            canvas.line(((at[0] - 1.6, at[1]), (at[0] + 1.6, at[1])), Style("thick"), f"cap:{n.id}", cover="hard")
        elif n.kind is PointKind.SEWER:
            p = touching[0]
            a, b = view.point(p.start), view.point(p.end)
            arrow(canvas, at, (b[0] - a[0], b[1] - a[1]), "sewer", 4.0)
        if n.kind is not PointKind.TRAP and (n.id in cos or n.kind is PointKind.CLEANOUT):
            p = touching[0]
            far = view.point(p.end if p.start == n.id else p.start)
            cleanout(canvas, at, (at[0] - far[0], at[1] - far[1]), f"cleanout:{n.id}")
