"""Bring the catalogues of the labels up to date with the code, and compile them: `make labels`.

Labels stand in the code in English: in `_("...")` of templates, in `say`, `noted` and the voices of the cards in
Python, in `t("...")` in the scripts of the file that is taken along and of the view from all sides. What is new gets an
empty line in each catalogue, which a test then finds; what is gone is taken out. The same labels give the same bytes.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from babel.messages import Catalog
from babel.messages.extract import extract
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

SOURCE = Path(__file__).resolve().parents[1] / "src" / "stubout"
LOCALE = SOURCE / "locale"
LANGUAGES = ("es", "fr")
WORDS = {"_": None, "say": None, "noted": None, "t": None, "each": None, "joined": None, "named": None}
METHODS = (
    ("**/*.py", "python"), ("web/templates/*.html", "jinja2"), ("web/along/*.js", "javascript"),
    ("web/static/model.js", "javascript"),
)  # fmt: skip
DATE = datetime(2030, 1, 1, tzinfo=UTC)  # no clock: a catalogue says what is in it, not when


def labels() -> dict[str, list[str]]:
    """Return every label of the code with the files it stands in."""
    found: dict[str, list[str]] = {}
    for pattern, method in METHODS:
        for path in sorted(SOURCE.glob(pattern)):
            name = str(path.relative_to(SOURCE))
            for text in _said(path, method):
                if name not in found.setdefault(text, []):
                    found[text].append(name)
    return found


def _said(path: Path, method: str) -> Iterator[str]:
    options = {"trimmed": "false"}
    # Voices and labels are spoken in few modules; elsewhere the same short names mean other things.
    data = path.read_bytes()
    if method == "python" and b"run_field.words" not in data and b"def noted" not in data:
        return
    for _line, text, _comments, _context in extract(method, io.BytesIO(data), WORDS, options=options):
        if isinstance(text, str) and text:
            yield text


def fresh(language: str) -> Catalog:
    """Return the catalogue of a language as it should be: every label of the code, with what it says of it."""
    old = (
        read_po(io.BytesIO(place(language, "po").read_bytes()), locale=language)
        if place(language, "po").exists()
        else {}
    )
    made = Catalog(
        locale=language, project="Stubout", version="1", domain="stubout", creation_date=DATE, revision_date=DATE,
        header_comment="# Labels of the site. Trade words: docs/languages.md. No native speaker has read them.",
        last_translator="none", language_team="none", copyright_holder="none", fuzzy=False,
    )  # fmt: skip
    for text, names in sorted(labels().items()):
        known = old.get(text) if text in old else None
        made.add(text, known.string if known else "", locations=[(n, None) for n in names])
    return made


def place(language: str, kind: str) -> Path:
    """Return where a catalogue lies."""
    return LOCALE / language / "LC_MESSAGES" / f"stubout.{kind}"


def written(catalogue: Catalog) -> tuple[bytes, bytes]:
    """Return a catalogue as text and compiled."""
    po, mo = io.BytesIO(), io.BytesIO()
    write_po(po, catalogue, width=110, include_lineno=False)
    write_mo(mo, catalogue)
    return po.getvalue(), mo.getvalue()


def main() -> int:
    """Write both forms of every catalogue; say what is not spoken yet."""
    missing = 0
    for language in LANGUAGES:
        made = fresh(language)
        po, mo = written(made)
        place(language, "po").parent.mkdir(parents=True, exist_ok=True)
        place(language, "po").write_bytes(po)
        place(language, "mo").write_bytes(mo)
        left = [m.id for m in made if m.id and not m.string]
        missing += len(left)
        print(f"{language}: {len(made)} labels, {len(left)} not spoken yet")
    return 1 if missing else 0


if __name__ == "__main__":
    sys.exit(main())
