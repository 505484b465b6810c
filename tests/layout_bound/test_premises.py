"""What the bound takes for granted of every layout, part by part, held against layouts that were made."""

from __future__ import annotations

import math

import pytest

from stubout.catalog.shipped_costs import COSTS
from stubout.fabrication.choose_base import WYE_MAX_DEG
from stubout.layout.bound.bound import trunk_in
from stubout.layout.bound.facts import served
from stubout.layout.bound.least import Least
from stubout.layout.bound.lying import STEEPEST
from stubout.layout.bound.risers import Risers
from stubout.layout.bound.venting import Vents
from stubout.layout.model import VentMethod
from stubout.layout.needs import Demands, common_vents
from stubout.layout.outlook import tie_above_rim
from stubout.network.model import PointKind, Role

LOWEST = ("crawl", "under slab", "buried")


class Look:
    """A design, and the bound's own view of it."""

    def __init__(self, design) -> None:
        self.design, self.net = design, design.network
        demands = Demands(design.house, design.book, design.framing, {})
        self.fixtures = served(design.house, demands, tie_above_rim(design.book))
        self.facts = {s.tag: s for s in self.fixtures}
        least = Least(COSTS)
        self.risers = Risers(design.house, self.fixtures, least, common_vents(design.house, design.book))
        self.vents = Vents(design.house, design.book, self.risers, 3.0, least)
        self.traps = {t.tag: t for t in self.net.traps}

    def at(self, node: str):
        """Return where a point is."""
        return self.net.node(node).at

    def patterns(self, node: str) -> list[str]:
        """Return the fittings of a point."""
        return [f.pattern for f in self.design.fabrication.fittings if f.node == node]

    def way(self, node: str, system: str) -> list:
        """Return the plumb pipes of a system that go on from a point, in flow order, down to the first that lies."""
        out = []
        while True:
            flows = [self.net.pipe(i) for i in self.net.node(node).outflow]
            nxt = next((p for p in flows if p.system == system and p.vertical), None)
            if nxt is None or nxt in out:
                return out
            out.append(nxt)
            node = nxt.end

    def in_cabinet(self, trap) -> bool:
        """Return whether an arm lies in a cabinet, or in a loop's."""
        arms = [p for p in self.net.drains() if p.start == trap.weir]
        return any(p.place.kind == "cabinet" for p in arms)

    def rising(self) -> list:
        """Return the fixtures on walls with their traps, but those whose vent is a loop."""
        pairs = [(s, self.traps[s.tag]) for s in self.risers.all if s.tag in self.traps]
        return [(s, t) for s, t in pairs if t.takeoff and t.method is not VentMethod.LOOP]


@pytest.fixture(scope="module")
def look(design):
    return Look(design)


@pytest.fixture(scope="module")
def engines(look):
    if any(p.drawn for p in look.net.pipes):
        pytest.skip("drawn by hand: no candidate of the engine's")  # the bound speaks of engine layouts only
    return look


def test_pipes_begin_where_the_bound_says_they_must(look) -> None:
    assert set(look.facts) == set(look.traps)
    for tag, trap in look.traps.items():
        s, first = look.facts[tag], look.at(trap.weir)
        outlets = [q.a for q in look.net.drains() if q.tag == tag and q.role is Role.FIXTURE_DRAIN]
        near = min(math.dist(s.at, (p.x, p.y)) for p in (first, *outlets))
        assert near <= s.slack_mm + s.cabinet_mm + 1.0, tag
        if s.cabinet_low_z_mm is not None and not look.in_cabinet(trap):
            assert near <= s.slack_mm + 1.0, tag
        if s.low_z_mm is not None:
            assert first.z >= s.low_z_mm - 1.0, tag


def test_vent_fittings_stand_at_their_heights_and_take_their_own_arms_only(engines) -> None:
    for s, trap in engines.rising():
        node = engines.net.node(trap.takeoff)
        drains = [p for p in map(engines.net.pipe, node.inflow) if p.system == "drain"]
        assert all(p.role is Role.TRAP_ARM for p in drains), s.tag
        assert len([t for t in engines.net.traps if t.takeoff == trap.takeoff]) <= 2, s.tag
        low = s.drop[1] if s.cabinet_low_z_mm is None else min(s.drop[1], s.cabinet_low_z_mm)
        assert low - 1.0 <= node.at.z, s.tag
        assert s.cabinet_low_z_mm is not None or node.at.z <= s.high_z_mm + 1.0, s.tag
        foot = min(engines.at(p.end).z for p in engines.way(trap.takeoff, "drain"))
        assert foot <= s.drop[0] + 1.0, s.tag


def test_two_that_may_not_share_have_drops_of_their_own(engines) -> None:
    rising = engines.rising()
    apart = [(a, b) for a, ta in rising for b, tb in rising if a.tag < b.tag and engines.risers.apart(a, b)]
    assert apart
    for a, b in apart:
        assert engines.traps[a.tag].takeoff != engines.traps[b.tag].takeoff


def test_vents_rise_to_where_they_may_turn_and_are_clamped(engines) -> None:
    held = engines.design.fabrication.hangers
    for s, trap in engines.rising():
        up, down = engines.way(trap.takeoff, "vent"), engines.way(trap.takeoff, "drain")
        if s.vent is not None and not s.valve:
            assert max(engines.at(p.end).z for p in up) >= s.vent[1] - 1.0, s.tag
        if engines.risers.drop_clamp(s) > 0.0:
            assert [h for h in held if h.kind == "clamp" and h.pipe in {p.id for p in down}], s.tag
    for _, size, end in engines.vents.stretches()[:1]:
        ends = [p for p in engines.net.vents() if engines.net.node(p.end).kind is PointKind.TERMINAL]
        assert all(p.b.z >= end - 1.0 for p in ends)
        assert max(p.size_in for p in ends) >= size


def test_vents_that_pass_a_floor_are_clamped_there(engines) -> None:
    """A clamp stands at most a hand below or above the floor (`fabrication.supports`)."""
    clamps = [h for h in engines.design.fabrication.hangers if h.kind == "clamp"]
    floors = [v.subfloor_z_mm for v in engines.design.house.levels if v.kind == "frame"]
    for low, _, end in engines.vents.stretches():
        for z in (z for z in floors if low < z < end):
            vents = {p.id for p in engines.net.vents() if p.vertical and p.a.z < end and p.b.z > low}
            assert [h for h in clamps if h.pipe in vents and abs(h.at.z - z) < 1.0], z


def test_a_drop_goes_through_its_plate_or_pays_otherwise(engines) -> None:
    for s, trap in engines.rising():
        down = engines.way(trap.takeoff, "drain")
        plates = [b for b in engines.design.fabrication.bores if b.pipe in {p.id for p in down}]
        up = engines.way(trap.takeoff, "vent")
        leans = sum("bend" in f for p in up for f in engines.patterns(p.end))
        valve = any("air admittance valve" in engines.patterns(p.end) for p in up)
        assert any(b.member_kind == "bottom plate" for b in plates) or leans >= 2 or valve, s.tag


def test_a_closet_begins_with_flange_and_bend(engines) -> None:
    closets = [s for s in engines.fixtures if s.need.closet]
    assert closets
    for s in closets:
        here = engines.patterns(engines.traps[s.tag].weir)
        assert "closet flange" in here
        assert any("bend" in f for f in here), s.tag


def test_drains_of_the_lowest_storey_lie_in_eight_directions(engines) -> None:
    for p in engines.net.drains():
        along = math.degrees(math.atan2(p.b.y - p.a.y, p.b.x - p.a.x)) % 45.0
        assert p.vertical or p.slope <= STEEPEST + 1e-9, p.id
        if p.place.kind in LOWEST and not p.vertical and p.plan_mm > 500.0:
            assert min(along, 45.0 - along) <= 2.6, p.id


def test_what_joins_a_lying_drain_does_so_by_a_wye_or_combination(engines) -> None:
    """`Least.lying_branch` reckons with these only, and with two branches at the most."""
    joins = 0
    for f in engines.design.fabrication.fittings:
        pipes = [engines.net.pipe(i) for i in f.pipes if i]
        if (
            len(pipes) > 2
            and all(p.system == "drain" and p.place.kind in LOWEST for p in pipes)
            and not any(p.vertical for p in pipes)
        ):
            joins += 1
            assert "wye" in f.pattern or "combination" in f.pattern, f.pattern
            assert len(f.sizes_in) <= 4
    assert joins > 0
    assert WYE_MAX_DEG < 90.0


def test_the_drain_outside_is_as_large_as_the_book_wants_it(engines) -> None:
    last = [p for p in engines.net.drains() if engines.net.node(p.end).kind is PointKind.SEWER]
    assert last
    assert min(p.size_in for p in last) >= trunk_in(engines.fixtures, engines.design.book)
