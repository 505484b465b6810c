"""Tolerances stacked up along a run."""

from __future__ import annotations

import math

import pytest

from stubout.fabrication.build import fabricate_network
from stubout.layout.model import PointKind, Role


def line(plot):
    p = plot()
    p.node("a", 0, 0, 0, PointKind.TERMINAL).node("b", 0, 0, -1000).node("c", 900, 0, -1000, PointKind.AAV)
    return p.pipe("V1", "b", "a", 2.0, Role.VENT).pipe("V2", "c", "b", 2.0, Role.VENT).network()


def test_by_hand(plot, house, npc, nbc_framing):
    # V1: a cut of 1.6 mm and one quarter bend from memory, 6.4 mm: worst 8, likely the root of 1.6^2 + 6.4^2
    fab = fabricate_network(line(plot), house(), npc, nbc_framing)
    run = next(t for t in fab.tolerances if t.pipes == ("V1",))
    assert run.worst_mm == pytest.approx(1.6 + 6.4)
    assert run.likely_mm == pytest.approx(math.hypot(1.6, 6.4))
    # measured, the bend holds to the 1/16 in of its moulding
    told = (("1/4 bend 2", "make-up", 60.0),)
    fab = fabricate_network(line(plot), house(measured=told), npc, nbc_framing)
    assert next(t for t in fab.tolerances if t.pipes == ("V1",)).worst_mm == pytest.approx(1.6 + 1.6)


def test_every_run_of_pipe_has_one_stack(plot, bath_plot, house, npc, nbc_framing):
    fab = fabricate_network(bath_plot(plot).network(), house(), npc, nbc_framing)
    runs = {p.pipes for p in fab.pieces if p.pipes and not p.street}
    assert [t.pipes for t in fab.tolerances] == list(dict.fromkeys(p.pipes for p in fab.pieces if p.pipes in runs))
    assert all(0 < t.likely_mm <= t.worst_mm for t in fab.tolerances)
