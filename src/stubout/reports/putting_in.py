"""How the pieces get into the frame: what is threaded through several members, and the order of every wall."""

from __future__ import annotations

from stubout.design import Design
from stubout.fabrication.model import PutIn
from stubout.reports.model import Block, Heading, Paragraph, TableBlock
from stubout.reports.show import Show, show

LYING = (
    "A piece through several studs or joists stands square in their holes: it has to lie in line beside the first one "
    "before it goes in (common practice, no source). Where the bays beside them are shorter than the run, it is cut "
    "and coupled in the bays. To join two pieces push one of them back by the depth of a socket."
)
UPRIGHT = (
    "An upright piece, through one plate already, is stood up in line in a bay, in a joist bay, in the crawl space or "
    "the attic, and goes from there up or down through its holes: all framing stands, the floors are sheathed, the "
    "walls are open (common practice, no source). Put these pieces in first and leave them loose, then join from the "
    "foot up. Where one goes up and the next one down out of the same bay, push the first on past its place until the "
    "other is in. A plate with the panel or slab it lies on counts as one member."
)
IN_LINE = {"up": "up from below", "down": "down from above", "side": "into its bay", "first": "before the concrete"}


def putting_in(design: Design) -> list[Block]:
    """Return the tables of what is threaded and of the order of assembly; nothing where there is neither."""
    unit = show(design)
    fab = design.fabrication
    blocks: list[Block] = []
    if fab.put_in:
        texts = [LYING] if any(not p.ways for p in fab.put_in) else []
        texts += [UPRIGHT] if any(p.ways for p in fab.put_in) else []
        rows = tuple(
            (p.piece, p.owner, str(p.members), unit.length(p.length_mm), unit.length(p.room_mm), _how(p, unit))
            for p in fab.put_in
        )
        head = ("Piece", "Wall or floor", "Members", "Long", "Widest room in line", "Put it in")
        table = TableBlock(head, rows, (1, 1.6, 0.9, 1.1, 1.5, 5))
        blocks += [Heading("Can it be put in?"), *(Paragraph(t) for t in texts), table]
    if fab.orders:
        words = "From the foot up; at every point the level pieces first, then the upright one that closes them off."
        if any(p.ways for p in fab.put_in):
            words += " The upright pieces named above stand loose in their holes by then."
        table = TableBlock(
            ("Wall", "Pieces in order"), tuple((o.wall, ", ".join(o.pieces)) for o in fab.orders), (0.8, 9)
        )
        blocks += [Heading("Order of assembly"), Paragraph(words), table]
    return blocks


def _how(p: PutIn, unit: Show) -> str:
    """Return how a run is put in: whole and from where, or in what pieces and which first."""
    if not p.goes:
        later = "a plate" if p.ways else "a stud"
        return (
            f"CANNOT BE PUT IN: longer than {unit.length(p.room_mm)}, and no place for the couplings it would need is "
            f"free; ask for another way through, or for {later} that comes later"
        )
    if p.couplings == 0 and p.ways:
        return f"whole, {'down through the roof' if p.open_end and p.ways == ('down',) else IN_LINE[p.ways[0]]}"
    if p.couplings == 0:
        return "from the open end of the wall" if p.open_end else "whole, from the wider bay"
    order = ", ".join(p.pieces)
    if p.ways:
        order = ", ".join(f"{i} {IN_LINE[way]}" for i, way in zip(p.pieces, p.ways, strict=True))
    return f"in {p.couplings + 1} pieces, {', '.join(p.joints)} between them; in this order: {order}"
