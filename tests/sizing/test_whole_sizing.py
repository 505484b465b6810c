"""Drains and vents settled together, walls that limit them, ties. Expected by hand from the rules named beside them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_systems import FT, framed, halved, placed, roofs, settled, stack, unsettled, vents, words

from stubout.house.facts import Climate
from stubout.network.build import build
from stubout.rulebooks import queries
from stubout.sizing.drains import size_drain
from stubout.sizing.levels import fall_derivation
from stubout.sizing.need import Need
from stubout.sizing.openair import building_vent, total_area
from stubout.sizing.size import _drains_under_vents, size
from stubout.sizing.vents import size_vent
from stubout.sizing.wet import wet_needs


def sized(s, **house):
    layout, h = s.layout(), s.house(**house)
    net, why = size(build(layout, h, s.book), layout, h, s.book, s.book)
    return net, {(d.about, d.what): d for d in why}


# --- walls too narrow for a larger vent -------------------------------------------------------------------------------


@pytest.mark.parametrize(("depth_mm", "grown"), [(140.0, True), (89.0, False)])
def test_a_vent_grows_only_in_a_wall_that_takes_its_hub(sketch, depth_mm, grown):
    # a 3 in hub is about 102 mm across: not in a 2x4 (89), well in a 2x6 (140)
    sizes = settled(roofs(sketch(), (1.5,), ("WC1",), wall="V0"), 3.0, walls=(framed(depth_mm),))
    assert building_vent(sizes) is grown
    assert vents(sizes) == [3.0 if grown else 1.5]


def test_the_vent_in_the_narrow_wall_is_passed_over(sketch):
    sizes = settled(roofs(sketch(), (2.0, 1.5), ("WC1", "LV1"), wall="V0"), 3.0, walls=(framed(89.0),))
    assert building_vent(sizes) is True
    assert vents(sizes) == [2.0, 3.0]


def test_what_is_large_enough_already_needs_no_room(sketch):
    s = halved(roofs(sketch(), (3.0,), ("WC1",), wall="V0"), 0, 1.5, z=4000)
    sizes = settled(s, 3.0, walls=(framed(89.0),))
    assert building_vent(sizes) is True
    assert vents(sizes) == [3.0, 3.0]


def test_a_vent_that_lies_in_studs_is_not_bored_larger(sketch):
    s = roofs(sketch(), (1.5,), ("WC1",), wall="V0 V1")
    s.at("k", 1500, 0, 60)
    s.at("r0", 1500, 0, 6000, "terminal")
    s.runs = [replace(r, end="k") if r.id == "V0" else r for r in s.runs]
    s.vent("V1", "k", "r0", "vent", 1.5)
    sizes = settled(s, 3.0, walls=(framed(140.0),))
    assert building_vent(sizes) is False


def test_area_is_not_made_up_in_a_narrow_wall(sketch):
    s = roofs(sketch(book_id="upc-2021"), (2.0, 2.0), ("WC1", "LV1"), wall="V0")
    sizes = settled(s, 3.0, walls=(framed(89.0),))
    assert total_area(sizes) is True  # at the drains the other one makes it up
    assert vents(sizes) == [2.0, 3.0]


# --- which one grows for the area -------------------------------------------------------------------------------------


def test_among_equals_the_first_by_id(sketch):
    sizes = settled(roofs(sketch(book_id="upc-2021"), (2.0, 2.0), ("LV1", "LV2")), 3.0)
    total_area(sizes)
    assert vents(sizes) == [3.0, 2.0]


def test_a_trunk_free_in_attic_or_roof_goes_first(sketch):
    s = roofs(sketch(book_id="upc-2021"), (2.0, 2.0), ("WC1", "LV1"))
    for where in ("attic", "roof"):
        t = roofs(sketch(book_id="upc-2021"), (2.0, 2.0), ("WC1", "LV1"))
        sizes = settled(placed(t, where, "V1"), 3.0)
        total_area(sizes)
        assert vents(sizes) == [2.0, 3.0], where
    sizes = settled(s, 3.0)
    total_area(sizes)
    assert vents(sizes) == [3.0, 2.0]  # in the walls both: the one with most load


# --- drains and vents raise each other --------------------------------------------------------------------------------


def test_a_drain_is_not_smaller_than_the_vent_on_it(sketch):
    # npc-2020 has the rule, the others have not
    sizes = settled(roofs(sketch(), (1.25, 1.25), ("LV1", "LV2")), 1.25)
    assert _drains_under_vents(sizes) is False  # equal is enough
    assert words(sizes, "b0") == "x"
    sizes.needed["V0"] = 2.0
    assert _drains_under_vents(sizes) is True
    assert [sizes.final[i] for i in ("a0", "b0", "b1", "D", "V0")] == [1.25, 2.0, 1.25, 1.25, 1.25]
    assert sizes.needs["b0"][-1].words == "not smaller than the vent V0 on it: 2 in"
    assert len(sizes.needs["b0"][-1].bases) == 1
    assert _drains_under_vents(sizes) is False  # told once
    other = settled(roofs(sketch(book_id="upc-2021"), (1.25,), ("LV1",)), 1.25)
    other.needed["V0"] = 2.0
    assert _drains_under_vents(other) is False


def test_every_drain_under_a_vent_is_looked_at(sketch):
    sizes = settled(roofs(sketch(), (1.25, 1.25), ("LV1", "LV2")), 1.25)
    sizes.needed["V0"] = sizes.needed["V1"] = 2.0
    assert _drains_under_vents(sizes) is True
    assert (sizes.final["b0"], sizes.final["b1"]) == (2.0, 2.0)
    sizes = settled(roofs(sketch(), (1.25, 2.0), ("LV1", "LV2")), 1.25)
    sizes.needed["V0"] = sizes.needed["V1"] = 2.0
    sizes.final["b1"] = 3.0
    assert _drains_under_vents(sizes) is True  # the second asks for nothing, the first grew
    sizes.needed["V0"] = 3.0
    sizes.final["b1"] = 1.25
    sizes.settle(sizes.network.pipe("b1"), [Need(2.0, "not smaller than the vent V1 on it: 2 in")])
    sizes.final["b1"] = 1.25
    assert _drains_under_vents(sizes) is True  # what was told already asks for nothing either


def carried_on(s, vent_in=1.25):
    """A lavatory whose branch b0 goes on as c0, both small; its vent has two pieces. npc-2020: one vent of 3 in."""
    s = halved(roofs(s, (vent_in,), ("LV1",)), 0, vent_in)
    s.at("i", 250, 0, 10, "junction")
    s.runs = [replace(r, end="i") if r.id == "b0" else r for r in s.runs]
    s.drain("c0", "i", "j", "branch", 1.25)
    return s


def test_drains_and_vents_raise_each_other_until_nothing_grows(sketch):
    # npc-2020 2.5.8.4(5), 2.4.9.1: the one vent takes 3 in, so does the drain under it, and what that flows into
    net, why = sized(carried_on(sketch()))
    assert [net.pipe(i).size_in for i in ("V0", "V0b", "a0", "b0", "c0")] == [3.0, 3.0, 1.25, 3.0, 3.0]
    assert "not smaller than the vent V0 on it: 3 in" in why["b0", "size"].steps
    assert "no reduction downstream: b0 comes in with 3 in" in why["c0", "size"].steps
    assert "not smaller than what joins: V0 comes in with 3 in" in why["V0b", "size"].steps


def test_what_a_vent_has_grown_to_is_told_of_what_it_joins(sketch):
    # upc-2021 904.1: one vent on a 3 in sewer takes 3 in; no drain is asked to follow, so this is the first round
    net, why = sized(halved(roofs(sketch(book_id="upc-2021"), (2.0,), ("WC1",)), 0, 2.0))
    assert [net.pipe(i).size_in for i in ("V0", "V0b")] == [3.0, 3.0]
    assert "not smaller than what joins: V0 comes in with 3 in" in why["V0b", "size"].steps


def test_a_stack_vent_is_told_by_the_stack_as_it_is_in_the_end(sketch):
    # npc-2020: the one vent takes 3 in, so does the stack of the lavatory under it, and its vent is looked up for that
    net, why = sized(stack(sketch(), stack_in=1.25))
    assert [net.pipe(i).size_in for i in ("SV", "U", "A")] == [3.0, 3.0, 1.25]
    assert any(w.startswith("stack vent of a 3 in stack: ") for w in why["SV", "size"].steps)


def test_the_last_piece_against_frost_is_told_once(sketch):
    # npc-2020 2.5.6.5: one size larger than the 3 in that come; 2.4.9.1 asks for a second round
    s = carried_on(sketch())
    s.climate = Climate(True, None, None)
    net, why = sized(s)
    assert [net.pipe(i).size_in for i in ("V0", "V0b", "b0")] == [3.0, 4.0, 3.0]
    assert sum(w.startswith("frost at the terminal") for w in why["V0b", "size"].steps) == 1


def test_a_wet_vent_is_told_once_in_every_round(sketch):
    s = carried_on(sketch())
    s.at("w1", 250, 900, 30, "trap")
    s.drain("a1", "w1", "i", "trap arm", 1.25, tag="BT1")
    s.fixture("BT1")
    s.trap("BT1", "w1", "i", ("a1",), "wet", wet_through=("b0",))
    net, why = sized(s)
    assert net.pipe("b0").size_in == 3.0  # by the vent on it
    assert sum(w.startswith("wet vent of BT1") for w in why["b0", "size"].steps) == 1


def test_extensions_grow_with_the_drain_at_the_end(sketch):
    s = carried_on(sketch())
    s.at("co", 250, 0, 500, "cleanout")
    s.drain("E", "co", "i", "cleanout extension", 1.25)
    net, why = sized(s)
    assert net.pipe("E").size_in == 3.0  # npc-2020 table 2.4.7.2: as large as the drain
    assert why["E", "size"].steps[-1] == "size 3 in: decided by cleanout of a 3 in drain"


def test_downstream_of_a_wet_vent_nothing_is_smaller(sketch):
    # npc-2020: 4.5 FU through a wet vent take 3 in (worked example D3); the drain after it carries on in 3 in
    s = sketch()
    s.at("lv", 900, 0, 20, "trap")
    s.at("n0", 0, 0, 0, "vent take-off")
    s.at("air", 0, 0, 6000, "terminal")
    s.fixture("KS0")
    s.drain("arm-KS0", "lv", "n0", "trap arm", 1.25, tag="KS0")
    s.trap("KS0", "lv", "n0", ("arm-KS0",), vent_runs=("V",))
    s.vent("V", "n0", "air")
    through = ()
    for k in range(1, 4):
        s.at(f"n{k}", 0, 1000 * k, -20 * k, "junction")
        s.drain(f"w{k}", f"n{k - 1}", f"n{k}", "branch", 1.25)
        through = (f"w{k}", *through)
        s.at(f"x{k}", 900, 1000 * k, -20 * k + 20, "trap")
        s.drain(f"arm{k}", f"x{k}", f"n{k}", "trap arm", 1.25, tag=f"KS{k}")
        s.fixture(f"KS{k}")
        s.trap(f"KS{k}", f"x{k}", f"n{k}", (f"arm{k}",), "wet", wet_through=through)
    s.at("end", 0, 5000, -100, "sewer connection")
    s.drain("D", "n3", "end", "branch", 1.25)
    net, why = sized(s)
    assert net.pipe("w3").size_in == 3.0
    assert net.pipe("D").load == 6  # 2 in would carry it
    assert net.pipe("D").size_in == 3.0
    assert any("no reduction downstream: w3" in w for w in why["D", "size"].steps)


def test_each_pipe_tells_load_size_and_fall_or_length(sketch):
    net, why = sized(roofs(sketch(units="mm"), (1.25, 3.0), ("LV1", "WC1")))
    assert why["D", "load"].value.endswith("FU drained")
    assert why["V0", "load"].value.endswith("FU vented")
    assert ("D", "fall") in why
    assert ("V0", "fall") not in why
    assert ("D", "developed length") not in why
    assert why["V0", "developed length"].value.startswith("5980")
    assert len(why["V0", "developed length"].bases) == 1
    assert ("D", "flow") in why
    assert [d for d, w in why if w == "size"] == [p.id for p in net.pipes]


def test_upright_fall_is_called_fall(sketch):
    s = sketch()
    s.at("a", 0, 0, 700, "trap")
    s.at("b", 0, 0, 0, "sewer connection")
    s.drain("D", "a", "b", "branch", 2.0)
    why = fall_derivation(build(s.layout(), s.house(), s.book).pipe("D"), s.house(), s.book)
    assert (why.about, why.what) == ("D", "fall")


# --- closets ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("book_id", ["npc-2020", "upc-2021", "irc-2021", "ipc-2021"])
def test_a_closet_drains_through_3_in(sketch, book_id):
    s = roofs(sketch(book_id=book_id), (3.0,), ("WC1",))
    sizes = settled(s, 0.0)
    size_drain(sizes, sizes.network.pipe("b0"))
    need = next(n for n in sizes.needs["b0"] if n.words.startswith("closet drain: "))
    assert need.size_in == 3.0
    assert len(need.bases) == 1


def test_the_same_least_branch_is_told_once(sketch):
    # upc-2021 702.1: 2 in beyond the trap arm of a kitchen sink
    s = roofs(sketch(book_id="upc-2021"), (1.5, 1.5), ("KS1", "KS2"))
    sizes = settled(s, 1.25)
    size_drain(sizes, sizes.network.pipe("D"))
    assert sum(n.words.startswith("beyond the trap arm") for n in sizes.needs["D"]) == 1


# --- hairs -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("over_mm", "size_in"), [(0.0, 1.25), (0.5, 1.5)])
@pytest.mark.parametrize("lying", [True, False])
def test_uniform_vent_half_a_millimetre_over(sketch, over_mm, size_in, lying):
    # upc-2021 table 703.2: 1-1/4 in may be 45 ft long, a third of it lying
    flat = 15 * FT + over_mm if lying else 0.0
    up = 20 * FT if lying else 45 * FT + over_mm
    s = sketch(book_id="upc-2021")
    s.at("t", 0, 0, 0, "vent take-off")
    s.at("w", 300, 200, 12, "trap")
    s.at("k", flat, 0, 0)
    s.at("air", flat, 0, up, "terminal")
    s.at("end", 0, -3000, -60, "sewer connection")
    s.drain("D", "t", "end", "branch", 1.25)
    s.drain("a", "w", "t", "trap arm", 1.25, tag="LV1")
    s.fixture("LV1")
    ids = ("V1", "V2") if lying else ("V2",)
    if lying:
        s.vent("V1", "t", "k", "vent")
    s.vent("V2", "k" if lying else "t", "air", "vent")
    s.trap("LV1", "w", "t", ("a",), vent_runs=ids)
    sizes = settled(s, 1.25)
    for p in sizes.network.vents():
        size_vent(sizes, p)
    assert sizes.needed["V2"] == size_in


def test_fixtures_of_a_bath_group_count_singly_in_a_wet_vent(sketch):
    # irc-2021: three fixtures of one bath have a load as a group; through a wet vent each counts by itself
    s = sketch(book_id="irc-2021")
    s.at("lv", 900, 0, 20, "trap")
    s.at("n0", 0, 0, 0, "vent take-off")
    s.at("air", 0, 0, 6000, "terminal")
    s.fixture("LV1", group="b")
    s.drain("arm-LV1", "lv", "n0", "trap arm", 1.25, tag="LV1")
    s.trap("LV1", "lv", "n0", ("arm-LV1",), vent_runs=("V",))
    s.vent("V", "n0", "air")
    through = ()
    for k, tag in enumerate(("WC1", "BT1", "SH2"), start=1):
        s.at(f"n{k}", 0, 1000 * k, -20 * k, "junction")
        s.drain(f"w{k}", f"n{k - 1}", f"n{k}", "branch", 1.25)
        through = (f"w{k}", *through)
        s.at(f"x{k}", 900, 1000 * k, -20 * k + 20, "trap")
        s.drain(f"arm{k}", f"x{k}", f"n{k}", "trap arm", 1.25, tag=tag)
        s.fixture(tag, group="b" if k < 3 else "")
        s.trap(tag, f"x{k}", f"n{k}", (f"arm{k}",), "wet", wet_through=through)
    s.at("end", 0, 5000, -100, "sewer connection")
    s.drain("D", "n3", "end", "branch", 1.25)
    sizes = unsettled(s)
    for p in sizes.network.drains():
        size_drain(sizes, p)
    singly = sum(queries.fixture_load(s.book, f.kind).number for f in s.fixtures[:3])
    assert sizes.network.pipe("w3").load < singly
    assert f" {singly:g} dfu through it" in wet_needs(sizes)["w3"].words
