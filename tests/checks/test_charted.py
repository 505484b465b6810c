"""Engineered floor members by the maker's paper as the job copies it: just inside and just outside of each limit.

Charts and openings are made up: no maker's. Expected by hand.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from stubout.fabrication.model import Bore
from stubout.geometry.vec import Vec
from stubout.house.crossings import ChartRow, HoleChart, WebOpenings
from stubout.house.model import Frame

CHART = HoleChart((ChartRow(60.0, 300.0, 100.0), ChartRow(100.0, 600.0, 200.0)), 12)
SAID = "maker's chart, as said in the job"
# along y from -50 to 4050, which nothing carries: both ends are bearings; z from -318 to -18, flanges of 38
I_JOIST = Frame("floor", "main", "i-joist", "y", 300.0, 60.0, 10.0, -18.0, -318.0, 18.0, (1000.0,), -50.0, 4050.0,
                -3000.0, 3000.0, chart=CHART)  # fmt: skip
OPEN = WebOpenings(150.0, 150.0, 150.0, (500.0, 2000.0), 12)  # middle of the round at z -168
WEB = replace(I_JOIST, kind="open-web", width_mm=90.0, web_mm=90.0, chart=None, openings=OPEN)


def hole(y: float = 2000.0, **kw: object) -> Bore:
    base = Bore("B1", "floor joist at 1000 E", "i-joist", "floor", 1000.0, "K1", Vec(1000, y, -168), 60.0, 300.0, 82.0,
                60.0, None, "ok", 0.0, 0.0)  # fmt: skip
    return replace(base, **kw)  # type: ignore[arg-type]


def told(kit, check, *bores, frame=I_JOIST):
    return kit.found(check, kit.design(frames=(frame,), fabrication=replace(kit.EMPTY, bores=bores)))


@pytest.mark.parametrize(("size", "n"), [(100.0, 0), (100.4, 0), (100.6, 1), (114.0, 1)])
def test_a_hole_larger_than_the_chart(kit, size, n):
    found = told(kit, "FRM001", hole(hole_mm=size, limit_mm=None))
    assert len(found) == n
    if n:
        assert found[0].level.value == "STOP"
        assert "at most 100 mm" in found[0].wanted
        assert [(b.book, b.section) for b in found[0].bases] == [(SAID, "line 12")]


@pytest.mark.parametrize(
    ("size", "y", "n"),
    [
        (60.0, 250.0, 0),  # 300 from the end at -50
        (60.0, 249.6, 0),
        (60.0, 249.4, 1),
        (61.0, 549.4, 1),  # the next row wants 600
        (61.0, 550.0, 0),
        (100.0, 4050.0 - 599.4, 1),
        (100.0, 4050.0 - 600.0, 0),
    ],
)
def test_a_hole_too_near_a_bearing(kit, size, y, n):
    found = told(kit, "FRM003", hole(y, hole_mm=size))
    assert len(found) == n
    if n:
        assert found[0].level.value == "STOP"
        assert "from the face of the bearing to the centre of this hole" in found[0].wanted
        assert any((b.book, b.section) == (SAID, "line 12") for b in found[0].bases)


def test_a_wall_under_the_joists_is_a_bearing(kit):
    """The wall runs across the joists at y 2000, 140 thick: its faces are at 1930 and 2070."""
    wall = replace(kit.wall(), id="M", start=Vec(-2000, 2000, -2700), end=Vec(2500, 2000, -2700), bottom_z_mm=-2700.0,
                   top_z_mm=-318.0, openings=(), bearing=True)  # fmt: skip
    for y, n in ((2070.0 + 299.0, 1), (2070.0 + 300.0, 0), (1930.0 - 299.0, 1), (2000.0, 1)):
        d = kit.design(frames=(I_JOIST,), walls=(wall,), fabrication=replace(kit.EMPTY, bores=(hole(y),)))
        found = kit.found("FRM003", d)
        assert len(found) == n
        assert y != 2000.0 or "over a bearing" in found[0].found
    bare = replace(wall, not_bearing=True)
    d = kit.design(frames=(I_JOIST,), walls=(bare,), fabrication=replace(kit.EMPTY, bores=(hole(),)))
    assert kit.found("FRM003", d) == []


def test_a_hole_that_cuts_the_flange(kit):
    """Half of 60 above a lower flange of 38: the centre is at -250 at the lowest."""
    for z, n in ((-250.0, 0), (-250.4, 0), (-250.6, 1), (-86.0, 0), (-85.0, 1)):
        found = told(kit, "FRM003", hole(centre=Vec(1000, 2000, z)))
        assert len(found) == n
        assert all("flange" in f.found and f.level.value == "STOP" for f in found)


def test_holes_too_near_each_other(kit):
    """A hole of 60 and one of 90: the second wants 200 of web, so 275 from centre to centre."""
    one = hole(1000.0)
    for gap, n in ((275.0, 0), (274.6, 0), (274.4, 1)):
        other = hole(1000.0 + gap, id="B2", pipe="K2", hole_mm=90.0)
        pipes = {
            k: {"role": "branch", "a": (700, y, -168), "b": (1300, y, -170), "size": 2, "tags": "LV1", "load": 1}
            for k, y in (("K1", 1000), ("K2", 1000 + gap))
        }
        d = kit.design(frames=(I_JOIST,), add=pipes, fabrication=replace(kit.EMPTY, bores=(one, other)))
        found = kit.found("FRM002", d)
        assert len(found) == n
        if n:
            assert found[0].level.value == "STOP"
            assert "at least 200 mm" in found[0].wanted
            assert [(b.book, b.section) for b in found[0].bases] == [(SAID, "line 12")]


def test_without_a_copied_chart_the_builder_is_asked_as_before(kit):
    (f,) = told(kit, "FRM003", hole(verdict="engineer"), frame=replace(I_JOIST, chart=None))
    assert (f.level.value, f.owner) == ("ASK", "builder")
    assert told(kit, "FRM001", hole(hole_mm=200.0, limit_mm=None), frame=replace(I_JOIST, chart=None)) == []


def crossed(kit, y=2000.0, z=-168.0, frame=WEB, **kw):
    ends = {"a": (700, y, z), "b": (1300, y, z), **kw}
    pipe = {"role": "branch", "size": 2, "tags": "LV1", "load": 1, **ends}
    d = kit.design(frames=(frame,), add={"K1": pipe})
    return [f for f in kit.found("FRM007", d) if f.about == ("K1", "floor")]


PLAY = (150.0 - 60.325) / 2  # of 2 in pipe in the round; 1 mm of touch is let pass


def test_a_pipe_through_the_middle_of_an_opening(kit):
    assert crossed(kit) == []
    assert len(crossed(kit, frame=replace(WEB, openings=None))) == 1


@pytest.mark.parametrize(("dy", "dz"), [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0), (0.6, 0.8)])
def test_a_pipe_that_meets_a_web(kit, dy, dz):
    for off, n in ((PLAY + 0.8, 0), (PLAY + 1.2, 1), (PLAY + 100.0, 1)):
        found = crossed(kit, 2000.0 + dy * off, -168.0 + dz * off)
        if -168.0 + dz * off - 30.2 > -18.0 or -168.0 + dz * off + 30.2 < -318.0:
            continue  # over or under the joist
        assert len(found) == n
        if n:
            assert "meets a web or chord of the open-web joist" in found[0].found
            assert found[0].level.value == "STOP"
            assert [(b.book, b.section) for b in found[0].bases] == [(SAID, "line 12")]


def test_a_wide_opening_passes_a_pipe_along_its_width(kit):
    frame = replace(WEB, openings=replace(OPEN, wide_mm=350.0))
    assert crossed(kit, 2100.0, frame=frame) == []
    assert crossed(kit, 2100.0 + PLAY + 0.8, frame=frame) == []
    assert len(crossed(kit, 2100.0 + PLAY + 1.2, frame=frame)) == 1


def test_a_pipe_askew_takes_more_of_an_opening(kit):
    """At 45 degrees it is wider by the root of two, and moves 90 along on its way through the joist."""
    ask = {"a": (700, 1700, -168), "b": (1300, 2300, -168)}
    off = 45.0 - (75.0 - 60.325 / 2 * math.sqrt(2.0))
    assert off > 1.0
    assert len(crossed(kit, **ask)) == 1
    assert crossed(kit, frame=replace(WEB, openings=replace(OPEN, wide_mm=150.0 + 2 * off)), **ask) == []


def test_a_pipe_that_falls_too_far_on_its_way_through(kit):
    """It goes in 45 before the middle of the joist and comes out 45 behind it."""
    fall = {"a": (700, 2000, -168 + 300), "b": (1300, 2000, -168 - 300)}
    assert len(crossed(kit, **fall)) == 1


def test_what_the_openings_say_is_told_once(kit):
    """A pipe that meets a web is FRM007: FRM003 does not tell it again."""
    cut = hole(member_kind="truss", verdict="not allowed")
    assert told(kit, "FRM003", cut, frame=WEB) == []
    assert len(told(kit, "FRM003", cut, frame=replace(WEB, openings=None))) == 1
