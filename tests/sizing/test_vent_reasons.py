"""What one vent needs: least by trap or half the drain, load and length, what joins. Rules named beside the values."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_systems import unsettled, without

from stubout.rulebooks import queries
from stubout.sizing.need import Need
from stubout.sizing.vents import size_vent

FT = 304.8


def vent(s, *tags, up_ft=10.0, flat_ft=0.0, role="vent", drain_in=1.25, trap_in=None):
    """Fixtures on one take-off with a vent V: so far flat, so far up."""
    s.at("t", 0, 0, 0, "vent take-off")
    s.at("end", 0, -3000, -60, "sewer connection")
    s.drain("D", "t", "end", "branch", drain_in)
    s.at("k", flat_ft * FT, 0, 0)
    s.at("air", flat_ft * FT, 0, up_ft * FT, "terminal")
    ids = ("V1", "V2") if flat_ft else ("V2",)
    if flat_ft:
        s.vent("V1", "t", "k", role)
    s.vent("V2", "k" if flat_ft else "t", "air", role)
    for i, tag in enumerate(tags):
        s.at(f"w{i}", 300 + i, 200, 12, "trap")
        s.drain(f"a{i}", f"w{i}", "t", "trap arm", drain_in, tag=tag)
        s.fixture(tag)
        more = {"trap_in": trap_in} if trap_in else {}
        s.trap(tag, f"w{i}", "t", (f"a{i}",), vent_runs=ids, **more)
    return s


def told(s, pipe_id="V2", **needed):
    """The reasons of a vent, drains as drawn; `needed` gives some another need."""
    sizes = unsettled(s)
    for p in sizes.network.drains():
        sizes.settle(p, [Need(needed.get(p.id, p.size_in), "x")])
    for p in sizes.network.vents():
        size_vent(sizes, p)
    return [n.words for n in sizes.needs[pipe_id]], sizes


def test_a_vent_without_a_trap_says_so(sketch):
    s = vent(sketch())
    words, sizes = told(s)
    assert words == ["no trap gets air through it"]
    assert sizes.needed["V2"] == 0.0


@pytest.mark.parametrize("book_id", ["npc-2020", "upc-2021", "irc-2021", "ipc-2021"])
@pytest.mark.parametrize("trap_in", [1.5, 2.0, 3.0])
def test_least_vent_is_the_largest_that_its_traps_ask(sketch, book_id, trap_in):
    s = vent(sketch(book_id=book_id), "LV1", "FD2", drain_in=trap_in)
    s.traps[1] = replace(s.traps[1], trap_in=trap_in)
    words, _ = told(s)
    asked = [
        queries.vent_least_size(s.book, trap_in=t.trap_in, drain_in=trap_in, kind=f.kind)
        for t, f in zip(s.traps, s.fixtures, strict=True)
    ]
    best = max(asked, key=lambda c: c.number)
    assert words[0].startswith(f"least vent: {best.printed} for ")
    if asked[0].number == asked[1].number:
        assert f"for {s.traps[0].tag}, trap" in words[0]  # the first of equals


def test_individual_vents_do_not_count_their_length_in_canada(sketch):
    # npc-2020 2.5.8.3: length of individual and common vents is ignored
    words, _ = told(vent(sketch(), "LV1", up_ft=500.0))
    assert words[-1].startswith("individual or common vent: length does not count")
    words, _ = told(vent(sketch(), "LV1", "LV2", up_ft=500.0, role="branch vent"))
    assert not any("does not count" in w for w in words)
    assert any(w.startswith("branch vent: ") for w in words)
    s = vent(sketch(), "LV1", "LV2")
    s.traps[1] = replace(s.traps[1], wet_through=("D",))
    assert not any("does not count" in w for w in told(s)[0])
    assert any("does not count" in w for w in told(vent(sketch(), "LV1", role="foot vent"))[0])


@pytest.mark.parametrize(("up_ft", "size_in"), [(39.0, 1.5), (41.0, 2.0)])
def test_residential_vent_beyond_40_ft(sketch, up_ft, size_in):
    # irc-2021 P3113.1: half the drain, 1-1/4 in at least, beyond 40 ft one size larger; a 3 in drain takes 1-1/2 in
    words, sizes = told(vent(sketch(book_id="irc-2021"), "FD1", up_ft=up_ft, drain_in=3.0, trap_in=3.0))
    assert sizes.needed["V2"] == size_in
    assert f"vent: {sizes.network.pipe('V2').load:g} dfu, " in words[1]


@pytest.mark.parametrize(
    ("flat_ft", "up_ft", "within"),
    # upc-2021 table 703.2: 1-1/4 in may be 45 ft long, a third of it (15 ft) level
    [(14.0, 29.0, True), (16.0, 20.0, False), (1.0, 46.0, False), (0.0, 44.0, True), (0.0, 46.0, False)],
)
def test_uniform_vent_too_long_or_too_flat(sketch, flat_ft, up_ft, within):
    words, sizes = told(vent(sketch(book_id="upc-2021"), "LV1", flat_ft=flat_ft, up_ft=up_ft))
    assert words[1].startswith("vent: 1-1/4 in takes 1")
    assert (": within " in words[2]) == within
    assert sizes.needed["V2"] == (1.25 if within else 1.5)
    assert (", over " in words[2]) == (not within)


def test_uniform_length_of_the_size_the_trap_asks(sketch):
    # a closet's vent is 2 in at least: 120 ft, not the 60 ft of what 3 DFU need (upc-2021 table 703.2)
    words, sizes = told(vent(sketch(book_id="upc-2021"), "WC1", up_ft=100.0, drain_in=3.0))
    assert sizes.needed["V2"] == 2.0
    assert any(": within " in w for w in words)


def test_a_load_beyond_the_book_is_a_remark(sketch):
    s = vent(sketch(book_id="upc-2021"), "LV1")
    s.book = without(s.book, "vent_load")
    words, sizes = told(s)
    assert words[-1].startswith("vent, 1 DFU: ")
    assert sizes.needs["V2"][-1].size_in == 0.0


def test_not_smaller_than_the_largest_that_joins(sketch):
    s = vent(sketch(), "LV1")
    s.at("air", 0, 0, 3048, "junction")
    s.at("sky", 0, 0, 6000, "terminal")
    for i, size in enumerate((3.0, 2.0)):
        s.at(f"p{i}", 500 + i, 500, 2500)
        s.vent(f"F{i}", f"p{i}", "air", "vent", size)
    s.vent("T", "air", "sky", "vent")
    words, sizes = told(s, "T")
    assert words[-1] == "not smaller than what joins: F0 comes in with 3 in"
    assert sizes.needed["T"] == 3.0
    assert len(sizes.needs["T"][-1].bases) == 1
    assert not any("joins" in w for w in told(vent(sketch(), "LV1"))[0])
