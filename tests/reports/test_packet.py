"""The packet reopened: pages, sizes, words, the same bytes twice."""

from __future__ import annotations

import io
import itertools
import re

import pypdfium2 as pdfium
import pytest
from pypdf import PdfReader

from stubout.design import Design
from stubout.export.packet import FOLLOWING, Packet, packet
from stubout.files.fonts import font_folder, template
from stubout.problems import Finding, NotChecked
from stubout.reports.documents import documents
from stubout.reports.model import Document, TableBlock
from stubout.sheets.model import LETTER, TABLOID, Line, Paper, Sheet, Style, Text

MM = 72 / 25.4


@pytest.fixture
def papers(
    small_design: Design, small_findings: tuple[Finding, ...], small_not_checked: tuple[NotChecked, ...]
) -> tuple[Document, ...]:
    return documents(small_design, small_findings, small_not_checked)


def _bind(design: Design, papers: tuple[Document, ...]) -> Packet:
    line = Line(((50.0, 60.0), (200.0, 120.0)), Style("thick"), "pipe:D1")
    sheets = (
        Sheet("wall-W1", "Wall W1", "1:20", LETTER, (line, Text((60.0, 80.0), "mark 5'-11 3/8\"", 9, "dim"))),
        Sheet("isometric", "Isometric", "not to scale", TABLOID, (line,)),
    )
    return packet(design, papers, sheets, template=template("packet.typ"), fonts=font_folder(), doubtful=7)


def test_every_page_has_its_number_its_job_and_the_caution(small_design: Design, papers: tuple[Document, ...]) -> None:
    reader = PdfReader(io.BytesIO(_bind(small_design, papers).pdf))
    total = len(reader.pages)
    assert total >= sum(d.id not in FOLLOWING for d in papers) + 2  # those stand on the page of the one before
    for number, page in enumerate(reader.pages, 1):
        text = " ".join(page.extract_text().split())
        assert f"Page {number} of {total}" in text, number
        assert "Test house #1 *bold* $x$" in text  # words of the job are never read as markup
        assert "authority having jurisdiction decides" in text
        assert "Invented test-book" in text


def test_drawings_keep_their_own_paper(small_design: Design, papers: tuple[Document, ...]) -> None:
    bound = _bind(small_design, papers)
    sizes = [
        (round(float(p.mediabox.width) / MM, 1), round(float(p.mediabox.height) / MM, 1))
        for p in PdfReader(io.BytesIO(bound.pdf)).pages
    ]
    assert sizes.count((431.8, 279.4)) == 1
    assert set(sizes) == {(431.8, 279.4), (279.4, 215.9)}


def test_index_names_the_page_of_every_part(small_design: Design, papers: tuple[Document, ...]) -> None:
    pages = [" ".join(p.extract_text().split()) for p in PdfReader(io.BytesIO(_bind(small_design, papers).pdf)).pages]
    for document in papers:
        found = re.search(
            re.escape(document.title) + r"[ .]*?(\d+)", pages[0][pages[0].index("Sheets in this packet") :]
        )
        assert found, document.title
        assert document.title in pages[int(found.group(1)) - 1]


def test_same_bytes_twice(small_design: Design, papers: tuple[Document, ...]) -> None:
    assert _bind(small_design, papers) == _bind(small_design, papers)


def test_only_the_shipped_fonts(small_design: Design, papers: tuple[Document, ...]) -> None:
    pdf = _bind(small_design, papers).pdf
    fonts = {str(f) for f in re.findall(rb"/BaseFont\s*/([\w+-]+)", pdf)}
    reader = PdfReader(io.BytesIO(pdf))
    for page in reader.pages:
        for font in (page["/Resources"].get("/Font") or {}).values():  # type: ignore[attr-defined]
            fonts.add(str(font.get_object()["/BaseFont"]))
    assert fonts
    assert all("DejaVuSans" in f for f in fonts), fonts


def test_separate_drawings_carry_the_packet_page(small_design: Design, papers: tuple[Document, ...]) -> None:
    bound = _bind(small_design, papers)
    total = len(PdfReader(io.BytesIO(bound.pdf)).pages)
    assert set(bound.drawings) == {"wall-W1", "isometric"}
    assert f"Page 5 of {total}" in bound.drawings["wall-W1"]
    assert f"Page 6 of {total}" in bound.drawings["isometric"]
    assert "7 values are unverified" in bound.drawings["isometric"]


def test_no_letter_lies_on_another_or_leaves_the_page(small_design: Design, papers: tuple[Document, ...]) -> None:
    for page in pdfium.PdfDocument(_bind(small_design, papers).pdf):
        text, width = page.get_textpage(), page.get_size()[0]
        rows: dict[int, list[tuple[float, float, int]]] = {}
        for i in range(text.count_chars()):
            if text.get_text_range(i, 1).strip():
                left, bottom, right, top = text.get_charbox(i)
                assert left > 18
                assert right < width - 18
                rows.setdefault(round((bottom + top) / 6), []).append((left, right, i))
        for row in rows.values():
            row.sort()
            for a, b in itertools.pairwise(row):
                # neighbours of one word may share a ligature; letters of different words may not touch
                assert abs(a[2] - b[2]) <= 1 or b[0] > a[1] - 1.2, text.get_text_range(max(0, a[2] - 20), 30)


def test_no_text_of_a_document_is_smaller_than_nine_points(small_design: Design, papers: tuple[Document, ...]) -> None:
    smallest = []

    def visit(text: str, cm: list[float], tm: list[float], _font: object, size: float) -> None:
        if text.strip():
            smallest.append(abs(size * tm[3] * cm[3]))

    for page in PdfReader(io.BytesIO(_bind(small_design, papers).pdf)).pages:
        page.extract_text(visitor_text=visit)
    assert min(smallest) >= 9 - 0.02  # a drawing rounds its letters to 0.01 mm


def test_a_picture_stands_in_its_row_and_has_no_page_of_its_own(small_design: Design) -> None:
    table = TableBlock(("About", "Found"), (("D1", "too flat"), ("D2", "too steep")), (1, 3), pictures=("", "place-1"))
    paper = Paper("picture", 50.0, 40.0)
    picture = Sheet("place-1", "a place", "1:30", paper, (Text((5.0, 5.0), "wall Q, right side", 9, "picture words"),))
    page = Document("findings", "Findings", (table,))
    cover = Document("cover", "Cover", ())

    def bind(places: tuple[Sheet, ...]) -> tuple[list[str], dict[str, str]]:
        sheet = Sheet("legend", "Key", "not to scale", LETTER, ())
        made = packet(
            small_design, (cover, page), (sheet,), template=template("packet.typ"), fonts=font_folder(), doubtful=0,
            places=places,
        )  # fmt: skip
        return [p.extract_text() for p in PdfReader(io.BytesIO(made.pdf)).pages], made.drawings

    with_, drawings = bind((picture,))
    without, _ = bind(())
    assert len(with_) == len(without)
    assert set(drawings) == {"legend", "place-1"}
    held = [n for n, text in enumerate(with_) if "wall Q, right side" in text]
    assert held == [n for n, text in enumerate(with_) if "too steep" in text]
    assert not any("wall Q" in text for text in without)


def test_a_row_of_a_table_is_not_parted_by_the_end_of_a_page(small_design: Design) -> None:
    rows = tuple((f"R{k}", "\n".join(f"line {k}.{n} of its words" for n in range(5))) for k in range(40))
    page = Document("reasons", "Reasons", (TableBlock(("No", "Steps"), rows, (1, 5)),))
    cover = Document("cover", "Cover", ())
    sheet = Sheet("legend", "Key", "not to scale", LETTER, ())
    made = packet(
        small_design, (cover, page), (sheet,), template=template("packet.typ"), fonts=font_folder(), doubtful=0
    )
    texts = [" ".join(p.extract_text().split()) for p in PdfReader(io.BytesIO(made.pdf)).pages]
    for k in range(40):
        first, last = (next(i for i, t in enumerate(texts) if f"line {k}.{n} of" in t) for n in (0, 4))
        assert first == last, k
