"""No change casts a pipe into the slab: common practice, no source."""

from __future__ import annotations

from dataclasses import replace

import pytest
from laid_out import design_named

from stubout.design import Design
from stubout.fixes.concrete import newly_cast
from stubout.geometry.vec import Vec
from stubout.network.model import Network


@pytest.fixture(scope="module")
def bungalow() -> Design:
    return design_named("02")


def raised(design: Design, pipe_id: str, mm: float) -> Design:
    up = Vec(0.0, 0.0, mm)
    pipes = tuple(replace(p, a=p.a.plus(up), b=p.b.plus(up)) if p.id == pipe_id else p for p in design.network.pipes)
    return replace(design, network=Network(design.network.nodes, pipes, design.network.traps))


def test_a_drain_raised_into_the_slab_is_seen(bungalow: Design) -> None:
    """The slab is 4 in thick: a pipe whose top comes above its underside is cast in."""
    level = next(v for v in bungalow.house.levels if v.kind == "slab")
    low = next(
        p
        for p in bungalow.network.pipes
        if p.place.kind == "under slab" and not p.vertical and p.a.z < level.subfloor_z_mm - level.slab_mm - 100.0
    )
    to_underside = level.subfloor_z_mm - level.slab_mm - max(low.a.z, low.b.z)
    assert newly_cast(bungalow, raised(bungalow, low.id, to_underside)) == {low.id}
    assert newly_cast(bungalow, raised(bungalow, low.id, 10.0)) == frozenset()
    over_it = to_underside + level.slab_mm + 200.0  # it lies open in the room then
    assert newly_cast(bungalow, raised(bungalow, low.id, over_it)) == {low.id}
