"""No branch goes far round: it rather drops into a drain from above. Common practice, no source."""

from __future__ import annotations

import pytest
from laid_out import design_named

from stubout.layout.lattice import octile
from stubout.layout.model import Role
from stubout.layout.zone_router import FAR_ROUND, ROUND_FREE_MM


@pytest.fixture(scope="module")
def cottage():
    return design_named("03")


def test_branches_of_the_cottage_go_straight(cottage):
    level = [p for p in cottage.network.pipes if p.role is Role.BRANCH and abs(p.a.z - p.b.z) < 0.5 * p.length_mm]
    for tag in {p.tag for p in level if p.tag}:
        run_ = [p for p in level if p.tag == tag]
        starts = {p.start for p in run_} - {p.end for p in run_}
        ends = {p.end for p in run_} - {p.start for p in run_}
        if len(starts) == len(ends) == 1:
            a, b = (cottage.network.node(next(iter(ids))).at for ids in (starts, ends))
            straight = octile((a.x, a.y), (b.x, b.y))
            assert sum(p.length_mm for p in run_) <= FAR_ROUND * straight + ROUND_FREE_MM, tag


def test_a_lavatory_drops_into_the_drain_it_vents(cottage):
    """LV1 stands over the drain of WC1: its branch crosses that with room and comes down into BT1's drain."""
    net = cottage.network
    drops = [p for p in net.pipes if p.tag == "LV1" and p.role is Role.BRANCH and p.a.z - p.b.z > 0.9 * p.length_mm]
    assert len(drops) == 1
    into = [p for p in net.pipes if drops[0].end in (p.start, p.end) and p.tag == "BT1"]
    assert into
    pieces = [p for p in cottage.fabrication.pieces if p.pipe == drops[0].id]
    assert pieces
    assert all(p.fits for p in pieces)
