"""How the pieces get into the frame: what is threaded through several members, and the order of every wall."""

from __future__ import annotations

from stubout.design import Design
from stubout.fabrication.model import PutIn
from stubout.reports.model import Block, Heading, Paragraph, TableBlock
from stubout.reports.show import Show, show


def putting_in(design: Design) -> list[Block]:
    """Return the tables of what is threaded and of the order of assembly; nothing where there is neither."""
    unit = show(design)
    fab = design.fabrication
    blocks: list[Block] = []
    if fab.put_in:
        words = (
            "A piece through several studs or joists stands square in their holes: it has to lie in line beside the "
            "first one before it goes in (common practice, no source). Where the bays beside them are shorter than the "
            "run, it is cut and coupled in the bays. To join two pieces push one of them back by the depth of a socket."
        )
        rows = tuple(
            (p.piece, p.owner, str(p.members), unit.length(p.length_mm), unit.length(p.room_mm), _how(p, unit))
            for p in fab.put_in
        )
        head = ("Piece", "Wall or floor", "Members", "Long", "Widest bay beside", "Put it in")
        blocks += [Heading("Can it be put in?"), Paragraph(words), TableBlock(head, rows, (1, 1.6, 0.9, 1.1, 1.5, 5))]
    if fab.orders:
        words = "From the foot up; at every point the level pieces first, then the upright one that closes them off."
        table = TableBlock(
            ("Wall", "Pieces in order"), tuple((o.wall, ", ".join(o.pieces)) for o in fab.orders), (0.8, 9)
        )
        blocks += [Heading("Order of assembly"), Paragraph(words), table]
    return blocks


def _how(p: PutIn, unit: Show) -> str:
    """Return how a run is put in: whole and from where, or in what pieces and which first."""
    if not p.goes:
        return (
            f"CANNOT BE PUT IN: longer than {unit.length(p.room_mm)}, and no place for the couplings it would need is "
            "free; ask for another way through, or for a stud that comes later"
        )
    if p.couplings == 0:
        return "from the open end of the wall" if p.open_end else "whole, from the wider bay"
    order = ", ".join(p.pieces)
    return f"in {p.couplings + 1} pieces, {', '.join(p.joints)} between them; in this order: {order}"
