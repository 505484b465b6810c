"""The words of an isometric: tags with loads, sizes and slopes, terminals, cleanouts, notes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from stubout.design import Design
from stubout.layout.model import PointKind, Role
from stubout.network.model import Node, Pipe
from stubout.sheets.canvas import XY, Canvas
from stubout.sheets.chains import Chain, chains
from stubout.sheets.iso_frame import IsoFrame, crossing
from stubout.sheets.iso_split import IsoPart
from stubout.sheets.metrics import MM_PER_POINT, Rect
from stubout.sheets.model import Line
from stubout.sheets.words import SHORT_ROLE, installed_words, mm, pipe_size, slope

LOADED = (Role.STACK, Role.BUILDING_DRAIN, Role.SEWER)  # the load they carry is written beside them
UPRIGHT_PT = 9.0  # the size at which a riser's words may run along it
NAMED = (Role.STACK, Role.BUILDING_DRAIN, Role.SEWER, Role.STACK_VENT, Role.HEADER, Role.FOOT_VENT)
TAGGED = (PointKind.TRAP, PointKind.FLANGE, PointKind.CAP)
LONG_MM = 30.0 * MM_PER_POINT  # a leader line longer than this is looked for


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


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """What of a drawing has its words on another one."""

    pipes: frozenset[str] = frozenset()
    nodes: frozenset[str] = frozenset()
    named: bool = False  # the tags of its fixtures stand here all the same
    goes_on: frozenset[str] = frozenset()  # points at which a pipe is cut: no open end


@dataclass(frozen=True, slots=True)
class Said:
    """One label, and how hard it is to attribute."""

    of: str  # id of the pipe or node it speaks of
    leader_mm: float  # length of its leader line on paper, 0 if it has none
    over: bool  # it lies over a pipe
    across: int  # pipes that lie between it and what it speaks of
    missing: bool  # it found no room

    @property
    def doubts(self) -> int:
        """Return how many things keep one from seeing at once what the label speaks of."""
        return 3 * self.missing + self.over + (self.across > 0) + (self.leader_mm > LONG_MM)


def doubts(said: Iterable[Said]) -> int:
    """Return how many things keep one from seeing at once what some labels speak of."""
    return sum(s.doubts for s in said)


def write_labels(
    design: Design, view: IsoFrame, canvas: Canvas, size_pt: float, elsewhere: Elsewhere | None = None
) -> tuple[Said, ...]:
    """Write all words but those that stand elsewhere; return how each stands."""
    writer = _Writer(design, view, canvas, size_pt, elsewhere or Elsewhere())
    writer.nodes()
    writer.sizes()
    return tuple(writer.said)


@dataclass(slots=True)
class _Writer:
    """The words of one drawing under way."""

    design: Design
    view: IsoFrame
    canvas: Canvas
    size_pt: float
    elsewhere: Elsewhere
    said: list[Said] = field(default_factory=list)
    told: set[str] = field(default_factory=set)  # first pipe of each chain that is written under a tag
    runs: tuple[Chain, ...] = ()

    def __post_init__(self) -> None:
        self.runs = chains(p for p in self.design.pipes() if p.id not in self.elsewhere.pipes)

    def put(
        self,
        of: str,
        at: XY,
        lines: Sequence[str],
        layer: str,
        clear: float,
        *,
        bold: bool = False,
        also: Sequence[XY] = (),
        layers: Sequence[str] = (),
    ) -> None:
        """Write a label near a point, and keep how it stands."""
        canvas = self.canvas
        over, first = len(canvas.over), len(canvas.items)
        got = canvas.place(
            at, lines, layer, size_pt=self.size_pt, reach=104.0, clear=clear, bold_first=bold, also=also, layers=layers
        )
        drawn = [i for i in canvas.items[first:] if isinstance(i, Line) and i.layer == "leader"]
        self.said.append(
            Said(
                of,
                sum(math.dist(i.points[0], i.points[-1]) for i in drawn),
                len(canvas.over) > over,
                self._across(canvas.spoken[-1], got) if got is not None else 0,
                got is None,
            )
        )

    def _across(self, at: XY, box: Rect) -> int:
        """Return how many pipes lie between a label and what it speaks of."""
        near = (max(box[0], min(at[0], box[2])), max(box[1], min(at[1], box[3])))
        lines = ((self.view.point(p.start), self.view.point(p.end)) for p in self.design.pipes())
        return sum(crossing(at, near, c, d) is not None for c, d in lines)

    def nodes(self) -> None:
        """Write what ends, opens and stands at points: tags, terminals, valves, the sewer, cleanouts."""
        # What leaves a trap or a flange is written under its tag: one label less, and no doubt which pipe it means.
        heads = {c.pipes[0].start: c for c in self.runs if c.pipes[0].system == "drain" and len(c.pipes[0].tags) == 1}
        load = loads(self.design)
        tagged: set[str] = set()
        for n in self.design.network.nodes:
            touching = [p for p in self.design.pipes() if n.id in (p.start, p.end)]
            if not touching:
                continue
            fixture = n.kind in TAGGED and n.tag and n.tag not in tagged
            if fixture:
                tagged.add(n.tag)
            if n.id not in self.elsewhere.nodes:
                if fixture:
                    self._tag(n, load, heads.get(n.id))
                else:
                    self._end(n, touching)
                self._cleanout(n)
            elif fixture and self.elsewhere.named:
                self.put(n.id, self.view.point(n.id), [n.tag], f"tag:{n.tag}", 2.0, bold=True)

    def _tag(self, n: Node, load: dict[str, float], own: Chain | None) -> None:
        lines = [n.tag]
        if n.tag in load:
            lines.append(f"{number(load[n.tag])} {self.design.book.load_unit}")
        if any(f.tag == n.tag and f.future for f in self.design.house.fixtures):
            lines.append("future, capped")
        layers = [f"tag:{n.tag}"] * len(lines)
        if own is not None:
            words = _label(self.design, own, own.pipes[0])
            lines += words
            layers += [f"size:{own.pipes[0].id}"] * len(words)
            self.told.add(own.pipes[0].id)
        self.put(n.id, self.view.point(n.id), lines, f"tag:{n.tag}", 2.0, bold=True, layers=tuple(layers))

    def _end(self, n: Node, touching: list[Pipe]) -> None:
        at = self.view.point(n.id)
        if n.kind is PointKind.TERMINAL:
            lines = [f"VTR {pipe_size(max(p.size_in for p in touching))}"]
            if self.design.house.climate.frost_prone_vents:
                lines.append("frost size")
            self.put(n.id, at, lines, f"terminal:{n.id}", 2.4)
        elif self._open(n, touching):
            self.put(n.id, at, ["OPEN END:", "not laid out"], f"open end:{n.id}", 0.8, bold=True)
        elif n.kind is PointKind.AAV:
            self.put(n.id, at, ["AAV"], f"aav:{n.id}", 2.0)
        elif n.kind is PointKind.SEWER:
            sewer = self.design.house.sewer
            self.put(n.id, at, [f"to {sewer.what}", f"invert {mm(self.design, sewer.at.z)}"], "sewer", 2.4)

    def _open(self, n: Node, touching: list[Pipe]) -> bool:
        """Return whether a vent ends nowhere."""
        vent = n.kind is not PointKind.AAV and all(p.system == "vent" for p in touching)
        return vent and not n.outflow and n.id not in self.elsewhere.goes_on

    def _cleanout(self, n: Node) -> None:
        at = self.view.point(n.id)
        co = {c.point: c for c in self.design.cleanouts}.get(n.id)
        if co is not None:
            trap = "trap as " if n.kind is PointKind.TRAP else ""
            self.put(n.id, at, [f"{trap}{co.id} {pipe_size(co.size_in)}"], f"cleanout:{n.id}", 1.8)
        elif n.kind is PointKind.CLEANOUT:
            self.put(n.id, at, ["CO"], f"cleanout:{n.id}", 1.8)

    def sizes(self) -> None:
        """Write size, slope and load of every chain, and what each other piece of a loaded one carries."""
        later: list[tuple[Pipe, list[str], str]] = []
        for c in sorted(self.runs, key=lambda c: (not any(named(p) for p in c.pipes), -len(c.pipes))):
            p = _stands_at(c, self.view)
            if c.pipes[0].id not in self.told:
                self._along(p, _label(self.design, c, p), f"size:{c.pipes[0].id}")
            if p.role in LOADED:  # its words tell the load of the piece they stand at: the others tell their own
                said = c.pipes[0] if c.pipes[0].id in self.told else p
                rest = [s for s in c.stretches() if said not in s.pipes]
                later += [
                    (q := _longest(s.pipes, self.view), [load_words(self.design, q)], f"load:{q.id}") for s in rest
                ]
        for p, words, layer in later:
            self._along(p, words, layer)

    def _along(self, p: Pipe, words: list[str], layer: str) -> None:
        """Write the words of a pipe along it if it stands, else beside it."""
        if self.size_pt != UPRIGHT_PT or not _upright(p, words, layer, self.view, self.canvas):
            first, *also = _spots(p, self.view)
            self.put(p.id, first, words, layer, 0.2, also=tuple(also))


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
