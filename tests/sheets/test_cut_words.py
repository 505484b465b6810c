"""No line runs through words: reckoned from the display list alone, in the order it is drawn."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from drawn import sheets

from stubout.design import Design
from stubout.sheets.metrics import text_rect
from stubout.sheets.model import LETTER, Circle, Item, Line, Sheet, Style, Text

INSET_MM = 0.25  # a line that only touches the edge of the words cuts nothing
Box = tuple[float, float, float, float]
XY = tuple[float, float]


def cut_words(sheet: Sheet) -> list[str]:
    """Return every text of a sheet that a line runs through and that has no clear ground over that line."""
    out: list[str] = []
    for i, item in enumerate(sheet.items):
        if not isinstance(item, Text):
            continue
        box = _inset(text_rect(item))
        under, over = sheet.items[:i], sheet.items[i + 1 :]
        if not item.halo:
            # What was drawn before, from the last white area on that lies under all the words.
            grounds = [k for k, o in enumerate(under) if _white(o) and _holds(o, box)]
            under = under[grounds[-1] + 1 :] if grounds else under
            out += [f"{sheet.id}: {item.text!r} ({item.layer}) lies on {o.layer}" for o in under if _runs(o, box)]
        out += [f"{sheet.id}: {o.layer} is drawn over {item.text!r} ({item.layer})" for o in over if _runs(o, box)]
    return out


def _inset(box: Box) -> Box:
    x0, y0, x1, y1 = box
    return x0 + INSET_MM, y0 + INSET_MM, x1 - INSET_MM, y1 - INSET_MM


def _white(item: Item) -> bool:
    return not isinstance(item, Text) and item.style.fill == "white"


def _holds(item: Item, box: Box) -> bool:
    """Return whether a filled shape has all of a box inside."""
    corners = [(box[0], box[1]), (box[2], box[1]), (box[2], box[3]), (box[0], box[3])]
    if isinstance(item, Circle):
        return all(math.dist(item.centre, c) <= item.radius + 0.6 for c in corners)
    assert isinstance(item, Line)
    return item.closed and all(_inside(c, item.points) for c in corners)


def _inside(p: XY, ring: tuple[XY, ...]) -> bool:
    hit = False
    for (x0, y0), (x1, y1) in pairwise((*ring, ring[0])):
        if (y0 > p[1]) != (y1 > p[1]) and p[0] < (x1 - x0) * (p[1] - y0) / (y1 - y0) + x0:
            hit = not hit
    return hit


def _runs(item: Item, box: Box) -> bool:
    """Return whether ink of a line, an outline or a hatch lies in a box."""
    if isinstance(item, Text):
        return False
    if isinstance(item, Circle):
        near = (max(box[0], min(item.centre[0], box[2])), max(box[1], min(item.centre[1], box[3])))
        far = max(math.dist(item.centre, (x, y)) for x in box[::2] for y in box[1::2])
        return math.dist(item.centre, near) <= item.radius <= far
    ring = (*item.points, item.points[0]) if item.closed else item.points
    if any(_crosses(a, b, box) for a, b in pairwise(ring)):
        return True
    middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
    return item.closed and item.style.fill in ("hatch", "black") and _inside(middle, item.points)


def _crosses(a: XY, b: XY, box: Box) -> bool:
    lo, hi = 0.0, 1.0
    for k in (0, 1):
        d = b[k] - a[k]
        if abs(d) < 1e-9:
            if not box[k] <= a[k] <= box[k + 2]:
                return False
            continue
        t0, t1 = sorted(((box[k] - a[k]) / d, (box[k + 2] - a[k]) / d))
        lo, hi = max(lo, t0), min(hi, t1)
    return lo <= hi


def check_cuts(design: Design) -> None:
    """Fail if a line runs through the words of a sheet."""
    cut = [fault for sheet in sheets(design) for fault in cut_words(sheet)]
    assert not cut, "\n".join(cut)


def test_no_line_runs_through_words(cottage: Design, drawn_bath: Design) -> None:
    for design in (cottage, drawn_bath):
        check_cuts(design)


def test_no_line_runs_through_words_of_the_examples(real_house: Design) -> None:
    check_cuts(real_house)


def test_no_line_runs_through_words_of_a_large_house(large_house: Design) -> None:
    check_cuts(large_house)


def test_a_line_through_words_is_noticed() -> None:
    words = Text((20.0, 50.0), "D12  2 in", 9.0, "size:D12")
    stud = Line(((25.0, 20.0), (25.0, 90.0)), Style("thin"), "stud")
    ground = Line(((15.0, 45.0), (60.0, 45.0), (60.0, 60.0), (15.0, 60.0)), Style("thin", fill="white"), "box", True)

    def faults(*items: Line | Text) -> int:
        return len(cut_words(Sheet("s", "s", "not to scale", LETTER, items)))

    assert faults(stud, words) == 1
    assert faults(words, stud) == 1
    assert faults(stud, replace(words, halo=True)) == 0
    assert faults(replace(words, halo=True), stud) == 1
    assert faults(stud, ground, words) == 0
    assert faults(ground, stud, words) == 1
