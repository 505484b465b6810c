"""The band printed of a stub-out is free: no more than trap and cabinet allow, and no more than its pipes allow."""

import re
from dataclasses import replace

import pytest
from laid_out import design_named

from stubout import units
from stubout.design import TRAP_CHECKS, free_band
from stubout.reports.model import TableBlock
from stubout.reports.pipes import stubs_page
from stubout.reports.records import records_page
from stubout.sheets.model import Line, Text
from stubout.sheets.wall import wall_marks
from stubout.sheets.wall_facts import marks
from stubout.sheets.wall_table import TRAP_HEAD, WINDOW_HEAD, marks_grid
from stubout.windows.solve import windows


@pytest.fixture(scope="module")
def stacked():
    """Return example 04, in which a cleanout tee stands close below two vent fittings."""
    return design_named("04")


@pytest.fixture(scope="module")
def stacked_windows(stacked):
    """Return the windows of its marks."""
    return windows(stacked)


def ends(found, tag):
    return {w.direction: w for w in found if w.kind == "stub" and w.about == tag and w.direction in ("up", "down")}


def column(page, head):
    table = next(b for b in page.blocks if isinstance(b, TableBlock))
    k = next(i for i, h in enumerate(table.head) if h.startswith(head))
    return {r[0]: r[k].replace("\u00a0", " ") for r in table.rows}


def test_no_more_than_the_windows_leave(demo, demo_windows, stacked, stacked_windows):
    for design, found in ((demo, demo_windows), (stacked, stacked_windows)):
        for s in design.stubs:
            free, at = free_band(s, found), ends(found, s.tag)
            assert free.known
            assert s.mark_z_mm - at["down"].amount_mm - 1e-6 <= free.lo_z_mm <= s.mark_z_mm + 0.5
            assert s.mark_z_mm - 0.5 <= free.hi_z_mm <= s.mark_z_mm + at["up"].amount_mm + 1e-6
            assert s.lo_z_mm - 1e-6 <= free.lo_z_mm
            assert free.hi_z_mm <= s.hi_z_mm + 1e-6


def test_what_ends_a_band_is_named(stacked, stacked_windows):
    band = column(stubs_page(stacked, stacked_windows), "Band")
    why = column(stubs_page(stacked, stacked_windows), "What governs")
    for s in stacked.stubs:
        at, free = ends(stacked_windows, s.tag), free_band(s, stacked_windows)
        low, high = (units.length(z - s.finished_z_mm, "inch") for z in (free.lo_z_mm, free.hi_z_mm))
        assert band[s.tag] == f"{low} to {high}"
        for way, window in at.items():
            line = why[s.tag].split("\n")[way == "up"]
            if window.check in TRAP_CHECKS:
                assert line.endswith(s.hi_governs if way == "up" else s.lo_governs)
            elif window.bound:
                assert window.check in line
            else:
                assert "not looked farther" in line
    # by hand from the windows page: the vent fitting of LV1 may sink 11/16 in before its arm meets the cleanout tee's
    assert band["LV1"].startswith("1'-5 5/16\"")
    assert "FIT006" in why["LV1"]


def test_every_sheet_prints_the_same(stacked, stacked_windows):
    record = column(records_page(stacked, stacked_windows), "Band")
    sheets = wall_marks(stacked, stacked_windows)
    for s in stacked.stubs:
        wall = stacked.house.wall(s.wall_id)
        found = marks(stacked, wall, s.side, stacked_windows)
        free = free_band(s, stacked_windows)
        low, high = (units.length(z - wall.bottom_z_mm, "inch") for z in (free.lo_z_mm, free.hi_z_mm))
        grid = marks_grid(stacked, wall, found, "Marks")
        row = next(r for r, m in zip(grid.rows, found, strict=True) if m.kind == "stub" and m.about == s.tag)
        assert f"{low} to {high}" in row
        assert record[s.tag] == f"{low} to {high}"
        mine = [p for p in sheets if p.id.startswith(f"wall-{s.wall_id}-{s.side[0].upper()}")]
        items = [i for p in mine for i in p.items]
        assert any(isinstance(i, Text) and i.text == f"{low} to {high}" for i in items)
        ys = [at[1] for i in items if isinstance(i, Line) and i.layer == f"window:{s.tag}" for at in i.points]
        ratio = int(re.search(r"1:(\d+)", mine[0].scale)[1])
        assert max(ys) - min(ys) == pytest.approx((free.hi_z_mm - free.lo_z_mm) / ratio)


def test_a_band_without_windows_says_so(stacked, stacked_windows):
    page = stubs_page(stacked)
    assert "not reckoned here" in page.blocks[0].text
    assert "anywhere in the band" not in page.blocks[0].text
    assert "anywhere in the band" in stubs_page(stacked, stacked_windows).blocks[0].text
    wall = stacked.house.wall("P")
    for known, head in (((), TRAP_HEAD), (stacked_windows, WINDOW_HEAD)):
        grid = marks_grid(stacked, wall, marks(stacked, wall, "left", known), "Marks")
        assert head in [c.head for c in grid.columns]
    words = [i.text for s in wall_marks(stacked) for i in s.items if isinstance(i, Text)]
    assert any("reckoned" in w for w in words)


def test_a_mark_that_has_no_height_keeps_the_ends_it_is_told_by(stacked, stacked_windows):
    none = replace(stacked.stubs[0], feasible=False)
    free = free_band(none, stacked_windows)
    assert (free.lo_z_mm, free.hi_z_mm) == (none.lo_z_mm, none.hi_z_mm)
