"""What to measure first: what is told to hang on a dimension is what moves when that dimension moves."""

from __future__ import annotations

import pytest

from stubout.catalog.queries import figure
from stubout.fabrication.build import fabricate_network
from stubout.problems import Status


def fab_of(plot, bath_plot, house, npc, nbc_framing, measured=()):
    return fabricate_network(bath_plot(plot).network(), house(measured=measured), npc, nbc_framing)


def test_moving_a_dimension_moves_the_cuts_that_hang_on_it(plot, bath_plot, house, npc, nbc_framing):
    fab = fab_of(plot, bath_plot, house, npc, nbc_framing)
    assert len(fab.measure_first) > 5
    cuts = {p.id: p.cut_mm for p in fab.pieces}
    for m in fab.measure_first:
        moved = fab_of(plot, bath_plot, house, npc, nbc_framing, ((m.fitting, m.dimension, m.mm + 1.0),))
        lost = {p.id: cuts[p.id] - p.cut_mm for p in moved.pieces}
        assert sum(lost.values()) == pytest.approx(m.ends * 1.0, abs=1e-6), m
        assert {i for i, mm in lost.items() if abs(mm) > 1e-6} == set(m.pieces), m
        assert not [x for x in moved.measure_first if (x.fitting, x.dimension) == (m.fitting, m.dimension)]


def test_most_influence_stands_first(plot, bath_plot, house, npc, nbc_framing):
    first = fab_of(plot, bath_plot, house, npc, nbc_framing).measure_first
    influence = [m.influence_mm for m in first]
    assert influence == sorted(influence, reverse=True)
    for m in first:
        assert m.influence_mm == pytest.approx(m.ends * m.off_mm)
        by_status = figure(f"make-up error, {m.status.value}").value
        assert m.off_mm == (by_status if m.mm > by_status else max(m.mm, 1.6)), m
        assert not m.status.verified


def test_the_surer_the_source_the_less_it_may_be_out():
    errors = [
        figure(f"make-up error, {s}").value for s in (Status.READ, Status.SECONDARY, Status.MEMORY, Status.ESTIMATE)
    ]
    assert errors == sorted(errors)
    assert errors[0] == pytest.approx(25.4 / 16, abs=0.05)  # D3311 3.1: 1/16 in a fitting (read)
    assert all("common practice, no source" in figure(f"make-up error, {s}").note for s in ("secondary", "memory"))
