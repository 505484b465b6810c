"""Traps of floor outlets: room between outlet and weir, and the height that a sheet fixes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.geometry.vec import Vec
from stubout.problems import Level

CENTRE_MM = 500.0  # of the arm of the small bath at the weir
WEIR_MM = 500 - 20.2184  # its invert, 1-1/2 in ABS of the catalogue
DROP_MM = 50.0  # into a trap: common practice, no source


def with_floor_outlet(kit, outlet_z, *, kind="bathtub", least_z=None, said=None, **changes):
    """Return the small bath with a floor outlet in the place of the lavatory."""
    body = replace(
        kit.fixture("LV1", kind, station_mm=609.0), outlet=Vec(230, 609, outlet_z), floor_outlet=True,
        outlet_z_mm=said, outlet_least_z_mm=least_z, finished_z_mm=CENTRE_MM + 33.0, subfloor_z_mm=CENTRE_MM + 20.0,
        **changes,
    )  # fmt: skip
    return kit.design(fixtures=(body, kit.WC1))


@pytest.mark.parametrize("kind", ["bathtub", "shower", "floor drain"])
@pytest.mark.parametrize(("room", "n"), [(DROP_MM - 0.4, 0), (DROP_MM - 0.6, 1), (-80.0, 1)])
def test_the_trap_needs_room_below_the_outlet(kit, kind, room, n):
    """Half a millimetre is let pass."""
    z = CENTRE_MM + room
    d = with_floor_outlet(kit, z, kind=kind, said=None if kind == "floor drain" else z)
    assert [f.level for f in kit.found("TRP006", d)] == [Level.FIX] * n


def test_by_how_much_a_trap_is_to_be_lowered(kit):
    (f,) = kit.found("TRP006", with_floor_outlet(kit, CENTRE_MM + 20.0, said=CENTRE_MM + 20.0))
    assert f.found == (
        'outlet of LV1, 13 mm (1/2") below finished floor, 0 mm (0") above subfloor, is 20 mm (13/16") above the '
        "centre line of its arm at the trap weir"
    )
    assert f.wanted == 'at least 50 mm (1 15/16") above it'
    assert f.do == 'lower the trap and its arm by 30 mm (1 3/16")'
    assert f.bases[-1].of == ("trade.trap_entry_drop",)
    lower = with_floor_outlet(kit, CENTRE_MM + 20.0 + 30.0, said=CENTRE_MM + 20.0 + 30.0)
    assert kit.found("TRP006", lower) == []


@pytest.mark.parametrize(
    ("room", "level"), [(100.4, None), (99.4, Level.ASK), (49.6, Level.ASK), (49.4, Level.FIX)]
)  # fmt: skip
def test_a_taken_height_is_asked_about_where_its_doubt_alone_decides(kit, room, level):
    """Taken 50 mm above what it stands on: with room below that it may still be lower."""
    z = CENTRE_MM + room
    found = kit.found("TRP006", with_floor_outlet(kit, z, least_z=z - 50.0))
    assert [f.level for f in found] == ([] if level is None else [level])
    for f in found:
        assert f.do.startswith("write the `outlet height` of LV1") is (level is Level.ASK)
        assert "and perhaps 50 mm" in f.found
        assert f"by {100 - room:.0f} mm" in f.do


def test_closets_and_fixtures_of_walls_have_their_own_checks(kit):
    assert kit.found("TRP006", kit.design()) == []
    assert kit.found("TRP006", with_floor_outlet(kit, CENTRE_MM, kind="clothes washer")) == []
    low = replace(kit.LV1, outlet_z_mm=CENTRE_MM)  # STB001 tells of it
    assert kit.found("TRP006", kit.design(fixtures=(low, kit.WC1))) == []


@pytest.mark.parametrize(
    ("high", "level"),
    [
        (0.0, None), (10.4, None), (10.6, Level.FIX), (80.0, Level.FIX),
        (-10.4, None), (-10.6, Level.ASK), (-300.0, Level.ASK),
    ],
)  # fmt: skip
def test_a_weir_off_the_height_that_the_job_fixes(kit, high, level):
    """10 mm, common practice without a source, and half a millimetre for the rounding of heights."""
    z = WEIR_MM + 400.0
    found = kit.found("TRP007", with_floor_outlet(kit, z, said=z, trap_weir_z_mm=WEIR_MM - high))
    assert [f.level for f in found] == ([] if level is None else [level])
    for f in found:
        assert f.about == ("LV1", "A1")
        assert f"{abs(high):.0f} mm" in f.do
        assert f.do.startswith("lower the trap" if high > 0 else "ask whether the outlet pipe")
        assert [b.book for b in f.bases] == ["job", "trade"]


def test_what_is_told_of_a_weir_off_its_height(kit):
    z = WEIR_MM + 400.0
    (f,) = kit.found("TRP007", with_floor_outlet(kit, z, said=z, trap_weir_z_mm=WEIR_MM + 30.0))
    assert f.found == (
        'trap weir of LV1: 53 mm (2 1/8") below finished floor, 40 mm (1 9/16") below subfloor, 30 mm (1 3/16") below '
        "the one that the job fixes"
    )
    assert f.wanted == '23 mm (15/16") below finished floor, 10 mm (3/8") below subfloor, within 10 mm (3/8")'
    assert f.owner == "owner"


def test_a_weir_that_nobody_fixes_lies_where_it_lies(kit):
    assert kit.found("TRP007", kit.design()) == []
    fixed = replace(kit.WC1, trap_weir_z_mm=500.0)  # the trap of a closet is in its bowl
    assert kit.found("TRP007", kit.design(fixtures=(kit.LV1, fixed))) == []
