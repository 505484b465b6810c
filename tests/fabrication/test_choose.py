"""Which fitting stands where: orientation, double patterns, stack foot, size changes, open ends."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stubout.fabrication.build import fabricate_network
from stubout.fabrication.ends import FIXTURE_ROLES, turn_word
from stubout.fabrication.joined import rule_of
from stubout.files.books import book_ids, load_book
from stubout.geometry.vec import Vec
from stubout.house.model import HouseFixture
from stubout.kinds import FixtureKind
from stubout.layout.model import CleanoutPlan, PointKind, Role


def patterns(fab, node):
    return [f.pattern for f in fab.fittings if f.node == node]


def make(p, house_, book, framing, **kw):
    return fabricate_network(p.network(), house_, book, framing, **kw)


def test_arm_into_a_drain_with_its_vent_is_a_sanitary_tee(plot, bath_plot, house, npc, nbc_framing):
    fab = make(bath_plot(plot), house(), npc, nbc_framing)
    tee = next(f for f in fab.fittings if f.node == "take" and f.pattern == "sanitary tee")
    assert tee.pipes == ("V1", "D1", "A2")  # upper vent, lower drain, branch arm
    assert tee.sizes_in == (2.0, 2.0, 1.5)
    bushing = next(f for f in fab.fittings if f.node == "take" and f.pattern == "bushing")
    assert bushing.sizes_in == (2.0, 1.5)  # the vent is smaller than the tee's run
    assert bushing.pipes == ("V1",)


def test_what_stands_at_the_ends(plot, bath_plot, house, npc, nbc_framing):
    fab = make(bath_plot(plot), house(), npc, nbc_framing)
    assert patterns(fab, "flange") == ["closet flange"]
    assert patterns(fab, "weir") == ["P-trap"]
    assert patterns(fab, "sewer") == ["coupling"]
    assert patterns(fab, "roof") == ["vent flashing"]
    terminal = [x for x in fab.pieces if "V2" in x.pipes][-1]
    assert terminal.end_fitting == "terminal"
    assert terminal.takeoff_end_mm == 0.0


def test_trap_arm_turn_is_a_short_bend_and_a_main_drain_turn_is_not(plot, house, npc, nbc_framing):
    for role, size, wanted in ((Role.TRAP_ARM, 1.5, "1/4 bend"), (Role.BRANCH, 3.0, "long-turn 1/4 bend")):
        p = plot()
        p.node("a", 0, 0, 0, PointKind.CAP).node("b", 1000, 0, -20).node("c", 1000, 2000, -60, PointKind.SEWER)
        p.pipe("D1", "a", "b", size, role).pipe("D2", "b", "c", size, role)
        assert patterns(make(p, house(), npc, nbc_framing), "b") == [wanted]


def stack_foot(plot, *, cleanout=False):
    p = plot()
    p.node("top", 0, 0, 3000, PointKind.CAP).node("foot", 0, 0, 0, PointKind.STACK_FOOT)
    p.node("end", 3000, 0, -60, PointKind.SEWER)
    p.pipe("S1", "top", "foot", 3.0, Role.STACK).pipe("D1", "foot", "end", 3.0, Role.BUILDING_DRAIN)
    if cleanout:
        p.node("co", -500, 0, 10, PointKind.CLEANOUT)
        p.pipe("X1", "co", "foot", 3.0, Role.CLEANOUT_EXT)
    return p


def test_stack_foot_is_a_long_turn_bend(plot, house, npc, nbc_framing):
    assert patterns(make(stack_foot(plot), house(), npc, nbc_framing), "foot") == ["long-turn 1/4 bend"]


def test_stack_foot_with_a_cleanout_beside_it_is_a_combination(plot, house, npc, nbc_framing):
    fab = make(stack_foot(plot, cleanout=True), house(), npc, nbc_framing)
    foot = next(f for f in fab.fittings if f.node == "foot")
    assert foot.pattern == "combination"
    assert foot.pipes == ("X1", "D1", "S1")
    assert patterns(fab, "co") == ["cleanout adapter"]


def test_cleanout_planned_on_the_foot_itself(plot, house, npc, nbc_framing):
    plan = CleanoutPlan("CO1", "foot", 3.0, Vec(-1, 0, 0), 450.0, "S1", "basement")
    fab = make(stack_foot(plot), house(), npc, nbc_framing, cleanouts=(plan,))
    assert patterns(fab, "foot") == ["combination", "cleanout adapter"]


def test_cleanout_in_a_stack_is_a_tee_with_plug(plot, house, npc, nbc_framing):
    p = plot()
    p.node("top", 0, 0, 3000, PointKind.CAP).node("co", 0, 0, 900, PointKind.CLEANOUT).node(
        "b", 0, 0, 0, PointKind.SEWER
    )
    p.pipe("S1", "top", "co", 3.0, Role.STACK).pipe("S2", "co", "b", 3.0, Role.STACK)
    fab = make(p, house(), npc, nbc_framing)
    assert patterns(fab, "co") == ["cleanout tee", "cleanout adapter"]
    assert {x.pipes for x in fab.pieces} == {("S1",), ("S2",)}


def test_an_opening_between_two_pipe_sizes_takes_the_next_larger_branch(plot, house, npc, nbc_framing):
    """UPC 2021 table 707.1 (secondary) asks for a cleanout of 3-1/2 in on a 4 in drain; pipe has no such size."""
    p = plot()
    p.node("top", 0, 0, 3000, PointKind.CAP).node("co", 0, 0, 900, PointKind.CLEANOUT).node(
        "b", 0, 0, 0, PointKind.SEWER
    )
    p.pipe("S1", "top", "co", 4.0, Role.STACK).pipe("S2", "co", "b", 4.0, Role.STACK)
    plan = CleanoutPlan("CO1", "co", 3.5, Vec(0, 1, 0), 457.0, "stack", "wall")
    fab = make(p, house(), npc, nbc_framing, cleanouts=(plan,))
    tee = next(f for f in fab.fittings if f.pattern == "cleanout tee")
    assert tee.sizes_in == (4.0, 4.0, 4.0)


def level_branch(plot, dx, dy, dz=10.0):
    """A run along x with a branch that comes from (1000 - dx, -dy)."""
    p = plot()
    p.node("a", 0, 0, 20, PointKind.CAP).node("j", 1000, 0, 0, PointKind.JUNCTION)
    p.node("z", 3000, 0, -40, PointKind.SEWER).node("b", 1000 - dx, dy, dz, PointKind.CAP)
    p.pipe("D1", "a", "j", 3.0).pipe("D2", "j", "z", 3.0).pipe("B1", "b", "j", 2.0)
    return p


@pytest.mark.parametrize(
    ("dx", "dy", "dz", "wanted"),
    [
        (0, 1000, 20, "combination"),
        (1000, 1000, 28, "wye"),
        (0, 0, 1000, "combination"),  # vertical into horizontal
        (1000, -1000, 28, "wye"),
    ],
)
def test_branch_into_a_lying_drain(plot, house, npc, nbc_framing, dx, dy, dz, wanted):
    fab = make(level_branch(plot, dx, dy, dz), house(), npc, nbc_framing)
    assert patterns(fab, "j") == [wanted]
    f = next(f for f in fab.fittings if f.node == "j")
    assert f.sizes_in == (3.0, 3.0, 2.0)
    assert f.pipes == ("D1", "D2", "B1")


def test_branch_against_the_flow_says_so(plot, house, npc, nbc_framing):
    fab = make(level_branch(plot, -1000, 1000), house(), npc, nbc_framing)
    assert any("against the flow" in f.note for f in fab.fittings if f.node == "j")


def test_two_arms_face_to_face_are_one_double_fitting(plot, house, npc, nbc_framing):
    p = plot()
    p.node("l", -600, 0, 512, PointKind.TRAP, "L1").node("r", 600, 0, 512, PointKind.TRAP, "L2")
    p.node("t", 0, 0, 500, PointKind.TAKEOFF).node("d", 0, 0, -500, PointKind.SEWER).node(
        "v", 0, 0, 3000, PointKind.TERMINAL
    )
    p.pipe("A1", "l", "t", 1.5, Role.TRAP_ARM).pipe("A2", "r", "t", 1.5, Role.TRAP_ARM)
    p.pipe("D1", "t", "d", 2.0, Role.DRAIN).pipe("V1", "t", "v", 2.0, Role.VENT)
    fab = make(p, house(), npc, nbc_framing)
    assert patterns(fab, "t") == ["double sanitary tee"]
    assert fab.fittings[2].sizes_in == (2.0, 2.0, 1.5, 1.5)


def test_two_arms_square_to_each_other_take_a_side_inlet(plot, house, npc, nbc_framing):
    p = plot()
    p.node("l", -600, 0, 512, PointKind.TRAP, "L1").node("r", 0, 600, 512, PointKind.TRAP, "L2")
    p.node("t", 0, 0, 500, PointKind.TAKEOFF).node("d", 0, 0, -500, PointKind.SEWER).node(
        "v", 0, 0, 3000, PointKind.TERMINAL
    )
    p.pipe("A1", "l", "t", 1.5, Role.TRAP_ARM).pipe("A2", "r", "t", 1.5, Role.TRAP_ARM)
    p.pipe("D1", "t", "d", 2.0, Role.DRAIN).pipe("V1", "t", "v", 2.0, Role.VENT)
    assert patterns(make(p, house(), npc, nbc_framing), "t") == ["side-inlet sanitary tee"]


def test_vent_tie_in_is_an_inverted_tee_with_its_long_end_up(plot, house, npc, nbc_framing):
    p = plot()
    p.node("a", 0, 0, 0, PointKind.CAP).node("b", -1500, 0, 1975, PointKind.CAP)
    p.node("t", 0, 0, 2000, PointKind.TIE_IN).node("top", 0, 0, 5000, PointKind.TERMINAL)
    p.pipe("V1", "a", "t", 2.0, Role.VENT).pipe("V2", "b", "t", 1.5, Role.VENT).pipe(
        "V3", "t", "top", 2.0, Role.STACK_VENT
    )
    fab = make(p, house(), npc, nbc_framing)
    tee = next(f for f in fab.fittings if f.node == "t")
    assert tee.pattern == "inverted sanitary tee"
    assert tee.pipes == ("V1", "V3", "V2")
    up = next(x for x in fab.pieces if "V3" in x.pipes)
    down = next(x for x in fab.pieces if "V1" in x.pipes)
    assert up.takeoff_start_mm > down.takeoff_end_mm


def test_size_changes(plot, house, npc, nbc_framing):
    p = plot()
    p.node("a", 0, 0, 0, PointKind.CAP).node("r", 0, 0, 2000, PointKind.REDUCER).node(
        "t", 0, 0, 4000, PointKind.TERMINAL
    )
    p.pipe("V1", "a", "r", 1.5, Role.VENT).pipe("V2", "r", "t", 3.0, Role.STACK_VENT)
    fab = make(p, house(), npc, nbc_framing)
    assert patterns(fab, "r") == ["reducing coupling"]
    assert next(f for f in fab.fittings if f.node == "r").sizes_in == (1.5, 3.0)


def test_closet_turn_follows_the_book(plot, bath_plot, house, npc, nbc_framing):
    assert patterns(make(bath_plot(plot), house(), npc, nbc_framing), "bend")[0] in (
        "closet bend",
        "long-turn 1/4 bend",
    )


def test_no_book_forbids_what_was_chosen(plot, bath_plot, house, nbc_framing):
    # every drain turn of the sample bath, asked back of every shipped book: none is refused
    for book_id in book_ids():
        book = load_book(book_id)
        if book.family == "framing":
            continue
        p = bath_plot(plot)
        net = p.network()
        for f in make(p, house(), book, nbc_framing).fittings:
            drains = [net.pipe(i) for i in f.pipes if i and net.pipe(i).system == "drain"]
            for into in drains:
                for out in drains:
                    if into.end != out.start or into.end != f.node:
                        continue
                    if into.vertical and out.vertical:
                        continue
                    word = turn_word(into, out)
                    assert rule_of(book)(f.pattern, word, into.size_in, into.role in FIXTURE_ROLES), (book_id, f)


def test_bend_under_a_flange_gets_its_drop(plot, house, npc, nbc_framing):
    # layouts that give the closet's bend as the flange node: flange on the finished floor, drop cut apart
    body = HouseFixture("WC", FixtureKind.WATER_CLOSET, "closet", "room", "main", 0.0, 19.0, floor_outlet=True)
    p = plot()
    p.node("f", 0, 0, -200, PointKind.FLANGE, "WC").node("s", 2000, 0, -240, PointKind.SEWER)
    p.pipe("C1", "f", "s", 3.0, Role.TRAP_ARM, tag="WC", tags=("WC",))
    fab = fabricate_network(p.network(), replace(house(), fixtures=(body,)), npc, nbc_framing)
    assert patterns(fab, "f")[0] == "closet flange"
    drop = next(x for x in fab.pieces if x.id == "C1-0")
    assert drop.centre_mm == pytest.approx(219.0)
    assert drop.cut_mm == pytest.approx(drop.centre_mm - drop.takeoff_start_mm - drop.takeoff_end_mm)
    assert drop.pipes == ()
    assert next(c for c in fab.caps if c.node == "f").at.z == 19.0


def test_a_jog_of_a_few_millimetres_is_taken_up_in_the_joint(plot, house, npc, nbc_framing):
    p = plot()
    p.node("w", 0, 500, 512, PointKind.TRAP, "LV").node("j", 0, 0, 502).node("t", 3.2, 0, 502, PointKind.TAKEOFF)
    p.node("d", 3.2, 0, -300, PointKind.SEWER).node("v", 3.2, 0, 3000, PointKind.TERMINAL)
    p.pipe("A1", "w", "j", 1.5, Role.TRAP_ARM).pipe("A2", "j", "t", 1.5, Role.TRAP_ARM)
    p.pipe("D1", "t", "d", 1.5, Role.DRAIN).pipe("V1", "t", "v", 1.5, Role.VENT)
    fab = fabricate_network(p.network(), house(), npc, nbc_framing)
    assert patterns(fab, "t") == ["sanitary tee"]
    assert patterns(fab, "j") == []
    assert all(x.fits for x in fab.pieces)
    assert sorted(i for ids in {x.pipes for x in fab.pieces} for i in ids) == ["A1", "A2", "D1", "V1"]


def test_arm_that_turns_where_its_vent_rises(plot, house, npc, nbc_framing):
    # no straight run: the drains make the run, the vent takes the branch, a bend stands before the fitting
    p = plot()
    p.node("w", 0, 900, 20, PointKind.CAP).node("t", 0, 0, 0, PointKind.TAKEOFF)
    p.node("d", 2000, 0, -40, PointKind.SEWER).node("v", 0, 0, 3000, PointKind.TERMINAL)
    p.pipe("A1", "w", "t", 3.0, Role.TRAP_ARM).pipe("D1", "t", "d", 3.0).pipe("V1", "t", "v", 2.0, Role.VENT)
    fab = fabricate_network(p.network(), house(), npc, nbc_framing)
    assert patterns(fab, "t") == ["combination", "long-turn street 1/4 bend"]
    assert next(f for f in fab.fittings if f.node == "t").pipes == ("A1", "D1", "V1")


def test_standpipe_stands_on_its_trap(plot, house, npc, nbc_framing):
    washer = HouseFixture("AW", FixtureKind.CLOTHES_WASHER, "", "room", "main", 0.0, 0.0, standpipe_top_z_mm=965.0)
    p = plot()
    p.node("w", 0, 0, 300, PointKind.TRAP, "AW").node("s", 800, 0, 284, PointKind.SEWER)
    p.pipe("A1", "w", "s", 2.0, Role.TRAP_ARM, tag="AW", tags=("AW",))
    fab = fabricate_network(p.network(), replace(house(), fixtures=(washer,)), npc, nbc_framing)
    pipe = next(x for x in fab.pieces if x.id == "A1-0")
    assert pipe.centre_mm == 665.0
    assert pipe.note == "standpipe"
    assert any("A1-0" in s.pieces for s in fab.sticks)


@pytest.mark.parametrize("book_id", [b for b in book_ids() if load_book(b).family != "framing"])
@pytest.mark.parametrize("barrel_in", [2.0, 3.0])
def test_double_fittings_are_those_the_book_allows(plot, house, nbc_framing, book_id, barrel_in):
    """UPC 706.2 (secondary): the barrel of a double sanitary tee is two pipe sizes over its largest inlet."""
    book = load_book(book_id)
    p = plot()
    p.node("l", -600, 0, 512, PointKind.TRAP, "L1").node("r", 600, 0, 512, PointKind.TRAP, "L2")
    p.node("t", 0, 0, 500, PointKind.TAKEOFF).node("d", 0, 0, -500, PointKind.SEWER)
    p.node("v", 0, 0, 3000, PointKind.TERMINAL)
    p.pipe("A1", "l", "t", 1.5, Role.TRAP_ARM).pipe("A2", "r", "t", 1.5, Role.TRAP_ARM)
    p.pipe("D1", "t", "d", barrel_in, Role.DRAIN).pipe("V1", "t", "v", barrel_in, Role.VENT)
    (pattern,) = patterns(make(p, house(), book, nbc_framing), "t")
    tee_ok = rule_of(book)("double sanitary tee", "h-v", 1.5, True)
    narrow = book_id == "upc-2021" and barrel_in == 2.0  # 1-1/2 in and two sizes: 2-1/2 in
    assert pattern == ("double sanitary tee" if tee_ok and not narrow else "double fixture fitting")
    assert rule_of(book)(pattern, "h-v", 1.5, True)


@pytest.mark.parametrize("book_id", [b for b in book_ids() if load_book(b).family != "framing"])
def test_closets_face_to_face_take_no_double_sanitary_tee(plot, house, nbc_framing, book_id):
    # IRC P3005.1.1 and IPC 706.3 bar it back to back, UPC 704.2 asks for a double fixture fitting (reference notes)
    book = load_book(book_id)
    p = plot()
    p.node("l", -400, 0, 508, PointKind.FLANGE, "W1").node("r", 400, 0, 508, PointKind.FLANGE, "W2")
    p.node("t", 0, 0, 500, PointKind.TAKEOFF).node("d", 0, 0, -500, PointKind.SEWER)
    p.node("v", 0, 0, 3000, PointKind.TERMINAL)
    p.pipe("A1", "l", "t", 3.0, Role.TRAP_ARM).pipe("A2", "r", "t", 3.0, Role.TRAP_ARM)
    p.pipe("D1", "t", "d", 3.0, Role.DRAIN).pipe("V1", "t", "v", 2.0, Role.VENT)
    assert patterns(make(p, house(), book, nbc_framing), "t")[0] == "double fixture fitting"


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    arms=st.lists(
        st.tuples(
            st.sampled_from(
                [(1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1), (1, 1, 0), (-1, 1, 1)]
            ),
            st.sampled_from([1.25, 1.5, 2.0, 3.0, 4.0]),
            st.booleans(),
            st.sampled_from([Role.TRAP_ARM, Role.BRANCH, Role.STACK, Role.VENT, Role.STACK_VENT, Role.CLEANOUT_EXT]),
        ),
        min_size=1,
        max_size=6,
    ),
    kind=st.sampled_from(list(PointKind)),
)
def test_any_star_of_pipes_gets_an_answer_for_every_end(plot, house, npc, nbc_framing, arms, kind):
    p = plot().node("o", 0, 0, 0, kind)
    for i, ((x, y, z), size, into, role) in enumerate(arms):
        p.node(f"n{i}", 2000 * x, 2000 * y, 2000 * z, PointKind.CAP)
        p.pipe(f"P{i}", *((f"n{i}", "o") if into else ("o", f"n{i}")), size, role)
    net = p.network()
    fab = fabricate_network(net, house(), npc, nbc_framing)
    assert sorted(i for ids in {x.pipes for x in fab.pieces} for i in ids) == sorted(q.id for q in net.pipes)
    for piece in fab.pieces:
        assert piece.cut_mm == pytest.approx(piece.centre_mm - piece.takeoff_start_mm - piece.takeoff_end_mm)
    named = {f.id for f in fab.fittings} | {"", "terminal"}
    assert all({x.start_fitting, x.end_fitting} <= named for x in fab.pieces)
    assert all(set(f.pipes) <= {q.id for q in net.pipes} | {""} for f in fab.fittings)


def test_two_arms_at_almost_one_height_share_a_fitting(plot, house, npc, nbc_framing):
    p = plot()
    p.node("l", -900, 0, 518, PointKind.CAP).node("r", 0, 900, 515, PointKind.CAP).node(
        "t", 0, 0, 3000, PointKind.TERMINAL
    )
    p.node("a", 0, 0, 500, PointKind.JUNCTION).node("b", 0, 0, 497, PointKind.JUNCTION).node(
        "d", 0, 0, -500, PointKind.SEWER
    )
    p.pipe("A1", "l", "a", 3.0).pipe("A2", "r", "b", 3.0).pipe("S1", "a", "b", 3.0, Role.STACK)
    p.pipe("S2", "b", "d", 3.0, Role.STACK).pipe("V1", "a", "t", 3.0, Role.STACK_VENT)
    fab = fabricate_network(p.network(), house(), npc, nbc_framing)
    assert [f.pattern for f in fab.fittings if f.node in "ab"] == ["side-inlet sanitary tee"]
    assert all(x.fits for x in fab.pieces)
