"""The small picture beside a finding: everything with a place has one, and the ring is at the place.

What is checked is read back from the SVG: the ring against the drawn thing the finding speaks of, and against the place
reckoned from other things of the same picture whose places are known. Expected values by hand.
"""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest

from stubout import run
from stubout.design import Design
from stubout.export.packet import _block
from stubout.export.svg import svg
from stubout.geometry.vec import Vec
from stubout.network.model import Pipe
from stubout.problems import Finding, Level
from stubout.reports.model import TableBlock
from stubout.reports.verdicts import findings_page
from stubout.sheets.finding_picture import PICTURE, RING, WINDOW, finding_pictures
from stubout.sheets.metrics import LEAST_PT
from stubout.sheets.model import Line, Sheet, Text

XY = tuple[float, float]
SVG = "{http://www.w3.org/2000/svg}"
PAPER_MM = 0.02  # two decimals are written
SAME_MM = 2.0  # of the house, read off a picture at 1:40 or less


def _said(*about: str, at: Vec | None = None, level: Level = Level.FIX) -> Finding:
    place = (at.x, at.y, at.z) if at is not None else None
    return Finding("TST999", "a-test", level, about, "found", "wanted", at=place)


def _layers(sheet: Sheet) -> dict[str, list[ET.Element]]:
    """Return the elements of a picture by layer."""
    out: dict[str, list[ET.Element]] = {}
    for group in ET.fromstring(svg(sheet)).iter(f"{SVG}g"):
        out.setdefault(group.attrib["data-layer"], []).extend(group)
    return out


def _points(element: ET.Element) -> list[XY]:
    """Return the points of a line or an area, y up from the foot of the picture."""
    pairs = (p.split(",") for p in element.attrib["points"].split())
    return [(float(x), PICTURE.height - float(y)) for x, y in pairs]


def _circle(element: ET.Element) -> tuple[XY, float]:
    x, y, r = (float(element.attrib[k]) for k in ("cx", "cy", "r"))
    return (x, PICTURE.height - y), r


def _ring(sheet: Sheet) -> XY:
    (element,) = _layers(sheet)[RING]
    return _circle(element)[0]


def _off(at: XY, line: list[XY]) -> float:
    """Return how far a point is from a polyline."""

    def one(a: XY, b: XY) -> float:
        dx, dy = b[0] - a[0], b[1] - a[1]
        t = ((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / max(dx * dx + dy * dy, 1e-12)
        t = max(0.0, min(1.0, t))
        return math.dist(at, (a[0] + dx * t, a[1] + dy * t))

    return min(one(a, b) for a, b in pairwise(line))


def _holds(area: list[XY], at: XY) -> bool:
    """Return whether a convex area holds a point, or has it on its edge."""
    turns = [(b[0] - a[0]) * (at[1] - a[1]) - (b[1] - a[1]) * (at[0] - a[0]) for a, b in pairwise([*area, area[0]])]
    return all(t >= -1e-2 for t in turns) or all(t <= 1e-2 for t in turns)


def _on_pipe(sheet: Sheet, pipe: Pipe) -> bool:
    """Return whether the ring is on a pipe as it is drawn: a body, a line or a ring."""
    ring = _ring(sheet)
    for element in _layers(sheet).get(f"pipe:{pipe.id}", []):
        if element.tag == f"{SVG}circle":
            centre, radius = _circle(element)
            if math.dist(centre, ring) <= radius + PAPER_MM:
                return True
        elif element.tag == f"{SVG}polygon":
            if _holds(_points(element), ring):
                return True
        elif _off(ring, _points(element)) < 4 * PAPER_MM:
            return True
    return False


def test_a_picture_of_a_pipe_has_its_ring_on_the_pipe(real_house: Design) -> None:
    for pipe in real_house.pipes():
        middle = pipe.a.plus(pipe.b).times(0.5)
        (sheet,) = finding_pictures(real_house, [_said(pipe.id, at=middle)]).values()
        assert _on_pipe(sheet, pipe), (pipe.id, sheet.title)


def test_a_picture_of_a_stub_out_has_its_ring_on_the_stub_out(real_house: Design) -> None:
    for stub in real_house.stubs:
        (sheet,) = finding_pictures(real_house, [_said(stub.tag, level=Level.STOP)]).values()
        drawn = [e for e in _layers(sheet)[f"stub:{stub.tag}"] if e.tag == f"{SVG}circle"]
        assert bool(drawn) is not stub.place.clear  # a dashed square where nothing passes the wall
        if drawn:
            assert math.dist(_circle(drawn[0])[0], _ring(sheet)) < PAPER_MM
        else:
            square = next(i for i in sheet.items if i.layer == f"stub:{stub.tag}" and isinstance(i, Line) and i.closed)
            x, y = (sum(p[k] for p in square.points) / 4 for k in (0, 1))
            assert math.dist((x, y), _ring(sheet)) < PAPER_MM
        assert f"wall {stub.wall_id}, {stub.side} side" in [i.text for i in sheet.items if isinstance(i, Text)]


def test_a_picture_of_a_cleanout_has_its_ring_on_the_cleanout(real_house: Design) -> None:
    for plan in real_house.cleanouts:
        (sheet,) = finding_pictures(real_house, [_said(plan.id, level=Level.ASK)]).values()
        layer = _layers(sheet)[f"cleanout:{plan.id}"]
        circles = [_circle(e)[0] for e in layer if e.tag == f"{SVG}circle"]
        near = (
            min(math.dist(c, _ring(sheet)) for c in circles)
            if circles
            else min(_off(_ring(sheet), _points(e)) for e in layer)
        )
        assert near < 4 * PAPER_MM


def _whole(element: ET.Element) -> bool:
    xs = [p[0] for p in _points(element)]
    return WINDOW[0] + 0.1 < min(xs) and max(xs) < WINDOW[2] - 0.1


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_place_on_a_wall_is_where_its_studs_say(cottage: Design, side: str) -> None:
    # Wall P of the cottage: studs at 19, 406.4, 812.8 ... from its south end at y = 2400; the closet stands at 2100.
    wall = cottage.house.wall("P")
    station, z = (900.0, 450.0) if side == "left" else (1700.0, 400.0)
    tag = "LV1" if side == "left" else "KS"
    at = wall.point(station, z)
    (sheet,) = finding_pictures(cottage, [_said(tag, at=at)]).values()
    assert f"wall P, {side} side" in [i.text for i in sheet.items if isinstance(i, Text)]
    studs = {round(s.station_mm, 1) for s in wall.studs}
    assert {406.4, 812.8} <= studs
    drawn = [_points(e) for e in _layers(sheet)["stud"] if _whole(e)]
    xs = sorted({round((min(p[0] for p in s) + max(p[0] for p in s)) / 2, 2) for s in drawn})
    sign = -1 if side == "left" else 1  # on the left side the start of the wall is at the right hand
    reckoned = sorted(round(25.0 + sign * (s - station) / 30, 2) for s in studs if abs(s - station) < 24.0 * 30)
    assert xs == pytest.approx([x for x in reckoned if WINDOW[0] + 0.8 < x < WINDOW[2] - 0.8], abs=0.02)
    assert _ring(sheet)[0] == pytest.approx(25.0, abs=PAPER_MM)
    floor = _points(_layers(sheet)["subfloor"][0])
    assert (_ring(sheet)[1] - floor[0][1]) * 30 == pytest.approx(z - wall.bottom_z_mm, abs=SAME_MM)


def test_a_place_on_a_floor_is_where_the_pipes_round_it_say(real_house: Design) -> None:
    seen = 0
    for pipe in real_house.network.drains():
        middle = pipe.a.plus(pipe.b).times(0.5)
        (sheet,) = finding_pictures(real_house, [_said(pipe.id, at=middle)]).values()
        layers = _layers(sheet)
        if "north" not in layers:  # a wall
            continue
        ratio = float(sheet.scale.split(":")[1])
        for other in real_house.network.drains():
            if other.id == pipe.id or other.vertical:
                continue
            for element in layers.get(f"pipe:{other.id}", ()):
                ends = _points(element) if element.tag != f"{SVG}circle" else []
                inside = all(WINDOW[0] + 0.2 < x < WINDOW[2] - 0.2 and 5.2 < y < WINDOW[3] - 0.2 for x, y in ends)
                if len(ends) != 2 or not inside:
                    continue
                ring = _ring(sheet)
                x = other.a.x + (ring[0] - ends[0][0]) * ratio
                y = other.a.y + (ring[1] - ends[0][1]) * ratio
                assert (x, y) == pytest.approx((middle.x, middle.y), abs=ratio * 2 * PAPER_MM)
                seen += 1
    assert seen > 5


def test_every_stop_and_fix_of_the_examples_has_a_picture(real_house: Design) -> None:
    findings = run.check(real_house).findings
    shown = finding_pictures(real_house, findings)
    for finding in findings:
        if finding.level in (Level.STOP, Level.FIX) or (finding.level is Level.ASK and finding.at is not None):
            assert finding in shown, finding
        if finding.level is Level.NOTE:
            assert finding not in shown


def test_a_picture_keeps_to_its_paper_and_its_words_are_large_enough(real_house: Design) -> None:
    given = [_said(p.id, at=p.a) for p in real_house.pipes()]
    for sheet in finding_pictures(real_house, given).values():
        words = [i for i in sheet.items if isinstance(i, Text)]
        assert all(i.size_pt >= LEAST_PT for i in words)
        assert sum(i.layer == "picture words" for i in words) == 1
        for layer, elements in _layers(sheet).items():
            if re.match("ordinate|leader|north", layer):
                continue
            for e in elements:
                if e.tag in (f"{SVG}polygon", f"{SVG}polyline"):
                    assert all(-1.0 <= x <= 51.0 and -1.0 <= y <= 41.0 for x, y in _points(e)), (sheet.title, layer)


def test_the_same_finding_gives_the_same_picture(cottage: Design) -> None:
    said = [_said("LV1"), _said("KS", level=Level.STOP)]
    one, two = ([svg(s) for s in finding_pictures(cottage, said).values()] for _ in range(2))
    assert one == two


def test_nothing_without_a_place_has_a_picture(cottage: Design) -> None:
    assert finding_pictures(cottage, [_said("the whole job"), _said("LV1", level=Level.NOTE)]) == {}
    assert finding_pictures(cottage, [_said("heads", "P", level=Level.ASK)]) == {}


def test_the_row_of_a_finding_carries_its_own_picture(cottage: Design) -> None:
    said = (_said("the whole job"), _said("LV1"), _said("KS"))
    sheets = finding_pictures(cottage, said)
    page = findings_page(cottage, said, (), {f: s.id for f, s in sheets.items()})
    (table,) = (b for b in page.blocks if isinstance(b, TableBlock))
    assert table.pictures == ("", "place-1", "place-2")
    assert [r[0] for r in table.rows] == ["the whole job", "LV1", "KS"]
    pictures = {s.id: svg(s) for s in sheets.values()}
    set_ = _block(table, pictures)["pictures"]
    assert set_ == ["", pictures["place-1"], pictures["place-2"]]
