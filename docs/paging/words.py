"""How the pages are set: tables, links, how sure a value is. Plain Markdown."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from stubout.problems import Status
from stubout.rulebooks.model import Cell, RuleBook, Value
from stubout.rulebooks.parse import GIVEN, print_given
from stubout.rulebooks.tables import TURN_WORDS

MADE = "<!-- Made by `make docs` from the data of the package: change the data, not this page. -->"
SURE = (
    "A value without a word was read on the page of its source. *Secondary*: taken from a work that quotes it. "
    "*Memory*, *estimate*, *derived*: compare it with your own copy before you rely on it."
)
NOTHING = "-"


def grid(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """Return a table; a bar in a text would end its cell."""
    lines = [[cell.replace("|", "\\|").replace("\n", " ") or NOTHING for cell in row] for row in rows]
    return [_row(heads), "|---" * len(heads) + "|", *(_row(line) for line in lines)]


def _row(cells: Sequence[str]) -> str:
    return f"| {' | '.join(cells)} |"


def page(title: str, *parts: Iterable[str]) -> str:
    """Return a whole page of its title and parts, a blank line between the parts."""
    told = ["\n".join(part) for part in ([f"# {title}"], [MADE], *parts)]
    return "\n\n".join(text for text in told if text) + "\n"


def head(text: str, level: int = 2) -> list[str]:
    """Return a heading as a part of a page."""
    return [f"{'#' * level} {text}"]


def link(text: str, to: str) -> str:
    """Return a link to another page."""
    return f"[{text}]({to})"


def sure(status: Status) -> str:
    """Return how sure a value is, nothing where it was read."""
    return "" if status is Status.READ else f"*{status.value}*"


def said(cell: Cell) -> str:
    """Return a value as the page has it, with how sure it is."""
    return f"{cell.printed} {sure(cell.status)}".strip()


def slug(text: str) -> str:
    """Return the name of a page for a title.

    >>> slug("indirect waste, combination waste and vent, others")
    'indirect-waste-combination-waste-and-vent-others'
    """
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")


def short(book: RuleBook) -> str:
    """Return the short name of a book, as people say it.

    >>> from stubout.files.books import load_book
    >>> short(load_book("irc-framing-2021")), short(load_book("nbc-9.23.5"))
    ('IRC framing 2021', 'NBC 9.23.5')
    """
    first, *rest = book.id.split("-")
    return " ".join([first.upper(), *rest])


def input_text(value: Value, unit: str) -> str:
    """Return an input of a row as its page has it: the value inside, in the unit of the table."""
    if isinstance(value, str):
        return TURN_WORDS.get(value, value)
    if unit == "1:n":
        return print_given(round(1.0 / value, 6), unit)
    factor = GIVEN[unit][1] if unit in GIVEN else 1.0
    return print_given(round(float(value) / factor, 9), unit)
