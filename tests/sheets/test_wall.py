"""Wall sheets: the right end at the right hand, and every number that of the design."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from drawn import wall_marks
from laid_out import design_named

from stubout import units
from stubout.design import Design
from stubout.fabrication.model import FittingUse
from stubout.kinds import FixtureKind
from stubout.problems import Status
from stubout.sheets.model import Circle, Line, Sheet, Text
from stubout.sheets.pipeware import coupling_mm, hub_mm, od_mm
from stubout.sheets.wall import wall_marks as draw
from stubout.sheets.wall_facts import marks, pipes_in_wall, sides_with_work
from stubout.sheets.wall_table import play
from stubout.sheets.wall_view import WallView
from stubout.sheets.words import named


def _sheet(design: Design, sheet_id: str) -> Sheet:
    return next(s for s in wall_marks(design) if s.id == sheet_id)


def _texts(sheet: Sheet, layer: str) -> list[str]:
    return [i.text for i in sheet.items if isinstance(i, Text) and i.layer == layer]


def _row(design: Design, sheet_id: str, mark: int) -> str:
    """Return all cells of the wall's table in one string, whether it is beside the drawing or on the back."""
    sheets = [s for s in wall_marks(design) if s.id in (sheet_id, f"{sheet_id}-marks")]
    cells = [i for s in sheets for i in s.items if isinstance(i, Text) and i.layer == "marks:cell"]
    line = next(c.at[1] for c in cells if c.text == str(mark) and c.anchor == "end")
    return " | ".join(c.text for c in cells if abs(c.at[1] - line) < 0.01)


def test_seen_from_the_left_the_start_is_at_the_right_hand() -> None:
    # Walking from west to east the left side is north. Who stands north and looks south has west at the right hand.
    left = WallView("left", 20.0, ((0.0, 4000.0),), 0.0, 2400.0, 30.0, 50.0)
    right = WallView("right", 20.0, ((0.0, 4000.0),), 0.0, 2400.0, 30.0, 50.0)
    assert left.x(0.0) == pytest.approx(230.0)
    assert left.x(4000.0) == pytest.approx(30.0)
    assert right.x(0.0) == pytest.approx(30.0)
    for station in (0.0, 19.0, 406.0, 2222.2, 4000.0):
        assert left.x(station) + right.x(station) == pytest.approx(2 * 30.0 + left.width)
    assert left.y(1000.0) == right.y(1000.0) == pytest.approx(100.0)


def test_a_broken_wall_keeps_order_and_scale() -> None:
    view = WallView("right", 20.0, ((0.0, 200.0), (3000.0, 5000.0)), 0.0, 2400.0, 10.0, 10.0)
    assert view.x(4000.0) - view.x(3000.0) == pytest.approx(50.0)
    assert view.x(200.0) < view.x(1500.0) < view.x(3000.0)
    assert view.shows(100.0)
    assert not view.shows(1500.0)


def test_both_sides_of_the_wall_have_a_sheet_and_other_walls_none(cottage: Design) -> None:
    ids = [s.id for s in wall_marks(cottage)]
    assert {"wall-P-L", "wall-P-R"} <= set(ids)
    assert all(i.startswith("wall-P") for i in ids)
    assert sides_with_work(cottage, cottage.house.wall("S")) == ()


def test_the_two_sides_mirror_each_other(cottage: Design) -> None:
    """A hole through the wall has the same station on both sides and mirrored places on paper."""
    places = {}
    for side in ("L", "R"):
        sheet = _sheet(cottage, f"wall-P-{side}")
        holes = {i.layer: i.centre for i in sheet.items if isinstance(i, Circle) and i.layer.startswith("bore:")}
        places[side] = holes["bore:B1"][0] - holes["bore:B2"][0], holes["bore:B1"][1] - holes["bore:B2"][1]
    scale = [s.scale for s in wall_marks(cottage) if s.id in ("wall-P-L", "wall-P-R")]
    assert scale[0] == scale[1]
    assert places["L"][0] == pytest.approx(-places["R"][0])
    assert places["L"][1] == pytest.approx(places["R"][1])
    # On the left the start is at the right hand: the nearer hole stands farther right.
    assert places["L"][0] > 0 > places["R"][0]


def test_every_pipe_in_the_wall_is_on_both_sheets_once(cottage: Design) -> None:
    wall = cottage.house.wall("P")
    wanted = sorted(p.id for p in pipes_in_wall(cottage, wall))
    assert wanted
    for side in ("L", "R"):
        drawn = [i.layer[5:] for i in _sheet(cottage, f"wall-P-{side}").items if i.layer.startswith("pipe:")]
        assert sorted(drawn) == wanted


def test_drains_are_solid_and_vents_dashed(drawn_bath: Design, cottage: Design) -> None:
    for design in (cottage, drawn_bath):
        for sheet in wall_marks(design):
            for item in sheet.items:
                if item.layer.startswith("pipe:") and isinstance(item, (Line, Circle)):
                    vent = design.network.pipe(item.layer[5:]).system == "vent"
                    assert (item.style.dash == "dashed") is vent


def test_stub_labels_say_what_the_design_says(cottage: Design, drawn_bath: Design, large_house: Design) -> None:
    for design in (cottage, drawn_bath, large_house):
        u = design.house.job.units
        for stub in design.stubs:
            sheet = _sheet(design, f"wall-{stub.wall_id}-{stub.side[0].upper()}")
            words = _texts(sheet, f"stub label:{stub.tag}")
            washer = design.house.fixture(stub.tag).kind is FixtureKind.CLOTHES_WASHER
            what = "trap arm" if washer else stub.place.noun  # its trap stands in the wall: no stub comes out
            assert words[0].endswith(f"{stub.tag} {what} {units.size(stub.size_in)} in")
            clear = [f"{stub.place.words}:", "no hole in this wall"] if stub.place.clear else []
            clear += [f"from fin. wall {units.length(stub.place.from_face_mm, u)}"] if stub.place.clear else []
            assert words[1:] == [
                *clear,
                f"from corner {units.length(stub.station_mm, u)}",
                f"above subfloor {units.length(stub.mark_z_mm - stub.subfloor_z_mm, u)}",
                f"above fin. floor {units.length(stub.mark_z_mm - stub.finished_z_mm, u)}",
            ]


def test_the_stub_stands_at_its_place_on_paper(cottage: Design) -> None:
    ratio = float(_sheet(cottage, "wall-P-R").scale.rstrip(")").rsplit(":", 1)[1])
    sheet = _sheet(cottage, "wall-P-R")
    stub = next(i for i in sheet.items if isinstance(i, Circle) and i.layer == "stub:KS")
    hole = next(i for i in sheet.items if isinstance(i, Circle) and i.layer == "bore:B2")
    assert (stub.centre[0] - hole.centre[0]) * ratio == pytest.approx(1700.0 - 1625.6)
    assert (stub.centre[1] - hole.centre[1]) * ratio == pytest.approx(416.0 - 414.5)
    assert stub.radius * ratio == pytest.approx(od_mm(1.5) / 2, abs=8.0)


def test_every_hole_is_in_one_table_with_both_heights(cottage: Design, drawn_bath: Design) -> None:
    for design in (cottage, drawn_bath):
        u = design.house.job.units
        wall = design.house.wall("P")
        for bore in design.fabrication.bores:
            if bore.wall_or_frame != "P":
                continue
            (side,) = (s for s in ("left", "right") if any(m.about == bore.id for m in marks(design, wall, s)))
            mark = next(m for m in marks(design, wall, side) if m.about == bore.id)
            row = _row(design, f"wall-P-{side[0].upper()}", mark.number)
            assert units.length(bore.height_subfloor_mm, u) in row
            if mark.finished_z_mm is None:
                assert "no room" in row
            else:
                assert units.length(bore.centre.z - mark.finished_z_mm, u) in row
            assert units.length(bore.hole_mm, u) in row
            assert units.length(mark.station_mm, u) in row


def test_the_other_side_says_where_the_holes_are(cottage: Design) -> None:
    for sheet, far in (("wall-P-L", "right"), ("wall-P-R", "left")):
        assert any(f"or on the sheet of the {far} side" in n for n in _sheet(cottage, sheet).notes)


def test_both_heights_of_every_mark_stand_beside_the_elevation(cottage: Design, drawn_bath: Design) -> None:
    for design in (cottage, drawn_bath):
        u = design.house.job.units
        wall = design.house.wall("P")
        for side in sides_with_work(design, wall):
            sheet = _sheet(design, f"wall-P-{side[0].upper()}")
            sub, fin = _texts(sheet, "height above subfloor"), _texts(sheet, "height above finished floor")
            told = set(zip(sub, fin, strict=True))
            for m in marks(design, wall, side):
                if m.z_mm is not None and m.finished_z_mm is not None:
                    pair = (units.length(m.z_mm - wall.bottom_z_mm, u), units.length(m.z_mm - m.finished_z_mm, u))
                    assert pair in told, m


def test_finished_floor_follows_the_room_on_the_side_seen(cottage: Design) -> None:
    wall = cottage.house.wall("P")
    floors = {m.about: m.finished_z_mm for s in ("left", "right") for m in marks(cottage, wall, s) if m.kind == "stub"}
    assert floors == {"LV1": 19.0, "KS": 22.0}  # bath, kitchen
    (side,) = (s for s in ("left", "right") if any(m.about == "B1" for m in marks(cottage, wall, s)))
    hole = next(m for m in marks(cottage, wall, side) if m.about == "B1")
    assert hole.finished_z_mm == {"left": 19.0, "right": 22.0}[side]


def test_marks_are_numbered_from_the_control_corner(cottage: Design) -> None:
    found = marks(cottage, cottage.house.wall("P"), "left")
    assert [m.number for m in found] == list(range(1, len(found) + 1))
    stations = [round(m.station_mm) for m in found]
    assert stations == sorted(stations)
    assert {m.kind for m in found} >= {"stub", "stud hole", "plate hole", "floor", "fitting"}


def test_flange_is_marked_from_framing_and_from_finish(cottage: Design) -> None:
    u = cottage.house.job.units
    mark = next(m for m in marks(cottage, cottage.house.wall("P"), "left") if m.about == "WC1")
    assert mark.station_mm == pytest.approx(2100.0)
    # 388 from the stud line: less half a 140 stud is 318, less 13 of board is 305.
    assert mark.remark == f"{units.length(318.0, u)} from framing, {units.length(305.0, u)} from finish"


def test_hubs_are_as_wide_as_hubs(cottage: Design) -> None:
    sheet = _sheet(cottage, "wall-P-L")
    ratio = float(sheet.scale.rstrip(")").rsplit(":", 1)[1])
    hub = next(i for i in sheet.items if isinstance(i, Line) and i.layer == "hub:D6")
    width = max(p[0] for p in hub.points) - min(p[0] for p in hub.points)
    assert width * ratio == pytest.approx(hub_mm(2.0))


def _hub_count(design: Design, pipe: str) -> int:
    return sum(i.layer == f"hub:{pipe}" for s in draw(design) if s.id == "wall-P-L" for i in s.items)


def test_the_spigot_of_a_street_fitting_has_no_hub(cottage: Design) -> None:
    # A street fitting goes straight into the next hub with its spigot: one hub on that run, not two.
    def with_street(street: str) -> Design:
        pieces = tuple(replace(c, street=street) if c.pipe == "D6" else c for c in cottage.fabrication.pieces)
        return replace(cottage, fabrication=replace(cottage.fabrication, pieces=pieces))

    assert _hub_count(cottage, "D6") == 1  # at its head; the other one is under the floor
    assert _hub_count(with_street("F1"), "D6") == 0
    assert _hub_count(with_street("F2"), "D6") == 1


def test_a_coupling_in_a_run_is_drawn_as_long_as_it_is(cottage: Design) -> None:
    pipe = cottage.network.pipe("D6")
    middle = pipe.a.at_z(max(pipe.a.z, pipe.b.z) / 2)  # half way down to the floor
    use = FittingUse("F99", "", "coupling", (2.0, 2.0), middle, ("D6", "D6"), Status.MEMORY)
    fab = replace(cottage.fabrication, fittings=(*cottage.fabrication.fittings, use))
    design = replace(cottage, fabrication=fab)
    assert _hub_count(design, "D6") == 2
    sheet = _sheet(design, "wall-P-L")
    ratio = float(sheet.scale.rstrip(")").rsplit(":", 1)[1])
    hub = [i for i in sheet.items if isinstance(i, Line) and i.layer == "hub:D6"][-1]
    assert (max(p[1] for p in hub.points) - min(p[1] for p in hub.points)) * ratio == pytest.approx(coupling_mm(2.0))


def test_a_straight_run_of_several_pipes_has_hubs_at_its_two_ends_only(cottage: Design) -> None:
    def with_run(pipes: tuple[str, ...]) -> Design:
        pieces = tuple(replace(c, pipes=pipes) if c.pipe == "D6" else c for c in cottage.fabrication.pieces)
        return replace(cottage, fabrication=replace(cottage.fabrication, pieces=pieces))

    alone = _hub_count(cottage, "D6")
    assert alone == _hub_count(with_run(("D6",)), "D6") == 1  # the other hub is under the floor
    assert _hub_count(with_run(("D6", "D7")), "D6") == 1  # it starts here
    assert _hub_count(with_run(("D5", "D6")), "D6") == 0  # it started at the head of D5


def test_every_stud_station_is_written(cottage: Design) -> None:
    u = cottage.house.job.units
    written = _texts(_sheet(cottage, "wall-P-R"), "station")
    for station in (19.0, 406.4, 812.8, 1219.2, 1625.6):
        assert any(w.split(" J")[0].split(" K")[0] == units.length(station, u) for w in written), station


def test_a_tolerance_is_rounded_down(cottage: Design) -> None:
    if cottage.house.job.units == "inch":
        assert play(cottage, 2.86) == '1/16"'  # (2-1/8 less 1.900) / 2 = 0.1125 in: less than 1/8
    else:
        assert play(cottage, 2.86) == "2"


def test_a_hole_that_must_not_be_bored_is_crossed_and_noted(large_house: Design) -> None:
    bad = [b for b in large_house.fabrication.bores if b.verdict not in ("ok", "strap")]
    for bore in bad:
        wall = next((w for w in large_house.house.walls if w.id == bore.wall_or_frame), None)
        if wall is None:
            continue
        sides = [
            side
            for side in sides_with_work(large_house, wall)
            if any(m.about == bore.id for m in marks(large_house, wall, side))
        ]
        assert len(sides) == 1
        number = next(m.number for m in marks(large_house, wall, sides[0]) if m.about == bore.id)
        mine = [s for s in wall_marks(large_house) if s.id.startswith(f"wall-{wall.id}-{sides[0][0].upper()}")]
        assert any(f"stop:{bore.id}" in {i.layer for i in s.items} for s in mine)
        assert any(f"STOP: do not bore mark {number}" in n or f" {number}" in n for s in mine for n in s.notes)


def test_control_corner_and_cautions_are_on_every_elevation(cottage: Design) -> None:
    for sheet in wall_marks(cottage):
        if sheet.id.endswith("marks"):
            continue
        assert "CONTROL CORNER" in _texts(sheet, "control corner")
        assert "0 = south end" in _texts(sheet, "control corner")
        assert any("Caution" in n for n in sheet.notes)
        assert any("Control corner: south end" in n for n in sheet.notes)


def test_a_word_of_an_id_is_not_said_twice() -> None:
    assert named("D6 header", "header over the door") == "D6 header over the door"
    assert named("O3", "light box") == "O3 light box"
    assert named("O3", "") == "O3"


def test_a_wall_sheet_and_the_bore_list_say_one_height_over_the_finished_floor(large_house: Design) -> None:
    # Rooms of unlike floors on the two sides of a wall: a height is worth nothing if the two papers count differently.
    bores = {b.id: b for b in large_house.fabrication.bores}
    seen = 0
    for wall in large_house.house.walls:
        for side in sides_with_work(large_house, wall):
            for mark in marks(large_house, wall, side):
                bore = bores.get(mark.about)
                if bore is None or mark.finished_z_mm is None or mark.z_mm is None:
                    continue
                assert mark.z_mm - mark.finished_z_mm == pytest.approx(bore.height_finished_mm, abs=0.5), bore.id
                assert f" {bore.id}: " in mark.what
                seen += 1
    assert seen > 20


@pytest.mark.parametrize(("name", "rim_in", "box_in"), [("04", 38.0, 42.0), ("03", 38.0, 42.0)])
def test_a_standpipe_is_marked_for_what_it_is(name: str, rim_in: float, box_in: float) -> None:
    # 38 in and 42 in above the subfloor stand in the job files.
    design = design_named(name)
    stub = next(s for s in design.stubs if s.tag == "AW")
    wall = design.house.wall(stub.wall_id)
    found = {
        m.kind: m for m in marks(design, wall, stub.side) if m.about == "AW" and m.kind in ("stub", "standpipe", "box")
    }
    assert found["stub"].what == "AW trap arm 2 in"
    assert found["stub"].remark.startswith("centre at the trap inside the wall")
    assert "flush" not in found["stub"].remark
    for kind, high in (("standpipe", rim_in), ("box", box_in)):
        assert found[kind].z_mm is not None
        assert found[kind].z_mm - wall.bottom_z_mm == pytest.approx(high * 25.4)
    code = f"wall-{wall.id}-{stub.side[0].upper()}"
    items = [i for s in wall_marks(design) if s.id in (code, f"{code}-marks") for i in s.items]
    words = [i.text for i in items if isinstance(i, Text)]
    assert {"AW standpipe, rim", "AW washer box, centre"} <= set(words)
    heights = {i.text for i in items if isinstance(i, Text) and i.layer == "height above subfloor"}
    assert {units.length(v * 25.4, "inch") for v in (rim_in, box_in)} <= heights
    ups = [i for i in items if isinstance(i, Line) and i.layer == "standpipe:AW"]
    assert max(i.points[1][1] - i.points[0][1] for i in ups) > 0.0


def test_the_heights_beside_a_wall_do_not_run_into_one_another() -> None:
    # Sixteen heights beside the wall of 04; a line of 9 pt is 3.2 mm high.
    design = design_named("04")
    sheet = next(s for s in wall_marks(design) if s.id == "wall-P-L")
    ys = sorted(i.at[1] for i in sheet.items if isinstance(i, Text) and i.layer == "height above subfloor")
    assert len(ys) >= 16
    assert min(b - a for a, b in pairwise(ys)) > 3.2


def _carried_up(design: Design) -> tuple[Design, str]:
    """Return the demonstration house with a vent of wall P drawn as one run through UP over it, and its id."""
    below, above = design.house.wall("P"), design.house.wall("UP")
    vent = next(
        p
        for p in design.pipes()
        if p.place.ref == below.id and p.system == "vent" and p.plan_mm < 1.0 and p.length_mm > 300.0
    )
    top = vent.b if vent.b.z > vent.a.z else vent.a
    long = replace(vent, a=vent.a, b=top.at_z(above.top_z_mm + 900.0), drawn=True)
    pipes = tuple(long if p.id == vent.id else p for p in design.network.pipes)
    return replace(design, network=replace(design.network, pipes=pipes)), vent.id


def test_a_vent_drawn_through_two_storeys_is_on_the_walls_of_both() -> None:
    design, vent = _carried_up(design_named("demo"))
    assert vent in {p.id for p in pipes_in_wall(design, design.house.wall("UP"))}
    assert vent in {p.id for p in pipes_in_wall(design, design.house.wall("P"))}
    other = design_named("demo")
    assert vent not in {p.id for p in pipes_in_wall(other, other.house.wall("UP"))}
    sheet = next(s for s in draw(design) if s.id.startswith("wall-UP"))
    assert any(i.layer == f"pipe:{vent}" for i in sheet.items)
