"""The material list: what is ordered, as a supplier lists it, with the user's prices where there are some."""

from __future__ import annotations

from itertools import groupby
from typing import Literal

from stubout.catalog.prices import PriceList
from stubout.catalog.shipped import SHIPPED
from stubout.design import Design
from stubout.fabrication.in_place import pipes_in_place
from stubout.fabrication.model import MaterialLine
from stubout.problems import several
from stubout.reports.costs import cost_blocks
from stubout.reports.model import Block, Document, Paragraph, TableBlock
from stubout.reports.order import Order, PricedLine, order
from stubout.reports.show import NONE, UNVERIFIED_NOTE, mark

GROUPS = {
    "pipe": "Pipe",
    "fitting": "Fittings",
    "hanger": "Hangers and supports",
    "plate": "Plates and straps",
    "test": "For the water test",
    "cement": "Cement and primer",
}
FAMILIES = {
    "bend": "Fittings: bends",
    "street": "Fittings: street bends",
    "tee": "Fittings: tees",
    "wye": "Fittings: wyes",
    "combination": "Fittings: combinations",
    "straight": "Fittings: couplings and bushings",
    "end": "Fittings: ends, traps, cleanouts",
}
Align = Literal["left", "right", "center"]
HEAD = ("Item", "Size, inch", "Quantity", "Unit", "Note")
WIDTHS = (3.0, 1.6, 0.9, 0.9, 3.6)
ALIGN: tuple[Align, ...] = ("left", "left", "right", "left", "left")


def materials_page(design: Design, prices: PriceList | None = None) -> Document:
    """Return the order, by group, fittings by pattern and size.

    Args:
        design: The design.
        prices: The prices of the user, None where there are none.
    """
    blocks: list[Block] = [
        Paragraph(
            "Quantities are net of waste except pipe, which is counted in sticks of the stock plan. Check "
            "patterns and turning direction at the counter."
        )
    ]
    blocks += _in_place(design)
    priced = order(design, prices) if prices is not None else None
    lines = priced.lines if priced else tuple(PricedLine(m, None, None) for m in design.fabrication.materials)
    for title, group in groupby(lines, key=lambda p: _title(p.line)):
        blocks.append(_table(title, tuple(group), priced))
    blocks += _totals(priced) if priced else []
    blocks += cost_blocks(design)
    if any(not m.status.verified for m in design.fabrication.materials):
        blocks.append(Paragraph(UNVERIFIED_NOTE, "note"))
    return Document("materials", "Material list", tuple(blocks))


def _in_place(design: Design) -> list[Block]:
    """Return what the order leaves out, and what it cannot know where new pipe is cut into old."""
    there = pipes_in_place(design.network)
    if not there:
        return []
    ids = ", ".join(p.id for p in design.pipes() if p.id in there)
    words = f"Installed and not ordered again: {ids}, with what stands and hangs between them."
    if any(f.onto for f in design.fabrication.fittings):
        words += (
            " Where new pipe meets it the couplings are in the list. They fit one outside diameter each: measure the "
            "old pipe before you order."
        )
    return [Paragraph(words)]


def _title(line: MaterialLine) -> str:
    if line.group != "fitting":
        return GROUPS[line.group]
    name = line.item.partition(" ")[2]  # the material stands first, but for what joins two
    pattern = SHIPPED.patterns.get(line.item.partition(",")[0]) or SHIPPED.patterns.get(name)
    return FAMILIES[pattern.kind] if pattern else GROUPS["fitting"]


def _table(title: str, lines: tuple[PricedLine, ...], priced: Order | None) -> TableBlock:
    rows = [(m.item + mark(m.status), m.size, f"{m.quantity:g}", m.unit, m.note) for m in (p.line for p in lines)]
    if priced is None:
        return TableBlock(HEAD, tuple(rows), WIDTHS, ALIGN, title=title)
    costs = [(f"{p.each:.2f}", f"{p.total:.2f}") if p.each is not None else (NONE, "not known") for p in lines]
    return TableBlock(
        (*HEAD[:4], "Each", f"Total, {priced.currency}", HEAD[4]),
        tuple((*row[:4], *cost, row[4]) for row, cost in zip(rows, costs, strict=True)),
        (*WIDTHS[:4], 0.9, 1.3, 2.4),
        (*ALIGN[:4], "right", "right", ALIGN[4]),
        title=title,
    )


def _totals(priced: Order) -> list[Block]:
    known = len(priced.lines) - len(priced.unknown)
    words = f"{several(known, 'line')} with a price: {priced.total:.2f} {priced.currency}."
    if priced.unknown:
        words += f" {several(len(priced.unknown), 'line')} without one: not in that sum, an open question to be asked."
    out: list[Block] = [Paragraph(words, "box")]
    if priced.unused:
        names = "; ".join(f"{p.item} {p.size}".strip() for p in priced.unused)
        out.append(Paragraph(f"In the file of prices, but not on this list: {names}.", "note"))
    return out
