"""Street fittings where no pipe goes between two fittings; distances by hand from the dimensions table (memory).

2 in: 1/4 bend 2-5/16, socket 3/4, street 1/4 bend hub leg 2-5/16 and spigot 3-1/16, its curve 2 in: least 2-3/4.
So two 2 in quarter bends stand at 5-3/8 on a whole spigot, down to 5-1/16 on one cut back, or from 6-1/8 on a pipe.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stubout.catalog import queries as catalogue
from stubout.catalog.model import MM_PER_INCH as IN
from stubout.fabrication.build import fabricate_network
from stubout.fabrication.choose_base import made_of
from stubout.fabrication.joined import rule_of
from stubout.files.books import book_ids, load_book
from stubout.layout.model import PointKind, Role
from stubout.problems import Status


def two_bends(plot, apart, size=2.0, role=Role.VENT, first=None):
    """Two quarter bends on one plane, V2 between them; the flow goes from b to c. V1 may be of a size of its own."""
    p = plot()
    p.node("a", -900, 0, 0).node("b", 0, 0, 0).node("c", 0, apart, 0).node("d", 900, apart, 0)
    return p.pipe("V1", "a", "b", first or size, role).pipe("V2", "b", "c", size, role).pipe("V3", "c", "d", size, role)


def made(p, house_, book, framing):
    return fabricate_network(p.network(), house_, book, framing)


def at(fab, node):
    return [f.pattern for f in fab.fittings if f.node == node]


def between(fab, pipe="V2"):
    return next(x for x in fab.pieces if pipe in x.pipes)


def test_a_whole_spigot_reaches_the_seat(plot, house, npc, nbc_framing):
    fab = made(two_bends(plot, 5.375 * IN), house(unit="inch"), npc, nbc_framing)
    piece = between(fab)
    assert piece.fits
    assert piece.cut_mm == 0.0
    assert at(fab, "b") == ["street 1/4 bend"]  # upstream
    assert at(fab, "c") == ["1/4 bend"]
    assert piece.street == piece.start_fitting
    assert piece.takeoff_start_mm / IN == pytest.approx(3 + 1 / 16)
    assert piece.takeoff_end_mm / IN == pytest.approx(2 + 5 / 16)
    assert piece.note == f'no pipe: street 1/4 bend, spigot as it comes (3 1/16" (78 mm)) into {piece.end_fitting}'
    assert piece.status is Status.MEMORY  # that of its dimensions
    assert piece.pipes == ("V2",)


def test_it_is_bought_and_glued_once_and_no_pipe_is_sawn(plot, house, npc, nbc_framing):
    fab = made(two_bends(plot, 5.375 * IN), house(), npc, nbc_framing)
    bought = {(m.item, m.size): m.quantity for m in fab.materials if m.group == "fitting"}
    assert bought[("ABS street 1/4 bend", "2")] == 1
    assert bought[("ABS 1/4 bend", "2")] == 1
    assert between(fab).id not in {i for s in fab.sticks for i in s.pieces}
    cement = next(m for m in fab.materials if m.group == "cement")
    # V1 and V3 have two sockets each, an end cap and a bend; the spigot is the fifth joint
    assert cement.note.startswith("5 joints")


def test_the_spigot_is_cut_back_as_far_as_a_socket_depth_allows(plot, house, npc, nbc_framing):
    piece = between(made(two_bends(plot, 5.125 * IN), house(unit="inch"), npc, nbc_framing))
    assert piece.fits
    assert piece.takeoff_start_mm / IN == pytest.approx(2 + 13 / 16)
    assert 'cut back 1/4" (6 mm) to 2 13/16" (71 mm)' in piece.note
    assert piece.status is Status.MEMORY  # the weakest of hub (memory) and end of the curve (estimate)
    least = between(made(two_bends(plot, (5 + 1 / 16) * IN), house(), npc, nbc_framing))
    assert least.fits
    assert least.takeoff_start_mm / IN == pytest.approx(2.75)  # 2 in curve and 3/4 socket
    below = between(made(two_bends(plot, 5 * IN), house(unit="inch"), npc, nbc_framing))
    assert not below.fits
    assert below.street == ""
    assert below.note == '3/8" (10 mm) is left for pipe, its sockets take 1 1/2" (38 mm)'
    assert 'or 1/16" (2 mm) for a street elbow' in below.do


def test_between_the_whole_spigot_and_the_shortest_pipe_nothing_goes(plot, house, npc, nbc_framing):
    fab = made(two_bends(plot, 5.75 * IN), house(unit="inch"), npc, nbc_framing)
    piece = between(fab)
    assert not piece.fits
    assert at(fab, "b") == ["1/4 bend"]
    assert piece.note == '1 1/8" (29 mm) is left for pipe, its sockets take 1 1/2" (38 mm)'
    assert piece.do == (
        'move the two fittings 3/8" (10 mm) farther apart, or 3/8" (10 mm) nearer for a street elbow instead of pipe'
    )
    pipe = between(made(two_bends(plot, 6.125 * IN), house(), npc, nbc_framing))
    assert pipe.fits
    assert pipe.cut_mm / IN == pytest.approx(1.5)  # two sockets, faces touching


def test_faces_that_overlap_say_by_how_much(plot, house, npc, nbc_framing):
    piece = between(made(two_bends(plot, 4.5 * IN), house(unit="inch"), npc, nbc_framing))
    assert not piece.fits
    assert piece.note == 'the make-ups overlap by 1/8" (3 mm)'
    assert piece.do.startswith('move the two fittings 1 5/8" (41 mm) farther apart')  # both sockets, 1-1/2, on top


# street 1/8 bend: make-up and socket depth, estimate; nothing is cut back. 2 in: 1-1/2 + 3/4; 3 in: 1-3/4 + 1-1/2
@pytest.mark.parametrize(("size", "whole"), [(1.5, 1.125 + 1.8125), (2.0, 1.5 + 2.25), (3.0, 1.75 + 3.25)])
def test_two_eighth_bends_in_each_other(plot, house, npc, nbc_framing, size, whole):
    o = whole * IN * math.sqrt(0.5)
    for more, fits in ((0.0, True), (-2.0, False), (6.0, False)):
        k = (whole * IN + more) / (whole * IN)
        p = plot()
        p.node("a", 0, 0, 900, PointKind.CAP).node("b", 0, 0, 0).node("c", o * k, 0, -o * k)
        p.node("d", o * k, 0, -900, PointKind.SEWER)
        p.pipe("V1", "a", "b", size, Role.STACK).pipe("V2", "b", "c", size, Role.STACK)
        p.pipe("V3", "c", "d", size, Role.STACK)
        fab = made(p, house(), npc, nbc_framing)
        assert between(fab).fits is fits
        assert at(fab, "b") + at(fab, "c") == ["street 1/8 bend" if fits else "1/8 bend", "1/8 bend"]
        if fits:
            assert between(fab).status is Status.MEMORY  # its estimate is built on the 1/8 bend, which is from memory


def test_a_vent_that_leans_is_turned_by_sixteenth_bends(plot, house, npc, nbc_framing):
    # 3 in, 22-1/2 degrees: T/O = 2.6131 (dimensions 8); street: 7/8 + 7/8 + 1-1/2 = 3-1/4, offset 1.244 in
    for travel, names in ((3.25 * IN, ["street 1/16 bend", "1/16 bend"]), (400.0, ["1/16 bend", "1/16 bend"])):
        o, up = travel / 2.6131, travel * math.cos(math.radians(22.5))
        p = plot()
        p.node("a", 0, 0, 0, PointKind.CAP).node("b", 0, 0, 900).node("c", o, 0, 900 + up)
        p.node("d", o, 0, 4000, PointKind.TERMINAL)
        p.pipe("V1", "a", "b", 3.0, Role.VENT).pipe("V2", "b", "c", 3.0, Role.VENT).pipe("V3", "c", "d", 3.0, Role.VENT)
        fab = made(p, house(), npc, nbc_framing)
        assert at(fab, "b") + at(fab, "c") == names
        assert not any(f.off_deg for f in fab.fittings)
        piece = between(fab)
        assert piece.fits
        want = 0.0 if len(set(names)) == 2 else travel - 2 * 0.875 * IN
        assert piece.cut_mm == pytest.approx(want, abs=0.1)


def test_a_vent_goes_back_into_its_wall_by_eighth_bends(plot, house, npc, nbc_framing):
    # 1-1/2 in, 6 in aside: travel 8.485, less two make-ups of 1-1/8
    p = plot()
    p.node("a", 0, 0, 0, PointKind.CAP).node("b", 0, 0, 900).node("c", 0, 6 * IN, 900 + 6 * IN)
    p.node("d", 0, 6 * IN, 4000, PointKind.TERMINAL)
    p.pipe("V1", "a", "b", 1.5, Role.VENT).pipe("V2", "b", "c", 1.5, Role.VENT).pipe("V3", "c", "d", 1.5, Role.VENT)
    fab = made(p, house(), npc, nbc_framing)
    assert at(fab, "b") + at(fab, "c") == ["1/8 bend", "1/8 bend"]
    assert between(fab).cut_mm / IN == pytest.approx(8.485 - 2.25, abs=0.001)


def test_a_vent_that_leans_from_its_tee_has_a_street_bend_in_the_hub(plot, house, npc, nbc_framing):
    for deg, name in ((22.5, "street 1/16 bend"), (45.0, "street 1/8 bend")):
        s, c = math.sin(math.radians(deg)), math.cos(math.radians(deg))
        p = plot()
        p.node("w", -900, 0, 518, PointKind.CAP).node("t", 0, 0, 500, PointKind.TAKEOFF)
        p.node("d", 0, 0, -500, PointKind.SEWER).node("v", 0, 2000 * s, 500 + 2000 * c, PointKind.TERMINAL)
        p.pipe("A1", "w", "t", 1.5, Role.TRAP_ARM).pipe("D1", "t", "d", 1.5, Role.DRAIN)
        p.pipe("V1", "t", "v", 1.5, Role.VENT)
        assert at(made(p, house(), npc, nbc_framing), "t") == ["sanitary tee", name]


def tee(p, node, x, y, z):
    """A vent tie-in on an upright vent through a node: its branch looks along -y."""
    p.node(f"{node}lo", x, y, z - 1500, PointKind.CAP).node(node, x, y, z, PointKind.TIE_IN)
    p.node(f"{node}hi", x, y, z + 1500, PointKind.TERMINAL)
    return p


def test_a_tee_has_no_spigot_but_the_elbow_beside_it_has(plot, house, npc, nbc_framing):
    # tee branch 2-5/16 and spigot 3-1/16 of the elbow; the flow comes from the elbow, then from the tee
    for into_tee in (True, False):
        p = tee(plot(), "t", 0, 0, 2000)
        p.node("e", 0, -5.375 * IN, 2000).node("f", 900, -5.375 * IN, 2000, PointKind.CAP)
        p.pipe("V1", "tlo", "t", 2.0, Role.VENT).pipe("V9", "t", "thi", 2.0, Role.STACK_VENT)
        p.pipe("V2", *(("e", "t") if into_tee else ("t", "e")), 2.0, Role.VENT)
        p.pipe("V3", *(("f", "e") if into_tee else ("e", "f")), 2.0, Role.VENT)
        fab = made(p, house(), npc, nbc_framing)
        assert at(fab, "t") == ["inverted sanitary tee"]
        assert at(fab, "e") == ["street 1/4 bend"]
        piece = between(fab)
        assert piece.fits
        assert piece.street == (piece.start_fitting if into_tee else piece.end_fitting)


def test_tee_on_tee_is_refused(plot, house, npc, nbc_framing):
    p = plot()
    p.node("a", 0, 0, 0, PointKind.CAP).node("t", 0, 0, 1000, PointKind.TIE_IN)
    p.node("u", 0, 0, 1000 + 4.5 * IN, PointKind.TIE_IN).node("z", 0, 0, 4000, PointKind.TERMINAL)
    p.node("l", -900, 0, 991, PointKind.CAP).node("r", -900, 0, 991 + 4.5 * IN, PointKind.CAP)
    p.pipe("V1", "a", "t", 2.0, Role.VENT).pipe("V2", "t", "u", 2.0, Role.VENT).pipe("V3", "u", "z", 2.0, Role.VENT)
    p.pipe("V4", "l", "t", 2.0, Role.VENT).pipe("V5", "r", "u", 2.0, Role.VENT)
    piece = between(made(p, house(unit="inch"), npc, nbc_framing))
    # 4-1/2 less 2-5/16 and 1-7/16 leaves 3/4, half of two sockets
    assert not piece.fits
    assert piece.note == '3/4" (19 mm) is left for pipe, its sockets take 1 1/2" (38 mm)'
    assert piece.do == ('move the two fittings 3/4" (19 mm) farther apart; no elbow here can be a street fitting')


def test_an_elbow_has_one_spigot(plot, house, npc, nbc_framing):
    d = 5.375 * IN
    p = tee(tee(plot(), "t", 0, 0, 2000), "u", d, -d, 2000)
    p.node("e", 0, -d, 2000)
    for n, up in (("t", "V8"), ("u", "V9")):
        p.pipe(f"{up}a", f"{n}lo", n, 2.0, Role.VENT).pipe(up, n, f"{n}hi", 2.0, Role.STACK_VENT)
    p.pipe("V2", "t", "e", 2.0, Role.VENT).pipe("V3", "e", "u", 2.0, Role.VENT)
    fab = made(p, house(), npc, nbc_framing)
    assert between(fab, "V2").fits
    last = between(fab, "V3")
    assert not last.fits
    assert "no elbow here can be a street fitting" in last.do


def test_a_drain_keeps_its_long_turn(plot, house, npc, nbc_framing):
    # 3 in branch: long turn 4-1/16 each and 1-1/2 of socket; a short turn is not for lying branches
    fab = made(two_bends(plot, 9.625 * IN, 3.0, Role.BRANCH), house(), npc, nbc_framing)
    assert at(fab, "b") + at(fab, "c") == ["long-turn street 1/4 bend", "long-turn 1/4 bend"]
    assert between(fab).fits
    near = made(two_bends(plot, 7.625 * IN, 3.0, Role.BRANCH), house(), npc, nbc_framing)  # what short ones would take
    assert not between(near).fits


@pytest.mark.parametrize("book_id", [b for b in book_ids() if load_book(b).family != "framing"])
def test_a_short_street_bend_under_a_closet_only_where_the_book_lets_it(plot, house, nbc_framing, book_id):
    # 3 in: flange bend 3-1/16 + 1-1/2 spigot into a tee branch of 3-1/16 = 7-5/8
    book = load_book(book_id)
    d = 7.625 * IN
    p = plot()
    p.node("f", -d, 0, 0, PointKind.FLANGE, "WC").node("t", 0, 0, -4, PointKind.TAKEOFF)
    p.node("s", 0, 0, -2000, PointKind.SEWER).node("v", 0, 0, 3000, PointKind.TERMINAL)
    p.pipe("D1", "f", "t", 3.0, Role.TRAP_ARM, tag="WC", tags=("WC",)).pipe("D2", "t", "s", 3.0, Role.STACK)
    p.pipe("V1", "t", "v", 3.0, Role.STACK_VENT)
    fab = made(p, house(), book, nbc_framing)
    short = rule_of(book)("1/4 bend", "v-h", 3.0, True)
    piece = next(x for x in fab.pieces if x.id == "D1-1")
    assert piece.fits is short
    assert ("street 1/4 bend" in at(fab, "f")) is short


def test_a_short_street_bend_lays_a_fixtures_drop_level_where_the_book_lets_it(plot, house, npc, nbc_framing):
    # 3 in closet arm that drops: hub 3-1/16 of the bend above, spigot 4-9/16 of a short street bend below
    d = 7.625 * IN
    p = plot()
    p.node("a", 0, -900, d + 18, PointKind.CAP).node("b", 0, 0, d).node("c", 0, 0, 0)
    p.node("e", 900, 0, -18, PointKind.SEWER)
    for name, ends in (("D1", ("a", "b")), ("D2", ("b", "c")), ("D3", ("c", "e"))):
        p.pipe(name, *ends, 3.0, Role.TRAP_ARM, tag="WC", tags=("WC",))
    fab = made(p, house(), npc, nbc_framing)
    assert at(fab, "b") + at(fab, "c") == ["1/4 bend", "street 1/4 bend"]
    assert next(x for x in fab.pieces if x.pipe == "D2").fits


def test_a_turn_no_bend_makes_is_named_with_the_nearest(plot, house, npc, nbc_framing):
    # 36 degrees: 22-1/2 is 13-1/2 off, 45 and two of 22-1/2 are 9 off
    turn = math.radians(36)
    p = plot()
    p.node("a", 0, 0, 40, PointKind.CAP).node("b", 2000, 0, 0)
    p.node("c", 2000 + 2000 * math.cos(turn), 2000 * math.sin(turn), -40, PointKind.SEWER)
    p.pipe("D1", "a", "b", 3.0).pipe("D2", "b", "c", 3.0)
    fab = made(p, house(), npc, nbc_framing)
    bend = next(f for f in fab.fittings if f.node == "b")
    assert bend.off_deg == pytest.approx(-9.0, abs=0.1)
    said = "turn of 36 degrees: no bend and no two bends make it; nearest 45, 9 off: change the angle of the run"
    assert bend.note == said
    assert bend.status is Status.MEMORY
    assert next(m for m in fab.materials if m.item == f"ABS {bend.pattern}").note == said


def test_what_is_said_of_turns():
    assert made_of(67.5, (45.0, 22.5)) == ("turn of 68 degrees made of 2 bends joined closely", 0.0)
    assert made_of(41.5, (45.0,)) == ("", 0.0)  # plastic gives way
    words, off = made_of(75.0, (45.0, 22.5))
    assert off == 0.0
    assert "8 off the bend: set the run to 67.5" in words


def test_a_turn_of_two_bends_is_one_street_bend_in_the_other(plot, house, npc, nbc_framing):
    turn = math.radians(67.5)
    p = plot()
    p.node("a", -2000, 0, 0, PointKind.CAP).node("b", 0, 0, 0)
    p.node("c", 2000 * math.cos(turn), 2000 * math.sin(turn), 0, PointKind.TERMINAL)
    p.pipe("V1", "a", "b", 2.0, Role.VENT).pipe("V2", "b", "c", 2.0, Role.VENT)
    assert at(made(p, house(), npc, nbc_framing), "b") == ["1/8 bend", "street 1/16 bend"]


def test_measured_street_bend(plot, house, npc, nbc_framing):
    h = house(measured=(("street 1/4 bend 2", "spigot", 90.0), ("street 1/4 bend 2", "hub", 62.0)))
    fab = made(two_bends(plot, 90.0 + 58.7375), h, npc, nbc_framing)
    piece = between(fab)
    assert piece.fits
    assert piece.takeoff_start_mm == pytest.approx(90.0)
    first = between(fab, "V1")
    assert first.takeoff_end_mm == pytest.approx(62.0)  # its hub leg takes the pipe on the other side


@pytest.mark.parametrize("hub_mm", [58.7375, 62.0])
def test_a_bushing_stands_in_the_hub_of_the_street_bend(plot, house, npc, nbc_framing, hub_mm):
    h = house(measured=(("street 1/4 bend 2", "hub", hub_mm),))
    fab = made(two_bends(plot, 5.375 * IN, first=1.5), h, npc, nbc_framing)
    bushing = catalogue.fitting("bushing", (2.0, 1.5)).ports["outlet"]
    assert sorted(at(fab, "b")) == ["bushing", "street 1/4 bend"]
    smaller = between(fab, "V1")
    assert smaller.takeoff_end_mm == pytest.approx(hub_mm + bushing)
    assert ("street 1/4 bend 2", "hub") in smaller.make_ups
    used = {catalogue.fitting(f.pattern, f.sizes_in).key for f in fab.fittings}
    assert {key for q in fab.pieces for key, _ in q.make_ups} <= used


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    gaps=st.lists(st.floats(25, 300), min_size=2, max_size=4),
    size=st.sampled_from([1.5, 2.0, 3.0, 4.0]),
    role=st.sampled_from([Role.VENT, Role.BRANCH, Role.TRAP_ARM]),
    backward=st.booleans(),
    first=st.sampled_from([None, 1.5]),
)
def test_any_staircase_of_close_bends(plot, house, npc, nbc_framing, gaps, size, role, backward, first):
    p = plot().node("n0", -900, 0, 0, PointKind.CAP)
    x = y = 0.0
    points = [(0.0, 0.0)]
    for i, g in enumerate(gaps):
        x, y = (x, y + g) if i % 2 == 0 else (x + g, y)
        points.append((x, y))
    x, y = (x, y + 900) if len(gaps) % 2 == 0 else (x + 900, y)
    points.append((x, y))
    for i, (px, py) in enumerate(points, 1):
        p.node(f"n{i}", px, py, 0, PointKind.SEWER if i == len(points) else PointKind.TURN)
    for i in range(len(points)):
        a, b = f"n{i}", f"n{i + 1}"
        begins = i == (len(points) - 1 if backward else 0)
        p.pipe(f"P{i}", *((b, a) if backward else (a, b)), first if first and begins else size, role)
    net = p.network()
    fab = fabricate_network(net, house(), npc, nbc_framing)
    assert sorted(i for ids in {q.pipes for q in fab.pieces} for i in ids) == sorted(q.id for q in net.pipes)
    socket = catalogue.socket_mm(size)
    given_away = [q.street for q in fab.pieces if q.street]
    assert len(given_away) == len(set(given_away))
    named = {f.id: f for f in fab.fittings}
    for q in fab.pieces:
        assert q.cut_mm == pytest.approx(q.centre_mm - q.takeoff_start_mm - q.takeoff_end_mm, abs=1e-6)
        if q.street:
            use = named[q.street]
            least, full = catalogue.street_spigot_mm(use.pattern, size)
            spigot = q.takeoff_start_mm if q.street == q.start_fitting else q.takeoff_end_mm
            assert q.fits
            assert least - 0.06 <= spigot <= full + 3.21
        elif q.fits:
            assert q.cut_mm >= 2 * socket - 3.21 or "" in (q.start_fitting, q.end_fitting)
    assert fab == fabricate_network(net, house(), npc, nbc_framing)
