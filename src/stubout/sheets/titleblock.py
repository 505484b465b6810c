"""The frame and title block every sheet gets, as display-list items."""

from __future__ import annotations

from dataclasses import dataclass

from stubout.design import Design
from stubout.problems import Status
from stubout.sheets.metrics import Rect, line_height, wrap
from stubout.sheets.model import Item, Line, Paper, Sheet, Style, Text
from stubout.sheets.scalebar import scale_bar

MARGIN_MM = 7.0
BLOCK_MM = 25.0
PAD_MM = 2.0
SIZE_PT = 9.0
LARGE = {"tabloid": "11 x 17 in", "A3": "A3"}  # printed smaller, its words fall under 9 pt
CAUTION = "An aid, not an approval - the authority having jurisdiction decides."


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """What the block of one page says."""

    job: str
    address: str
    permit: str
    revision: str
    issued: str
    book: str  # title and edition
    page: int
    pages: int
    unverified: int = 0  # values without a source that was read, in the whole job
    amendments: int = 0
    lengths: str = ""  # the unit of lengths that carry none: "lengths in mm"


def title_block(design: Design, page: int, pages: int) -> TitleBlock:
    """Return the title block of page n of m."""
    facts = design.house.job
    # A title that already names its edition does not need it twice.
    book = (
        design.book.title if design.book.edition in design.book.title else f"{design.book.title} {design.book.edition}"
    )
    used = {(b.what, b.value) for d in design.derivations for b in d.bases if not _sure(b.status)}
    return TitleBlock(
        job=facts.title,
        address=facts.address,
        permit=facts.permit,
        revision=facts.revision,
        issued=facts.issued,
        book=book,
        page=page,
        pages=pages,
        unverified=len(used),
        amendments=len(design.book.amendments),
        lengths="lengths in mm" if facts.units == "mm" else "",
    )


def _sure(status: Status) -> bool:
    return status.verified or status is Status.DERIVED


def body(paper: Paper) -> Rect:
    """Return the part of the paper a drawing may use [mm]."""
    return (
        MARGIN_MM + PAD_MM,
        MARGIN_MM + BLOCK_MM + PAD_MM,
        paper.width - MARGIN_MM - PAD_MM,
        paper.height - MARGIN_MM - PAD_MM,
    )


def block_items(sheet: Sheet, block: TitleBlock) -> tuple[Item, ...]:
    """Return frame and title block of a sheet; the same for every format."""
    paper = sheet.paper
    x0, y0, x1, y1 = MARGIN_MM, MARGIN_MM, paper.width - MARGIN_MM, paper.height - MARGIN_MM
    top = y0 + BLOCK_MM
    lead = line_height(SIZE_PT)
    foot = y0 + lead + 1.6
    frame, inner = Style("thick"), Style("thin")
    split = (x0 + (x1 - x0) * 0.34, x0 + (x1 - x0) * 0.67)
    items: list[Item] = [
        Line(((x0, y0), (x1, y0), (x1, y1), (x0, y1)), frame, "frame", True),
        Line(((x0, top), (x1, top)), frame, "frame"),
        Line(((x0, foot), (x1, foot)), inner, "frame"),
        *(Line(((x, foot), (x, top)), inner, "frame") for x in split),
    ]
    book = f"Rule book: {block.book}"
    if block.amendments:
        book += f", {block.amendments} amendment{'s' if block.amendments > 1 else ''}"
    scale = sheet.scale if sheet.scale.startswith("not") else f"Scale {sheet.scale}"
    cells = (
        ([(block.job, True), (block.address, False)], x0, split[0]),
        (
            [
                (f"Permit: {block.permit or 'not given'}", False),
                (f"Revision {block.revision or '-'}, issued {block.issued or 'not given'}", False),
                (book, False),
            ],
            split[0],
            split[1],
        ),
        (
            [
                (sheet.title, True),
                (", ".join(w for w in (scale, block.lengths, paper.name) if w), False),
                *([(f"PRINT ON {LARGE[size]} PAPER", True)] if (size := paper.name.split()[0]) in LARGE else []),
                (f"Page {block.page} of {block.pages}", True),
            ],
            split[1],
            x1,
        ),
    )
    for entries, left, right in cells:
        y = top - 1.2 - 0.78 * SIZE_PT * 25.4 / 72
        for words, bold in entries:
            for text in wrap(words, right - left - 3.0, SIZE_PT, bold=bold):
                if y < foot + 0.5:
                    break
                items.append(Text((left + 1.5, y), text, SIZE_PT, "block", bold=bold))
                y -= lead
    items += scale_bar(sheet.scale, x1 - 1.5, foot + 1.2)
    items.append(Text((x0 + 1.5, y0 + 1.6), CAUTION, SIZE_PT, "block", bold=True))
    if block.unverified:
        n = block.unverified
        words = f"{n} value{'s are' if n > 1 else ' is'} unverified: see the derivations."
        items.append(Text((x1 - 1.5, y0 + 1.6), words, SIZE_PT, "block", "end"))
    return tuple(items)
