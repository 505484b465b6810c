"""FIT008: the angle between two pipes against the angle their fitting is moulded to.

An eighth bend turns by 45 degrees (ASTM D3311 names the patterns by their part of a circle); the play of 3 degrees is
common practice, no source.
"""

import math
from dataclasses import replace

import pytest

from stubout.catalog import queries as catalog
from stubout.fabrication.model import FittingUse
from stubout.geometry.vec import Vec
from stubout.problems import Status


def use(pattern, at, pipes, use_id="F1", node="N99", **kw):
    sizes = (2.0,) * max(len(pipes), 1)
    return FittingUse(use_id, node, pattern, sizes, at, pipes, Status.MEMORY, **kw)


def turned(kit, deg, *uses, **specs):
    """Return the bath with two lying pipes K1, K2 that turn by an angle at (1000, 3000)."""
    a = math.radians(deg)
    corner = (1000, 3000, -260)
    add = {
        "K1": {"role": "branch", "a": (2000, 3000, -240), "b": corner, "size": 2, "tags": "LV1"},
        "K2": {"role": "branch", "a": corner, "b": (1000 - 900 * math.cos(a), 3000 - 900 * math.sin(a), -278),
               "size": 2, "tags": "LV1"},
        **specs,
    }  # fmt: skip
    return kit.design(add=add, fabrication=replace(kit.EMPTY, fittings=uses))


CORNER = Vec(1000, 3000, -260)


@pytest.mark.parametrize(("deg", "n"), [(45, 0), (47.8, 0), (42.2, 0), (40, 1), (50, 1)])
def test_an_eighth_bend_makes_45(kit, deg, n):
    found = kit.found("FIT008", turned(kit, deg, use("1/8 bend", CORNER, ("K1", "K2"))))
    assert len(found) == n
    if n:
        assert found[0].about == ("F1", "K1", "K2")
        assert "makes 45" in found[0].found
        assert f"{deg:.0f}.0 degrees" in found[0].found
        assert not found[0].status.verified


@pytest.mark.parametrize(("deg", "n"), [(67.5, 0), (62, 1)])
def test_bends_joined_closely_count_together(kit, deg, n):
    pair = (
        use("1/8 bend", CORNER, ("K1", "K2")),
        use("street 1/16 bend", CORNER, ("K1", "K2"), "F2"),
    )
    found = kit.found("FIT008", turned(kit, deg, *pair))
    assert len(found) == n
    if n:
        assert "F1 and street 1/16 bend F2 make 67.5" in found[0].found


@pytest.mark.parametrize(("side_deg", "n"), [(45, 0), (52, 1)])
@pytest.mark.parametrize("pattern", ["wye", "double wye"])
def test_branch_of_a_wye(kit, pattern, side_deg, n):
    a = math.radians(side_deg)
    side = {"role": "branch", "a": (1000 + 700 * math.cos(a), 3000 + 700 * math.sin(a), -245), "b": tuple(CORNER),
            "size": 2, "tags": "LV1"}  # fmt: skip
    d = turned(kit, 0, use(pattern, CORNER, ("K1", "K2", "K3")), K3=side)
    assert len(kit.found("FIT008", d)) == n


def test_run_of_a_tee_is_straight_but_for_a_bend_in_its_hub(kit):
    tee = use("wye", CORNER, ("K1", "K2", ""))
    (f,) = kit.found("FIT008", turned(kit, 45, tee))
    assert "straight" in f.found
    assert "straight" in f.do
    elbow = use("street 1/8 bend", CORNER, ("K1", "K1"), "F2")
    assert kit.found("FIT008", turned(kit, 45, tee, elbow)) == []
    twice = use("sanitary tee", CORNER, ("K1", "K2", ""), "F3")
    assert len(kit.found("FIT008", turned(kit, 45, tee, twice))) == 1  # one point, one run, said once


def test_what_the_shop_says_of_a_turn_is_heard(kit):
    """`off_deg` of a fitting whose pipes do not tell the angle: a bend in the hub of a fitting that is not listed."""
    lone = use("street 1/8 bend", CORNER, ("K1", "K1"), off_deg=-9.0)
    (f,) = kit.found("FIT008", turned(kit, 0, lone))
    assert "9.0 degrees off" in f.found
    assert kit.found("FIT008", turned(kit, 0, replace(lone, off_deg=0.0))) == []


def test_the_play_is_a_figure_of_the_catalogue(kit):
    play = catalog.figure("fitting angle play")
    assert play.unit == "deg"
    assert play.status is Status.MEMORY
    assert "common practice, no source" in play.note
    # the built-in pitch of 1/4 in per ft is arctan(1/48): a quarter bend at a stack foot must pass with it
    assert math.degrees(math.atan(1 / 48)) < play.value < 45 - 40


def test_stack_foot_with_pitch_passes(kit):
    drop = {"role": "stack", "a": (1000, 3000, 800), "b": tuple(CORNER), "size": 2, "tags": "LV1"}
    d = turned(kit, 0, use("long-turn 1/4 bend", CORNER, ("K9", "K2")), K9=drop)
    assert kit.found("FIT008", d) == []


def into_a_stack(kit, pattern, first_deg, second_deg, fall=0.0):
    """Return the bath with an upright drain K1, K2 and two branches K3, K4 that come into it from two directions."""
    at = (1000, 3000, 1000)

    def side(deg):
        a = math.radians(deg)
        away = (1000 + 600 * math.cos(a), 3000 + 600 * math.sin(a), 1000 + 600 * fall)
        return {"role": "branch", "a": away, "b": at, "size": 2, "tags": "LV1"}

    add = {
        "K1": {"role": "stack", "a": (1000, 3000, 1600), "b": at, "size": 2, "tags": "LV1"},
        "K2": {"role": "stack", "a": at, "b": (1000, 3000, 300), "size": 2, "tags": "LV1"},
        "K3": side(first_deg),
        "K4": side(second_deg),
    }
    tee = use(pattern, Vec(*at), ("K1", "K2", "K3", "K4"))
    return kit.design(add=add, fabrication=replace(kit.EMPTY, fittings=(tee,)))


@pytest.mark.parametrize(("deg", "n"), [(180, 0), (177.1, 0), (182.9, 0), (176.5, 1), (158, 1), (90, 1)])
@pytest.mark.parametrize("pattern", ["double sanitary tee", "double fixture fitting"])
def test_branches_of_a_double_fitting_face_each_other(kit, pattern, deg, n):
    """ASTM D3311 draws the branches of a double sanitary tee on one line; from memory."""
    found = kit.found("FIT008", into_a_stack(kit, pattern, 20, 20 + deg))
    assert len(found) == n
    if n:
        assert found[0].about == ("F1", "K3", "K4")
        assert "stand at 180" in found[0].found


@pytest.mark.parametrize(("deg", "n"), [(90, 0), (87.1, 0), (-92.9, 0), (86, 1), (94, 1), (60, 1)])
def test_a_side_inlet_stands_square(kit, deg, n):
    found = kit.found("FIT008", into_a_stack(kit, "side-inlet sanitary tee", 0, deg))
    assert len(found) == n
    assert all("stand at 90" in f.found for f in found)


def test_fall_of_both_branches_is_no_angle_between_them(kit):
    """1/2 in per ft on each side leans both by 2.4 degrees; seen along the stack they still face each other."""
    assert kit.found("FIT008", into_a_stack(kit, "double sanitary tee", 0, 180, fall=1 / 24)) == []


def test_a_bend_in_the_hub_of_a_branch_turns_it(kit):
    d = into_a_stack(kit, "double sanitary tee", 0, 135)
    assert len(kit.found("FIT008", d)) == 1
    bent = use("street 1/8 bend", Vec(1000, 3000, 1000), ("K4", "K4"), "F2")
    told = kit.found("FIT008", replace(d, fabrication=replace(kit.EMPTY, fittings=(*d.fabrication.fittings, bent))))
    assert not any("stand at" in f.found for f in told)
