"""Draw the icons of the field app from its mark: a ring on crossed centre lines, with room for a round cut."""

from __future__ import annotations

from pathlib import Path

from PIL import Image, ImageDraw

STATIC = Path(__file__).resolve().parents[1] / "src" / "stubout" / "web" / "static"
OVER = 4  # drawn so much larger, then made smaller: smooth edges
UNITS = 48.0  # the mark is 32 wide; the rest is room that a round cut may take


def icon(side: int) -> Image.Image:
    """Return the icon of a side length [px]."""
    n = side * OVER
    picture = Image.new("L", (n, n), 255)
    draw = ImageDraw.Draw(picture)
    one, mid = n / UNITS, n / 2
    for box in (
        (mid - one, mid - 15 * one, mid + one, mid + 15 * one),
        (mid - 15 * one, mid - one, mid + 15 * one, mid + one),
    ):
        draw.rectangle(box, fill=0)
    out, inside = 10.5 * one, 7.5 * one
    draw.ellipse((mid - out, mid - out, mid + out, mid + out), fill=0)
    draw.ellipse((mid - inside, mid - inside, mid + inside, mid + inside), fill=255)
    for box in ((mid - one, mid - inside, mid + one, mid + inside), (mid - inside, mid - one, mid + inside, mid + one)):
        draw.rectangle(box, fill=0)
    return picture.resize((side, side), Image.Resampling.LANCZOS)


if __name__ == "__main__":
    for px in (192, 512):
        icon(px).save(STATIC / f"icon-{px}.png", optimize=True)
