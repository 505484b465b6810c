"""The vent of a stack is no larger than book and common practice ask, though it has the room its stack would want.

Half the drain: irc-2021 P3113.1; the one large vent: npc-2020 2.5.8.4(5); the area of the sewer: upc-2021 904.1. That a
stack of 3 in goes out in 2 in at the least is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_systems import framed, halved, joined, roofs, settled, vents

from stubout.sizing.need import Need
from stubout.sizing.openair import building_vent, total_area

BOTH = ("stack vent", "stack vent")


def asked(sizes, **need_in):
    """Settle some vents with what they need."""
    for i, size in need_in.items():
        sizes.settle(sizes.network.pipe(i), [Need(size, "least vent: x")])
    return sizes


def drawn(sizes, pipe_id):
    """Say that a pipe is drawn by hand."""
    net = sizes.network
    pipes = tuple(replace(p, drawn=True) if p.id == pipe_id else p for p in net.pipes)
    return replace(sizes, network=replace(net, pipes=pipes))


@pytest.mark.parametrize(
    ("room", "need", "size"),
    [(3.0, 1.5, 2.0), (3.0, 2.0, 2.0), (3.0, 2.5, 3.0), (3.0, 3.0, 3.0), (2.0, 1.25, 1.5), (1.5, 1.5, 1.5)],
)
def test_the_vent_of_a_stack_is_as_large_as_it_needs_to_be(sketch, room, need, size):
    sizes = asked(settled(roofs(sketch(), (room,), ("LV1",), BOTH[:1]), 3.0), V0=need)
    assert vents(sizes) == [size]  # 2-1/2 in is hardly made in plastic


def test_a_vent_that_needs_more_than_its_room_gets_it(sketch):
    sizes = asked(settled(roofs(sketch(), (2.0,), ("LV1",), BOTH[:1]), 3.0), V0=3.0)
    assert vents(sizes) == [3.0]


def test_what_goes_on_from_it_is_no_larger_either(sketch):
    s = halved(roofs(sketch(), (3.0, 1.5), ("WC1", "LV1"), ("stack vent", "vent")), 0, 3.0, "vent header")
    sizes = asked(settled(s, 3.0), V0=1.5, V0b=1.5, V1=1.5)
    assert [sizes.final[i] for i in ("V0", "V0b", "V1")] == [2.0, 2.0, 1.5]


def test_where_two_stacks_meet_the_larger_one_counts(sketch):
    sizes = asked(settled(joined(roofs(sketch(), (2.0, 3.0), ("LV1", "WC1"), BOTH), 3.0), 3.0), V0=1.5, V1=1.5, T=1.5)
    assert [sizes.final[i] for i in ("V0", "V1", "T")] == [1.5, 2.0, 2.0]


def test_vents_of_fixtures_and_drawn_ones_stay_as_they_are(sketch):
    sizes = asked(settled(roofs(sketch(), (3.0,), ("LV1",)), 3.0), V0=1.5)
    assert vents(sizes) == [3.0]
    sizes = drawn(settled(roofs(sketch(), (3.0,), ("LV1",), BOTH[:1]), 3.0), "V0")
    assert vents(asked(sizes, V0=1.5)) == [3.0]


def test_the_one_large_vent_goes_where_it_has_the_room(sketch):
    sizes = asked(settled(roofs(sketch(), (2.0, 3.0), ("WC1", "LV1"), BOTH), 3.0), V0=2.0, V1=1.5)
    assert building_vent(sizes) is True
    assert vents(sizes) == [2.0, 3.0]


def test_the_one_large_vent_goes_where_least_is_enlarged(sketch):
    s = roofs(sketch(), (3.0, 3.0), ("WC1", "LV1"), BOTH)
    at = s.points["r0"].at
    s.at("r0", at.x, at.y, at.z + 1000.0, "terminal")
    sizes = asked(settled(s, 3.0), V0=1.5, V1=1.5)
    assert building_vent(sizes) is True
    assert vents(sizes) == [2.0, 3.0]


def test_area_is_made_up_where_a_wall_takes_it(sketch):
    # two vents of 2 in: 6.28 of 7.07 sq in; the one with most load stands in a wall of 89 mm, its 3 in hub is 102
    s = roofs(sketch(book_id="upc-2021"), (2.0, 3.0), ("WC1", "LV1"), BOTH, wall="V0 V1")
    sizes = asked(settled(s, 3.0, walls=(framed(89.0),)), V0=2.0, V1=2.0)
    assert total_area(sizes) is True
    assert vents(sizes) == [2.0, 3.0]


def test_area_that_is_there_grows_nothing(sketch):
    s = roofs(sketch(book_id="upc-2021"), (3.0, 3.0, 3.0), ("WC1", "LV1", "LV2"), (*BOTH, "stack vent"))
    sizes = asked(settled(s, 3.0), V0=2.0, V1=2.0, V2=2.0)  # 9.42 of 7.07 sq in
    assert total_area(sizes) is False
    assert vents(sizes) == [2.0, 2.0, 2.0]


def test_area_that_no_vent_makes_up_alone_is_made_up_by_several(sketch):
    # 4 in sewer: 12.57 sq in; two of 3 in and one of 1-1/2 in a wall that takes none of 4 in: 15.90
    s = roofs(sketch(book_id="upc-2021"), (3.0, 3.0, 1.5), ("WC1", "WC2", "LV1"), (*BOTH, "vent"), wall="V0 V1 V2")
    sizes = asked(settled(s, 4.0, walls=(framed(89.0),)), V0=2.0, V1=2.0, V2=1.5)
    while total_area(sizes):
        pass
    assert vents(sizes) == [3.0, 3.0, 1.5]
