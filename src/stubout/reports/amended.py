"""What the user lays over the books: amendments, what they lie over, and what waits for the inspector."""

from __future__ import annotations

from stubout.design import Design
from stubout.reports.model import Block, Heading, Paragraph, TableBlock
from stubout.rulebooks.model import Asked, Cell
from stubout.rulebooks.overlay import Amend
from stubout.rulebooks.spots import spot
from stubout.rulebooks.tables import canonical

NONE_GIVEN = "None given in the job file. Ask the authority whether a local amendment applies."


def amendment_blocks(design: Design) -> tuple[Block, ...]:
    """Return the amendments with what each lies over, then the questions that are left to the inspector."""
    said = design.house.amendments
    if not said:
        others = "; ".join(design.book.amendments + design.framing.amendments)
        return (Paragraph(others or NONE_GIVEN),)
    last = {canonical(a.value_id): a for a in said}
    blocks: list[Block] = [
        TableBlock(
            ("Value", "Is", "Lies over", "Citation", "Author", "Date", "Reason"),
            tuple(_row(design, a, in_force=last[canonical(a.value_id)] is a) for a in said),
            (1.8, 1, 1.9, 2.2, 1.2, 1, 1.8),
        )
    ]
    asked = [*design.book.asked.values(), *design.framing.asked.values()]
    if asked:
        blocks += [
            Heading(f"Left to the inspector ({len(asked)})", 3),
            Paragraph("No check judges by these until the answer stands in the job file; the layout only assumes."),
            TableBlock(
                ("Value", "Question to put", "Assumed meanwhile", "Left open by", "Answer, date"),
                tuple((f"{q.what}\n[{q.id}]", q.question, q.assumed, q.cite, "") for q in asked),
                (1.8, 2.6, 1.6, 2, 1.4),
            ),
        ]
    return tuple(blocks)


def _row(design: Design, one: Amend, *, in_force: bool) -> tuple[str, ...]:
    citation = f"{one.citation} [{one.source}]" if one.source else one.citation
    is_ = one.is_text or "ask the inspector"
    over = _over(design, one) if in_force else "a later one lies over it"
    return (one.value_id, is_, over, citation, one.author, one.date, one.reason)


def _over(design: Design, one: Amend) -> str:
    """Return what lies under an amendment in force, uppermost first."""
    value_id = canonical(one.value_id)
    for book in (design.book, design.framing):
        if value_id in book.asked:
            return _under(book.asked[value_id])
        if one.value_id in {text.partition(" = ")[0] for text in book.amendments}:
            cell: Cell | None = spot(book, value_id).cell
            return "; over ".join(cell.over) if cell is not None and cell.over else "the book is silent"
    return ""


def _under(asked: Asked) -> str:
    if asked.under is None:
        return asked.assumed
    return "; over ".join((asked.assumed, *asked.under.over))
