"""Plans: each pipe on one plan once, coordinates and inverts those of the design."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from itertools import pairwise

import pytest
from drawn import floor_plans
from laid_out import design_named

from stubout import units
from stubout.design import Design
from stubout.geometry.vec import Vec
from stubout.layout.model import Place, PointKind
from stubout.sheets.metrics import text_rect
from stubout.sheets.model import Line, Sheet, Text
from stubout.sheets.pipeware import bore_mm
from stubout.sheets.plan_house import JOIST_MARGIN_MM, PlanView
from stubout.sheets.plan_points import ends_above, points_grid, spots_of
from stubout.sheets.point_words import point_words
from stubout.sheets.storeys import Storey, storey_of
from stubout.sheets.words import level_mark


def _own(layer: str) -> str:
    return layer.removeprefix("enlarged ")


def _ratio(sheet: Sheet) -> float:
    return float(sheet.scale.rstrip(")").rsplit(":", 1)[1])


def _drawn(sheets: tuple[Sheet, ...]) -> Counter[str]:
    return Counter(i.layer[5:] for s in sheets for i in s.items if i.layer.startswith("pipe:"))


def test_every_pipe_is_on_the_plans_exactly_once(cottage: Design, drawn_bath: Design, large_house: Design) -> None:
    for design in (cottage, drawn_bath, large_house):
        assert _drawn(floor_plans(design)) == Counter(p.id for p in design.pipes())


def test_every_pipe_id_is_written_on_the_plans(cottage: Design, drawn_bath: Design, large_house: Design) -> None:
    for design in (cottage, drawn_bath, large_house):
        words = [
            i.text
            for s in floor_plans(design)
            for i in s.items
            if isinstance(i, Text) and _own(i.layer).startswith("size:")
        ]
        found = {w.strip(",") for line in words for w in line.replace(",", " ").split()}
        assert {p.id for p in design.pipes()} <= found


def test_pipes_lie_where_the_design_has_them(cottage: Design) -> None:
    sheet = next(s for s in floor_plans(cottage) if s.id == "plan-under-main")
    ratio = float(sheet.scale.rstrip(")").rsplit(":", 1)[1])
    line = next(i for i in sheet.items if isinstance(i, Line) and i.layer == "pipe:D11")
    (x0, y0), (x1, y1) = line.points
    pipe = cottage.network.pipe("D11")
    assert ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5 * ratio == pytest.approx(pipe.plan_mm)


def test_turned_plan_has_north_to_the_left() -> None:
    view = PlanView(50.0, True, (0.0, 0.0, 5000.0, 8000.0), 10.0, 20.0)
    south, north, east = view.at(Vec(0, 0)), view.at(Vec(0, 8000)), view.at(Vec(5000, 0))
    assert north[0] < south[0]
    assert east[1] > south[1]
    assert (view.width, view.height) == (160.0, 100.0)


def test_floor_penetrations_carry_their_coordinates(cottage: Design) -> None:
    u = cottage.house.job.units
    cells = [
        i.text
        for s in floor_plans(cottage)
        if s.id.startswith("plan-main")
        for i in s.items
        if isinstance(i, Text) and i.layer == "points:cell"
    ]
    assert "fixture drain WC1 3 in through floor" in cells
    assert "stack 2 in through floor" in cells
    for value in (2012.0, 4500.0, 2400.0, 3720.0):
        assert units.length(value, u) in cells


def test_inverts_are_centre_less_half_the_bore(cottage: Design) -> None:
    cells = {i.text for s in floor_plans(cottage) for i in s.items if isinstance(i, Text) and i.layer == "points:cell"}
    for node, size in (("n7", 3.0), ("n12", 4.0), ("n13", 4.0), ("n11", 3.0)):
        z = cottage.network.node(node).at.z - bore_mm(size) / 2
        assert level_mark(cottage, z) in cells, node


def test_slope_and_size_stand_beside_the_building_drain(cottage: Design) -> None:
    texts = [i.text for s in floor_plans(cottage) for i in s.items if isinstance(i, Text) and i.layer == "size:D11"]
    slope = units.slope(cottage.network.pipe("D11").slope, cottage.house.job.units).split(" (")[0]
    assert texts == ["building drain", "D11  3 in", slope]


def test_every_numbered_point_on_the_plan_is_in_the_table(large_house: Design) -> None:
    for sheet in floor_plans(large_house):
        if "-points" in sheet.id or "-enlarged" in sheet.id:
            continue
        rings = {i.layer.split(":")[1] for i in sheet.items if i.layer.startswith("point:")}
        tables = [s for s in floor_plans(large_house) if s.id.startswith(sheet.id)]
        cells = {i.text for s in tables for i in s.items if isinstance(i, Text) and i.layer == "points:cell"}
        assert rings <= cells


def test_plans_have_north_notes_and_joists(cottage: Design) -> None:
    sheet = next(s for s in floor_plans(cottage) if s.id == "plan-under-main")
    layers = {i.layer for i in sheet.items}
    assert {"north", "joist", "joist mark", "footprint"} <= layers
    assert any("shore" in n for n in sheet.notes)
    assert "obstacle:O3" in layers


def test_every_floor_outlet_of_a_storey_has_its_place_from_the_corner(large_house: Design) -> None:
    u = large_house.house.job.units
    for level in large_house.house.levels:
        sheets = [s for s in floor_plans(large_house) if s.id in (f"plan-{level.id}", f"plan-{level.id}-points")]
        cells = {i.text for s in sheets for i in s.items if isinstance(i, Text) and i.layer == "points:cell"}
        for f in large_house.house.fixtures:
            if sheets and f.level_id == level.id and f.floor_outlet and f.outlet is not None:
                at = large_house.outlet_of(f)  # a closet may have been moved off a joist
                assert at is not None
                assert units.length(at.x, u) in cells, f.tag
                assert units.length(at.y, u) in cells, f.tag


def test_the_control_corner_is_on_every_plan(real_house: Design) -> None:
    # Every distance in the tables of points starts there.
    for sheet in floor_plans(real_house):
        if "-points" not in sheet.id and "-enlarged" not in sheet.id:
            words = [i.text for i in sheet.items if isinstance(i, Text) and i.layer == "control corner"]
            assert words == ["control corner (0, 0)"], sheet.id


def _parts_of(sheets: tuple[Sheet, ...]) -> list[tuple[Sheet, Sheet]]:
    """Return every enlarged part with the plan it belongs to."""
    plans = {s.id: s for s in sheets}
    return [(s, plans[s.id.split("-enlarged-")[0]]) for s in sheets if "-enlarged-" in s.id]


def test_an_enlarged_part_shows_what_the_plan_shows_larger_and_where_it_lies(
    real_house: Design, large_house: Design
) -> None:
    for design in (real_house, large_house):
        step = 609.6 if design.house.job.units == "inch" else 500.0
        for sheet, plan in _parts_of(floor_plans(design)):
            ratio = _ratio(sheet)
            assert ratio * 1.5 <= _ratio(plan)
            own = {i.layer for i in plan.items if i.layer.startswith("pipe:")}
            assert {_own(i.layer) for i in sheet.items if _own(i.layer).startswith("pipe:")} <= own
            # Two ticks of the ruler are as far apart on paper as they say.
            for letter, axis in (("E", 0), ("N", 0), ("E", 1), ("N", 1)):
                ticks = [
                    i
                    for i in sheet.items
                    if isinstance(i, Text) and i.layer == "enlarged ruler" and i.text.startswith(letter)
                ]
                ticks.sort(key=lambda i: i.at[axis])
                for a, b in pairwise(ticks):
                    paper = abs(b.at[axis] - a.at[axis]) * ratio
                    assert paper == pytest.approx(step * round(paper / step), abs=1e-6 * step) or paper < 1.0
                    assert b.text != a.text


def test_each_point_and_each_pipe_has_its_words_on_the_plan_or_in_a_part(
    real_house: Design, large_house: Design
) -> None:
    for design in (real_house, large_house):
        sheets = floor_plans(design)
        for plan in (s for s in sheets if "-enlarged-" not in s.id and "-points" not in s.id):
            group = [plan, *(s for s, p in _parts_of(sheets) if p is plan)]
            texts = [i for s in group for i in s.items if isinstance(i, Text)]
            numbers = {i.text for i in texts if _own(i.layer).startswith("point:")}
            cells = [
                i
                for s in sheets
                if s.id == plan.id or s.id.startswith(f"{plan.id}-points")
                for i in s.items
                if isinstance(i, Text) and i.layer == "points:cell"
            ]
            left = min((c.at[0] for c in cells if c.text.isdigit()), default=0.0)
            listed = {c.text for c in cells if c.text.isdigit() and abs(c.at[0] - left) < 4.0}
            assert numbers <= listed
            assert listed - numbers <= {"1"}, plan.id  # the connection may lie off the plan: the profile shows it


def test_a_part_has_the_words_its_frame_on_the_plan_leaves_out(real_house: Design, large_house: Design) -> None:
    for design in (real_house, large_house):
        sheets = floor_plans(design)
        for sheet, plan in _parts_of(sheets):
            letter = sheet.id.rsplit("-", 1)[1]
            (frame,) = [i for i in plan.items if isinstance(i, Line) and i.layer == f"part:{letter}"]
            assert frame.style.dash == "dashed"
            xs, ys = [p[0] for p in frame.points], [p[1] for p in frame.points]
            # The frame on the plan has the size of the part.
            sides = sorted((max(xs) - min(xs), max(ys) - min(ys)))
            lines = [i for i in sheet.items if isinstance(i, Line) and _own(i.layer).startswith("pipe:")]
            for i in lines:
                assert max(p[0] for p in i.points) - min(p[0] for p in i.points) <= sides[1] * _ratio(plan) / _ratio(
                    sheet
                )
            # No number of a point stands for something inside the frame: its ring and leader end outside of it.
            told = [i.text for i in plan.items if isinstance(i, Text) and i.layer == f"part:{letter}"]
            assert told[0] == f"PART {letter}"
            assert told[1] == f"enlarged {sheet.scale.split(' (')[0]}"


def test_the_bath_that_crowds_the_plan_of_a_small_cottage_is_drawn_larger() -> None:
    # House 03, main floor: a closet, a bath, a lavatory and a washer on one wall of three metres.
    design = design_named("03")
    parts = [s for s, p in _parts_of(floor_plans(design)) if p.id == "plan-main"]
    tags = {i.text for s in parts for i in s.items if isinstance(i, Text) and _own(i.layer).startswith("fixture tag:")}
    assert {"LV1", "AW", "WC1"} <= tags


def test_the_name_of_the_joists_reaches_no_farther_down_than_the_plan_has_room() -> None:
    # House 06, turned on its side: the joist marks stand upright under the plan, the table of points below them.
    house = design_named("06").house
    frames = tuple(replace(f, kind="open-web") if f.kind == "i-joist" else f for f in house.frames)
    open_web = replace(design_named("06"), house=replace(house, frames=frames))
    marks = [i for s in floor_plans(open_web) for i in s.items if isinstance(i, Text) and i.layer == "joist mark"]
    upright = [i for i in marks if i.turn_deg == 90]
    assert {"open-web", "joists"} <= {i.text for i in upright}
    boxes = [text_rect(i) for i in upright]
    assert max(b[3] - b[1] for b in boxes) <= JOIST_MARGIN_MM - 2.0


def test_words_of_a_plan_stand_well(real_house: Design, large_house: Design) -> None:
    # A label is hard to follow when its leader line is long; a plan that has many of them wants an enlarged part.
    for design in (real_house, large_house):
        for sheet in floor_plans(design):
            leaders = [i for i in sheet.items if isinstance(i, Line) and _own(i.layer) == "leader"]
            far = [i for i in leaders if math.dist(i.points[0], i.points[-1]) > 25.0]
            labels = {
                i.layer for i in sheet.items if isinstance(i, Text) and _own(i.layer).startswith(("size:", "point:"))
            }
            assert len(far) <= max(3, 0.12 * len(labels)), (sheet.id, len(far), len(labels))


def test_no_point_is_called_a_turn_where_the_pipe_goes_straight_on(real_house: Design) -> None:
    # Worked out from the pipes alone: one in, one out, less than a degree between them.
    net = real_house.network
    for node in net.nodes:
        words = point_words(real_house, node)
        if len(node.inflow) != 1 or len(node.outflow) != 1:
            continue
        a, b = net.pipe(node.inflow[0]), net.pipe(node.outflow[0])
        d, e = a.b.minus(a.a), b.b.minus(b.a)
        straight = d.dot(e) / (d.length * e.length) > math.cos(math.radians(0.9))
        if straight and a.size_in == b.size_in and a.system == b.system:
            assert words not in ("turn", "junction"), (node.id, words)
        elif not straight and node.kind.value == "turn":
            assert words == "turn" or "cleanout" in words or " under CO" in words, (node.id, words)


def test_notes_and_table_at_the_foot_of_a_plan_keep_apart(real_house: Design) -> None:
    for sheet in floor_plans(real_house):
        words = [(i, text_rect(i)) for i in sheet.items if isinstance(i, Text)]
        notes = [box for i, box in words if i.layer == "note"]
        table = [box for i, box in words if i.layer.startswith("points")]
        for a in notes:
            for b in table:
                assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1], sheet.id


def test_a_vent_drawn_up_to_its_terminal_as_one_run_has_its_hole_on_the_roof_plan() -> None:
    """Its storey's plan says that it goes up; the plan of the roof says where it comes out, to be found and flashed."""
    design = design_named("demo")
    ends = {n.id for n in design.network.nodes if n.kind is PointKind.TERMINAL}
    last = next(p for p in design.pipes() if p.end in ends)
    wall = design.house.wall("UP")
    low = last.b.at_z(wall.bottom_z_mm + 900.0)
    long = replace(last, a=low, place=Place("wall", wall.id), drawn=True)
    pipes = tuple(long if p.id == last.id else p for p in design.network.pipes)
    header = replace(last, id="VX", start=last.start, end=last.start, a=last.a, b=last.a.plus(Vec(500.0, 0.0, 0.0)))
    design = replace(design, network=replace(design.network, pipes=(*pipes, header)))
    roof = Storey("attic", max(design.house.levels, key=lambda v: v.order))
    assert [p.id for p in ends_above(design)] == [last.id]
    assert any(s.what.startswith("vent terminal") for s in spots_of(design, roof, tuple(ends_above(design))))
    floor = storey_of(design, long)
    words = [s.what for s in spots_of(design, floor, (long,)) if "terminal" in s.what]
    assert words
    assert all(w.startswith("vent up to its terminal") for w in words)


def test_the_roof_plan_says_how_high_each_terminal_ends_and_what_the_book_asks() -> None:
    """The length to leave; least 6 in by the IRC (P3103.1): from memory. Without a roof both stay open."""
    design = design_named("demo")
    roof = Storey("attic", max(design.house.levels, key=lambda v: v.order))
    pipes = tuple(p for p in design.pipes() if storey_of(design, p).kind == "attic")
    ends = [n for n in design.network.nodes if n.kind is PointKind.TERMINAL]
    spots = spots_of(design, roof, pipes)
    (above,) = (i for i, c in enumerate(points_grid(design, roof, spots).columns) if c.head == "Above|the roof")
    told = {s.node: row[above : above + 2] for s, row in zip(spots, points_grid(design, roof, spots).rows, strict=True)}
    for n in ends:
        plane = next(r for r in design.house.roof if r.x0_mm <= n.at.x <= r.x1_mm and r.y0_mm <= n.at.y <= r.y1_mm)
        over = units.length(n.at.z - plane.z_at(n.at.x, n.at.y), design.house.job.units)
        least = units.length(152.4, design.house.job.units)
        assert told[n.id][0] == over
        assert told[n.id][1].split(",")[0] == least
    assert all(v == ("", "") for k, v in told.items() if k not in {n.id for n in ends})
    bare = replace(design, house=replace(design.house, roof=()))
    assert {row[above] for row in points_grid(bare, roof, spots).rows} <= {"", "OPEN"}
