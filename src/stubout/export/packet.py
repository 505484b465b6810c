"""The packet: one PDF of set documents and drawings, and the drawings alone with the same page numbers.

Words go to the typesetter as JSON data, never as markup, so that a job file cannot change more than the words it says.
The typesetter is asked twice: once for the page each drawing falls on, once with those numbers in the title blocks. The
data is a file beside the template and no variable of it: what the typesetter has set once it then knows again, so that
the second time costs only the drawings.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from stubout.design import Design
from stubout.export.svg import svg
from stubout.problems import several
from stubout.reports.front import AUTHORITY_SHORT
from stubout.reports.model import Block, Checklist, Document, Heading, Paragraph, TableBlock
from stubout.reports.show import book_name
from stubout.sheets.model import A4, LETTER, Sheet
from stubout.sheets.titleblock import title_block

DATA = "data.json"  # the name the template reads the words under
INDEX_ON = "cover"
BEFORE_DRAWINGS = ("cover", "cautions", "findings", "questions")  # the other documents follow the drawings

# These stand on the page of the document before them where there is room: the same person reads both.
FOLLOWING = ("questions", "stubs", "drains", "vents", "cleanouts", "stock", "hangers", "records", "verification")

SHORT_ROWS, SHORT_LETTERS, SHORT_PICTURES = 8, 160, 2  # a table no longer than this is not broken over two pages


@dataclass(frozen=True, slots=True)
class Packet:
    """The PDF, and each drawing as SVG by the id of its sheet."""

    pdf: bytes
    drawings: dict[str, str]


def packet(
    design: Design,
    documents: Sequence[Document],
    sheets: Sequence[Sheet],
    *,
    template: bytes,
    fonts: str,
    doubtful: int,
    places: Sequence[Sheet] = (),
) -> Packet:
    """Return the packet of a design; the same bytes for the same input.

    Args:
        design: The finished design, for the title blocks.
        documents: Documents in the order they are read.
        sheets: Drawings in the order they are read.
        template: Source of the page template.
        fonts: Folder of the fonts to set with; no other font is used.
        places: Small pictures that stand in the tables of the documents; they have no page of their own.
        doubtful: Count of unverified values, the same on every page that says it.
    """
    import typst  # noqa: PLC0415 - the typesetter is large and only this function needs it

    pictures = {sheet.id: svg(sheet) for sheet in places}
    blank = request(design, documents, sheets, pictures, template, fonts)
    pages = json.loads(typst.query(**blank, selector="<page-of>", field="value"))
    number = {p["id"]: p["page"] for p in pages}
    total = pages[0]["total"]
    drawings = dict(pictures)
    for sheet in sheets:
        block = replace(title_block(design, number[sheet.id], total), unverified=doubtful)
        drawings[sheet.id] = svg(sheet, block)
    return Packet(
        typst.compile(**request(design, documents, sheets, drawings, template, fonts), format="pdf"), drawings
    )


def request(
    design: Design,
    documents: Sequence[Document],
    sheets: Sequence[Sheet],
    drawings: dict[str, str],
    template: bytes,
    fonts: str,
) -> dict[str, Any]:
    """Return what the typesetter is asked: the template, the words and pictures as data, the fonts; nothing else."""
    words = json.dumps(_data(design, documents, sheets, drawings), ensure_ascii=False, sort_keys=True)
    files = {"main": template, DATA: words.encode()}
    return {"input": files, "font_paths": [fonts], "ignore_system_fonts": True}


def _data(
    design: Design, documents: Sequence[Document], sheets: Sequence[Sheet], svgs: dict[str, str]
) -> dict[str, Any]:
    job = design.house.job
    paper = LETTER if job.paper == "letter" else A4
    front = [d for d in documents if d.id in BEFORE_DRAWINGS]
    back = [d for d in documents if d.id not in BEFORE_DRAWINGS]
    paged = {s.id for s in sheets}
    pictures = {i: picture for i, picture in svgs.items() if i not in paged}
    return {
        "title": f"Rough-in packet, {job.title}",
        "job": job.title,
        "revision": job.revision + (f", issued {job.issued}" if job.issued else ""),
        "book": f"Rule book: {book_name(design.book)}"
        + (f", {several(len(design.book.amendments), 'amendment')}" if design.book.amendments else ""),
        "caution": AUTHORITY_SHORT,
        "page": {"width": paper.width, "height": paper.height},
        "index_on": INDEX_ON,
        "parts": [
            *_groups(front, pictures),
            *(_drawing(s, svgs.get(s.id, "")) for s in sheets),
            *_groups(back, pictures),
        ],
    }


def _drawing(sheet: Sheet, picture: str) -> dict[str, Any]:
    return {
        "kind": "drawing",
        "id": sheet.id,
        "title": sheet.title,
        "width": sheet.paper.width,
        "height": sheet.paper.height,
        "svg": picture,
    }


def _groups(documents: Sequence[Document], pictures: Mapping[str, str]) -> list[dict[str, Any]]:
    """Return the documents in groups, each of which begins on a new page."""
    groups: list[list[dict[str, Any]]] = []
    for one in documents:
        if one.id in FOLLOWING and groups:
            groups[-1].append(_document(one, pictures))
        else:
            groups.append([_document(one, pictures)])
    return [{"kind": "documents", "documents": group} for group in groups]


def _document(document: Document, pictures: Mapping[str, str]) -> dict[str, Any]:
    return {
        "id": document.id,
        "title": document.title,
        "blocks": [
            _block(b, pictures) | {"leads": _led(after)}
            for b, after in zip(document.blocks, (*document.blocks[1:], None), strict=False)
        ],
    }


def _led(block: Block | None) -> bool:
    """Return whether a block stays with the words before it: a table, the note or the small heading over one."""
    if isinstance(block, Heading):
        return block.level == 3
    return isinstance(block, TableBlock) or (isinstance(block, Paragraph) and block.kind == "note")


def _short(table: TableBlock) -> bool:
    """Return whether a table may be kept on one page: few rows, none of them long."""
    return len(table.rows) <= SHORT_ROWS and all(len(c) <= SHORT_LETTERS for r in table.rows for c in r)


def _block(block: Block, pictures: Mapping[str, str]) -> dict[str, Any]:
    match block:
        case Heading():
            return {"kind": "heading", "text": block.text, "level": block.level}
        case Paragraph():
            return {"kind": "paragraph", "text": block.text, "style": block.kind}
        case TableBlock():
            count = len(block.head)
            return {
                "kind": "table",
                "title": block.title,
                "head": list(block.head),
                "rows": [list(r) for r in block.rows],
                "widths": [float(w) for w in block.widths] or [1.0] * count,
                "align": list(block.align) or ["left"] * count,
                "together": _short(block) and len(block.pictures) <= SHORT_PICTURES,
                "pictures": [pictures.get(i, "") for i in block.pictures],
            }
        case Checklist():
            return {"kind": "checklist", "title": block.title, "lines": list(block.lines)}
