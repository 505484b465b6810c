"""Partly drawn systems: what is drawn stays, the engine adds the rest and joins it to what is there."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from stubout.files.books import load_book
from stubout.files.jobs import read_job
from stubout.geometry.vec import Vec
from stubout.house.facts import RouteLeg
from stubout.house.resolve import resolve
from stubout.layout.model import PointKind, Role, VentMethod
from stubout.network.build import build, faults_of

BATHS = Path(__file__).parents[2] / "examples" / "04-stacked-baths.yaml"
STOREYS = Path(__file__).parents[2] / "examples" / "03-crawlspace-cottage.yaml"


def off_mm(p, a, b):
    """Return the distance from a point to a straight piece [mm]."""
    d = b.minus(a)
    t = min(max(p.minus(a).dot(d.unit()), 0.0), d.length)
    return p.to(a.plus(d.unit().times(t)))


def assert_kept(house, layout):
    """Every drawn point is there to the last digit, every drawn run lies on its route, in its size, under its name."""
    at = {p.id: p.at for p in layout.points}
    places = {tuple(p) for p in at.values()}
    for leg in house.routes:
        assert {tuple(p) for p in leg.points} <= places
        runs = [r for r in layout.runs if r.drawn and r.id in (leg.id, *(f"{leg.id}.{k}" for k in range(1, 30)))]
        length = sum(a.to(b) for a, b in zip(leg.points, leg.points[1:], strict=False))
        assert sum(at[r.start].to(at[r.end]) for r in runs) == pytest.approx(length, abs=0.01)
        for r in runs:
            assert leg.size_in == r.size_in
            pieces = zip(leg.points, leg.points[1:], strict=False)
            assert any(max(off_mm(at[r.start], a, b), off_mm(at[r.end], a, b)) < 0.01 for a, b in pieces)
    assert len({r.id for r in layout.runs}) == len(layout.runs)


def test_a_sink_is_completed(house, draw):
    bare = draw.no_kitchen(house)
    out = draw.laid(bare)
    assert out.blocked == ()
    assert faults_of(out) == ()
    assert_kept(bare, out)
    sink = next(t for t in out.traps if t.tag == "KS")
    assert sink.method is VentMethod.INDIVIDUAL
    assert sink.arm_runs
    assert sink.vent_runs
    runs = {r.id: r for r in out.runs}
    assert not any(runs[i].drawn for i in (*sink.arm_runs, *sink.vent_runs))
    others = {p.id: p for p in draw.laid(house).points}
    for p in out.points:  # every point that both drawings share is the same to the last byte
        if p.id in others and not p.id.startswith("N"):
            assert p.at == others[p.id].at


def test_the_others_are_trapped_as_in_the_whole_drawing(house, draw):
    whole = {t.tag: t for t in draw.laid(house).traps}
    for t in draw.laid(draw.no_kitchen(house)).traps:
        if t.tag != "KS":
            assert (t.weir, t.takeoff, t.arm_runs, t.method) == (
                whole[t.tag].weir, whole[t.tag].takeoff, whole[t.tag].arm_runs, whole[t.tag].method,
            )  # fmt: skip


def test_the_sink_joins_the_drawn_building_drain_at_its_height(house, draw):
    bare = draw.no_kitchen(house)
    out = draw.laid(bare)
    at = {p.id: p.at for p in out.points}
    into = {r.end for r in out.runs if r.system == "drain" and not r.drawn} & {
        r.start for r in out.runs if r.drawn and r.id.startswith("BD")
    }
    assert into
    legs = next(g for g in bare.routes if g.id == "BD").points
    for node in into:
        assert min(off_mm(at[node], a, b) for a, b in pairwise(legs)) < 0.01


def test_only_the_building_drain_is_drawn(house, draw):
    bare = draw.only(house, "BD")
    out = draw.laid(bare)
    assert out.blocked == ()
    assert faults_of(out) == ()
    assert_kept(bare, out)
    assert {t.tag for t in out.traps} == {"BT1", "KS", "LV1", "WC1"}
    assert all(t.method is not VentMethod.NONE for t in out.traps)
    assert [p.id for p in out.points if p.kind is PointKind.SEWER] == ["BD@4"]
    assert {r.role for r in out.runs if r.drawn} <= {Role.BUILDING_DRAIN, Role.SEWER, Role.BRANCH}


def test_all_vents_are_added(house, draw):
    bare = replace(house, routes=tuple(g for g in house.routes if g.system == "drain"))
    out = draw.laid(bare)
    assert out.blocked == ()
    assert faults_of(out) == ()
    assert_kept(bare, out)
    whole = {t.tag: t for t in draw.laid(house).traps}
    for t in out.traps:
        assert t.arm_runs == whole[t.tag].arm_runs
        assert t.takeoff == whole[t.tag].takeoff
        assert t.vent_runs
    assert all(r.drawn == (r.system == "drain") for r in out.runs)


def test_a_vent_that_lacks_is_added_and_ties_into_the_drawn_ones(house, draw):
    bare = draw.without(house, "V-BT1")
    out = draw.laid(bare)
    assert out.blocked == ()
    assert faults_of(out) == ()
    assert_kept(bare, out)
    tub = next(t for t in out.traps if t.tag == "BT1")
    assert tub.vent_runs
    assert tub.takeoff
    assert sum(p.kind is PointKind.TERMINAL for p in out.points) == 1


def test_no_wall_over_a_drawn_arm_is_told(house, draw):
    """The tub's arm turned away from the wall: nothing is moved, and the engine says why it gives it no vent."""
    arm = next(g for g in house.routes if g.id == "A-BT1").points
    drop = next(g for g in house.routes if g.id == "D-BT1").points
    west = arm[0].plus(arm[0].minus(arm[1]))
    bad = draw.changed(draw.without(house, "V-BT1"), "A-BT1", points=(arm[0], west.at_z(arm[1].z)))
    bad = draw.changed(bad, "D-BT1", points=(west.at_z(drop[0].z), west.at_z(drop[1].z), *drop[2:]))
    out = draw.laid(bad)
    assert any(b.about == ("BT1",) and "no free bay" in b.constraint for b in out.blocked)
    assert_kept(bad, out)


def test_same_input_same_layout(house, draw):
    for bare in (draw.no_kitchen(house), draw.only(house, "BD")):
        assert draw.laid_anew(bare) == draw.laid_anew(bare)


def test_a_route_may_bear_a_name_of_the_engine(house, draw):
    bare = draw.only(house, "BD")
    named = draw.changed(bare, "BD", id="D1")
    out = draw.laid(named)
    assert_kept(named, out)


def test_any_part_of_the_drawing_is_kept(house, draw):
    """Twenty parts drawn at random from a fixed seed: no exception, nothing moved, a network can be built."""
    rnd = random.Random(11)
    book = load_book(house.job.book_id)
    for _ in range(20):
        part = replace(house, routes=tuple(g for g in house.routes if rnd.random() < 0.6))
        out = draw.laid(part)
        assert_kept(part, out)
        build(out, part, book)


def test_a_drawn_stack_takes_in_an_upper_floor(draw):
    """Building drain and stacks as the engine laid them out, drawn by hand: the rest joins them and they stay."""
    house = resolve(read_job(str(STOREYS)))[0]
    layout = draw.laid(house)
    at = {p.id: p.at for p in layout.points}
    roles = (Role.STACK, Role.BUILDING_DRAIN, Role.SEWER)
    runs = {r.start: r for r in layout.runs if r.system == "drain" and r.role in roles}
    legs = tuple(
        RouteLeg(f"R{r.id}", "drain", (at[r.start], at[r.end]), r.size_in,
                 joins=f"R{runs[r.end].id}" if r.end in runs else "sewer")
        for r in runs.values()
    )  # fmt: skip
    drawn = replace(house, routes=legs)
    out = draw.laid(drawn)
    assert_kept(drawn, out)
    assert {t.tag for t in out.traps} == {t.tag for t in layout.traps}


def test_an_old_stack_vent_takes_in_vents_in_every_wall_that_it_stands_in(draw):
    """One run from the old stack's top through both storeys: into the upper wall too, though it is named by the lower.

    The stack ends under the lower floor, as that of a house with a bath on the ground; the baths above are new.
    """
    house = resolve(read_job(str(BATHS)))[0]
    layout = draw.laid(house)
    at = {p.id: p.at for p in layout.points}
    down = {r.start: r for r in layout.runs if r.system == "drain"}
    stack = next(r for r in layout.runs if r.role is Role.STACK and r.size_in == 3.0)
    points = [at[stack.end]]
    node = stack.end
    while node in down:
        node = down[node].end
        points.append(at[node])
    foot = at[stack.end]
    top, out = foot.plus(Vec(0.0, 0.0, -100.0 - foot.z)), foot.plus(Vec(0.0, 0.0, 6460.0 - foot.z))
    old = {"installed": "old", "material": "cast iron"}
    legs = (
        RouteLeg("BD", "drain", tuple(points), 4.0, joins="sewer", **old),
        RouteLeg("S1", "drain", (top, foot), 4.0, joins="BD", **old),
        RouteLeg("SV", "vent", (top, out), 4.0, **old),
    )
    drawn = replace(house, routes=legs)
    made = draw.laid(drawn)
    upper = house.wall("UP")
    ties = [p.at for p in made.points if p.kind is PointKind.TIE_IN and p.at.to(foot) - abs(p.at.z - foot.z) < 1.0]
    assert any(upper.bottom_z_mm < p.z < upper.top_z_mm for p in ties)
    assert [p.id for p in made.points if p.kind is PointKind.TERMINAL] == ["SV@1"]
    assert {r.material for r in made.runs if r.said == "installed"} == {"cast iron"}
