"""What is set into installed pipe: how much of it is cut out, with which pieces and couplings the rest is joined."""

from __future__ import annotations

from stubout.design import Design
from stubout.fabrication.materials import material_words
from stubout.fabrication.model import FittingUse
from stubout.fabrication.set_in import TRANSITION, CutOut, cut_outs
from stubout.reports.model import Block, Heading, Paragraph, TableBlock
from stubout.reports.show import NO_BREAK, NONE, Show, show, size, sizes

HOW = (
    "Measure the old pipe outside before anything is cut. Hold it on both sides of the cut first, so that nothing "
    "hangs on the coupling. Push the sleeves over the old ends, set the fitting with its short pieces in, pull the "
    "sleeves over the joints and tighten the clamps as their maker says. Cut lengths fit the sleeve of the catalogue: "
    "lay the one in hand beside them (common practice, no source)."
)
OTHER = "A fitting that was in the old pipe at the same point comes out with it."


def set_in_blocks(design: Design) -> list[Block]:
    """Return the table of what is set into installed pipe, with how it is done; nothing where nothing is."""
    unit, fab = show(design), design.fabrication
    found = cut_outs(design.network, fab.fittings, fab.pieces)
    if not found:
        return []
    head = ("Fitting", "Into", "Cut out of the old pipe", "Short pieces", "Couplings")
    rows = tuple(_row(design, c, unit) for c in found)
    table = TableBlock(head, rows, (2.3, 1.7, 2.4, 2, 3.4))
    blocks: list[Block] = [Heading("Set into installed pipe"), Paragraph(f"{HOW} {OTHER}"), table]
    whole = [p for p in fab.pieces if p.set_in == "whole"]
    if whole:
        names = ", ".join(f"{p.id} between {p.start_fitting} and {p.end_fitting}" for p in whole)
        blocks.append(Paragraph(f"Taken out as a whole and cut anew, too short to keep: {names}."))
    return blocks


def _row(design: Design, c: CutOut, unit: Show) -> tuple[str, ...]:
    one = [f"{i}{NO_BREAK}{_length(unit, mm)}" for i, mm in zip(c.pipes, c.cuts_mm, strict=False)]
    cuts = f"{', '.join(one)} from its centre"
    run = [mm for i, mm in zip(c.pipes, c.cuts_mm, strict=False) if i in c.fitting.pipes[:2]]
    if len(run) > 1:
        cuts = f"{_length(unit, sum(run))} in all: {cuts}"
    return (
        f"{c.fitting.id} {c.fitting.pattern} {sizes(c.fitting.sizes_in)}",
        ", ".join(_old(design, i) for i in dict.fromkeys(c.pipes)),
        cuts if c.pieces else "square at its end",
        ", ".join(c.pieces) or NONE,
        "; ".join(_coupling(design, u) for u in c.couplings),
    )


def _length(unit: Show, mm: float) -> str:
    """Return a length that no line ends inside of."""
    return unit.length(mm).replace(" ", NO_BREAK)


def _old(design: Design, pipe_id: str) -> str:
    """Return an installed pipe with its size and material."""
    pipe = design.network.pipe(pipe_id)
    return f"{pipe_id} {size(pipe.size_in)} {material_words(pipe.material) if pipe.material else 'of unknown material'}"


def _coupling(design: Design, use: FittingUse) -> str:
    """Return a coupling with what it joins."""
    if use.pattern != TRANSITION:
        return f"{use.id} {use.pattern}"
    return f"{use.id} {use.pattern}, {design.house.job.material.upper()} to {material_words(use.onto)}"
