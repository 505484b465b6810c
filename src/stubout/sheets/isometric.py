"""The isometric of the whole system: every pipe sized, fixtures with their load, slopes, cleanouts, terminals."""

from __future__ import annotations

import math
from dataclasses import replace

from stubout.design import Design
from stubout.layout.model import PointKind, Role
from stubout.network.model import Pipe
from stubout.sheets.canvas import XY, Canvas
from stubout.sheets.chains import Chain, chains
from stubout.sheets.iso_frame import Aspect, IsoFrame, aspect, crossing, fitted
from stubout.sheets.iso_split import IsoPart, halves
from stubout.sheets.model import A3, A4, LETTER, TABLOID, Paper, Sheet, Style
from stubout.sheets.notes import draw_notes, notes_height
from stubout.sheets.plan_draw import drain_style
from stubout.sheets.symbols import arrow, cleanout, north, place_balloon
from stubout.sheets.titleblock import body
from stubout.sheets.words import SHORT_ROLE, mm, pipe_size, slope

SIDE_MM, TOP_MM, FOOT_MM = 34.0, 12.0, 12.0  # paper kept free round the pipes for words
GAP_MM = 1.1  # half the gap in a line that passes behind another
LOADED = (Role.STACK, Role.BUILDING_DRAIN, Role.SEWER)  # the load they carry is written beside them
UPRIGHT_PT = 9.0  # the size at which a riser's words may run along it
CROWDED = 14  # words over a pipe or far from it that one sheet may have
NAMED = (Role.STACK, Role.BUILDING_DRAIN, Role.SEWER, Role.STACK_VENT, Role.HEADER, Role.FOOT_VENT)


def isometric(design: Design) -> tuple[Sheet, ...]:
    """Return the isometric on the paper of the job, on two sheets cut at a floor if its words crowd on one."""
    if not design.pipes():
        return ()
    seen = aspect(design.network)
    parts = halves(design)
    sheet, strained = _fitted(design, IsoPart(design, "", {}), seen, "", CROWDED if parts else None)
    if not parts or strained <= CROWDED:
        return (sheet,)
    # Both halves from the same corner of the house, so that a cut is found again.
    return tuple(
        _fitted(design, part, aspect(part.design.network, seen.quarter), f"-{n}")[0] for n, part in enumerate(parts, 1)
    )


def _fitted(design: Design, part: IsoPart, seen: Aspect, suffix: str, most: int | None = None) -> tuple[Sheet, int]:
    """Return a sheet, on the small paper if every word finds room there, and how many words stand badly.

    With `most`, words are written only until more than that many stand badly.
    """
    small, large = (LETTER, TABLOID) if design.house.job.paper == "letter" else (A4, A3)
    notes = _notes(part.design) + _cut_note(part)
    small, large = _best_turn(notes, seen, small), _best_turn(notes, seen, large)
    # The small paper first: a large sheet printed small falls below 9 pt, so it is the last resort.
    tries: list[tuple[Paper, float]] = [(small, 9.0), (large, 11.0), (large, 10.0), (large, 9.0)]
    best: tuple[int, Sheet, int] | None = None
    for paper, size_pt in tries:
        sheet, missing, strained = _draw(part, seen, paper, size_pt, suffix, most)
        if best is None or missing < best[0]:
            best = (missing, sheet, strained)
        if missing == 0:
            break
    if best is None:
        raise ValueError("no paper")
    return best[1], best[2]


def _best_turn(notes: tuple[str, ...], seen: Aspect, paper: Paper) -> Paper:
    """Return the paper lying or standing, whichever shows the system larger: a tall house wants it upright."""
    upright = Paper(f"{paper.name} upright", paper.height, paper.width)

    def size(p: Paper) -> float:
        view = fitted(seen, *_room(p, notes))
        return view.plan_scale * view.rise_scale

    return max((paper, upright), key=size)


def _room(paper: Paper, notes: tuple[str, ...]) -> tuple[float, float]:
    """Return the width and height the pipes may fill [mm on paper]."""
    area = body(paper)
    foot = notes_height(notes, area[2] - area[0]) + 2.0
    return area[2] - area[0] - 2 * SIDE_MM, area[3] - area[1] - foot - TOP_MM - FOOT_MM


def _notes(design: Design) -> tuple[str, ...]:
    unit = design.book.load_unit
    out = [
        "Not to scale: short distances are drawn longer, long ones shorter; what stands above stays above. "
        "Lengths and heights are on the plans and wall sheets.",
        f"Solid: drain. Dashed: vent. Heavy: 3 in and larger. {unit}: fixture units of the rule book. "
        "CO: cleanout. VTR: vent through roof. AAV: air admittance valve. Bar across a riser: floor. "
        "Under a tag: its load, then size and slope of the pipe that leaves it.",
    ]
    if design.house.climate.frost_prone_vents is None:
        out.append("Open: whether vents are prone to frost here is not said; the sizes at the roof depend on it.")
    wet = [p.id for p in design.pipes() if p.wet]
    if wet:
        out.append("Drains marked 'wet' also vent what lies upstream of them.")
    return tuple(out)


def _cut_note(part: IsoPart) -> tuple[str, ...]:
    if not part.cuts:
        return ()
    return ("Letter in a ring at a bar: the pipe is cut there and goes on at the same letter on the other isometric.",)


def loads(design: Design) -> dict[str, float]:
    """Return the load of each fixture: what its own drain carries [fixture units]."""
    out: dict[str, float] = {}
    for p in design.network.drains():
        if len(p.tags) == 1 and p.tags[0] not in out:
            out[p.tags[0]] = p.load
    return out


def number(value: float) -> str:
    """Return a load as the books print it: `1.5`, `4`."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _draw(
    part: IsoPart, seen: Aspect, paper: Paper, size_pt: float, suffix: str, most: int | None
) -> tuple[Sheet, int, int]:
    """Return the sheet, how many labels found no room, and how many stand badly."""
    design = part.design
    area = body(paper)
    width = area[2] - area[0]
    notes = _notes(design) + _cut_note(part)
    foot = notes_height(notes, width) + 2.0
    canvas = Canvas(paper, area)
    draw_notes(canvas, notes, area[0], area[1] + foot - 2.0, width)
    view = fitted(seen, *_room(paper, notes))
    view = replace(view, x0=view.x0 + area[0] + SIDE_MM, y0=view.y0 + area[1] + foot + FOOT_MM)
    canvas.body = (area[0], area[1] + foot, area[2], area[3])
    _pipes(design, view, canvas)
    north(canvas, (area[2] - 13.0, area[3] - 13.0), view.north_deg())
    _ends(design, view, canvas)
    for node, letter in part.cuts.items():
        _cut(view.point(node), letter, canvas)
    missing = _labels(design, view, canvas, size_pt, most)
    title = "Isometric of drains and vents" + (f", {part.title}" if part.title else "")
    sheet = Sheet(f"isometric{suffix}", title, "not to scale", paper, tuple(canvas.items), notes)
    return sheet, missing, len(canvas.strained)


def _cut(at: XY, letter: str, canvas: Canvas) -> None:
    """Draw the end of a pipe that goes on on the other sheet, with the letter both sheets give it."""
    canvas.line(((at[0] - 2.0, at[1] - 0.8), (at[0] + 2.0, at[1] + 0.8)), Style("thick"), f"cut:{letter}", cover="hard")
    place_balloon(canvas, at, letter, f"cut:{letter}", 0.9)


def _pipes(design: Design, view: IsoFrame, canvas: Canvas) -> None:
    """Draw every pipe; one that passes behind another is interrupted there."""
    pipes = design.pipes()
    lines = {p.id: (view.point(p.start), view.point(p.end)) for p in pipes}
    gaps: dict[str, list[float]] = {}
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
            gaps.setdefault(far[1], []).append(far[2])
    for p in pipes:
        a, b = lines[p.id]
        n = math.dist(a, b)
        style = drain_style(p, short=n < 9.0)
        pieces = [(0.0, 1.0)]
        for t in sorted(gaps.get(p.id, [])):
            half = GAP_MM / n
            lo, hi = pieces.pop()
            pieces += [(lo, max(lo, t - half)), (min(hi, t + half), hi)]
        for lo, hi in pieces:
            if hi - lo < 1e-6 and n > 1e-6:
                continue
            head = (a[0] + (b[0] - a[0]) * lo, a[1] + (b[1] - a[1]) * lo)
            tail = (a[0] + (b[0] - a[0]) * hi, a[1] + (b[1] - a[1]) * hi)
            canvas.line((head, tail), style, f"pipe:{p.id}", cover="firm")
        if p.system == "drain" and not p.vertical and n > 9.0:
            tip = (a[0] + (b[0] - a[0]) * 0.62, a[1] + (b[1] - a[1]) * 0.62)
            arrow(canvas, tip, (b[0] - a[0], b[1] - a[1]), f"flow:{p.id}", 2.2)
        if p.vertical:
            _floors(design, view, canvas, p)


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


def _ends(design: Design, view: IsoFrame, canvas: Canvas) -> None:
    """Draw traps, flanges, terminals, cleanouts, caps and the sewer end."""
    cos = {c.point for c in design.cleanouts}
    for n in design.network.nodes:
        at = view.point(n.id)
        touching = [p for p in design.pipes() if n.id in (p.start, p.end)]
        if not touching:
            continue
        if n.kind is PointKind.TRAP:
            canvas.circle(at, 1.1, Style("medium", fill="white"), f"trap:{n.tag}")
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


def _label(design: Design, c: Chain) -> list[str]:
    p = c.longest
    lines = []
    if p.role in NAMED:
        lines.append(SHORT_ROLE[p.role])
    words = pipe_size(c.size_in)
    if p.system == "drain" and not c.vertical:
        words += f" {slope(design, p)}"
    if any(q.wet for q in c.pipes):
        words += " wet"
    lines.append(words)
    if p.role in LOADED:
        lines.append(f"{number(max(q.load for q in c.pipes))} {design.book.load_unit}")
    return lines


def _labels(design: Design, view: IsoFrame, canvas: Canvas, size_pt: float, most: int | None) -> int:
    """Write all words, or until too many stand badly; return how many found no room."""
    missing = 0
    load = loads(design)
    fixtures = {f.tag: f for f in design.house.fixtures}
    cos = {c.point: c for c in design.cleanouts}

    def put(
        at: XY,
        lines: list[str],
        layer: str,
        clear: float,
        bold: bool = False,
        also: tuple[XY, ...] = (),
        layers: tuple[str, ...] = (),
    ) -> None:
        nonlocal missing
        if most is not None and len(canvas.strained) > most:
            return
        got = canvas.place(
            at, lines, layer, size_pt=size_pt, reach=104.0, clear=clear, bold_first=bold, also=also, layers=layers
        )
        missing += got is None

    runs = chains(design.pipes())
    # What leaves a trap or a flange is written under its tag: one label less, and no doubt which pipe it means.
    heads = {c.pipes[0].start: c for c in runs if c.pipes[0].system == "drain" and len(c.pipes[0].tags) == 1}
    told: set[str] = set()
    tagged: set[str] = set()
    for n in design.network.nodes:
        at = view.point(n.id)
        touching = [p for p in design.pipes() if n.id in (p.start, p.end)]
        if not touching:
            continue
        if n.kind in (PointKind.TRAP, PointKind.FLANGE, PointKind.CAP) and n.tag and n.tag not in tagged:
            tagged.add(n.tag)
            lines = [n.tag]
            if n.tag in load:
                lines.append(f"{number(load[n.tag])} {design.book.load_unit}")
            if n.tag in fixtures and fixtures[n.tag].future:
                lines.append("future, capped")
            layers = [f"tag:{n.tag}"] * len(lines)
            own = heads.get(n.id)
            if own is not None:
                words = _label(design, own)
                lines += words
                layers += [f"size:{own.pipes[0].id}"] * len(words)
                told.add(own.pipes[0].id)
            put(at, lines, f"tag:{n.tag}", 2.0, bold=True, layers=tuple(layers))
        elif n.kind is PointKind.TERMINAL:
            size = max(p.size_in for p in touching)
            lines = [f"VTR {pipe_size(size)}"]
            if design.house.climate.frost_prone_vents:
                lines.append("frost size")
            put(at, lines, f"terminal:{n.id}", 2.4)
        elif not n.outflow and all(p.system == "vent" for p in touching) and n.kind is not PointKind.AAV:
            put(at, ["OPEN END:", "not laid out"], f"open end:{n.id}", 0.8, bold=True)
        elif n.kind is PointKind.AAV:
            put(at, ["AAV"], f"aav:{n.id}", 2.0)
        elif n.kind is PointKind.SEWER:
            sewer = design.house.sewer
            put(at, [f"to {sewer.what}", f"invert {mm(design, sewer.at.z)}"], "sewer", 2.4)
        if n.id in cos:
            trap = "trap as " if n.kind is PointKind.TRAP else ""
            put(at, [f"{trap}{cos[n.id].id} {pipe_size(cos[n.id].size_in)}"], f"cleanout:{n.id}", 1.8)
        elif n.kind is PointKind.CLEANOUT:
            put(at, ["CO"], f"cleanout:{n.id}", 1.8)
    for c in sorted(runs, key=lambda c: (c.longest.role not in NAMED, -len(c.pipes))):
        if c.pipes[0].id in told:
            continue
        if size_pt == UPRIGHT_PT and _upright(design, c, view, canvas):
            continue
        first, *also = _spots(c, view)
        put(first, _label(design, c), f"size:{c.pipes[0].id}", 0.2, also=tuple(also))
    return missing


def _upright(design: Design, c: Chain, view: IsoFrame, canvas: Canvas) -> bool:
    """Write the words of a riser along it, where there is room: between risers that stand close they cross nothing."""
    standing = [p for p in c.pipes if abs(view.point(p.start)[0] - view.point(p.end)[0]) < 0.1]
    if not standing or not c.vertical:
        return False
    p = max(standing, key=lambda q: (round(math.dist(view.point(q.start), view.point(q.end)), 2), q.id))
    (x, y0), (_, y1) = sorted((view.point(p.start), view.point(p.end)), key=lambda at: at[1])
    words = " ".join(_label(design, c))
    return canvas.place_upright((x - 2.3, x + 2.3), (y0 + 1.0, y1 - 1.0), words, f"size:{c.pipes[0].id}")


def _spots(c: Chain, view: IsoFrame) -> list[XY]:
    """Return the points of a run its words may stand at: along its longest pipe, near the middle first."""
    p = max(c.pipes, key=lambda q: (round(math.dist(view.point(q.start), view.point(q.end)), 2), q.id))
    a, b = view.point(p.start), view.point(p.end)
    shares = (0.45, 0.6, 0.3, 0.75, 0.15) if math.dist(a, b) > 12.0 else (0.45, 0.75, 0.2)
    return [(a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t) for t in shares]
