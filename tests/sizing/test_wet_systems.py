"""Which drains are one wet vent, and what each section needs: the rules of the books on drawings by hand."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest
from small_systems import saying, telling, unsettled, without

from stubout.layout.model import SAID_METHODS, VentMethod
from stubout.rulebooks.tables import size_up
from stubout.sizing.drains import size_drain
from stubout.sizing.wet import traps_wet_vented, wet_needs, wet_systems


def net_of(*throughs):
    return SimpleNamespace(traps=[SimpleNamespace(tag=f"T{i}", wet_through=t) for i, t in enumerate(throughs)])


def test_pipes_that_share_a_trap_or_meet_are_one_wet_vent():
    assert wet_systems(net_of((), ())) == ()
    assert wet_systems(net_of(("c",), ("a", "b"), ())) == (frozenset("ab"), frozenset("c"))
    assert wet_systems(net_of(("a", "b"), ("b", "c"))) == (frozenset("abc"),)
    # the third joins the first two, which did not meet
    assert wet_systems(net_of(("a", "b"), ("d",), ("x",), ("b", "d"))) == (frozenset("abd"), frozenset("x"))


def test_traps_served_by_one_pipe():
    net = net_of(("a", "b"), ("b",), ())
    assert [t.tag for t in traps_wet_vented(net, "b")] == ["T0", "T1"]
    assert [t.tag for t in traps_wet_vented(net, "a")] == ["T0"]
    assert traps_wet_vented(net, "z") == ()


def bath(s, *, others=("BT",), closet=True, method="wet", upright=False):
    """A lavatory vented on top; its drain takes the others and the closet, one after the other, then goes on as D."""
    tags = [*others, *(["WC"] if closet else [])]
    step = (0, 0, -900) if upright else (0, 1000, -20)
    s.at("lv", 900, 0, 20, "trap")
    s.at("n0", 0, 0, 0, "vent take-off")
    s.at("air", 0, 0, 6000, "terminal")
    s.fixture("LV")
    s.drain("arm-LV", "lv", "n0", "trap arm", 1.25, tag="LV")
    s.trap("LV", "lv", "n0", ("arm-LV",), vent_runs=("V",))
    s.vent("V", "n0", "air")
    through = ()
    for k, tag in enumerate(tags, start=1):
        x, y, z = (k * d for d in step)
        s.at(f"n{k}", x, y, z, "junction")
        s.drain(f"w{k}", f"n{k - 1}", f"n{k}", "branch", 1.25)
        through = (f"w{k}", *through)
        s.at(f"x{tag}", 900, y, z + 20, "trap")
        s.drain(f"arm-{tag}", f"x{tag}", f"n{k}", "trap arm", 1.25, tag=tag)
        s.fixture(tag)
        s.trap(tag, f"x{tag}", f"n{k}", (f"arm-{tag}",), method, wet_through=through)
    x, y, z = ((len(tags) + 1) * d for d in step)
    s.at("end", x, y, z, "sewer connection")
    s.drain("D", f"n{len(tags)}", "end", "branch", 1.25)
    return s


def needs_of(s, values=None):
    s.book = saying(s.book, values or {})
    sizes = unsettled(s)
    for p in sizes.network.drains():
        size_drain(sizes, p)
    return wet_needs(sizes), sizes


def test_sections_are_not_reduced_where_the_book_lets_none(sketch):
    # npc-2020 2.5.2/2.5.3: w1 carries the lavatory alone, w2 the tub too; the shower makes the load 4.5 FU: 3 in (D3)
    needs, _ = needs_of(bath(sketch(), others=("BT", "SH")))
    assert set(needs) == {"w1", "w2", "w3"}
    assert {n.size_in for n in needs.values()} == {3.0}
    assert needs["w3"].words.startswith("wet vent of WC: 3 in")
    assert needs["w1"].words.startswith("wet vent not reduced: 3 in its whole length (wet vent of WC: 3 in")
    assert len(needs["w1"].bases) > len(needs["w3"].bases)
    free, _ = needs_of(bath(sketch(), others=("BT", "SH")), {"wet_vent.not_reduced": False})
    assert free["w1"].size_in < 3.0 == free["w3"].size_in
    silent, _ = needs_of(bath(sketch(), others=("BT", "SH")), {"wet_vent.not_reduced": None})
    assert {i: n.size_in for i, n in silent.items()} == {i: n.size_in for i, n in free.items()}


def test_words_name_who_is_served_and_what_counts(sketch):
    needs, _ = needs_of(bath(sketch()), {"wet_vent.not_reduced": None})
    # LV 1.5 (or 1, trap 1-1/4) and tub 1.5; the closet itself is last and left out
    assert needs["w2"].words.endswith(", 1 closet served, other fixtures 2.5 FU through it")
    assert needs["w1"].words.startswith("wet vent of BT, WC: ")
    lone, _ = needs_of(bath(sketch(), closet=False), {"wet_vent.not_reduced": None})
    assert lone["w1"].words.endswith(", 1 FU through it")
    assert "closet" not in lone["w1"].words


def test_two_closets_served_are_counted(sketch):
    needs, _ = needs_of(bath(sketch(), others=("BT", "WC2")), {"wet_vent.not_reduced": None})
    assert "2 closets served" in needs["w1"].words
    assert "1 closet served" in needs["w3"].words


@pytest.mark.parametrize("method", sorted(m.value for m in SAID_METHODS if m is not VentMethod.CIRCUIT))
def test_a_method_said_by_hand_is_left_to_its_checks(sketch, method):
    assert needs_of(bath(sketch(), method=method))[0] == {}


@pytest.mark.parametrize(("trap_in", "least"), [(1.5, 2.0), (2.0, 3.0)])
def test_circuit_vented_branch_by_its_traps(sketch, trap_in, least):
    # npc-2020: 2 in for traps under 2 in, 3 in beyond
    s = bath(sketch(), closet=False, method="circuit")
    s.traps = [t if t.tag == "LV" else replace(t, trap_in=trap_in) for t in s.traps]
    needs, _ = needs_of(s)
    assert needs["w1"].size_in == least
    assert needs["w1"].words.startswith("circuit-vented branch: ")
    gone = {"circuit_vent.branch_large": None, "circuit_vent.branch_small": None}
    assert needs_of(s, gone)[0] == {}


def test_upright_wet_vent_of_the_uniform_code_is_one_size_larger(sketch):
    # upc-2021 908.1.2: one size larger than what comes in from above or the load needs, 2 in at least
    s = bath(sketch(book_id="upc-2021"), others=("BT",), closet=False, upright=True)
    needs, sizes = needs_of(s)
    incoming = sizes.needed["arm-LV"]
    assert needs["w1"].size_in == max(2.0, size_up(incoming))
    s = bath(sketch(book_id="upc-2021"), others=("KS", "BT"), closet=False, upright=True)
    needs, sizes = needs_of(s)
    assert needs["w2"].size_in == 2.5  # the load through it, 3 DFU, needs 2 in upright
    assert needs["w2"].words == "wet vent, vertical: one size larger than 2 in above it"
    s = bath(sketch(book_id="upc-2021"), others=("BT",), closet=False, upright=True)
    s.traps = [replace(t, trap_in=3.0) if t.tag == "LV" else t for t in s.traps]
    assert needs_of(s)[0]["w1"].size_in == 4.0  # one larger than the 3 in arm that comes in
    flat = needs_of(bath(sketch(book_id="upc-2021"), others=("BT",), closet=False))[0]
    assert "vertical" not in flat["w1"].words
    elsewhere = needs_of(bath(sketch(), others=("BT",), closet=False, upright=True))[0]
    assert "one size larger" not in elsewhere["w1"].words


def test_upright_wet_vent_counts_only_where_an_arm_joins_it(sketch):
    s = bath(sketch(book_id="upc-2021"), others=("BT",), closet=False, upright=True)
    s.traps = [t if t.tag == "LV" else replace(t, takeoff="end") for t in s.traps]
    assert "vertical" not in needs_of(s)[0]["w1"].words


def test_upright_counts_where_it_asks_for_more_than_the_load_does(sketch):
    # upc-2021: one larger than 1-1/4 in is 1-1/2 in, the load needs no more than the 2 in that every wet vent has
    s = bath(sketch(book_id="upc-2021"), others=("BT",), closet=False, upright=True)
    assert needs_of(s, {"wet_vent.least": 1.25})[0]["w1"].words.startswith("wet vent of BT: 2 in")
    s = bath(sketch(book_id="upc-2021"), others=("BT",), closet=False, upright=True)
    s.traps = [replace(t, trap_in=1.5) for t in s.traps]
    assert needs_of(s)[0]["w1"].words.startswith("wet vent of BT: 2 in")  # 2 in either way: the load is named


def test_one_arm_that_joins_the_upright_pipe_is_enough(sketch):
    # upc-2021: w1 serves both, the sink joins it, the tub further down; 3 in come in from above
    s = bath(sketch(book_id="upc-2021"), others=("KS", "BT"), closet=False, upright=True)
    s.traps = [replace(t, trap_in=3.0) if t.tag == "LV" else t for t in s.traps]
    assert needs_of(s)[0]["w1"].words == "wet vent, vertical: one size larger than 3 in above it"


def test_upright_goes_by_the_largest_that_comes_in(sketch):
    s = bath(sketch(book_id="upc-2021"), others=("KS", "BT"), closet=False, upright=True)
    s.traps = [replace(t, trap_in=3.0) if t.tag == "KS" else t for t in s.traps]
    # w1 and the arm of the sink come in at the head of w2
    assert needs_of(s)[0]["w2"].words == "wet vent, vertical: one size larger than 3 in above it"


def test_upright_without_anything_above_or_a_capacity_is_left_to_the_load(sketch):
    s = bath(sketch(book_id="upc-2021"), others=("BT",), closet=False, upright=True)
    s.runs = [r for r in s.runs if r.id != "arm-LV"]
    s.book = telling(without(s.book, "stack"), "wet_vent", {(0.0, 1.25): 8.0}, "next_larger")
    assert needs_of(s, {"wet_vent.least": None})[0]["w1"].words.startswith("wet vent of BT: 1-1/4 in")


@pytest.mark.parametrize(("traps_in", "least"), [((1.5, 1.5), 2.0), ((1.5, 2.0), 3.0), ((2.0, 1.5), 3.0)])
def test_one_large_trap_makes_a_circuit_vented_branch_large(sketch, traps_in, least):
    s = bath(sketch(), others=("BT", "SH"), closet=False, method="circuit")
    own = dict(zip(("BT", "SH"), traps_in, strict=True))
    s.traps = [replace(t, trap_in=own.get(t.tag, t.trap_in)) for t in s.traps]
    assert needs_of(s)[0]["w1"].size_in == least


def test_a_gap_in_the_book_is_a_remark(sketch):
    s = bath(sketch(), closet=False)
    s.book = without(s.book, "wet_vent")
    needs, _ = needs_of(s, {"wet_vent.not_reduced": None})
    assert needs["w1"].size_in == 0.0
    assert needs["w1"].words.startswith("wet vent of BT: ")
