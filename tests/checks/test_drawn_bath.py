"""The hand-drawn example: silent as drawn, and one finding of the right kind for every fault seeded into it.

The routes are spoiled in the house, and network, sizes and fabrication are made anew, so that a check sees what it
would see if the plumber had drawn it so.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from stubout import run
from stubout.checks.registry import by_id, run_all
from stubout.design import Design
from stubout.fabrication.build import fabricate
from stubout.files.books import load_book
from stubout.files.jobs import read_job
from stubout.geometry.vec import Box, Vec
from stubout.house.model import Obstacle
from stubout.house.resolve import resolve
from stubout.layout.drawn import drawn_runs
from stubout.layout.model import CleanoutPlan, Layout, PointKind
from stubout.network.build import build
from stubout.sizing.size import size

JOB = Path(__file__).parents[2] / "examples" / "drawn-bath.yaml"
IN = 25.4


@pytest.fixture(scope="module")
def house():
    return resolve(read_job(str(JOB)))[0]


def finish(house) -> Design:
    """Return the design of hand-drawn routes, without the layout engine."""
    book, framing = load_book(house.job.book_id, house.amendments), load_book(house.job.framing_id)
    points, runs, traps, blocked = drawn_runs(house)
    plans = tuple(
        CleanoutPlan(p.id, p.id, 3.0, Vec(0, 0, 1), 609.6, "building drain, two-way", "yard")
        for p in points
        if p.kind == PointKind.CLEANOUT
    )
    layout = Layout(points, runs, traps, (), plans, blocked)
    network, derivations = size(build(layout, house, book), layout, house, book, framing)
    fabrication = fabricate(network, layout, house, book, framing)
    return Design(house, book, framing, network, (), plans, fabrication, derivations, (), blocked)


def moved(house, leg_id, index, dx=0.0, dy=0.0, dz=0.0):
    """Return the house with every drawn point that lies where one point lies moved by so many mm."""
    old = next(leg for leg in house.routes if leg.id == leg_id).points[index]
    new = Vec(old.x + dx, old.y + dy, old.z + dz)
    legs = tuple(replace(leg, points=tuple(new if p.to(old) < 1.0 else p for p in leg.points)) for leg in house.routes)
    return replace(house, routes=legs)


def changed(house, leg_id, **kw):
    """Return the house with one route changed."""
    return replace(house, routes=tuple(replace(g, **kw) if g.id == leg_id else g for g in house.routes))


def without(house, *leg_ids):
    """Return the house without some routes."""
    return replace(house, routes=tuple(g for g in house.routes if g.id not in leg_ids))


def judge(house):
    """Return the ids of all findings."""
    findings, _ = run_all(finish(house))
    return {f.check for f in findings}


def test_drawn_bath_is_silent(house):
    findings, silent = run_all(finish(house))
    assert [(f.check, f.about, f.found) for f in findings] == []
    assert all(n.reason for n in silent)


def test_whole_chain_is_silent_on_it():
    """The same job through every stage, layout engine included: nothing to stop for and nothing to fix."""
    findings, _ = run_all(run.design(read_job(str(JOB))))
    assert [(f.check, f.about, f.found) for f in findings] == []


def box(house, leg_id, index, kind="duct", r=20.0):
    p = next(leg for leg in house.routes if leg.id == leg_id).points[index]
    o = Obstacle("OX", "duct", Box(Vec(p.x - r, p.y - r, p.z + 300 - r), Vec(p.x + r, p.y + r, p.z + 300 + r)), kind)
    return replace(house, obstacles=(*house.obstacles, o))


def beside(house, leg_id, mm):
    """Return the house with a route that ends so far beside the drain it should join."""
    leg = next(g for g in house.routes if g.id == leg_id)
    return changed(house, leg_id, points=(*leg.points[:-1], leg.points[-1].plus(Vec(mm, 0, 0))))


SEEDED = {
    "arm falls the wrong way": (lambda h: moved(h, "A-LV1", 0, dz=-12), "ARM005"),
    "arm too flat": (lambda h: moved(h, "A-LV1", 0, dz=-3), "ARM004"),
    "arm falls too much": (lambda h: moved(h, "A-LV1", 0, dz=40), "ARM003"),
    "arm too long": (lambda h: moved(h, "A-KS", 0, dx=900, dz=19), "ARM001"),
    "stub too high": (lambda h: moved(moved(h, "A-KS", 0, dz=300), "A-KS", 1, dz=300), "STB001"),
    "vent left out": (lambda h: without(h, "V-LV1"), "VNT001"),
    "vent left out: an S-trap": (lambda h: without(h, "V-LV1"), "TRP001"),
    "tie-in below the rim": (lambda h: moved(moved(h, "V-KS", 1, dz=-350), "V-KS", 2, dz=-350), "VNT003"),
    "kitchen drain in 1-1/2": (lambda h: changed(h, "D-KS", size_in=1.5), "DRN014"),
    "closet stack in 2 in": (lambda h: changed(h, "S1", size_in=2.0), "DRN014"),
    "vent in 1-1/4": (lambda h: changed(h, "V-WC1", size_in=1.25), "DRN014"),
    "building drain too flat": (lambda h: moved(h, "BD", 0, dz=-12), "DRN007"),
    "sewer not met": (lambda h: replace(h, sewer=replace(h.sewer, at=h.sewer.at.plus(Vec(0, 0, 40)))), "SEW001"),
    "duct in the way": (lambda h: box(h, "V-KS", 0), "CLA001"),
    "flange off its mark": (lambda h: moved(moved(h, "A-WC1", 0, dx=-60), "A-WC1", 1, dx=-60), "FLG002"),
    "flange under the floor": (lambda h: moved(h, "A-WC1", 0, dz=-20), "FLG001"),
    "riser in a stud": (lambda h: moved(moved(h, "A-LV1", 1, dy=203), "D-LV1", 1, dy=203), "FRM007"),
    "vent ends in the attic": (lambda h: moved(h, "V-WC1", -1, dz=-700), "VNT009"),
    "terminal too low": (lambda h: moved(h, "V-WC1", -1, dz=-250), "TRM001"),
    "cleanout left out": (lambda h: without(h, "CO1"), "CLO004"),
    "branch beside the drain": (lambda h: beside(h, "D-LV1", 20.0), "DRN010"),
}  # fmt: skip


@pytest.mark.parametrize("fault", SEEDED)
def test_seeded_fault_is_found(house, fault):
    spoil, wanted = SEEDED[fault]
    assert wanted in judge(spoil(house))


# counter and rim of KS 36 in, and 6 in above the flood rim by the book: 42 in above the finished floor
@pytest.mark.parametrize(("above_in", "hits"), [(41.0, 1), (41.8, 1), (42.2, 0), (50.0, 0)])
def test_vent_bend_by_the_rim(house, above_in, hits):
    """A job file names no bends, so the drainage bend at the turn of V-KS is exchanged in the list of fittings."""
    body = house.fixture("KS")
    leg = next(g for g in house.routes if g.id == "V-KS")
    dz = body.finished_z_mm + above_in * IN - leg.points[1].z
    made = finish(moved(house, "V-KS", 1, dz=dz))
    turn = min(made.network.nodes, key=lambda n: n.at.to(leg.points[1].plus(Vec(0, 0, dz))))
    assert by_id("FIT007").run(made)[0] == ()
    fittings = tuple(replace(u, pattern="vent 1/4 bend") if u.node == turn.id else u for u in made.fabrication.fittings)
    assert fittings != made.fabrication.fittings
    swapped = replace(made, fabrication=replace(made.fabrication, fittings=fittings))
    assert len(by_id("FIT007").run(swapped)[0]) == hits


@pytest.mark.parametrize(("size", "hits"), [(1.5, 1), (2.0, 0), (None, 0)])
def test_drawn_size_of_the_kitchen_drain(house, size, hits):
    """UPC 702.1: a kitchen sink with disposer or dishwasher asks for 2 in beyond the trap arm (read)."""
    found = by_id("DRN014").run(finish(changed(house, "D-KS", size_in=size)))[0]
    assert len([f for f in found if f.about[0] == "D-KS"]) == hits
