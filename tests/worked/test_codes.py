"""Worked code examples that no other test covers; ids of the n and u reference sheets."""

from __future__ import annotations

import math

import pytest

from stubout.files.books import load_book
from stubout.geometry.vec import Vec
from stubout.kinds import FixtureKind as K
from stubout.layout.model import Place, Role
from stubout.network.model import Pipe
from stubout.pocket import fall_over
from stubout.rulebooks import queries
from stubout.rulebooks.model import RuleBook
from stubout.sizing.openair import nominal_area_in2

FT = 304.8


@pytest.fixture(scope="module")
def npc() -> RuleBook:
    return load_book("npc-2020")


def test_n_w1_three_45s_add_up_to_135(npc: RuleBook) -> None:
    """W1: inspectors' interpretation (secondary): three 45s before a wye are 135 deg, accepted; the wye not counted."""
    limit = queries.arm_max_turn(npc, K.LAVATORY, 1.5).number
    assert limit == 3 * 45
    assert limit < 4 * 45


def test_n_d1_with_the_washer_as_recalled(npc: RuleBook) -> None:
    """D1 (derived): 15.5 FU, or 16 if the washer's 2 FU by memory were confirmed; the table's note says so itself."""
    washer = queries.fixture_load(npc, K.CLOTHES_WASHER)
    assert washer.number == 1.5
    assert "2 FU" in washer.note
    assert 15.5 - washer.number + 2 == 16
    assert queries.building_drain_capacity(npc, 3.0, 1 / 50).number >= 16


def test_n_d4_fall_of_the_longest_lavatory_arm(npc: RuleBook) -> None:
    """D4 (derived): 1.8 m at 1:50 falls 36 mm and passes, 1.9 m fails the length."""
    assert fall_over(1800, 1 / 50, "mm").fall_mm == pytest.approx(36)
    assert queries.arm_max_fall(npc, 1.5).number >= 36
    assert queries.arm_max_length(npc, 1.5).number < 1900


def test_n_d5_d6_limits_as_printed(npc: RuleBook) -> None:
    """D5, D6 (derived): branch vent 8 FU 30 m in 1-1/2 and 61 in 2; stack vent of 3 in, 21 FU: 10 and 33.5 m."""

    def limit(vent_in: float, load: float, stack: bool) -> float:
        cell = queries.vent_max_length(npc, vent_in=vent_in, load=load, stack=stack, stack_in=3.0)
        assert cell is not None
        return cell.number

    assert (limit(1.5, 8, False), limit(2.0, 8, False)) == (30_000, 61_000)
    assert (limit(1.5, 21, True), limit(2.0, 21, True)) == (10_000, 33_500)


@pytest.mark.parametrize(
    ("size_in", "area"), [(1.25, 1.23), (1.5, 1.77), (2.0, 3.14), (2.5, 4.91), (3.0, 7.07), (4.0, 12.57)]
)
def test_u_area_constants(size_in: float, area: float) -> None:
    """u-family reference, section 12 (derived): areas by nominal size in square inches, for the vent area rule."""
    assert nominal_area_in2(size_in) == pytest.approx(area, abs=0.005)
    assert nominal_area_in2(size_in) == pytest.approx(math.pi / 4 * size_in**2)


def test_vertical_means_within_45_degrees() -> None:
    """Definition common to the three families: a pipe is vertical within 45 degrees of plumb, flat beyond."""

    def pipe(dx: float, dz: float) -> Pipe:
        return Pipe("V", "vent", Role.VENT, "a", "b", Vec(0, 0, 0), Vec(dx, 0, dz), Place("wall"), "", 2.0, 1.0, ())

    assert pipe(100, 100).vertical
    assert pipe(99, 100).vertical
    assert not pipe(101, 100).vertical
