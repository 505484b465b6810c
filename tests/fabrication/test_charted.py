"""Holes by the maker's chart and pipes through openings: verdicts, places, what is listed. Charts are made up."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.catalog.shipped import SHIPPED
from stubout.fabrication.build import fabricate_network
from stubout.fabrication.openings import passings
from stubout.house.crossings import ChartRow, HoleChart, WebOpenings
from stubout.layout.model import PointKind, Role

CHART = HoleChart((ChartRow(60.0, 300.0, 100.0), ChartRow(100.0, 600.0, 200.0)), 12)
OPEN = WebOpenings(150.0, 150.0, 150.0, (0.0, 600.0), 12)


def branch(plot, *, y=0.0, z=-168.0, size=2.0, fall=0.0):
    p = plot()
    p.node("w", 500, y, z, PointKind.CAP).node("t", 2500, y, z - 2000 * fall, PointKind.SEWER)
    return p.pipe("A1", "w", "t", size, Role.BRANCH).network()


def i_joists(frame, **kw):
    f = frame(kind="i-joist", centres=[1000.0], depth=300.0, width=60.0)
    return replace(f, bore_allowed=True, chart=CHART, **kw)


@pytest.mark.parametrize(
    ("size", "y", "z", "verdict", "note"),
    [
        (2.0, 0.0, -168.0, "ok", "by the maker's chart"),
        (3.0, 0.0, -168.0, "ok", "by the maker's chart"),
        (4.0, 0.0, -168.0, "too big", "larger than any hole"),
        (3.0, -4500.0, -168.0, "engineer", "too near a bearing"),
        (2.0, -4800.0, -168.0, "engineer", "too near a bearing"),
        (2.0, 0.0, -60.0, "not allowed", "flange"),
    ],
)
def test_a_hole_by_the_chart(plot, frame, house, npc, nbc_framing, size, y, z, verdict, note):
    """The joists lie from -5000 to 10000, nothing carries their ends."""
    fab = fabricate_network(branch(plot, y=y, z=z, size=size), house(frames=[i_joists(frame)]), npc, nbc_framing)
    (bore,) = fab.bores
    assert bore.verdict == verdict
    assert note in bore.note
    assert bore.bases[0].book == "maker's chart, as said in the job"


def test_a_small_hole_may_be_nearer_to_a_bearing(plot, frame, house, npc, nbc_framing):
    near = branch(plot, y=-4600.0, size=1.5)
    (bore,) = fabricate_network(near, house(frames=[i_joists(frame)]), npc, nbc_framing).bores
    assert (bore.verdict, bore.limit_mm) == ("ok", 60.0)
    assert bore.hole_mm <= 60.0


def test_a_pipe_through_openings_is_no_bore(plot, frame, house, npc, nbc_framing):
    f = replace(frame(kind="open-web", centres=[1000.0, 1400.0], depth=300.0, width=90.0), openings=OPEN)
    net, here = branch(plot, fall=0.01), house(frames=[f])
    fab = fabricate_network(net, here, npc, nbc_framing)
    assert fab.bores == ()
    found = passings(net, here, SHIPPED)
    assert [(p.pipe, p.member, p.along_mm) for p in found] == [
        ("A1", "floor joist at 1000 E", 0.0), ("A1", "floor joist at 1400 E", 0.0),
    ]  # fmt: skip
    assert [p.up_mm for p in found] == pytest.approx([145.0, 141.0])  # 150 less the fall of 500 and 900


def test_a_pipe_beside_an_opening_cuts_a_web(plot, frame, house, npc, nbc_framing):
    """2 in pipe in a round of 150: 44.8 of play, and 1 mm is no cut."""
    f = replace(frame(kind="open-web", centres=[1000.0], depth=300.0, width=90.0), openings=OPEN)
    for y, verdicts in ((45.6, []), (46.2, ["not allowed"])):
        net, here = branch(plot, y=y), house(frames=[f])
        assert [b.verdict for b in fabricate_network(net, here, npc, nbc_framing).bores] == verdicts
        assert len(passings(net, here, SHIPPED)) == 1 - len(verdicts)
