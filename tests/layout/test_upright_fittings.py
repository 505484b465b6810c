"""A tub whose drain drops through the plates of the wall below: the tee of its vent stands upright, turned to its arm.

Origin: the frame of the demonstration house by hand; that tee and trap turn to each other is common practice,
no source.
"""

from __future__ import annotations

import math

import pytest
from laid_out import design_named

from stubout import run
from stubout.design import Design


@pytest.fixture(scope="module")
def demonstration() -> Design:
    return design_named("demo")


def _arm(d: Design, tag: str):
    (arm,) = [p for p in d.network.pipes if p.tag == tag and p.role.value == "trap arm"]
    at = {n.id: n.at for n in d.network.nodes}
    return at[arm.start], at[arm.end], arm


def test_the_arm_of_the_tub_goes_straight_to_its_vent_in_its_own_bay(demonstration):
    """Joists stand at 19 1/2 in and every 16 in, 1 1/2 in thick: that before the tub's bay ends at 260 1/4 in."""
    weir, end, arm = _arm(demonstration, "BT2")
    tub = next(f for f in demonstration.house.fixtures if f.tag == "BT2")
    edge = (19.5 + 15 * 16.0 + 0.75) * 25.4
    assert tub.outlet is not None
    assert edge < end.y < tub.outlet.y < edge + 14.5 * 25.4
    assert not [b.member for b in demonstration.fabrication.bores if b.pipe == arm.id]
    across = math.degrees(math.atan2(end.y - weir.y, end.x - weir.x)) % 45.0
    assert 1.0 < across < 44.0, "at an angle that no bend makes"


def test_a_tee_stands_at_its_end_over_a_drop_into_the_wall_below_and_nothing_is_found(demonstration):
    _, end, arm = _arm(demonstration, "BT2")
    at = {n.id: n.at for n in demonstration.network.nodes}
    (drop,) = [p for p in demonstration.network.pipes if p.start == arm.end and p.system == "drain"]
    low = at[drop.end]
    assert (low.x, low.y) == pytest.approx((end.x, end.y), abs=0.5)
    wall = demonstration.house.wall("P")
    assert low.z < wall.top_z_mm - wall.top_plate_mm
    (fitting,) = [f for f in demonstration.fabrication.fittings if f.node == arm.end]
    assert fitting.pattern == "sanitary tee"
    assert not [f for f in run.check(demonstration).findings if f.level.value in ("STOP", "FIX")]
