"""The test plan and its record: sections, caps, fill volume, head and pressure, push on the plugs, lines to sign."""

from __future__ import annotations

from dataclasses import dataclass

from stubout import pocket
from stubout.design import Design
from stubout.fabrication.model import TestCap
from stubout.hydraulics.water_test import pressure_kpa, thrust_n, volume_l
from stubout.layout.model import PointKind, Role
from stubout.network.model import Pipe
from stubout.problems import NotInBook
from stubout.reports.model import Block, Checklist, Document, Heading, Paragraph, TableBlock
from stubout.reports.show import clause, inside_mm, show, size
from stubout.rulebooks.model import Cell
from stubout.rulebooks.queries import air_on_plastic, test_head, test_hold

WRITE_HERE = "\u00a0\n\u00a0"  # two lines high
GROUNDWORK = ("under slab", "buried")


@dataclass(frozen=True, slots=True)
class Section:
    """A part of the system that is filled and judged on its own."""

    letter: str
    title: str
    pipes: tuple[Pipe, ...]
    caps: tuple[TestCap, ...]
    risers: tuple[str, ...]  # nodes where pipes leave the section: closed for this filling
    litres: float
    top_mm: float | None  # height of the water surface, house z; None where nobody has said the head
    low_mm: float


def sections(design: Design, head_mm: float | None) -> tuple[Section, ...]:
    """Return the fillings of the test: groundwork before it is covered, then the whole system to its lowest terminal.

    Args:
        design: The finished design.
        head_mm: Least water above the highest joint of the groundwork [mm]; None if open.
    """
    ground = tuple(p for p in design.network.pipes if p.place.kind in GROUNDWORK)
    whole = design.network.pipes
    out = []
    if ground and len(ground) < len(whole):
        counted = [p for p in ground if not _outside_riser(p)] or ground
        top = max(z for p in counted for z in (p.a.z, p.b.z)) + head_mm if head_mm is not None else None
        out.append(_section(design, "A", "groundwork, before it is covered", ground, top))
    if whole:
        caps = design.fabrication.caps
        terminals = [n.at.z for n in design.network.nodes if n.kind is PointKind.TERMINAL]
        level = max((c.at.z + c.head_mm for c in caps), default=min(terminals, default=None))
        out.append(_section(design, "B" if out else "A", "the whole system, before it is covered", whole, level))
    return tuple(out)


def _outside_riser(p: Pipe) -> bool:
    """Return whether a pipe only brings a cleanout up to the ground outside: it may end storeys over the groundwork."""
    return p.role is Role.CLEANOUT_EXT and p.place.kind == "buried"


def _section(design: Design, letter: str, title: str, pipes: tuple[Pipe, ...], top_mm: float | None) -> Section:
    nodes = {p.start for p in pipes} | {p.end for p in pipes}
    caps = tuple(c for c in design.fabrication.caps if c.node in nodes)
    inside = {p.id for p in pipes}
    risers = tuple(
        n.id for n in design.network.nodes if n.id in nodes and any(i not in inside for i in (*n.inflow, *n.outflow))
    )
    low = min(z for p in pipes for z in (p.a.z, p.b.z))
    return Section(letter, title, pipes, caps, risers, sum(litres(design, p) for p in pipes), top_mm, low)


def _place(design: Design, node_id: str) -> str:
    """Return where a node is, by what the drawings name: the fixture or what stands there, and the pipes that meet."""
    node = design.network.node(node_id)
    pipes = ", ".join((*node.inflow, *node.outflow))
    return f"{node.tag or node.kind.value} ({pipes})"


def litres(design: Design, pipe: Pipe) -> float:
    """Return the water a pipe holds: bore area by centre length, fittings not added [l]."""
    return volume_l(inside_mm(design, pipe.size_in), pipe.length_mm)


def pressure(head_mm: float) -> str:
    """Return the pressure under a head of water in both units."""
    kpa = pressure_kpa(max(head_mm, 0.0))
    return f"{kpa:.1f} kPa ({kpa / pocket.KPA_PER_PSI:.1f} psi)"


def volume(volume_l: float) -> str:
    """Return a volume in both units."""
    return f"{volume_l:.0f} l ({volume_l / pocket.L_PER_US_GAL:.0f} US gal)"


def _heads(design: Design) -> tuple[float | None, str]:
    """Return the least test head and where it comes from: the job, else the book; None with the reason where open."""
    said = design.house.job.test.head_mm
    if said is not None:
        return said, "given by the job file"
    try:
        cell = test_head(design.book)
    except NotInBook as silent:
        return None, f"OPEN: {silent}. Ask the authority."
    return cell.number, clause((cell.basis,))


def _hold(design: Design) -> tuple[str, str]:
    said = design.house.job.test.hold_min
    if said is not None:
        return f"{said:g} min", "given by the job file"
    try:
        cell: Cell = test_hold(design.book)
    except NotInBook as silent:
        return "OPEN", f"{silent}. Ask the authority."
    return f"{cell.number:g} min", clause((cell.basis,))


def test_page(design: Design) -> Document:
    """Return the test plan with its record lines."""
    unit = show(design)
    head_mm, head_by = _heads(design)
    hold, hold_by = _hold(design)
    method = design.house.job.test.method
    parts = sections(design, head_mm)
    blocks: list[Block] = [
        TableBlock(
            ("What", "Value", "By"),
            (
                (
                    "Method",
                    method if method != "unknown" else "OPEN: not said in the job file; this plan is for water",
                    "job file",
                ),
                (
                    "Least head on all but the uppermost part of a section",
                    unit.both(head_mm) + f", {pressure(head_mm)}" if head_mm is not None else "OPEN",
                    head_by,
                ),
                ("Hold", hold, hold_by),
            ),
            (2, 3, 2),
        ),
        *_air(design, method),
        TableBlock(
            (
                "Section",
                "What",
                "Pipes",
                "Water to fill",
                "Weight of the water",
                "Water stands at z",
                "Head on the lowest pipe",
            ),
            tuple(
                (
                    p.letter,
                    p.title,
                    str(len(p.pipes)),
                    volume(p.litres),
                    f"{p.litres:.0f} kg ({p.litres * 2.2046226:.0f} lb)",
                    unit.both(p.top_mm) if p.top_mm is not None else "OPEN",
                    f"{unit.length(p.top_mm - p.low_mm)}, {pressure(p.top_mm - p.low_mm)}"
                    if p.top_mm is not None
                    else "OPEN",
                )
                for p in parts
            ),
            (0.7, 2.4, 0.7, 1.6, 1.6, 1.6, 2.2),
            title="Sections",
        ),
        Paragraph(
            "Water to fill is the inside of the pipes, centre to centre; fittings, traps and the fill hose are "
            "not added.",
            "note",
        ),
    ]
    for part in parts:
        blocks += _section_blocks(design, part)
    blocks += [
        Heading("Before and after"),
        Checklist(
            (
                "All joints made and cured; no joint, hole or plate covered",
                "Every cap and plug of the list in place, tied where the push asks for it",
                "Air let out at the highest point while filling; filled slowly from the lowest point or from the roof",
                "Level marked; every joint looked at with a light and felt with a dry hand",
                "Water lowered before a plug is loosened; nobody in line with a plug",
                "Every cap and plug counted out again; system drained where it may freeze",
            )
        ),
        Heading("Record"),
        TableBlock(
            (
                "Section",
                "Date",
                "Filled at",
                "Level at start",
                "Level at end",
                "Minutes",
                "Leaks, what was done",
                "Plumber",
                "Inspector",
            ),
            tuple((p.letter, WRITE_HERE, "", "", "", "", "", "", "") for p in parts for _ in range(2)),
            (0.9, 1, 0.9, 1.1, 1.1, 0.9, 2.9, 1.6, 1.6),
        ),
    ]
    readings = [r for r in design.house.readings if r.kind == "test"]
    if readings:
        blocks.append(
            TableBlock(
                ("About", "What", "Reading", "Date", "By"),
                tuple((r.about, r.what, r.value, r.date, r.author) for r in readings),
                (1, 2, 2, 1, 1),
                title="Readings in the job file",
            )
        )
    return Document("test", "Test plan and record", tuple(blocks))


def _air(design: Design, method: str) -> list[Block]:
    try:
        allowed = air_on_plastic(design.book).value is True
    except NotInBook:
        allowed = False
    text = "CAUTION: no compressed air on plastic pipe: it can burst into splinters. "
    text += (
        "The rule book knows an air test; only at the pressure it names, with a relief valve."
        if allowed
        else "The rule book, or its silence, gives no leave for air on plastic."
    )
    if method == "air" and not allowed:
        text = "STOP: the job file asks for an air test. " + text
    return [
        Paragraph(text, "caution"),
        Paragraph(
            "CAUTION: a plug under water pushes like a weight. Stay out of its line; lower the water before "
            "loosening it.",
            "caution",
        ),
    ]


def _section_blocks(design: Design, part: Section) -> list[Block]:
    unit = show(design)
    blocks: list[Block] = [Heading(f"Section {part.letter}: {part.title}")]
    if part.caps:
        rows = []
        for c in part.caps:
            head = c.head_mm if part.top_mm is None else part.top_mm - c.at.z
            push = thrust_n(max(head, 0.0), inside_mm(design, c.size_in))
            rows.append(
                (
                    c.id,
                    c.what,
                    size(c.size_in),
                    _place(design, c.node),
                    unit.length(c.at.z),
                    unit.length(head),
                    pressure(head),
                    f"{push:.0f} N ({push / pocket.N_PER_LBF:.0f} lbf)",
                    "",
                    "",
                )
            )
        blocks.append(
            TableBlock(
                ("No.", "What", "Size", "At", "z", "Head", "Pressure", "Push on it", "In", "Out"),
                tuple(rows),
                (0.6, 1.3, 0.6, 1.6, 1, 1.1, 1.7, 1.7, 0.5, 0.5),
                title="Caps and plugs",
            )
        )
    if part.risers:
        places = "; ".join(_place(design, n) for n in part.risers)
        blocks.append(
            Paragraph(
                f"Close for this filling where the pipe leaves the section: {places}. "
                "A standing pipe on one of them gives the head."
            )
        )
    outside = dict(max((p.a.z, p.start), (p.b.z, p.end))[::-1] for p in part.pipes if _outside_riser(p))
    if outside and part.letter == "A" and part.risers:
        said = "; ".join(f"{_place(design, n)}, {unit.length(z)}" for n, z in outside.items())
        blocks.append(
            Paragraph(
                f"Cleanouts that come up outside, with the z of their tops: {said}. Their risers do not count for the "
                "head: plugs in and tight before filling, or a pipe set on them that stands higher than the water."
            )
        )
    if not part.caps and not part.risers:
        blocks.append(Paragraph("No caps or plugs are recorded for this section: close every open end before filling."))
    if part.top_mm is not None:
        top = part.top_mm
        levels = [v for v in design.house.levels if part.low_mm - 1 <= v.subfloor_z_mm <= top]
        rows2 = [
            (
                v.title or v.id,
                unit.length(v.subfloor_z_mm),
                unit.length(top - v.subfloor_z_mm),
                pressure(top - v.subfloor_z_mm),
            )
            for v in levels
        ]
        rows2.append(
            ("lowest pipe", unit.length(part.low_mm), unit.length(top - part.low_mm), pressure(top - part.low_mm))
        )
        blocks.append(
            TableBlock(
                ("At the floor of", "z", "Head", "Pressure"), tuple(rows2), (2, 1, 1, 2), title="Pressure at each level"
            )
        )
    return blocks
