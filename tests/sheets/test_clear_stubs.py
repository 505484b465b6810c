"""A riser that stands in a cabinet, or boxed before its wall: nothing tells a plumber to bore the wall for it."""

from __future__ import annotations

import csv
import io
import json

import pytest
from laid_out import design_named

from stubout.design import Design
from stubout.export.csv_ import lists
from stubout.export.json_ import design_json
from stubout.reports.model import TableBlock
from stubout.reports.pipes import stubs_page
from stubout.reports.records import records_page
from stubout.run_field import marks as screens
from stubout.run_field.phrases import told
from stubout.run_field.tasks import tasks
from stubout.run_field.words import speaker
from stubout.sheets.legend import legend
from stubout.sheets.model import Circle, Line, Text
from stubout.sheets.wall import wall_marks
from stubout.sheets.wall_facts import NO_HOLE, Mark, marks
from stubout.windows.solve import windows

CLEAR = [("01", "KS", "in cabinet K1.4"), ("03", "KS", "in cabinet K1.5"), ("03", "LV2", "in front of the wall")]


def the_mark(design: Design, tag: str) -> Mark:
    stub = next(s for s in design.stubs if s.tag == tag)
    found = marks(design, design.house.wall(stub.wall_id), stub.side)
    return next(m for m in found if m.kind == "stub" and m.about == tag)


def cells(design: Design, of: str, tag: str) -> tuple[str, ...]:
    """Return the row of a fixture in the stub-out schedule or the as-built record, without hard spaces."""
    page = stubs_page(design) if of == "schedule" else records_page(design)
    table = next(b for b in page.blocks if isinstance(b, TableBlock))
    row = next(r for r in table.rows if r[0].split()[0] == tag)
    return tuple(c.replace("\u00a0", " ") for c in row)


@pytest.mark.parametrize(("name", "tag", "place"), CLEAR)
def test_the_wall_sheet_shows_a_dashed_square_and_says_that_nothing_is_bored(name: str, tag: str, place: str) -> None:
    design = design_named(name)
    stub = next(s for s in design.stubs if s.tag == tag)
    sheets = [s for s in wall_marks(design) if s.id.startswith(f"wall-{stub.wall_id}-{stub.side[0].upper()}")]
    drawn = [i for s in sheets for i in s.items if i.layer == f"stub:{tag}"]
    assert not any(isinstance(i, Circle) for i in drawn)
    (square,) = [i for i in drawn if isinstance(i, Line) and i.closed]
    assert square.style.dash == "short"
    assert square.style.fill == "none"
    words = [i.text for s in sheets for i in s.items if isinstance(i, Text) and i.layer == f"stub label:{tag}"]
    assert words[1:3] == [f"{place}:", NO_HOLE]
    assert any(w.startswith("from fin. wall ") for w in words)
    assert any(w.startswith("from corner ") for w in words)
    assert any(w.startswith("above subfloor ") for w in words)
    assert any(w.startswith("above fin. floor ") for w in words)
    notes = " ".join(n for s in sheets for n in s.notes)
    assert "passes no wall: bore no hole" in notes


@pytest.mark.parametrize(("name", "tag", "place"), CLEAR)
def test_the_mark_has_no_hole_and_says_how_far_its_riser_is(name: str, tag: str, place: str) -> None:
    mark = the_mark(design_named(name), tag)
    assert mark.clear == place
    assert mark.hole_mm is None
    assert not mark.stop
    assert mark.remark.startswith(f"{place}, {NO_HOLE}, riser ")
    assert mark.remark.endswith(" from finished wall")
    assert "arm at its riser" in mark.what
    assert "swings" not in mark.remark


def test_a_wall_without_one_has_no_word_of_it() -> None:
    for sheet in wall_marks(design_named("demo")):
        assert "Dashed square" not in " ".join(sheet.notes)


def test_the_other_side_of_the_wall_has_no_circle_for_it() -> None:
    """The lavatory's arm of 03 stands before one side of LB: it is no hole that the other side would show."""
    layers = {i.layer for s in wall_marks(design_named("03")) for i in s.items}
    assert not layers & {"far stub:LV2", "far stub:KS"}


@pytest.mark.parametrize(("name", "tag", "place"), CLEAR)
def test_schedule_and_record_say_where_it_stands(name: str, tag: str, place: str) -> None:
    design = design_named(name)
    row = cells(design, "schedule", tag)
    assert row[1].endswith(f"; {place}")
    assert row[-1].startswith("no hole: riser ")
    assert row[-1].endswith(" from finished wall")
    assert cells(design, "record", tag)[0] == f"{tag} {place}"
    washer = cells(design, "schedule", "AW")
    assert washer[-1] == "inside the wall, no stub"
    assert ";" not in washer[1]


@pytest.mark.parametrize(("name", "tag", "place"), CLEAR)
def test_nothing_is_bored_or_shielded_for_it_and_its_end_is_capped(name: str, tag: str, place: str) -> None:
    design = design_named(name)
    trap = next(t for t in design.network.traps if t.tag == tag)
    arm = set(trap.arm_runs)
    assert not [b for b in design.fabrication.bores if b.pipe in arm]
    assert [c.what for c in design.fabrication.caps if c.node == trap.weir] == ["cap"]
    pieces = [p for p in design.fabrication.pieces if arm & set(p.pipes)]
    assert pieces
    assert not any("past the finished wall" in p.note for p in pieces)


def test_an_arm_boxed_before_its_wall_ends_in_a_trap_adapter_and_says_so() -> None:
    design = design_named("03")
    trap = next(t for t in design.network.traps if t.tag == "LV2")
    (end,) = [f for f in design.fabrication.fittings if f.node == trap.weir]
    assert (end.pattern, end.note) == ("trap adapter", "on the end of the arm, at the finish")
    assert "open end is the arm in front of the wall" in {p.note for p in design.fabrication.pieces}


def test_data_and_list_of_windows_say_where_it_stands() -> None:
    design = design_named("03")
    found = windows(design, "KS")
    assert {w.direction for w in found} == {"up", "down", "away", "back", "out", "in"}
    data = {s["tag"]: s["place"] for s in json.loads(design_json(design, (), (), found))["stubs"]}
    assert data["KS"] == {"kind": "in cabinet", "ref": "K1.5", "from_face_mm": 447.5}
    assert data["AW"]["kind"] == "in wall"
    assert data["LV1"]["kind"] == "through wall"
    text = lists(design, (), found)["windows"].decode("utf-8-sig")
    assert {(r["mark"], r["stands"]) for r in csv.DictReader(io.StringIO(text))} == {("KS", "in cabinet K1.5")}


def test_the_site_ticks_it_where_it_stands_and_asks_no_photo_of_a_wall_with_nothing_in_it() -> None:
    design = design_named("03")
    sides = tuple(one for one, _ in screens.sides(design, (), {}))
    covered = {s.id: s.covered for s in sides}
    assert covered["wall-W-R"] is False  # the sink's arm alone is marked on it
    assert covered["wall-LB-R"]
    assert covered["wall-V-R"]
    task = next(t for t in tasks(design, sides) if t.kind == "stub" and t.about == "KS")
    assert task.words == "KS arm at its riser 1-1/2 in, in cabinet K1.5"
    assert task.place == "arm of KS in cabinet K1.5, by wall W right"
    assert task.wall == "wall-W-R"
    for language in ("es", "fr"):
        say = speaker(language)
        mark = next(m for s in sides for m in s.marks if m.about == "KS")
        for text in (task.words, mark.what, mark.remark):
            assert not {"riser", "hole", "cabinet"} & set(told(text, say).replace(",", "").split())


def test_the_key_shows_its_sign() -> None:
    words = [i.text for s in legend(design_named("demo")) for i in s.items if isinstance(i, Text)]
    assert "arm at its riser: no hole in the wall" in words
