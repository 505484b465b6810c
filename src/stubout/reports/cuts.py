"""The cut list: every piece, what it is cut to, and what it stands between."""

from __future__ import annotations

from typing import Literal

from stubout.design import Design, Window
from stubout.fabrication.in_place import piece_in_place, pipes_in_place
from stubout.fabrication.model import CutPiece
from stubout.problems import Status, several
from stubout.reports.model import Block, Document, Heading, Paragraph, TableBlock
from stubout.reports.putting_in import putting_in
from stubout.reports.set_in import set_in_blocks
from stubout.reports.show import NONE, Show, mark, show, size, sizes
from stubout.reports.stackup import StackUp, stack_ups

UNVERIFIED_MAKE_UP = (
    "† = a make-up or hub dimension of a fitting on this piece is not from a maker's sheet in hand: lay the "
    "fittings out dry "
    "and measure before cutting."
)
MOST_MEASURED = 12  # dimensions printed: what one goes and measures before the first cut
Align = Literal["left", "right", "center"]
STREET = "street"
STREET_NOTE = (
    "street = no pipe is cut: the spigot of the street fitting at that end goes straight into the hub at the other. "
    "Where the note says that the spigot is cut back, saw it before you glue."
)


def _cut(piece: CutPiece, unit: Show, there: frozenset[str]) -> str:
    """Return what to set the saw to; a street fitting needs no piece, nor does what is in place."""
    if piece_in_place(piece, there):
        return "in place"
    if not piece.fits:
        return "DOES NOT FIT"
    return STREET if piece.street else unit.both(piece.cut_mm)


def cuts_page(design: Design, windows: tuple[Window, ...] = ()) -> Document:
    """Return the pieces to cut, by size, what to measure first, and where tolerances add up to too much."""
    unit, there = show(design), pipes_in_place(design.network)
    names = {f.id: f"{f.id} {f.pattern} {sizes(f.sizes_in)}" for f in design.fabrication.fittings}

    def row(p: CutPiece) -> tuple[str, ...]:
        return (
            p.id,
            size(p.size_in),
            unit.length(p.centre_mm),
            unit.length(p.takeoff_start_mm),
            unit.length(p.takeoff_end_mm),
            _cut(p, unit, there) + ("" if piece_in_place(p, there) else mark(p.status)),
            names.get(p.start_fitting, p.start_fitting) or "open end",
            names.get(p.end_fitting, p.end_fitting) or "open end",
            p.note,
        )

    ranked = sorted(enumerate(design.fabrication.pieces), key=lambda x: (-x[1].size_in, x[1].system, x[0]))
    blocks: list[Block] = [
        *_measure_first(design, unit),
        Heading("Pieces"),
        Paragraph(
            "Cut = centre to centre less the make-up at both ends; the pipe then stands at the bottom of both sockets."
        ),
        TableBlock(
            ("Piece", "Size", "Centre to centre", "Less at start", "Less at end", "CUT", "Start", "End", "Note"),
            tuple(row(p) for _, p in ranked),
            (1.1, 0.6, 1.1, 0.9, 0.9, 2, 2.2, 2.2, 1.6),
            ("left", "left", "right", "right", "right", "right", "left", "left", "left"),
        ),
    ]
    blocks += _beside(design, unit)
    blocks += set_in_blocks(design)
    blocks += _stacked(design, windows, unit)
    blocks += putting_in(design)
    if any(p.street for p in design.fabrication.pieces):
        blocks.append(Paragraph(STREET_NOTE, "note"))
    if any(p.status is not Status.READ for p in design.fabrication.pieces):
        blocks.append(Paragraph(UNVERIFIED_MAKE_UP, "note"))
    return Document("cuts", "Cut list", tuple(blocks))


def _beside(design: Design, unit: Show) -> list[Block]:
    """Return the fittings that cannot stand where they are drawn, with the pipes that come out elsewhere."""
    uses = [f for f in design.fabrication.fittings if f.beside_mm]
    if not uses:
        return []
    words = (
        "A run that turns where something branches off it takes a bend in the hub of the tee; the tee then stands "
        "beside the turn. The pieces of the run are cut for that. Mark the branch where the tee really is, before you "
        "bore, or move the turn."
    )
    rows = tuple(
        (
            f"{f.id} {f.pattern} {sizes(f.sizes_in)}",
            f"{unit.both(abs(f.beside_mm))} {'down' if f.beside_mm > 0 else 'up'} stream of its point",
            ", ".join(i for i in f.pipes[2:] if i) or NONE,
            f.pipes[0],
            f.pipes[1],
        )
        for f in uses
    )
    head = ("Fitting", "Stands", "Comes out there, not as drawn", "Run, in", "Run, out")
    return [Heading("Fittings beside their point"), Paragraph(words), TableBlock(head, rows, (3, 3, 2.4, 1, 1))]


def _measure_first(design: Design, unit: Show) -> list[Block]:
    """Return the dimensions to measure before anything is cut, the one that most hangs on first."""
    first = design.fabrication.measure_first
    if not first:
        return []
    total = sum(m.influence_mm for m in first)
    shown = first[:MOST_MEASURED]
    rest = len(first) - len(shown)
    words = (
        f"Nobody has measured {several(len(first), 'dimension')} of fittings that the cuts are reckoned with. If each "
        "is as far out as its status lets it be (common practice, no source), the cuts are out by "
        f"{unit.length(total)} in all. Measure one of each in this order, from the centre of the fitting to the bottom "
        "of the socket, write it under measured: in the job file and run again."
    )
    if rest:
        words += f" {rest} more, with less influence, stand in lists/measure_first.csv."
    rows = tuple(
        (
            m.fitting,
            m.dimension,
            unit.both(m.mm),
            m.status.value,
            unit.length(m.off_mm),
            str(m.ends),
            unit.length(m.influence_mm),
            "",
        )
        for m in shown
    )
    head = ("Fitting", "Measure", "Reckoned with", "Status", "May be out", "Ends", "Cuts out by, in all", "Measured")
    align: tuple[Align, ...] = ("left", "left", "right", "left", "right", "right", "right", "left")
    return [
        Heading("Measure these first"),
        Paragraph(words),
        TableBlock(head, rows, (3, 1.2, 1.8, 1.2, 1.1, 0.7, 1.4, 1.6), align),
    ]


def _stacked(design: Design, windows: tuple[Window, ...], unit: Show) -> list[Block]:
    """Return the marks that sawing and make-ups together could carry out of their windows."""
    found = stack_ups(design, windows)
    if not found:
        return []
    words = (
        "Sawing and make-ups stacked up along the run that ends there, all the same way, are more than the mark may be "
        "off (tolerances by status: see Measure these first; common practice, no source). Set these by level and tape "
        "to their mark, and cut the run to them, not the other way round."
    )
    rows = tuple(
        (
            _mark_name(design, s),
            s.wall,
            s.direction,
            unit.length(s.window_mm),
            ", ".join(s.run),
            unit.length(s.worst_mm),
            unit.length(s.likely_mm),
            f"{s.check} {s.name}",
        )
        for s in found
    )
    head = ("Mark", "Wall", "Off", "May be off", "Run", "Worst", "Likely", "Then speaks")
    align: tuple[Align, ...] = ("left", "left", "left", "right", "left", "right", "right", "left")
    return [
        Heading("Where tolerances add up to too much"),
        Paragraph(words),
        TableBlock(head, rows, (1.6, 0.8, 0.7, 1, 2, 1, 1, 3), align),
    ]


def _mark_name(design: Design, s: StackUp) -> str:
    """Return a mark with the fixture it serves, where it is named by its point."""
    tag = next((n.tag for n in design.network.nodes if n.id == s.about), "")
    return f"{s.kind} {s.about}" + (f" of {tag}" if tag else "")
