"""The cost of a layout against counts made another way: a hand-made branch, and the material list of an example."""

from __future__ import annotations

from dataclasses import replace

import pytest
from laid_out import design_named

from stubout.catalog.shipped_costs import COSTS
from stubout.fabrication.costing import Costing, costing


@pytest.fixture(scope="module")
def bath():
    return design_named("drawn-bath")


def quantity(cost: Costing, kind: str) -> float:
    return next(p.quantity for p in cost.parts if p.kind == kind)


def test_quantities_are_those_of_the_lists(bath) -> None:
    cost, fab = bath.costing(), bath.fabrication
    listed = {m.group: 0.0 for m in fab.materials}
    for m in fab.materials:
        listed[m.group] += m.quantity
    told = {m.note.split(" joints")[0] for m in fab.materials if " joints;" in m.note}
    assert {str(int(quantity(cost, "joints")))} == told
    flashings = sum(m.quantity for m in fab.materials if "flashing" in m.item)
    assert quantity(cost, "roof penetrations") == flashings == 1
    assert quantity(cost, "fittings") == listed["fitting"] - flashings
    assert quantity(cost, "supports") == listed["hanger"]
    assert quantity(cost, "bores") == len(fab.bores)
    metres = sum(((a := p.a) and ((a.x - p.b.x) ** 2 + (a.y - p.b.y) ** 2 + (a.z - p.b.z) ** 2) ** 0.5)
                 for p in bath.network.pipes) / 1000  # fmt: skip
    down = [p for p in fab.pieces if not p.pipe]
    assert {p.note.split(",")[0] for p in down} == {"riser to the floor"}  # to the trap of its floor drain
    metres += sum(p.centre_mm for p in down) / 1000
    assert quantity(cost, "pipe") == pytest.approx(metres, abs=0.001)
    assert metres > sum(p.cut_mm for p in fab.pieces) / 1000  # what is cut lies between the fittings


def test_by_hand_one_drain_costs_its_metres_two_joints_and_its_hanger(bath) -> None:
    """One straight drain of 2 in in a wall, 3 m long, and nothing else: 3 * 7.5 + 2 * 3.3 + 4.5 min, from the data."""
    pipe = replace(bath.network.pipes[0], size_in=2.0, place=replace(bath.network.pipes[0].place, kind="wall"))
    pipe = replace(pipe, b=replace_length(pipe.a, 3000.0))
    net = replace(bath.network, pipes=(pipe,), _node={}, _pipe={})
    fitting = replace(bath.fabrication.fittings[0], id="F1", pattern="wye", sizes_in=(3.0, 3.0, 2.0))
    piece = replace(
        bath.fabrication.pieces[0], size_in=2.0, start_fitting="F1", end_fitting="F1", street="", pipe=pipe.id
    )
    hanger = replace(bath.fabrication.hangers[0], kind="hanger", pipe=pipe.id)
    fab = replace(
        bath.fabrication, fittings=(fitting,), pieces=(piece,), bores=(), plates=(), hangers=(hanger,), caps=()
    )
    cost = costing(net, fab, (), COSTS)
    assert cost.minutes == pytest.approx(3 * 7.5 + (2 + 6.5) + 2 * 3.3 + 4.5)
    dear = COSTS.with_said((("joint", 2.0, 13.0, None),))
    assert costing(net, fab, (), dear).minutes == pytest.approx(cost.minutes + 20)


def replace_length(a, mm: float):
    return type(a)(a.x + mm, a.y, a.z)


def test_a_hanger_reaches_from_the_joists_down_to_the_pipe() -> None:
    """03 stands over a crawl space: underside of its joists to the top of the pipe, by the outside of the pipe.

    Outside diameters: ASTM D2665, 1.900, 2.375, 3.500 and 4.500 in.
    """
    cottage = design_named("03")
    outside = {1.5: 1.9, 2.0: 2.375, 3.0: 3.5, 4.0: 4.5}
    under = {f.id: f.bottom_z_mm for f in cottage.house.frames}
    reached = []
    for h in cottage.fabrication.hangers:
        pipe = cottage.network.pipe(h.pipe)
        if h.kind == "hanger" and pipe.place.kind in ("crawl", "below frame"):
            reached.append(under[pipe.place.ref] - h.at.z - outside[pipe.size_in] * 25.4 / 2)
            assert h.reach_mm == pytest.approx(max(0.0, reached[-1]), abs=0.01)
        else:
            assert h.reach_mm == 0.0
    assert len(reached) > 5
    assert quantity(cottage.costing(), "hanger drops") == pytest.approx(sum(reached) / 1000, abs=0.001)
    (rod,) = (m for m in cottage.fabrication.materials if m.item == "strap or rod for hangers")
    assert sum(reached) / 1000 <= rod.quantity < sum(reached) / 1000 + 0.1 + 1e-9
    assert rod.unit == "m"
