"""Which vent is led out first: where those of a wall rise together. Invented house; common practice, no source."""

from __future__ import annotations

import pytest
from laid_out import design_named

from stubout.layout.model import PointKind
from stubout.layout.vent_orders import vent_first


@pytest.fixture(scope="module")
def network():
    return design_named("04").network


def test_vents_of_one_wall_rise_together_at_the_one_nearest_to_the_terminal(network):
    """Washer and sink share a riser: not over the washer, from where a header would go 3 ft farther back north."""
    terminal = next(n.at for n in network.nodes if n.kind is PointKind.TERMINAL)
    take_offs = {t.tag: network.node(t.takeoff).at for t in network.traps if t.tag in ("AW", "KS")}
    (riser,) = (p for p in network.vents() if p.place.ref == "UP" and p.vertical and {"AW", "KS"} <= set(p.tags))
    nearest = min(take_offs.values(), key=lambda at: abs(at.y - terminal.y))
    assert (riser.a.x, riser.a.y) == pytest.approx((nearest.x, nearest.y))


def test_one_vent_alone_has_no_order(desk):
    assert vent_first(desk("04-stacked-baths")) == ""
