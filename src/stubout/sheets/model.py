"""The display list: what a sheet shows, in millimetres on paper, y up from the lower left corner. No file format."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Weight = Literal["hair", "thin", "medium", "thick", "heavy"]  # 0.13, 0.18, 0.35, 0.5, 0.8 mm
Dash = Literal["solid", "dashed", "short", "dashdot", "dotted"]


@dataclass(frozen=True, slots=True)
class Style:
    """How a line or an area is drawn. Meaning is carried by weight and dash; tint only helps."""

    weight: Weight = "thin"
    dash: Dash = "solid"
    tint: Literal["black", "grey", "light", "drain", "vent", "warn", "white"] = "black"
    fill: Literal["none", "white", "light", "grey", "black", "hatch"] = "none"


@dataclass(frozen=True, slots=True)
class Line:
    """A polyline; `closed` makes it an area."""

    points: tuple[tuple[float, float], ...]
    style: Style
    layer: str  # "pipe:D12", "stud", "cabinet", "dim", "frame" ...
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle."""

    centre: tuple[float, float]
    radius: float
    style: Style
    layer: str


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; size is the font size in points (at least 9 on paper)."""

    at: tuple[float, float]
    text: str
    size_pt: float
    layer: str
    anchor: Literal["start", "middle", "end"] = "start"
    turn_deg: float = 0.0  # counter-clockwise
    bold: bool = False
    mono: bool = False
    halo: bool = False  # white box behind, for text over lines


Item = Line | Circle | Text


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper size [mm], already turned the way it is used."""

    name: str
    width: float
    height: float


LETTER = Paper("letter", 279.4, 215.9)
TABLOID = Paper("tabloid", 431.8, 279.4)
A4 = Paper("A4", 297.0, 210.0)
A3 = Paper("A3", 420.0, 297.0)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One page of drawing, without its title block (the packet and the SVG writer add the same block)."""

    id: str  # "wall-M-P-L"
    title: str
    scale: str  # "1:20" or "not to scale"
    paper: Paper
    items: tuple[Item, ...]
    notes: tuple[str, ...] = ()
