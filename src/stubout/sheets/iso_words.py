"""The words of an isometric: tags with loads, sizes and slopes, terminals, cleanouts, notes."""

from __future__ import annotations

import math

from stubout.design import Design
from stubout.layout.model import PointKind, Role
from stubout.network.model import Pipe
from stubout.sheets.canvas import XY, Canvas
from stubout.sheets.chains import Chain, chains
from stubout.sheets.iso_frame import IsoFrame
from stubout.sheets.iso_split import IsoPart
from stubout.sheets.words import SHORT_ROLE, installed_words, mm, pipe_size, slope

LOADED = (Role.STACK, Role.BUILDING_DRAIN, Role.SEWER)  # the load they carry is written beside them
UPRIGHT_PT = 9.0  # the size at which a riser's words may run along it
NAMED = (Role.STACK, Role.BUILDING_DRAIN, Role.SEWER, Role.STACK_VENT, Role.HEADER, Role.FOOT_VENT)


def iso_notes(design: Design) -> tuple[str, ...]:
    """Return the notes of an isometric: how it is drawn, and what its letters mean."""
    unit = design.book.load_unit
    out = [
        "Not to scale: short distances are drawn longer, long ones shorter; what stands above stays above. "
        "Lengths and heights are on the plans and wall sheets.",
        f"Solid: drain. Dashed: vent. Heavy: 3 in and larger. {unit}: fixture units of the rule book. "
        "CO: cleanout. VTR: vent through roof. AAV: air admittance valve. Bar across a riser: floor. "
        "Under a tag: its load, then size and slope of the pipe that leaves it. "
        f"{unit} beside a stack or the building drain: what that piece of it carries.",
    ]
    if design.house.climate.frost_prone_vents is None:
        out.append("Open: whether vents are prone to frost here is not said; the sizes at the roof depend on it.")
    wet = [p.id for p in design.pipes() if p.wet]
    if wet:
        out.append("Drains marked 'wet' also vent what lies upstream of them.")
    out += [f"{w.partition(' (')[0]}." for w in installed_words(design.pipes())]
    return tuple(out)


def cut_note(part: IsoPart) -> tuple[str, ...]:
    """Return what the letters at cut pipes mean, where a system is drawn on two sheets."""
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


def load_words(design: Design, p: Pipe) -> str:
    """Return what a pipe carries: `12 DFU`."""
    return f"{number(p.load)} {design.book.load_unit}"


def named(p: Pipe) -> bool:
    """Return whether a pipe is called by its role. A header lies: what stands below its end is a vent like others."""
    return p.role in NAMED and not (p.role is Role.HEADER and p.vertical)


def _label(design: Design, c: Chain, p: Pipe) -> list[str]:
    """Return the words of a chain that stand at one of its pipes."""
    lines = []
    if named(p):
        lines.append(SHORT_ROLE[p.role])
    words = pipe_size(c.size_in)
    if p.system == "drain" and not c.vertical:
        words += f" {slope(design, p)}"
    if any(q.wet for q in c.pipes):
        words += " wet"
    lines.append(words)
    if p.role in LOADED:
        lines.append(load_words(design, p))
    return lines


def write_labels(design: Design, view: IsoFrame, canvas: Canvas, size_pt: float) -> int:
    """Write all words; return how many found no room."""
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
                words = _label(design, own, own.pipes[0])
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
    later: list[tuple[Pipe, list[str], str]] = []
    for c in sorted(runs, key=lambda c: (not any(named(p) for p in c.pipes), -len(c.pipes))):
        layer = f"size:{c.pipes[0].id}"
        p = _stands_at(c, view)
        if c.pipes[0].id not in told:
            words = _label(design, c, p)
            if size_pt != UPRIGHT_PT or not _upright(p, words, layer, view, canvas):
                first, *also = _spots(p, view)
                put(first, words, layer, 0.2, also=tuple(also))
        if p.role in LOADED:  # its words tell the load of the piece they stand at: the others tell their own
            said = c.pipes[0] if c.pipes[0].id in told else p
            rest = [s for s in c.stretches() if said not in s.pipes]
            later += [(q := _longest(s.pipes, view), [load_words(design, q)], f"load:{q.id}") for s in rest]
    for p, words, layer in later:
        if size_pt != UPRIGHT_PT or not _upright(p, words, layer, view, canvas):
            first, *also = _spots(p, view)
            put(first, words, layer, 0.2, also=tuple(also))
    return missing


def _longest(pipes: tuple[Pipe, ...], view: IsoFrame) -> Pipe:
    """Return the pipe that is the longest on paper."""
    return max(pipes, key=lambda q: (round(math.dist(view.point(q.start), view.point(q.end)), 2), q.id))


def _stands_at(c: Chain, view: IsoFrame) -> Pipe:
    """Return the pipe the words of a chain stand at: of those it is called by, if any, the longest on paper."""
    return _longest(tuple(p for p in c.pipes if named(p)) or c.pipes, view)


def _upright(p: Pipe, words: list[str], layer: str, view: IsoFrame, canvas: Canvas) -> bool:
    """Write the words of a riser along it, where there is room: between risers that stand close they cross nothing."""
    (x, y0), (x1, y1) = sorted((view.point(p.start), view.point(p.end)), key=lambda at: at[1])
    if not p.vertical or abs(x1 - x) >= 0.1:
        return False
    return canvas.place_upright((x - 2.3, x + 2.3), (y0 + 1.0, y1 - 1.0), " ".join(words), layer)


def _spots(p: Pipe, view: IsoFrame) -> list[XY]:
    """Return the points of a pipe its words may stand at, near the middle first."""
    a, b = view.point(p.start), view.point(p.end)
    shares = (0.45, 0.6, 0.3, 0.75, 0.15) if math.dist(a, b) > 12.0 else (0.45, 0.75, 0.2)
    return [(a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t) for t in shares]
