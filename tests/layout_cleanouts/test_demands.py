"""What each book asks for, and that the cleanout stands where a person can use it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.geometry.vec import Box, Vec
from stubout.house.model import Frame, HouseLevel, Obstacle, Room
from stubout.layout.cleanout_setter import covers_as_drawn
from stubout.layout.cleanout_turns import TurnSetter
from stubout.layout.cleanouts import with_cleanouts
from stubout.layout.model import CleanoutPlan, PointKind, Role


def at(layout, plan):
    return next(p.at for p in layout.points if p.id == plan.point)


def serving(layout, words):
    return [c for c in layout.cleanouts if words in c.serves]


def test_npc_asks_at_the_stack_base_and_ipc_does_not(scene, house, fixture_, kinds, npc, ipc):
    # NPC 2020 2.4.7.1 (secondary; its 3 m from memory); IPC 2021 708.1 dropped it (read, as a city's addition)
    h = house(fixtures=(fixture_("F", kinds.LAVATORY),))
    got = with_cleanouts(scene().layout(), h, npc)
    (base,) = serving(got, "foot of stack")
    p = at(got, base)
    assert (p.x, p.y) == (4000.0, 9000.0)
    assert 90.0 <= p.z <= 1500.0
    assert p.z - (-316.7) <= 3000.0
    assert base.opens.z == 0.0
    assert base.size_in == 3.0
    assert not serving(with_cleanouts(scene().layout(), h, ipc), "foot of stack")


def test_npc_names_no_clearance_so_none_is_quoted(scene, house, fixture_, kinds, npc, upc):
    h = house(fixtures=(fixture_("F", kinds.LAVATORY),))
    got = with_cleanouts(scene().layout(), h, npc)
    assert all(c.clearance_mm == 450.0 for c in got.cleanouts)
    assert not any("ree space" in b.what for c in got.cleanouts for b in c.basis)
    assert any("common practice, no source" in n for n in got.notes)
    said = with_cleanouts(scene().layout(), h, upc)
    # UPC 2021 707.9 (read): 18 in for pipe to 2 in, 24 in above
    assert {round(c.clearance_mm, 1) for c in said.cleanouts} == {457.2, 609.6}


@pytest.mark.parametrize(
    ("branch_mm", "kind", "wanted"),
    [
        (2500.0, "LAVATORY", True),
        (1400.0, "LAVATORY", False),  # UPC 707.4 (read): under 5 ft none
        (1400.0, "KITCHEN_SINK", True),  # unless it serves sinks
    ],
)
def test_upc_asks_at_the_upper_end(scene, house, fixture_, kinds, upc, branch_mm, kind, wanted):
    h = house(fixtures=(fixture_("F", kinds[kind]),))
    got = with_cleanouts(scene(branch_mm, turn=False).layout(), h, upc)
    ends = serving(got, "upper end of B1")
    assert bool(ends) is wanted
    if wanted:
        p = at(got, ends[0])
        assert p.to(Vec(4000.0 - branch_mm, 5000.0, -350.0)) < 1524.0
        assert any(b.section == "707.4" for b in ends[0].basis)


def test_ipc_counts_each_turn_over_45_and_lets_a_trap_serve(scene, house, fixture_, kinds, ipc):
    # IPC 2021 708.1.4 and 708.7 (read)
    lav = with_cleanouts(scene().layout(), house(fixtures=(fixture_("F", kinds.LAVATORY),)), ipc)
    (plan,) = serving(lav, "turns of B1")
    assert plan.point == "W"
    assert "removable trap of F" in plan.access
    assert len(lav.runs) == len(scene().layout().runs) + 2  # the trap asks for no cut, the sewer for two pieces
    washer = with_cleanouts(scene().layout(), house(fixtures=(fixture_("F", kinds.CLOTHES_WASHER),)), ipc)
    (plan,) = serving(washer, "turns of B1")
    assert plan.point != "W"


def test_a_trap_opens_a_drain_one_size_larger_and_no_more(scene, house, fixture_, kinds, ipc):
    # IPC 2021 708.7 (the size step from memory): a trap of 1-1/2 in opens 2 in, not 3 in
    h = house(fixtures=(fixture_("F", kinds.LAVATORY),))
    got = with_cleanouts(scene().layout(), h, ipc)
    assert [c.point for c in serving(got, "turns of B1")] == ["W"]
    plain = scene().layout()
    wide = replace(plain, runs=tuple(replace(r, size_in=3.0) if r.id in ("B1", "B2") else r for r in plain.runs))
    (plan,) = serving(with_cleanouts(wide, h, ipc), "turns of B1")
    assert plan.point != "W"
    assert plan.size_in == 3.0


def two_turns(sketch, *, middle, branch=False):
    """A drain that turns square twice, 6 m apart, with a point half way; where a branch joins it, that has a plug."""
    k = sketch().point("P0", 1000, 11000, -300).point("P1", 1000, 8000, -320)
    k.point("M", 4000, 8000, -340, middle).point("P2", 7000, 8000, -360).point("P3", 7000, 5000, -380)
    for a, b in (("P0", "P1"), ("P1", "M"), ("M", "P2"), ("P2", "P3")):
        k.run(f"{a}{b}", a, b, 4.0, Role.BUILDING_DRAIN)
    if branch:
        k.point("X", 3400, 8600, -330, PointKind.CLEANOUT).run("XM", "X", "M", 4.0)
    return k.layout()


def test_a_cleanout_between_two_turns_parts_them_and_a_joint_does_not(sketch, house, upc, without):
    # UPC 707.4 (read): one more in a drainage line for each 135 degrees of turn in all
    book = without(upc, "cleanout.upper_end", "cleanout.sewer_junction")
    free = with_cleanouts(two_turns(sketch, middle=PointKind.CLEANOUT), house(), book)
    assert not serving(free, "turns of")
    for branch in (False, True):
        layout = two_turns(sketch, middle=PointKind.JUNCTION, branch=branch)
        (plan,) = serving(with_cleanouts(layout, house(), book), "turns of P0P1")
        assert "P2" in plan.serves


def test_a_branch_without_turn_asks_for_none_of_it(scene, house, fixture_, kinds, ipc):
    got = with_cleanouts(scene(turn=False).layout(), house(fixtures=(fixture_("F", kinds.LAVATORY),)), ipc)
    assert [c.serves for c in got.cleanouts] == ["building drain and sewer; two-way"]


def test_npc_adds_turns_up(sketch, house, npc):
    # NPC 2.4.7.1, cumulative 90 degrees from memory: of three turns the one in the middle wants one
    def line(*ys):
        k = sketch().point("P0", 1000, 11000, -300)
        x = 1000
        for i, y in enumerate(ys, 1):
            k.point(f"P{2 * i - 1}", x, y, -300 - 20 * i).run(f"R{2 * i - 1}", f"P{2 * i - 2}", f"P{2 * i - 1}", 4.0)
            x += 2500
            k.point(f"P{2 * i}", x, y, -300 - 20 * i - 10).run(f"R{2 * i}", f"P{2 * i - 1}", f"P{2 * i}", 4.0)
        return k.layout()

    one = with_cleanouts(line(7000), house(), npc)
    assert not serving(one, "turns of")
    two = with_cleanouts(line(7000, 3000), house(), npc)
    (plan,) = serving(two, "turns of")
    assert [r.end for r in two.runs if r.role is Role.CLEANOUT_EXT and r.start == f"{plan.point}J"] == ["P2"]


def over_a_crawl_space(house, ground_z, joists_z=-290.0):
    """Return the house on joists over a crawl space."""
    ground = HouseLevel("crawl", "Crawl space", 0, "ground", ground_z, 0.0)
    main = HouseLevel("main", "Main floor", 1, "frame", 0.0, 2467.0)
    frame = Frame("floor", "main", "sawn", "x", 260.0, 38.0, 0.0, joists_z + 260.0, joists_z, 18.0, (), 0, 8e3, 0, 12e3)
    return replace(house(rooms=()), levels=(ground, main), frames=(frame,))


@pytest.mark.parametrize(
    ("ground_z", "how"),
    [
        (-1300.0, "in the drain"),  # it hangs over the ground
        (-900.0, "above the ground"),  # it lies in the ground, and 610 mm are left to crawl in
        (-840.0, None),  # nobody gets there
    ],
)
def test_a_drain_below_the_ground_of_a_crawl_space_is_opened_above_it(sketch, house, npc, ground_z, how):
    # NPC 2.4.7.1 adds turns up (memory); 24 in to crawl in and a plug out of the earth: common practice, no source
    k = sketch().point("P0", 1000, 11000, -1000)
    for i, (x, y) in enumerate(((1000, 8000), (3500, 8000), (3500, 5000)), 1):
        k.point(f"P{i}", x, y, -1000 - 20 * i).run(f"R{i}", f"P{i - 1}", f"P{i}", 3.0, place="crawl")
    got = with_cleanouts(k.layout(), over_a_crawl_space(house, ground_z), npc)
    plans = serving(got, "turns of R1")
    assert bool(plans) is (how is not None)
    if how is None:
        assert any("no place for it was found" in q.text for q in got.questions)
        return
    (plan,) = plans
    extension = [r for r in got.runs if r.role is Role.CLEANOUT_EXT]
    assert bool(extension) is (how == "above the ground")
    assert (how in plan.access) is bool(extension)
    if extension:
        assert at(got, plan).z >= ground_z + 50.0
        assert plan.opens == Vec(0.0, 0.0, 1.0)
        assert extension[0].place.kind == "crawl"
    assert not any(q.id == "Q-cleanout-covers" for q in got.questions)


def test_nothing_rises_beside_the_foundation_of_a_crawl_space(sketch, house, npc):
    k = sketch().point("P0", 200, 11000, -1000)
    for i, (x, y) in enumerate(((200, 8000), (330, 8000), (330, 5000)), 1):
        k.point(f"P{i}", x, y, -1000 - 20 * i).run(f"R{i}", f"P{i - 1}", f"P{i}", 3.0, place="crawl")
    got = with_cleanouts(k.layout(), over_a_crawl_space(house, -950.0), npc)
    assert not serving(got, "turns of R1"), "35 cm from the outside of the framing: there the foundation may stand"
    assert any("no place for it was found" in q.text for q in got.questions)


def test_an_upper_end_takes_a_place_large_enough_for_the_drain(sketch, house, upc, without):
    # UPC 707.1 (memory): as large as the pipe up to 4 in; the drop of 2 in above a drain of 4 in is too small
    book = without(upc, "cleanout.turn", "cleanout.sewer_junction")
    k = sketch().point("T", 4000, 9000, 1500, PointKind.STACK_TOP).point("F", 4000, 9000, -400, PointKind.STACK_FOOT)
    k.point("E", 4000, 5000, -480, PointKind.JUNCTION).point("Z", 4000, 1000, -560)
    k.run("D", "T", "F", 2.0, Role.STACK, "room").run("L1", "F", "E", 4.0, Role.BUILDING_DRAIN)
    k.run("L2", "E", "Z", 4.0, Role.BUILDING_DRAIN)
    (plan,) = serving(with_cleanouts(k.layout(), house(), book), "upper end of L1")
    assert plan.size_in == 4.0


def test_the_kitchen_sink_has_its_own_cleanout_where_the_book_asks(scene, house, fixture_, kinds, npc, upc):
    # NPC 2.4.7.1(10) (read)
    h = house(fixtures=(fixture_("F", kinds.KITCHEN_SINK),))
    got = with_cleanouts(scene().layout(), h, npc)
    (plan,) = [c for c in got.cleanouts if "F" in c.serves.split("; ")[0].split(", ")]
    p = at(got, plan)
    assert (p.x, p.y) == (2000.0, 8000.0)
    assert p.z > 0.0
    assert not [c for c in with_cleanouts(scene().layout(), h, upc).cleanouts if c.serves.startswith("F")]


def test_the_sewer_cleanout_goes_where_it_is_wished_for(scene, house, upc):
    got = with_cleanouts(scene(turn=False).layout(), house(wish=Vec(4300.0, -1500.0)), upc)
    (plan,) = serving(got, "building drain and sewer")
    p = at(got, plan)
    assert abs(p.y + 1500.0) <= 100.0
    assert p.x == 4000.0
    assert p.z == pytest.approx(-150.0)
    assert plan.opens == Vec(0.0, 0.0, 1.0)
    assert "two-way" in plan.serves
    free = with_cleanouts(scene(turn=False).layout(), house(), upc)
    assert -1000.0 < at(free, serving(free, "sewer")[0]).y < 0.0


def test_long_drains_get_one_on_the_way(sketch, house, upc, without):
    # UPC 707.4 (read): every 100 ft
    k = sketch().point("A", 4000, 11000, -300, PointKind.TURN).point("Z", 4000, -22000, -900, PointKind.SEWER)
    k.run("L", "A", "Z", 4.0, Role.BUILDING_DRAIN)
    book = without(upc, "cleanout.upper_end", "cleanout.sewer_junction")
    got = with_cleanouts(k.layout(), house(), book)
    (plan,) = got.cleanouts
    assert "length of L" in plan.serves
    assert 33000.0 - 30480.0 <= 11000.0 - at(got, plan).y <= 30480.0


def test_no_floor_cover_in_the_kitchen_where_another_room_does(scene, house, fixture_, kinds, upc):
    kitchen = Room("kitchen", "slab", 100.0, 6000.0, 7900.0, 11900.0, 0.0, title="Kitchen")
    hall = Room("hall", "slab", 100.0, 100.0, 7900.0, 5990.0, 0.0, title="Hall")
    h = house(rooms=(kitchen, hall), fixtures=(fixture_("F", kinds.LAVATORY, "kitchen"),))
    got = with_cleanouts(scene().layout(), h, upc)
    covers = [c for c in got.cleanouts if c.opens.z > 0.9 and "outside" not in c.access]
    assert not any("Kitchen" in c.access for c in covers)


def test_the_opening_turns_away_from_what_stands_there(scene, house, fixture_, kinds, npc):
    duct = Obstacle("O1", "duct", Box(Vec(4150.0, 8700.0, 0.0), Vec(4600.0, 9300.0, 2400.0)), "duct")
    wall_of = Obstacle("O2", "duct", Box(Vec(3700.0, 9200.0, 0.0), Vec(4140.0, 9700.0, 2400.0)), "duct")
    h = house(obstacles=(duct, wall_of), fixtures=(fixture_("F", kinds.LAVATORY),))
    got = with_cleanouts(scene().layout(), h, npc)
    (base,) = serving(got, "foot of stack")
    assert base.opens in (Vec(-1.0, 0.0), Vec(0.0, -1.0))


def test_no_free_place_is_a_question_and_not_a_cleanout(scene, house, fixture_, kinds, npc, without):
    around = [
        Obstacle(f"O{i}", "duct", Box(Vec(x - 150.0, y - 150.0, -90.0), Vec(x + 150.0, y + 150.0, 2400.0)), "duct")
        for i, (x, y) in enumerate(((4280, 9000), (3720, 9000), (4000, 9280), (4000, 8720)))
    ]
    book = without(npc, "cleanout.turn", "cleanout.sewer_junction")
    h = house(obstacles=tuple(around), fixtures=(fixture_("F", kinds.LAVATORY),))
    got = with_cleanouts(scene().layout(), h, book)
    assert not serving(got, "foot of stack")
    (q,) = [q for q in got.questions if "foot of stack ST" in q.text]
    assert q.owner == "inspector"
    assert "2.4.7.1" in q.text


def test_every_floor_cover_is_asked_about_in_one_question(sketch, house, upc, without):
    """A drain of 25 m below the slab, rodded every 5 m: covers in the floor, one cause, one question."""
    k = sketch().point("A", 500, 11500, -300, PointKind.TURN).point("Z", 500, -13500, -800, PointKind.SEWER)
    k.run("L", "A", "Z", 4.0, Role.BUILDING_DRAIN)
    book = without(upc, "cleanout.upper_end", "cleanout.sewer_junction")
    spacing = book.tables["cleanout_spacing"]
    near = tuple(replace(r, cell=replace(r.cell, value=5000.0)) for r in spacing.rows)
    book = replace(book, tables={**book.tables, "cleanout_spacing": replace(spacing, rows=near)})
    got = with_cleanouts(k.layout(), house(), book)
    covers = [c for c in got.cleanouts if "cover in the floor" in c.access]
    assert len(covers) >= 2
    (q,) = [q for q in got.questions if q.id == "Q-cleanout-covers"]
    assert set(q.about) == {c.id for c in covers}
    assert q.text.startswith("These cleanouts end under flush covers")
    for c in covers:
        p = at(got, c)
        assert f"{c.id} in {c.access.split(',')[0]} (x {p.x:.0f}, y {p.y:.0f})" in q.text
    here, (first, *_) = at(got, covers[0]), covers
    points = tuple(replace(p, at=p.at.plus(Vec(30.0, -12.0))) if p.id == first.point else p for p in got.points)
    (moved,) = covers_as_drawn(replace(got, points=points), house()).questions
    assert f"{first.id} in {first.access.split(',')[0]} (x {here.x + 30.0:.0f}, y {here.y - 12.0:.0f})" in moved.text
    assert covers_as_drawn(got, house()) == got, "nothing moved, nothing said anew"


@pytest.mark.parametrize(
    ("said", "quoted"),
    [
        (("no cleanout seen in the utility floor", "both tops flat"), ("no cleanout seen in the utility floor",)),
        (("no cleanout in a finished floor, please",), ("no cleanout in a finished floor, please",)),
        (("no cleanout in the kitchen floor",), ()),  # another room of the house
        (("two-way cleanout wanted in the front bed", "no valves"), ()),
    ],
)
def test_a_cover_against_the_words_of_the_owner_quotes_them(sketch, house, upc, without, said, quoted):
    k = sketch().point("A", 500, 11500, -300, PointKind.TURN).point("Z", 500, -13500, -800, PointKind.SEWER)
    k.run("L", "A", "Z", 4.0, Role.BUILDING_DRAIN)
    book = without(upc, "cleanout.sewer_junction")
    rooms = (
        Room("utility", "slab", 100.0, 100.0, 3900.0, 11900.0, 0.0, exposed_pipe_ok=True, title="Utility"),
        Room("kitchen", "slab", 4000.0, 100.0, 7900.0, 11900.0, 0.0, title="Kitchen"),
    )
    plain = house(rooms=rooms)
    h = replace(plain, wishes=replace(plain.wishes, said=said))
    got = with_cleanouts(k.layout(), h, book)
    (q,) = [q for q in got.questions if q.id == "Q-cleanout-covers"]
    assert "in Utility (x" in q.text
    for words in said:
        assert (f'"{words}"' in q.text) == (words in quoted)
    assert q.text.endswith("accepted all the same?" if quoted else "accepted?")
    assert covers_as_drawn(got, h) == got


def test_a_vent_stays_as_it_was(scene, house, upc):
    k = scene(turn=False)
    k.point("T", 4000, 9000, 5000, PointKind.TERMINAL).run("V", "S0", "T", 3.0, Role.STACK_VENT, "wall")
    got = with_cleanouts(k.layout(), house(), upc)
    assert [r for r in got.runs if r.id == "V"] == [r for r in k.layout().runs if r.id == "V"]


def test_a_cleanout_smaller_than_the_drain_serves_none_of_its_turns(scene, house, fixture_, kinds, npc):
    # NPC 2.4.7.2 (memory): a cleanout as large as the pipe, up to 4 in
    setter = TurnSetter(scene().layout(), house(fixtures=(fixture_("F", kinds.LAVATORY),)), npc)
    small = CleanoutPlan("CO1", "W", 1.5, Vec(0.0, 0.0, 1.0), 450.0, "", "", ())
    setter.draft.plans.append(small)
    assert setter._open(1.5) == {"W"}
    assert setter._open(2.0) == set()


def test_each_drain_that_leaves_the_house_gets_one_it_can_be_rodded_from(sketch, house, upc, without):
    """A 2 in branch and the 3 in drain leave side by side and meet outside: the small one's cleanout is too small."""
    k = sketch()
    k.point("A", 3600, 3000, -300, PointKind.TURN).point("B", 4000, 3000, -300, PointKind.TURN)
    k.point("C", 3600, -600, -375, PointKind.TURN).point("J", 4000, -1000, -387, PointKind.JUNCTION)
    k.point("Z", 4000, -6000, -600, PointKind.SEWER)
    k.run("S", "A", "C", 2.0).run("SJ", "C", "J", 2.0)
    k.run("L", "B", "J", 3.0, Role.BUILDING_DRAIN).run("E", "J", "Z", 3.0, Role.SEWER, "buried")
    book = without(upc, "cleanout.upper_end", "cleanout.turn")
    got = with_cleanouts(k.layout(), house(), book)
    plans = serving(got, "building drain and sewer")
    assert max(p.size_in for p in plans) == 3.0
    large = [p for p in plans if p.size_in == 3.0]
    assert any(abs(at(got, p).y) < 3048.0 for p in large)


def three_eighths(sketch, gap_mm=300.0):
    """A 3 in drain under the slab that turns three times by 45 degrees, with too little pipe between for a riser."""
    k = sketch().point("P0", 3000, 9000, -300)
    pts = [(3000, 6000), (3000 + gap_mm, 6000 - gap_mm), (3000 + 2 * gap_mm, 6000 - gap_mm)]
    pts.append((pts[-1][0] + 2000, pts[-1][1] - 2000))
    for i, (x, y) in enumerate(pts, 1):
        k.point(f"P{i}", x, y, -300 - 20 * i).run(f"R{i}", f"P{i - 1}", f"P{i}", 3.0, Role.BUILDING_DRAIN)
    return k.layout()


def test_a_turn_is_opened_by_a_wye_whose_run_is_carried_back_and_up(sketch, house, npc):
    # NPC 2.4.7.1, cumulative 90 degrees from memory; a wye in place of the bend: common practice, no source
    got = with_cleanouts(three_eighths(sketch), house(), npc)
    (plan,) = serving(got, "turns of")
    at_ = {p.id: p.at for p in got.points}
    lead = [r for r in got.runs if r.role is Role.CLEANOUT_EXT]
    assert sorted(r.id for r in lead) == ["CO1E", "CO1F"]
    upright, back = sorted(lead, key=lambda r: r.id)
    assert (upright.start, upright.end, back.start) == (plan.point, "CO1J", "CO1J")
    turn = back.end
    assert turn in {"P1", "P2", "P3"}
    (on,) = [r for r in got.runs if r.start == turn]
    into = at_[turn].minus(at_["CO1J"])
    way = at_[on.end].minus(at_[turn])
    assert into.z < 0.0  # it falls into the drain
    assert into.at_z(0.0).unit().to(way.at_z(0.0).unit()) < 1e-6  # straight on
    assert at_["CO1J"].at_z(0.0).to(at_[plan.point].at_z(0.0)) < 1e-6
    assert next(p.kind for p in got.points if p.id == turn) is PointKind.JUNCTION
    again = with_cleanouts(got, house(), npc)
    assert len(again.cleanouts) == len(got.cleanouts)


def test_a_wye_carried_back_is_taken_out_again_as_it_was_set(sketch, house, npc):
    setter = TurnSetter(three_eighths(sketch), house(), npc)
    before = dict(setter.draft.points), dict(setter.draft.runs)
    (spot,) = [s for s in setter.spots.ends("P2") if s.how == "back"]
    point = setter._set(spot, "turns", ())
    assert len(setter.draft.runs) == len(before[1]) + 2
    setter._unset(point)
    assert (setter.draft.points, setter.draft.runs) == before
    assert setter.draft.plans == []


@pytest.fixture
def two_storeys(house, fixture_, kinds):
    """A kitchen below, where nobody likes to see a cleanout, and a laundry above, where nobody minds."""
    low = house().levels[0]
    up = HouseLevel("up", "Upper floor", 1, "frame", 2720.0, 2467.0, 0.0, 0.0, 5187.0)
    kitchen = Room("kitchen", "slab", 100.0, 100.0, 7900.0, 11900.0, 0.0, title="Kitchen")
    laundry = Room("laundry", "up", 100.0, 100.0, 7900.0, 11900.0, 0.0, title="Laundry")
    washer = replace(fixture_("AW", kinds.CLOTHES_WASHER, "laundry"), level_id="up")
    return replace(house(rooms=(kitchen, laundry), fixtures=(washer,)), levels=(low, up))


def tees(sketch, house, book):
    """Return the spots for a tee in the stack, which goes up through both storeys."""
    sketch.point("S0", 4000, 9000, 5400, PointKind.STACK_TOP)
    setter = TurnSetter(sketch.layout(), house, book)
    run = setter.draft.runs["ST"]
    return setter.spots.on(run, 0.0, setter.draft.length(run))


def test_a_stack_is_opened_in_the_lowest_storey_that_lets_it(scene, two_storeys, ipc):
    spots = tees(scene(), two_storeys, ipc)
    best = min(spots, key=lambda s: s.cost)
    assert best.access.startswith("Kitchen")
    assert any(s.access.startswith("Laundry") for s in spots)
    shut = [
        Obstacle(f"O{i}", "duct", Box(Vec(x0, y0, 0.0), Vec(x1, y1, 2400.0)), "duct")
        for i, (x0, y0, x1, y1) in enumerate(
            ((3600, 8600, 3900, 9400), (4100, 8600, 4400, 9400), (3600, 9100, 4400, 9400), (3600, 8600, 4400, 8900))
        )
    ]
    above = tees(scene(), replace(two_storeys, obstacles=tuple(shut)), ipc)
    assert {s.access.split(",")[0] for s in above} == {"Laundry"}


def test_a_cover_beside_a_wall_is_worse_the_nearer_it_is(scene, house, wall, ipc):
    """IPC 708.1.9 (memory): 457 mm free before a cleanout of 3 in; half of it beside a cover, common practice."""
    across = wall("X", (3000.0, 6000.0), (5000.0, 6000.0))  # 140 thick, across the building drain at x 4000
    rooms = tuple(
        Room(name, "slab", 100.0, y0, 7900.0, y1, 0.0, exposed_pipe_ok=True, title=name)
        for name, y0, y1 in (("south", 100.0, 5920.0), ("north", 6080.0, 11900.0))
    )
    setter = TurnSetter(scene().layout(), house(rooms=rooms, walls=(across,)), ipc)
    run = setter.draft.runs["T1"]
    spots = setter.spots.on(run, 0.0, setter.draft.length(run))
    north = sorted((s for s in spots if s.at.y > 6000.0), key=lambda s: s.at.y)
    gaps = [s.at.y - 6070.0 for s in north]  # from the middle of the cover to the framing
    assert gaps[0] < 150.0
    near = [s.cost for s, gap in zip(north, gaps, strict=True) if gap < 228.6]
    free = [s.cost for s, gap in zip(north, gaps, strict=True) if gap > 230.0]
    assert near == sorted(near, reverse=True)
    assert min(near) > max(free)
    assert max(near) - max(free) > 1.5
