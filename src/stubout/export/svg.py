"""A sheet as SVG: physical size, one unit a millimetre, black first.

The same items are written with and without frame and title block.
"""

from __future__ import annotations

import re
from xml.sax.saxutils import escape, quoteattr

from stubout.sheets.metrics import MM_PER_POINT, text_rect
from stubout.sheets.model import Circle, Item, Line, Sheet, Style, Text
from stubout.sheets.titleblock import TitleBlock, block_items

WEIGHT_MM = {"hair": 0.13, "thin": 0.18, "medium": 0.35, "thick": 0.5, "heavy": 0.8}
DASH_MM = {
    "solid": (),
    "dashed": (3.0, 1.5),
    "short": (1.2, 0.9),
    "dashdot": (4.0, 1.0, 0.6, 1.0),
    "dotted": (0.4, 1.0),
}
HALO_MM = 0.3  # of clear ground left and right of words that lie over lines
# Dark enough to print black on a mono printer; the tints only help where there is colour.
TINT = {
    "black": "#000000",
    "grey": "#4d4d4d",
    "light": "#7a7a7a",
    "drain": "#3d1f00",
    "vent": "#002b5c",
    "warn": "#7a0000",
    "white": "#ffffff",
}
FILL = {"none": "none", "white": "#ffffff", "light": "#dcdcdc", "grey": "#a8a8a8", "black": "#000000"}


def svg(sheet: Sheet, block: TitleBlock | None = None) -> str:
    """Return the sheet as an SVG document.

    Args:
        sheet: The display list.
        block: Frame and title block; None writes the bare drawing.
    """
    items = (*sheet.items, *(block_items(sheet, block) if block is not None else ()))
    prefix = _name(sheet.id)
    w, h = _n(sheet.paper.width), _n(sheet.paper.height)
    out = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}" '
        f'font-family="DejaVu Sans, sans-serif" role="img" aria-labelledby="{prefix}-title {prefix}-desc">',
        f'<title id="{prefix}-title">{escape(sheet.title)}</title>',
        f'<desc id="{prefix}-desc">{escape(" ".join((f"Scale: {sheet.scale}.", *sheet.notes)))}</desc>',
    ]
    if any(isinstance(i, (Line, Circle)) and i.style.fill == "hatch" for i in items):
        out.append(
            f'<defs><pattern id="{prefix}-hatch" width="1.4" height="1.4" patternUnits="userSpaceOnUse" '
            'patternTransform="rotate(45)"><rect width="1.4" height="1.4" fill="#ffffff"/>'
            '<line x1="0" y1="0" x2="0" y2="1.4" stroke="#000000" stroke-width="0.26"/></pattern></defs>'
        )
    out.append(f'<rect width="{w}" height="{h}" fill="#ffffff"/>')
    layer = ""
    count: dict[str, int] = {}
    for item in items:
        if item.layer != layer:
            if layer:
                out.append("</g>")
            layer = item.layer
            name = f"{prefix}-{_name(layer)}"
            count[name] = count.get(name, 0) + 1
            out.append(f'<g id="{name}.{count[name]}" data-layer={quoteattr(layer)}>')
        out.append(_item(item, sheet.paper.height, prefix))
    if layer:
        out.append("</g>")
    out.append("</svg>")
    return "\n".join(out) + "\n"


def _item(item: Item, height: float, prefix: str) -> str:
    if isinstance(item, Text):
        return _text(item, height)
    if isinstance(item, Circle):
        x, y = item.centre
        return f'<circle cx="{_n(x)}" cy="{_n(height - y)}" r="{_n(item.radius)}"{_style(item.style, prefix)}/>'
    points = " ".join(f"{_n(x)},{_n(height - y)}" for x, y in item.points)
    tag = "polygon" if item.closed else "polyline"
    return f'<{tag} points="{points}"{_style(item.style, prefix)}/>'


def _style(style: Style, prefix: str) -> str:
    fill = f"url(#{prefix}-hatch)" if style.fill == "hatch" else FILL[style.fill]
    dash = " ".join(_n(d) for d in DASH_MM[style.dash])
    return (
        f' fill="{fill}" stroke="{TINT[style.tint]}" stroke-width="{_n(WEIGHT_MM[style.weight])}"'
        f'{f" stroke-dasharray={quoteattr(dash)}" if dash else ""} stroke-linejoin="round"'
    )


def _text(item: Text, height: float) -> str:
    x, y = item.at
    out = ""
    if item.halo:
        x0, y0, x1, y1 = text_rect(item)
        x0, x1 = x0 - HALO_MM, x1 + HALO_MM
        out = f'<rect x="{_n(x0)}" y="{_n(height - y1)}" width="{_n(x1 - x0)}" height="{_n(y1 - y0)}" fill="#ffffff"/>'
    turn = f' transform="rotate({_n(-item.turn_deg)} {_n(x)} {_n(height - y)})"' if item.turn_deg else ""
    face = ' font-family="DejaVu Sans Mono, monospace"' if item.mono else ""
    bold = ' font-weight="bold"' if item.bold else ""
    anchor = f' text-anchor="{item.anchor}"' if item.anchor != "start" else ""
    return (
        f'{out}<text x="{_n(x)}" y="{_n(height - y)}" font-size="{_n(item.size_pt * MM_PER_POINT)}"'
        f"{face}{bold}{anchor}{turn}>{escape(item.text)}</text>"
    )


def _n(value: float) -> str:
    """Return a number with at most two decimals and no minus before a zero."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _name(words: str) -> str:
    """Return words as an XML id."""
    return re.sub(r"[^A-Za-z0-9_-]+", "-", words).strip("-") or "x"
