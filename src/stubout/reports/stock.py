"""The stock plan: which piece is cut from which stick, how near that is to the proven least, what is left over."""

from __future__ import annotations

from collections import Counter

from stubout.design import Design
from stubout.fabrication.model import Stick, StockSum
from stubout.problems import several
from stubout.reports.model import Block, Document, Heading, Paragraph, TableBlock
from stubout.reports.show import NO_BREAK, NONE, Show, show, size

OFFCUT_MM = 300.0  # a shorter end is waste; common practice, no source
LEAST = {
    "arithmetic": "by arithmetic: volume, count and weight of the pieces",
    "columns": "by columns: prices of the pieces that no stick pays for, or every way of laying them out",
    "solver": "by the exact solver",
}
OPEN = (
    "A gap is what a better plan might save at most. The exact solver (the extra `exact`) narrows it where it is "
    "installed."
)


def stock_page(design: Design) -> Document:
    """Return what is bought of every size, beside the least that is proven, and which piece comes from which stick."""
    unit = show(design)
    lengths = {p.id: p.cut_mm for p in design.fabrication.pieces}
    sticks = design.fabrication.sticks
    rows = []
    for number, s in enumerate(sticks, 1):
        pieces = ", ".join(f"{i}{NO_BREAK}({unit.length(lengths[i])})" if i in lengths else i for i in s.pieces)
        long = unit.length(s.stock_mm) + (", on hand" if s.on_hand else "")
        rows.append((str(number), size(s.size_in), long, pieces, unit.length(s.left_mm)))
    blocks: list[Block] = []
    if design.fabrication.stock:
        blocks += [
            TableBlock(
                ("Size", "Pieces", "Bought", "Proven least", "Gap", "Left over", "Offcuts to keep"),
                tuple(_row(s, sticks, unit) for s in design.fabrication.stock),
                (0.6, 1.2, 1.8, 1.8, 1, 1.2, 3),
                ("left", "right", "right", "right", "right", "right", "left"),
            ),
            Paragraph(_proof(design.fabrication.stock), "note"),
            Heading("Stick by stick", 3),
        ]
    blocks.append(
        TableBlock(
            ("Stick", "Size", "Stock length", "Pieces, cut length", "Left over"),
            tuple(rows),
            (0.6, 0.6, 1.2, 6, 1),
            ("right", "left", "right", "left", "right"),
        )
    )
    pipe = sum(s.stock_mm for s in sticks)
    if pipe:
        left = sum(s.left_mm for s in sticks)
        blocks.append(
            Paragraph(
                f"Left over in all: {unit.length(left)} of {unit.length(pipe)} ({100 * left / pipe:.0f} %). "
                "Keep offcuts for the pieces that a site measure will change."
            )
        )
    if design.house.job.offcuts:
        blocks.append(Paragraph(_on_hand(design, unit)))
    return Document("stock", "Stock plan", tuple(blocks))


def left_over(design: Design) -> tuple[tuple[float, tuple[float, ...]], ...]:
    """Return the pipe worth keeping when all is cut, unused offcuts too: by size [in], the longest first [mm]."""
    spare, sticks = _spare(design), design.fabrication.sticks
    found = {
        in_: tuple(sorted((*_kept(in_, sticks), *(mm for of, mm in spare if of == in_)), reverse=True))
        for in_ in sorted({s.size_in for s in sticks} | {of for of, _ in spare})
    }
    return tuple((in_, ends) for in_, ends in found.items() if ends)


def _kept(size_in: float, sticks: tuple[Stick, ...]) -> list[float]:
    """Return the ends of a size that are worth keeping [mm], the longest first."""
    return sorted((t.left_mm for t in sticks if t.size_in == size_in and t.left_mm >= OFFCUT_MM), reverse=True)


def _spare(design: Design) -> list[tuple[float, float]]:
    """Return the offcuts the job names and nothing is cut from: size [in] and length [mm]."""
    used = Counter((s.size_in, s.stock_mm) for s in design.fabrication.sticks if s.on_hand)
    return sorted((Counter(design.house.job.offcuts) - used).elements(), reverse=True)


def _on_hand(design: Design, unit: Show) -> str:
    """Return what becomes of the offcuts the job names."""
    there, spare = len(design.house.job.offcuts), _spare(design)
    said = (
        f"On hand: {several(there, 'offcut')} of the job file, {there - len(spare)} of them used. They are cut from "
        "first: what is bought, and the proven least, are what is needed beside them."
    )
    names = ", ".join(f"{size(in_)} {unit.length(mm)}" for in_, mm in spare)
    return f"{said} Not used: {names}." if spare else said


def _row(s: StockSum, sticks: tuple[Stick, ...], unit: Show) -> tuple[str, ...]:
    left = sum(t.left_mm for t in sticks if t.size_in == s.size_in)
    kept = ", ".join(unit.length(mm) for mm in _kept(s.size_in, sticks))
    if s.proven:
        gap = "none"
    elif s.bought_mm > s.bound_mm:
        gap = f"{unit.length(s.bought_mm - s.bound_mm)} ({100 * s.gap:.0f}{NO_BREAK}%)"
    else:
        gap = several(s.sticks - s.bound_sticks, "stick")
    return (
        size(s.size_in),
        unit.length(s.cut_mm),
        f"{unit.length(s.bought_mm)} in {several(s.sticks, 'stick')}",
        f"{unit.length(s.bound_mm)} in {several(s.bound_sticks, 'stick')}",
        gap,
        unit.length(left),
        kept or NONE,
    )


def _proof(sums: tuple[StockSum, ...]) -> str:
    by_way = {how: ", ".join(size(s.size_in) for s in sums if s.by == by) for by, how in LEAST.items()}
    ways = "; ".join(f"{of} {how}" for how, of in by_way.items() if of)
    said = (
        "Proven least = no plan with these stock lengths and this kerf buys less pipe, nor for that much pipe fewer "
        f"sticks ({ways})."
    )
    return said if all(s.proven for s in sums) else f"{said} {OPEN}"
