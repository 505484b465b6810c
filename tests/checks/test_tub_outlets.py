"""How high the outlet of a tub stands decides how deep its trap may lie: said, or taken and then a question."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.geometry.vec import Vec
from stubout.problems import Level
from stubout.reports.pipes import fixtures_page
from stubout.sizing.outlets import taken_outlets

WEIR_MM = 500 - 20.2184  # invert of the arm of the small bath, 1-1/2 in ABS of the catalogue
LIMIT_MM = 609.6  # 24 in: IPC 1002.1, UPC 1001.4
STAND_MM = WEIR_MM + LIMIT_MM - 30.0  # what the tub stands on; taken: 50 mm over it


def with_tub(kit, outlet_z, least_z, said=None):
    """Return the small bath with a tub in the place of the lavatory, 13 mm of floor round it."""
    tub = replace(
        kit.fixture("LV1", "bathtub", station_mm=609.0), outlet=Vec(230, 609, outlet_z), floor_outlet=True,
        outlet_z_mm=said, outlet_least_z_mm=least_z, finished_z_mm=STAND_MM + 13.0, subfloor_z_mm=STAND_MM,
    )  # fmt: skip
    return kit.design(book="irc-2021", fixtures=(tub, kit.WC1))


def found(kit, outlet_z, least_z, said=None):
    return kit.found("TRP002", with_tub(kit, outlet_z, least_z, said))


@pytest.mark.parametrize(
    ("over_limit", "level"),
    [(0.4, None), (0.6, Level.ASK), (50.4, Level.ASK), (50.6, Level.FIX)],  # half a millimetre is let pass
)
def test_a_taken_height_is_asked_about_where_it_alone_passes_the_limit(kit, over_limit, level):
    """Taken 50 mm above what it stands on: from there down the drop is too long for certain."""
    z = WEIR_MM + LIMIT_MM + over_limit
    assert [f.level for f in found(kit, z, z - 50.0)] == ([] if level is None else [level])


@pytest.mark.parametrize(("over_limit", "n"), [(0.4, 0), (0.6, 1)])
def test_a_said_height_decides(kit, over_limit, n):
    z = WEIR_MM + LIMIT_MM + over_limit
    assert [f.level for f in found(kit, z, None, said=z)] == [Level.FIX] * n


def test_the_question_says_both_heights_and_what_to_write(kit):
    (finding,) = found(kit, STAND_MM + 50.0, STAND_MM)
    assert finding.owner == "owner"
    assert finding.found == (
        'outlet of LV1, taken as 37 mm (1 7/16") above finished floor, 50 mm (1 15/16") above subfloor, is 630 mm '
        "(2'-0 13/16\") above its trap weir"
    )
    assert finding.wanted.startswith("at most 610 mm")
    assert finding.do.startswith("write the `outlet height` of LV1 as its sheet has it, or raise the trap")
    assert any(b.book == "trade" and not b.status.verified for b in finding.bases)


def test_a_fixture_of_a_wall_whose_outlet_nobody_knows_is_not_judged(kit):
    """Its plan position alone says nothing of its height."""
    sink = replace(kit.LV1, outlet_z_mm=None, outlet=Vec(230, 609, 5000.0))
    assert kit.found("TRP002", kit.design(book="irc-2021", fixtures=(sink, kit.WC1))) == []


@pytest.mark.parametrize(("under_limit", "n"), [(50.1, 0), (49.9, 1), (0.0, 1), (-60.0, 1)])
def test_a_taken_height_is_told_where_it_decides(kit, under_limit, n):
    """It may be off by 50 mm: a drop that is shorter by more is well whatever the sheet says."""
    z = WEIR_MM + LIMIT_MM - under_limit
    d = with_tub(kit, z, z - 50.0)
    assert len(taken_outlets(d.network, d.house, d.book)) == n


def test_a_said_height_needs_no_telling(kit):
    z = WEIR_MM + LIMIT_MM - 1.0
    d = with_tub(kit, z, None, said=z)
    assert taken_outlets(d.network, d.house, d.book) == ()


def test_the_fixture_schedule_tells_both_heights_of_what_is_taken(kit):
    d = with_tub(kit, STAND_MM + 50.0, STAND_MM)
    told = taken_outlets(d.network, d.house, d.book)
    notes = [b.text for b in fixtures_page(replace(d, derivations=told)).blocks if hasattr(b, "text")]
    (note,) = (t for t in notes if t.startswith("Outlet of LV1"))
    assert '37 mm (1 7/16") above finished floor, 50 mm (1 15/16") above subfloor' in note
    assert "taken as 50 mm above the subfloor it stands on" in note
    assert "at most 24 in" in note
