"""Cutting the layout: names, lengths, lists of the traps; hand-drawn parts stay; the whole houses come out clean."""

from __future__ import annotations

import pytest
from laid_out import design_named

from stubout import run
from stubout.fabrication.build import fabricate
from stubout.files.books import load_book
from stubout.geometry.vec import Vec
from stubout.layout.cleanout_draft import Draft
from stubout.layout.cleanouts import with_cleanouts
from stubout.layout.model import PointKind, Role
from stubout.network.build import build, faults_of
from stubout.sizing.size import size

BOOKS = ("npc-2020", "upc-2021", "ipc-2021")


def length(layout, ids):
    at = {p.id: p.at for p in layout.points}
    return sum(at[r.start].to(at[r.end]) for r in layout.runs if ids(r))


def test_a_cut_run_keeps_its_name_above_and_gets_a_b_below(scene):
    d = Draft(scene().layout())
    node = d.new_point(Vec(2000.0, 8000.0, 300.0), PointKind.CLEANOUT)
    d.split("D", node)
    assert (d.runs["D"].start, d.runs["D"].end) == ("TO", node)
    assert (d.runs["Db"].start, d.runs["Db"].end) == (node, "H")
    assert list(d.runs).index("Db") == list(d.runs).index("D") + 1
    assert d.traps[0].wet_through == ("Db", "D")  # from the junction upwards
    d.join(node)
    assert d.runs == {r.id: r for r in scene().layout().runs}
    assert d.traps == list(scene().layout().traps)
    assert node not in d.points


def test_the_ways_along_the_pipe(scene):
    d = Draft(scene().layout())
    dist = d.distances("C", 4000.0)
    assert dist["H"] == pytest.approx(3000.0, abs=2.0)
    assert dist["J"] == pytest.approx(2000.0, abs=2.0)
    assert "S1" not in dist
    assert {h.id for h in d.heads()} == {"B1", "T1"}


@pytest.mark.parametrize("book_id", BOOKS)
def test_nothing_moves_and_the_graph_stays_whole(scene, house, fixture_, kinds, book_id):
    before = scene().layout()
    h = house(fixtures=(fixture_("F", kinds.KITCHEN_SINK),))
    book = load_book(book_id)
    got = with_cleanouts(before, h, book)
    assert length(got, lambda r: r.role is not Role.CLEANOUT_EXT) == pytest.approx(
        length(before, lambda r: True), abs=0.1
    )
    assert set(before.points) - set(got.points) == {
        p for p in before.points if any(c.point == p.id and p.kind is PointKind.TURN for c in got.cleanouts)
    }
    assert len({r.id for r in got.runs}) == len(got.runs)
    assert len({p.id for p in got.points}) == len(got.points)
    assert faults_of(got) == faults_of(before)
    assert [c.id for c in got.cleanouts] == [f"CO{i}" for i in range(1, len(got.cleanouts) + 1)]
    ids = {r.id for r in got.runs}
    for t in got.traps:
        assert {*t.arm_runs, *t.vent_runs, *t.wet_through} <= ids
    assert with_cleanouts(before, h, book) == got


def test_arms_are_never_cut(scene, house, fixture_, kinds):
    for book_id in BOOKS:
        got = with_cleanouts(scene().layout(), house(fixtures=(fixture_("F", kinds.SINK),)), load_book(book_id))
        assert [r.id for r in got.runs if r.role is Role.TRAP_ARM] == ["A"]


def test_a_second_pass_adds_nothing(scene, house, fixture_, kinds, upc):
    h = house(fixtures=(fixture_("F", kinds.LAVATORY),))
    once = with_cleanouts(scene().layout(), h, upc)
    twice = with_cleanouts(once, h, upc)
    assert twice.points == once.points
    assert twice.runs == once.runs
    assert [c.point for c in twice.cleanouts] == [c.point for c in once.cleanouts]


def test_a_drawn_cleanout_gets_its_plan_and_drawn_pipe_is_left_alone(sketch, house, upc):
    k = sketch().point("CO@0", 4000, -600, -150, PointKind.CLEANOUT).point("J", 4000, -600, -520, PointKind.JUNCTION)
    k.point("H", 4000, 9000, -300).point("E", 4000, -6000, -650, PointKind.SEWER)
    k.run("X", "CO@0", "J", 3.0, Role.CLEANOUT_EXT, "buried", drawn=True)
    k.run("D1", "H", "J", 3.0, Role.BUILDING_DRAIN, drawn=True).run(
        "D2", "J", "E", 3.0, Role.SEWER, "buried", drawn=True
    )
    got = with_cleanouts(k.layout(), house(), upc)
    assert got.runs == k.layout().runs
    assert got.points == k.layout().points
    (plan,) = got.cleanouts
    assert plan.point == "CO@0"
    assert plan.opens == Vec(0.0, 0.0, 1.0)
    assert "D2, drawn by hand" in plan.serves
    assert any("upper end of D1" in q.text for q in got.questions)  # said, not drawn into somebody's drawing


def test_the_sewer_cleanout_is_fabricated_as_a_two_way_tee(scene, house, fixture_, kinds, upc):
    h = house(fixtures=(fixture_("F", kinds.LAVATORY),))
    framing = load_book("irc-framing-2021")
    got = with_cleanouts(scene().layout(), h, upc)
    network, _ = size(build(got, h, upc), got, h, upc, framing)
    fab = fabricate(network, got, h, upc, framing)
    tees = [f for f in fab.fittings if f.pattern == "two-way cleanout tee"]
    assert len(tees) == 1
    plugs = [f for f in fab.fittings if f.pattern == "cleanout adapter"]
    assert len(plugs) == len(got.cleanouts)
    mine = {f.id for f in (*tees, *plugs)}
    assert all(p.fits for p in fab.pieces if {p.start_fitting, p.end_fitting} & mine)


@pytest.mark.parametrize("name", ["02", "03", "drawn-bath"])
def test_the_example_houses_are_clean_or_ask(name):
    finished = design_named(name)
    open_now = [f for f in run.check(finished).findings if f.check.startswith("CLO")]
    asked = {a for q in finished.questions if q.id.endswith("-cleanout") for a in q.about}
    assert [f for f in open_now if not asked & set(f.about) and not any(a in f.found for a in asked)] == []
    assert finished.cleanouts
