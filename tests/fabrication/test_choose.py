"""Which fitting stands where: orientation, double patterns, stack foot, size changes, open ends."""

from __future__ import annotations

import pytest

from stubout.fabrication.build import fabricate_network
from stubout.files.books import load_book
from stubout.geometry.vec import Vec
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
    terminal = next(x for x in fab.pieces if "V2" in x.pipes)
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
    p.node("top", 0, 0, 3000, PointKind.CAP).node("co", 0, 0, 900, PointKind.CLEANOUT).node("b", 0, 0, 0, PointKind.SEWER)
    p.pipe("S1", "top", "co", 3.0, Role.STACK).pipe("S2", "co", "b", 3.0, Role.STACK)
    fab = make(p, house(), npc, nbc_framing)
    assert patterns(fab, "co") == ["cleanout tee", "cleanout adapter"]
    assert {x.pipes for x in fab.pieces} == {("S1",), ("S2",)}


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
    p.node("t", 0, 0, 500, PointKind.TAKEOFF).node("d", 0, 0, -500, PointKind.SEWER).node("v", 0, 0, 3000, PointKind.TERMINAL)
    p.pipe("A1", "l", "t", 1.5, Role.TRAP_ARM).pipe("A2", "r", "t", 1.5, Role.TRAP_ARM)
    p.pipe("D1", "t", "d", 2.0, Role.DRAIN).pipe("V1", "t", "v", 2.0, Role.VENT)
    fab = make(p, house(), npc, nbc_framing)
    assert patterns(fab, "t") == ["double sanitary tee"]
    assert fab.fittings[2].sizes_in == (2.0, 2.0, 1.5, 1.5)


def test_two_arms_square_to_each_other_take_a_side_inlet(plot, house, npc, nbc_framing):
    p = plot()
    p.node("l", -600, 0, 512, PointKind.TRAP, "L1").node("r", 0, 600, 512, PointKind.TRAP, "L2")
    p.node("t", 0, 0, 500, PointKind.TAKEOFF).node("d", 0, 0, -500, PointKind.SEWER).node("v", 0, 0, 3000, PointKind.TERMINAL)
    p.pipe("A1", "l", "t", 1.5, Role.TRAP_ARM).pipe("A2", "r", "t", 1.5, Role.TRAP_ARM)
    p.pipe("D1", "t", "d", 2.0, Role.DRAIN).pipe("V1", "t", "v", 2.0, Role.VENT)
    assert patterns(make(p, house(), npc, nbc_framing), "t") == ["side-inlet sanitary tee"]


def test_vent_tie_in_is_an_inverted_tee_with_its_long_end_up(plot, house, npc, nbc_framing):
    p = plot()
    p.node("a", 0, 0, 0, PointKind.CAP).node("b", -1500, 0, 1975, PointKind.CAP)
    p.node("t", 0, 0, 2000, PointKind.TIE_IN).node("top", 0, 0, 5000, PointKind.TERMINAL)
    p.pipe("V1", "a", "t", 2.0, Role.VENT).pipe("V2", "b", "t", 1.5, Role.VENT).pipe("V3", "t", "top", 2.0, Role.STACK_VENT)
    fab = make(p, house(), npc, nbc_framing)
    tee = next(f for f in fab.fittings if f.node == "t")
    assert tee.pattern == "inverted sanitary tee"
    assert tee.pipes == ("V1", "V3", "V2")
    up = next(x for x in fab.pieces if "V3" in x.pipes)
    down = next(x for x in fab.pieces if "V1" in x.pipes)
    assert up.takeoff_start_mm > down.takeoff_end_mm


def test_size_changes(plot, house, npc, nbc_framing):
    p = plot()
    p.node("a", 0, 0, 0, PointKind.CAP).node("r", 0, 0, 2000, PointKind.REDUCER).node("t", 0, 0, 4000, PointKind.TERMINAL)
    p.pipe("V1", "a", "r", 1.5, Role.VENT).pipe("V2", "r", "t", 3.0, Role.STACK_VENT)
    fab = make(p, house(), npc, nbc_framing)
    assert patterns(fab, "r") == ["reducing coupling"]
    assert next(f for f in fab.fittings if f.node == "r").sizes_in == (1.5, 3.0)


def test_closet_turn_follows_the_book(plot, bath_plot, house, npc, nbc_framing):
    assert patterns(make(bath_plot(plot), house(), npc, nbc_framing), "bend")[0] in ("closet bend", "long-turn 1/4 bend")


def test_no_book_forbids_what_was_chosen(plot, bath_plot, house, nbc_framing):
    # every drain turn of the sample bath, asked back of every shipped book: none is refused
    from stubout.fabrication.build import rule_of
    from stubout.fabrication.ends import FIXTURE_ROLES, turn_word
    from stubout.files.books import book_ids

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
