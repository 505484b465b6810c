"""What every sheet must keep: text off text, all on the paper, 9 pt, the same each time."""

from __future__ import annotations

import json
from itertools import combinations
from pathlib import Path
from typing import Literal

import pytest
from drawn import sheets

from stubout import run, units
from stubout.design import Design
from stubout.export.packet import DATA, request
from stubout.job.starter import starter_text
from stubout.sheets.all import sheets as draw
from stubout.sheets.metrics import LEAST_PT, text_rect
from stubout.sheets.model import A4, LETTER, Circle, Line, Paper, Sheet, Text
from stubout.sheets.titleblock import block_items, body, title_block

TOUCH_MM = 0.05


def _boxes(items: tuple[object, ...]) -> list[tuple[Text, tuple[float, float, float, float]]]:
    return [(i, text_rect(i)) for i in items if isinstance(i, Text)]


def _overlaps(sheet: Sheet, items: tuple[object, ...]) -> list[str]:
    out = []
    for (s, a), (t, b) in combinations(_boxes(items), 2):
        wide = min(a[2], b[2]) - max(a[0], b[0])
        tall = min(a[3], b[3]) - max(a[1], b[1])
        if wide > TOUCH_MM and tall > TOUCH_MM:
            out.append(f"{sheet.id}: {s.text!r} ({s.layer}) over {t.text!r} ({t.layer})")
    return out


def check_paper(design: Design) -> None:
    """Fail if a sheet of the design breaks a rule of the paper."""
    drawn = sheets(design)
    faults: list[str] = []
    for n, sheet in enumerate(drawn, 1):
        block = block_items(sheet, title_block(design, n, len(drawn)))
        faults += _overlaps(sheet, (*sheet.items, *block))
        x0, y0, x1, y1 = body(sheet.paper)
        for item in sheet.items:
            if isinstance(item, Text):
                box = text_rect(item)
                if item.size_pt < LEAST_PT:
                    faults.append(f"{sheet.id}: {item.text!r} is smaller than 9 pt")
                if not item.text.strip():
                    faults.append(f"{sheet.id}: empty text on {item.layer}")
            elif isinstance(item, Line):
                xs, ys = [p[0] for p in item.points], [p[1] for p in item.points]
                box = (min(xs), min(ys), max(xs), max(ys))
            else:
                assert isinstance(item, Circle)
                (x, y), r = item.centre, item.radius
                box = (x - r, y - r, x + r, y + r)
            if box[0] < x0 - 2.0 or box[1] < y0 - 2.0 or box[2] > x1 + 2.0 or box[3] > y1 + 2.0:
                faults.append(f"{sheet.id}: {item.layer} leaves the drawing area: {box}")
    assert not faults, "\n".join(faults)


def test_the_cottage_keeps_the_rules_of_the_paper(cottage: Design) -> None:
    check_paper(cottage)


def test_the_hand_drawn_example_keeps_them_too(drawn_bath: Design) -> None:
    check_paper(drawn_bath)


def test_the_large_house_keeps_them_too(large_house: Design) -> None:
    check_paper(large_house)


def test_the_demonstration_and_the_examples_keep_them_too(real_house: Design) -> None:
    check_paper(real_house)


def test_every_drawing_is_as_large_in_the_packet_as_it_was_drawn(real_house: Design) -> None:
    # Text of 9 pt stays 9 pt only if the page is as large as the sheet, and a large sheet says so itself.
    drawn = sheets(real_house)
    asked = request(real_house, (), drawn, {}, b"", "")
    parts = {p["id"]: p for p in json.loads(asked["input"][DATA])["parts"] if p["kind"] == "drawing"}
    ordinary = {LETTER.width, LETTER.height} if real_house.house.job.paper == "letter" else {A4.width, A4.height}
    for sheet in drawn:
        part = parts[sheet.id]
        assert (part["width"], part["height"]) == (sheet.paper.width, sheet.paper.height)
        block = block_items(sheet, title_block(real_house, 1, 1))
        told = [i.text for i in block if isinstance(i, Text) and i.text.startswith("PRINT ON")]
        large = {sheet.paper.width, sheet.paper.height} != ordinary
        assert told == (["PRINT ON 11 x 17 in PAPER"] if large else []), sheet.id


def test_the_whole_packet_comes_out_of_an_ordinary_printer(real_house: Design, large_house: Design) -> None:
    # What crowds on the paper of the job is drawn larger on more sheets of the same paper.
    for design in (real_house, large_house):
        for sheet in sheets(design):
            assert {sheet.paper.width, sheet.paper.height} == {LETTER.width, LETTER.height}, sheet.id


@pytest.mark.parametrize(("system", "paper"), [("mm", A4), ("inch", LETTER)])
def test_a_starter_comes_out_of_the_printer_of_its_country(
    tmp_path: Path, system: Literal["mm", "inch"], paper: Paper
) -> None:
    job = tmp_path / "job.yaml"
    job.write_text(starter_text(system), encoding="utf-8")
    design = run.design(run.read(str(job)))
    for sheet in sheets(design):
        assert {sheet.paper.width, sheet.paper.height} == {paper.width, paper.height}, sheet.id
    check_paper(design)


def test_every_hole_of_a_wall_has_both_heights_on_one_wall_sheet(real_house: Design) -> None:
    house, u = real_house.house, real_house.house.job.units
    walls = {w.id: w for w in house.walls}
    rows: dict[str, list[tuple[str, list[str]]]] = {}  # table rows by wall: sheet, cells
    for sheet in sheets(real_house):
        if sheet.id.startswith("wall-"):
            cells = [i for i in sheet.items if isinstance(i, Text) and i.layer == "marks:cell"]
            for y in sorted({round(c.at[1], 2) for c in cells}):
                row = [c.text for c in cells if round(c.at[1], 2) == y]
                rows.setdefault(sheet.id.split("-")[1], []).append((sheet.id, row))
    bores = [b for b in real_house.fabrication.bores if b.wall_or_frame in walls]
    assert bores
    for bore in bores:
        wall = walls[bore.wall_or_frame]
        station = bore.station_mm if bore.member_kind == "stud" else wall.station(bore.centre)
        heads = (f"{'stud' if bore.member_kind == 'stud' else bore.member_kind} {bore.id}: {bore.pipe} ",)
        place, above = units.length(station, u), units.length(bore.centre.z - wall.bottom_z_mm, u)
        mine = [(i, r) for i, r in rows[wall.id] if r[1].startswith(heads) and r[2:4] == [place, above]]
        assert len(mine) == 1, (bore.id, mine)
        # Every floor a room beside the wall has there, worked out here from the rooms alone.
        floors = set()
        for across in (wall.depth_mm / 2 + 200.0, -wall.depth_mm / 2 - 200.0):
            at = wall.point(station, wall.bottom_z_mm, across)
            held = [r for r in house.rooms if r.level_id == wall.level_id and r.holds(at)]
            if held:
                floors.add(house.level(wall.level_id).subfloor_z_mm + held[-1].build_up_mm)
        finished = {units.length(bore.centre.z - z, u) for z in floors} or {"no room"}
        assert mine[0][1][4] in finished, (bore.id, mine)
        if any(abs(bore.centre.z - bore.height_finished_mm - z) < 0.5 for z in floors):
            assert mine[0][1][4] == units.length(bore.height_finished_mm, u), "sheet and bore list differ"


def test_same_design_same_sheets(cottage: Design) -> None:
    assert draw(cottage) == draw(cottage)


def test_sheet_ids_are_unique_and_plain(drawn_bath: Design, large_house: Design) -> None:
    for design in (drawn_bath, large_house):
        ids = [s.id for s in sheets(design)]
        assert len(ids) == len(set(ids))
        assert all(c.isalnum() or c in "-_" for i in ids for c in i), ids


def test_every_drawing_says_its_scale(cottage: Design) -> None:
    for sheet in sheets(cottage):
        assert sheet.scale == "not to scale" or "1:" in sheet.scale
        if cottage.house.job.units == "inch" and sheet.id.startswith(("plan", "wall")) and "1:" in sheet.scale:
            assert "= 1'-0\"" in sheet.scale


@pytest.mark.parametrize("kind", ["legend", "isometric", "plan-under-main", "plan-main", "plan-attic", "profile"])
def test_the_set_is_complete(cottage: Design, kind: str) -> None:
    assert kind in {s.id for s in sheets(cottage)}
