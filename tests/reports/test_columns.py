"""Tables of real packets: every word fits its column, and nothing speaks in ids or units the reader does not have."""

from __future__ import annotations

import re

import pytest
from laid_out import design_named

from stubout import run
from stubout.design import Design
from stubout.reports.documents import documents
from stubout.reports.model import Document, TableBlock
from stubout.sheets.finding_picture import finding_pictures
from stubout.sheets.metrics import MM_PER_POINT, text_width
from stubout.sheets.model import A4, LETTER

MARGINS_MM = 28.0  # left and right of a page of documents, as the page template sets them
PICTURE_MM = 53.0  # column of pictures at the end of a table, as the page template sets it
INSET_MM = 8 * MM_PER_POINT  # both sides of a cell
WORD = re.compile(r"[^\s-]+-?|-+")  # a line may break at a space and after a hyphen


def _tables(document: Document) -> list[TableBlock]:
    return [b for b in document.blocks if isinstance(b, TableBlock)]


def overfull(documents_of: tuple[Document, ...], page_mm: float) -> list[str]:
    """Return every word that is wider than its column."""
    out = []
    for document in documents_of:
        for table in _tables(document):
            widths = table.widths or (1.0,) * len(table.head)
            page = page_mm - (PICTURE_MM if table.pictures else 0.0)
            for k, head in enumerate(table.head):
                room = (page - MARGINS_MM) * widths[k] / sum(widths) - INSET_MM
                for words, bold in [(head, True), *((r[k], False) for r in table.rows)]:
                    for word in WORD.findall(words.replace("\u00a0", "_")):
                        need = text_width(word, 9.0, bold=bold)
                        if need > room + 0.05:
                            out.append(f"{document.id}, {head!r}: {word!r} needs {need:.1f} of {room:.1f} mm")
    return sorted(set(out))


@pytest.fixture(scope="module", params=["demo", "drawn-bath", "02-slab-bungalow", "03-crawlspace-cottage"])
def papers(request: pytest.FixtureRequest) -> tuple[Design, tuple[Document, ...]]:
    design = design_named(request.param)
    verdict = run.check(design)
    shown = {finding: sheet.id for finding, sheet in finding_pictures(design, verdict.findings).items()}
    return design, documents(design, verdict.findings, verdict.not_checked, pictures=shown)


def test_every_word_fits_its_column(papers: tuple[Design, tuple[Document, ...]]) -> None:
    # The template does not hyphenate: a word wider than its column would run into the next one.
    design, documents_of = papers
    page = LETTER if design.house.job.paper == "letter" else A4
    assert not overfull(documents_of, page.width)


def test_no_page_speaks_of_points_that_carry_no_name(papers: tuple[Design, tuple[Document, ...]]) -> None:
    design, documents_of = papers
    points = {n.id for n in design.network.nodes}
    for document in documents_of:
        if document.id != "cleanouts":
            continue
        said = {w for t in _tables(document) for r in t.rows for w in re.findall(r"\w+", r[2])}
        assert not said & points
        assert {i for w in said if (i := w) in {p.id for p in design.pipes()}} <= {p.id for p in design.pipes()}


def test_members_and_limits_are_in_the_units_of_the_job(papers: tuple[Design, tuple[Document, ...]]) -> None:
    design, documents_of = papers
    assert design.house.job.units == "inch"
    bores = next(d for d in documents_of if d.id == "bores")
    members = [r[1] for t in _tables(bores) if t.head[0] == "Bore" for r in t.rows]
    assert members
    assert all('"' in m for m in members if m.startswith(("stud", "joist")))
    arms = next(t for d in documents_of if d.id == "vents" for t in _tables(d) if t.head[0] == "Trap")
    assert len(set(arms.head)) == len(arms.head)
    assert not [c for r in arms.rows for c in (r[4], r[5], r[7]) if " mm" in c]


def test_a_place_is_not_said_twice(papers: tuple[Design, tuple[Document, ...]]) -> None:
    _, documents_of = papers
    drains = next(d for d in documents_of if d.id == "drains")
    for place in (r[-1] for t in _tables(drains) for r in t.rows):
        words = place.split()
        assert len(words) == len(set(words)), place
