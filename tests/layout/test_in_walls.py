"""A drop that goes on through the studs of a wall below a closed ceiling.

Origin: the framing of house 04 by hand; whole layouts against each other.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import get_args

import pytest
from laid_out import laid_out_once

from stubout import laying, run
from stubout.change.refine import choosing
from stubout.job.papers import Drawn
from stubout.layout.choices import ORDERS
from stubout.layout.engine import Known
from stubout.layout.model import Layout, Role
from stubout.layout.space import IN_WALL_MM
from stubout.layout.space_below import ROOM_OF_BEND_MM
from stubout.layout.work import Work

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def house_04(desk_of: Callable[[str], Work]) -> Work:
    return desk_of("04-stacked-baths")


def _bath_wall(desk: Work):
    """Return the layer of walls below the upper floor, and a wall in it with three bays in a row."""
    (layer,) = desk.space.wall_layers(desk.house.level("upper"))
    below = desk.space.level_below(layer.level)
    refs = {r.ref for r in layer.regions}
    wall = next(w for w in desk.space.walls_of(below) if w.id in refs and w.depth_mm > 130 and len(w.bays) > 3)
    return layer, wall


def test_a_leg_bores_the_studs_between_its_ends_and_lies_below_the_plates(house_04):
    layer, wall = _bath_wall(house_04)
    g = house_04.gauge(1.5)
    first, second = wall.bays[1], wall.bays[3]
    ends = [wall.point(b.middle_mm, 0.0) for b in (first, second)]
    leg = house_04.space.leg(layer, *((p.x, p.y) for p in ends), g)
    between = [s for s in wall.studs if first.middle_mm < s.station_mm < second.middle_mm]
    assert leg.bores == len(between) == 2
    assert leg.place.kind == "wall"
    assert leg.place.ref == wall.id
    plates = wall.top_z_mm - wall.top_plate_mm
    assert leg.spans[0].hi == pytest.approx(plates - 3.0 - 2 * g.r - ROOM_OF_BEND_MM)
    assert leg.spans[0].lo == pytest.approx(plates - IN_WALL_MM + g.r)


def test_no_pipe_as_large_as_a_stack_goes_through_studs(house_04):
    """The plates are opened for it at a stack only."""
    layer, wall = _bath_wall(house_04)
    a, b = (wall.point(wall.bays[i].middle_mm, 0.0) for i in (1, 2))
    assert house_04.space.leg(layer, (a.x, a.y), (b.x, b.y), house_04.gauge(3.0)) is None


def test_beside_the_wall_or_out_of_it_there_is_no_leg(house_04):
    layer, wall = _bath_wall(house_04)
    g = house_04.gauge(1.5)
    a = wall.point(wall.bays[1].middle_mm, 0.0)
    b = wall.point(wall.bays[1].middle_mm, 0.0, 400.0)
    c = wall.point(wall.bays[2].middle_mm, 0.0, wall.depth_mm / 2 - g.r)
    d = wall.point(wall.bays[1].middle_mm, 0.0, wall.depth_mm / 2 - g.r)
    assert house_04.space.leg(layer, (a.x, a.y), (b.x, b.y), g) is None
    assert house_04.space.leg(layer, (c.x, c.y), (d.x, d.y), g) is None, "its hubs would stand out of the wall"


def test_no_stud_that_may_not_lose_the_hole(house_04):
    layer, wall = _bath_wall(house_04)
    a, b = (wall.point(wall.bays[i].middle_mm, 0.0) for i in (1, 2))
    thick = replace(house_04.gauge(1.5), hole_mm=house_04.demands.stud_limit(wall) + 1.0)
    fresh = type(house_04.space)(house_04.house, (), (), house_04.demands.stud_limit)
    assert fresh.leg(layer, (a.x, a.y), (b.x, b.y), thick) is None


def test_where_nothing_or_an_open_space_lies_below_there_are_no_such_walls(desk_of):
    """House 03 stands over a crawl space, the main floor of 01 over a basement: pipes hang under their joists."""
    for name in ("03-crawlspace-cottage", "01-two-storey-basement"):
        desk = desk_of(name)
        assert not desk.space.wall_layers(desk.house.level("main"))


def test_a_house_says_whether_its_drops_could_and_every_order_has_its_twin():
    assert set(get_args(Drawn)) == set(ORDERS), "the file names every order"
    for word, order in ORDERS.items():
        assert order.in_walls == word.endswith("through walls")
        assert replace(order, in_walls=not order.in_walls) in ORDERS.values()
    for name, could in (("04-stacked-baths", True), ("02-slab-bungalow", False)):
        known = Known()
        laying.lay(run.read(str(EXAMPLES / f"{name}.yaml")), None, known)
        assert known.walls is could


def test_two_baths_stacked_cost_less_with_drops_that_go_on_through_walls():
    """House 04: nothing is found either way; a branch lies in the wall of the lower bath."""
    job = run.read(str(EXAMPLES / "04-stacked-baths.yaml"))
    floors = run.whole(run.lay(job))
    best = laid_out_once(job)
    assert not best.trial.blocked
    assert not best.trial.findings
    assert best.trial.cost_min < 0.95 * floors.trial.cost_min
    lower = {w.id for w in best.design.house.walls if w.level_id != "upper"}
    at = {p.id: p.at for p in best.laid.layout.points}
    lying = [
        r for r in best.laid.layout.runs if r.system == "drain" and r.place.kind == "wall" and r.place.ref in lower
    ]
    assert any(abs(at[r.start].z - at[r.end].z) < 0.1 * at[r.start].to(at[r.end]) and r.size_in < 3.0 for r in lying)


def test_what_is_not_to_go_through_walls_stays_between_the_joists():
    """House 04, drawn through walls: each drain that lay in a wall is told not to and lies there no more."""
    job = run.read(str(EXAMPLES / "04-stacked-baths.yaml"))
    drawn = choosing(job, ({"drawn": "through walls"},))
    lying = _in_walls(laying.lay(drawn).layout)
    assert lying
    for tag in sorted(lying):
        without = choosing(job, ({"drawn": "through walls"}, {"fixture": tag, "not through walls": "yes"}))
        assert tag not in _in_walls(laying.lay(without).layout)


def _in_walls(layout: Layout) -> set[str]:
    """Return the fixtures whose own drains, but their arms, lie level in a wall."""
    at = {p.id: p.at for p in layout.points}
    return {
        r.tag
        for r in layout.runs
        if r.tag and r.system == "drain" and r.role is Role.BRANCH and r.place.kind == "wall"
        and abs(at[r.start].z - at[r.end].z) < 0.1 * at[r.start].to(at[r.end])
    }  # fmt: skip
