"""Documents without a file format: headings, paragraphs, tables."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading, level 1 to 3."""

    text: str
    level: int = 2


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph; `kind` tells the writer how to set it."""

    text: str
    kind: Literal["body", "note", "caution", "box"] = "body"


@dataclass(frozen=True, slots=True)
class TableBlock:
    """A table; widths are relative; align per column; a picture may stand at the end of a row."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...] = ()
    align: tuple[Literal["left", "right", "center"], ...] = ()
    title: str = ""
    pictures: tuple[
        str, ...
    ] = ()  # ids of their sheets, one a row, "" where there is none; empty: no column of pictures


@dataclass(frozen=True, slots=True)
class Checklist:
    """Lines with a box to tick and a space to write."""

    lines: tuple[str, ...]
    title: str = ""


Block = Heading | Paragraph | TableBlock | Checklist


@dataclass(frozen=True, slots=True)
class Document:
    """One document of the packet."""

    id: str  # "materials"
    title: str
    blocks: tuple[Block, ...]
