"""What every sheet must keep: text off text, all on the paper, 9 pt, the same each time."""

from __future__ import annotations

from itertools import combinations

import pytest

from stubout.design import Design
from stubout.sheets.all import sheets
from stubout.sheets.metrics import LEAST_PT, text_rect
from stubout.sheets.model import Circle, Line, Sheet, Text
from stubout.sheets.titleblock import block_items, body, title_block

TOUCH_MM = 0.05


def _boxes(items: tuple[object, ...]) -> list[tuple[Text, tuple[float, float, float, float]]]:
    return [(i, text_rect(i)) for i in items if isinstance(i, Text)]


def _overlaps(sheet: Sheet, items: tuple[object, ...]) -> list[str]:
    out = []
    for (s, a), (t, b) in combinations(_boxes(items), 2):
        wide = min(a[2], b[2]) - max(a[0], b[0])
        tall = min(a[3], b[3]) - max(a[1], b[1])
        if wide > TOUCH_MM and tall > TOUCH_MM:
            out.append(f"{sheet.id}: {s.text!r} ({s.layer}) over {t.text!r} ({t.layer})")
    return out


def check_paper(design: Design) -> None:
    """Fail if a sheet of the design breaks a rule of the paper."""
    drawn = sheets(design)
    faults: list[str] = []
    for n, sheet in enumerate(drawn, 1):
        block = block_items(sheet, title_block(design, n, len(drawn)))
        faults += _overlaps(sheet, (*sheet.items, *block))
        x0, y0, x1, y1 = body(sheet.paper)
        for item in sheet.items:
            if isinstance(item, Text):
                box = text_rect(item)
                if item.size_pt < LEAST_PT:
                    faults.append(f"{sheet.id}: {item.text!r} is smaller than 9 pt")
                if not item.text.strip():
                    faults.append(f"{sheet.id}: empty text on {item.layer}")
            elif isinstance(item, Line):
                xs, ys = [p[0] for p in item.points], [p[1] for p in item.points]
                box = (min(xs), min(ys), max(xs), max(ys))
            else:
                assert isinstance(item, Circle)
                (x, y), r = item.centre, item.radius
                box = (x - r, y - r, x + r, y + r)
            if box[0] < x0 - 2.0 or box[1] < y0 - 2.0 or box[2] > x1 + 2.0 or box[3] > y1 + 2.0:
                faults.append(f"{sheet.id}: {item.layer} leaves the drawing area: {box}")
    assert not faults, "\n".join(faults)


def test_the_cottage_keeps_the_rules_of_the_paper(cottage: Design) -> None:
    check_paper(cottage)


def test_the_hand_drawn_example_keeps_them_too(drawn_bath: Design) -> None:
    check_paper(drawn_bath)


def test_the_large_house_keeps_them_too(large_house: Design) -> None:
    check_paper(large_house)


def test_same_design_same_sheets(cottage: Design) -> None:
    assert sheets(cottage) == sheets(cottage)


def test_sheet_ids_are_unique_and_plain(drawn_bath: Design, large_house: Design) -> None:
    for design in (drawn_bath, large_house):
        ids = [s.id for s in sheets(design)]
        assert len(ids) == len(set(ids))
        assert all(c.isalnum() or c in "-_" for i in ids for c in i), ids


def test_every_drawing_says_its_scale(cottage: Design) -> None:
    for sheet in sheets(cottage):
        assert sheet.scale == "not to scale" or "1:" in sheet.scale
        if cottage.house.job.units == "inch" and sheet.id.startswith(("plan", "wall")) and "1:" in sheet.scale:
            assert "= 1'-0\"" in sheet.scale


@pytest.mark.parametrize("kind", ["legend", "isometric", "plan-under-main", "plan-main", "plan-attic", "profile"])
def test_the_set_is_complete(cottage: Design, kind: str) -> None:
    assert kind in {s.id for s in sheets(cottage)}
