"""CLA006: pipes in sight, told where the job says what the room is, asked where it does not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.house.model import HouseLevel, Room
from stubout.problems import Question

LEVELS = (
    HouseLevel("low", "Basement", 0, "slab", -2700.0, 2400.0),
    HouseLevel("main", "Main floor", 1, "frame", 0.0, 2467.0, attic_above=True),
)
STORE = Room("store", "low", 400.0, 2000.0, 3000.0, 3900.0, 0.0, title="Store")
HUNG = {"role": "branch", "a": (2000, 3000, -400), "b": (1000, 3000, -420), "size": 2, "tags": "LV1", "load": 1,
        "place": "below frame:floor"}  # fmt: skip


def told(kit, *, rooms=(), levels=LEVELS, home=None, **pipes):
    d = kit.design(add=pipes, levels=levels, rooms=(*kit.house().rooms, *rooms), **(home or {}))
    return [(f.level.value, f.about) for f in kit.found("CLA006", d)]


def test_a_drain_under_the_ceiling_of_a_part_without_a_name_is_a_question(kit):
    d = kit.design(add={"K1": HUNG, "K2": {**HUNG, "a": (2000, 1200, -400), "b": (1000, 1200, -420)}}, levels=LEVELS)
    (f,) = kit.found("CLA006", d)
    assert (f.level.value, f.about, f.owner) == ("ASK", ("low", "K1", "K2"), "owner")
    assert f.found == "K1, K2 lie in a part of Basement that no room of the job names"
    assert "what this space is" in f.do
    assert f.at == (2000.0, 3000.0, -400.0)


@pytest.mark.parametrize(
    ("room", "found"),
    [
        ({}, [("ASK", ("store", "K1"))]),
        ({"ceiling_open": True}, []),
        ({"exposed_pipe_ok": True}, []),
        ({"drop_ceiling_z_mm": -451.0}, []),  # a 2 in pipe at -420 reaches down to -450
        ({"drop_ceiling_z_mm": -448.0}, [("ASK", ("store", "K1"))]),
        ({"level_id": "main"}, [("ASK", ("low", "K1"))]),  # a room over it does not name what is below
        ({"x1_mm": 1400.0}, [("ASK", ("low", "K1"))]),  # the middle lies beside it
    ],
)
def test_a_room_says_what_its_ceiling_is(kit, room, found):
    assert told(kit, rooms=(replace(STORE, **room),), K1=HUNG) == found


def test_an_open_level_and_a_crawl_space_show_their_pipes(kit):
    low, main = LEVELS
    assert told(kit, levels=(replace(low, ceiling_open=True), main), K1=HUNG) == []
    assert told(kit, levels=(replace(low, kind="ground"), main), K1=HUNG) == []


@pytest.mark.parametrize(
    ("change", "found"),
    [
        ({"place": "room:low"}, [("ASK", ("low", "K1"))]),  # stands free where no room is named
        ({"place": "room:store"}, [("FIX", ("K1", "store"))]),
        ({"place": "room:low", "a": (1500, 3000, -400), "b": (1500, 3000, -2600)}, [("FIX", ("K1", "store"))]),
        ({"place": "room:outside"}, []),
        ({"place": "joist bay:floor"}, []),
        ({"role": "cleanout extension"}, []),
        ({"role": "trap arm"}, [("ASK", ("store", "K1"))]),  # hung in the storey below its fixture
        ({"role": "trap arm", "place": "room:store"}, []),  # at its fixture
    ],
)
def test_where_a_pipe_lies(kit, change, found):
    rooms = (STORE,)
    if found and found[0][1][0] == "low":
        rooms = ()
    assert told(kit, rooms=rooms, K1={**HUNG, **change}) == found


@pytest.mark.parametrize(("up_mm", "n"), [(300.0, 0), (301.0, 1)])
def test_the_vent_in_the_box_around_its_drop(kit, up_mm, n):
    """So far above the boxed drop the vent may go on before it is in the wall (common practice, no source)."""
    asked = Question("Q-LV1-box", "may its drain drop in a box?", "builder", about=("LV1", "P"))
    shared = {"V1": {"place": "room:bath", "b": (0, 609, 495.4 + up_mm), "tags": "LV1 WC1"}}
    more = {"V1b": {"system": "vent", "role": "vent", "a": (0, 609, 495.4 + up_mm), "b": (0, 609, 3300), "size": 1.5,
                    "tags": "LV1 WC1"}}  # fmt: skip
    drop = {"D1": {"place": "room:bath"}}
    d = kit.design(edit=shared | drop, add=more, questions=(asked,))
    assert [f.about for f in kit.found("CLA006", d)] == [("V1", "bath")] * n
    two = kit.design(
        edit={"V1": {**shared["V1"], "b": (0, 609, 600)}} | drop,
        add={"V1a": {**more["V1b"], "a": (0, 609, 600), "b": (0, 609, 495.4 + up_mm), "place": "room:bath"}},
        questions=(asked,),
    )
    assert [f.about for f in kit.found("CLA006", two)] == [("V1a", "bath")] * n
    bare = kit.design(edit=shared | drop, add=more)
    assert {f.about[0] for f in kit.found("CLA006", bare)} == {"V1", "D1"}


def test_a_room_without_a_title_goes_by_its_id(kit):
    nameless = replace(STORE, title="")
    d = kit.design(add={"K1": HUNG}, levels=LEVELS, rooms=(*kit.house().rooms, nameless))
    (f,) = kit.found("CLA006", d)
    assert "below the joists of store" in f.found
    low = (replace(LEVELS[0], title=""), LEVELS[1])
    (f,) = kit.found("CLA006", kit.design(add={"K1": HUNG}, levels=low))
    assert "a part of low" in f.found
    d = kit.design(add={"K1": {**HUNG, "place": "room:store"}}, levels=LEVELS, rooms=(*kit.house().rooms, nameless))
    (f,) = kit.found("CLA006", d)
    assert "through store" in f.found


def test_pipes_that_may_be_seen_hide_none_that_may_not(kit):
    """One at its fixture, one outside, one in a room that shows its pipes; the last runs through the store."""
    shown = replace(STORE, id="shop", x0_mm=4000.0, x1_mm=6000.0, exposed_pipe_ok=True)
    pipes = {
        "K1": {**HUNG, "role": "trap arm", "place": "room:store"},
        "K2": {**HUNG, "place": "room:outside"},
        "K3": {**HUNG, "place": "room:shop"},
        "K4": {**HUNG, "place": "room:store"},
    }
    assert told(kit, rooms=(STORE, shown), **pipes) == [("FIX", ("K4", "store"))]
