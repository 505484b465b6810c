"""A trap that a deep drain would pull down stays under its tub: the drain drops behind the vent fitting."""

import pytest
from plausible import plausible

from stubout import run
from stubout.files.books import book_ids
from stubout.files.jobs import read_job_text

MOST_MM = 609.6  # 24 in from outlet to weir: UPC 1001.2, from memory


@pytest.fixture(scope="module")
def low():
    """A slab house whose sewer lies far below its tub, as it is laid out first."""
    return run.judged(read_job_text(plausible(22), "house.yaml", book_ids())).design


def test_the_trap_of_the_tub_lies_near_its_outlet(low):
    tub = next(f for f in low.house.fixtures if f.tag == "BT1")
    weir = next(n for n in low.network.nodes if n.kind.name == "TRAP" and n.tag == "BT1")
    arm = low.network.pipe(weir.outflow[0])
    assert tub.outlet.z - weir.at.z <= MOST_MM + arm.size_in * 25.4 / 2


def test_its_drain_drops_below_the_vent_fitting_and_not_before(low):
    weir = next(n for n in low.network.nodes if n.kind.name == "TRAP" and n.tag == "BT1")
    pipe, walked = low.network.pipe(weir.outflow[0]), 0
    nodes = {n.id: n for n in low.network.nodes}
    while nodes[pipe.end].kind.name != "TAKEOFF":
        assert not pipe.vertical
        pipe, walked = low.network.pipe(nodes[pipe.end].outflow[0]), walked + 1
        assert walked < 20
    on = [p for p in (low.network.pipe(i) for i in nodes[pipe.end].outflow) if p.system == "drain"]
    assert len(on) == 1
    assert on[0].vertical
    assert on[0].length_mm > 300.0
    assert not [f for f in run.check(low).findings if f.check in ("TRP001", "TRP002", "VNT001", "WET001")]
