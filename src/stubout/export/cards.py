"""Cards for walls as one PDF: letter or A4, one card a page. Words go to the typesetter as data, never as markup."""

from __future__ import annotations

import json
from typing import Any

from stubout.sheets.model import A4, LETTER

DATA = "data.json"  # the name the template reads the words under


def cards_pdf(data: dict[str, Any], *, template: bytes, fonts: str) -> bytes:
    """Return the cards as PDF; the same bytes for the same data.

    Args:
        data: What the cards say, and their pictures as SVG.
        template: Source of the page template.
        fonts: Folder of the fonts to set with; no other font is used.
    """
    import typst  # noqa: PLC0415 - the typesetter is large and only this function needs it

    paper = A4 if data["paper"] == "a4" else LETTER
    words = json.dumps({**data, "page": {"width": paper.width, "height": paper.height}}, ensure_ascii=False)
    asked: dict[str, Any] = {
        "input": {"main": template, DATA: words.encode()},
        "font_paths": [fonts],
        "ignore_system_fonts": True,
    }
    made: bytes = typst.compile(**asked, format="pdf")
    return made
