"""A stack through three storeys is drawn, marked and named in every wall that it comes through."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import pytest
from drawn import wall_marks
from laid_out import design_of
from three_storeys import JOB

from stubout import run, units
from stubout.design import Design
from stubout.export.csv_ import lists
from stubout.export.json_ import design_data
from stubout.files.books import book_ids
from stubout.files.jobs import read_job_text
from stubout.geometry.vec import Vec
from stubout.house.framing import Wall
from stubout.network.standing import walls_of
from stubout.reports.model import TableBlock
from stubout.reports.pipes import drains_page, lies_in
from stubout.run_field.marks import sides as wall_sides
from stubout.run_field.tasks import tasks
from stubout.sheets.card_facts import zones
from stubout.sheets.metrics import MM_PER_POINT, text_width
from stubout.sheets.model import LETTER
from stubout.sheets.wall_facts import nodes_in_wall, pipes_in_wall


@pytest.fixture(scope="module")
def tall() -> Design:
    return design_of(read_job_text(JOB, "tall.yaml", book_ids()))


def _wall(design: Design, wall_id: str) -> Wall:
    return design.house.wall(wall_id)


def _stack(design: Design) -> str:
    """Return the piece of the closet's stack that stands in the wall of the middle storey."""
    held = [p for p in design.network.drains() if p.vertical and _wall(design, "M").stands_in(p.a, p.b)]
    assert len(held) == 1
    assert held[0].place.ref == "L"  # said to lie in the lowest wall only: otherwise this house tests nothing
    return held[0].id


def test_a_stack_lies_in_every_wall_that_it_comes_through(tall: Design) -> None:
    stack = _stack(tall)
    for wall_id, there in (("L", True), ("M", True), ("T", False)):
        assert (stack in {p.id for p in pipes_in_wall(tall, _wall(tall, wall_id))}) is there, wall_id


def test_it_is_drawn_on_the_sheet_of_the_wall_between(tall: Design) -> None:
    stack = _stack(tall)
    sheet = next(s for s in wall_marks(tall) if s.id.startswith("wall-M"))
    assert any(i.layer == f"pipe:{stack}" for i in sheet.items)


def test_nobody_nails_into_it_there(tall: Design) -> None:
    wall = _wall(tall, "M")
    at = wall.station(tall.network.pipe(_stack(tall)).a)
    assert any(z.stations_mm[0] <= at <= z.stations_mm[1] for z in zones(tall, wall, "left"))


def test_no_wall_shows_a_point_of_another_storey(tall: Design) -> None:
    # a cleanout at the foot of the stack, as where one serves the turns under the slab
    foot = tall.network.node(tall.network.pipe(_stack(tall)).end)
    opening = replace(foot, at=Vec(foot.at.x, foot.at.y, 400.0))
    nodes = tuple(opening if n.id == foot.id else n for n in tall.network.nodes)
    opened = replace(tall, network=replace(tall.network, nodes=nodes))
    assert opening in nodes_in_wall(opened, _wall(tall, "L"))
    assert opening not in nodes_in_wall(opened, _wall(tall, "M"))


def test_the_drain_schedule_names_both_walls(tall: Design) -> None:
    stack = _stack(tall)
    table = next(b for b in drains_page(tall).blocks if isinstance(b, TableBlock))
    assert next(row[-1] for row in table.rows if row[0] == stack) == "wall M, L"


def test_the_files_for_other_programs_name_both_walls(tall: Design) -> None:
    stack = _stack(tall)
    data = next(p for p in design_data(tall, (), ())["pipes"] if p["id"] == stack)
    assert data["place"]["ref"] == "L"  # as before
    assert data["walls"] == ["L", "M"]  # from the lowest up
    rows = list(csv.DictReader(io.StringIO(lists(tall, ())["pipes"].decode("utf-8-sig"))))
    row = next(r for r in rows if r["pipe"] == stack)
    assert (row["lies_in"], row["walls"]) == ("wall L", "L, M")


def test_a_pipe_in_no_wall_names_none(tall: Design) -> None:
    walls = tall.house.walls
    for pipe in tall.network.pipes:
        assert bool(walls_of(pipe, walls)) is (pipe.place.kind == "wall"), pipe.id


def test_its_piece_is_put_into_both_walls(tall: Design) -> None:
    stack = _stack(tall)
    own = {p.id for p in tall.fabrication.pieces if stack in (p.pipe, *p.pipes)}
    orders = {o.wall: set(o.pieces) for o in tall.fabrication.orders}
    assert own & orders["L"]
    assert own & orders["M"]
    assert not own & orders.get("T", set())


def test_a_fitting_is_ticked_in_the_wall_of_its_own_height(tall: Design) -> None:
    pipe = tall.network.pipe(_stack(tall))
    wall = _wall(tall, "M")
    use = replace(
        tall.fabrication.fittings[0], at=pipe.a.at_z(wall.bottom_z_mm + 900.0), pipes=(pipe.id, pipe.id), id="F900"
    )
    coupled = replace(tall, fabrication=replace(tall.fabrication, fittings=(use,)))
    sides = tuple(side for side, _ in wall_sides(tall, (), {}))
    (glued,) = (t for t in tasks(coupled, sides) if t.kind == "glue")
    assert glued.wall in {s.id for s in sides if s.wall == "M"}


def test_a_stack_through_an_outer_wall_of_the_storey_between_is_cold(tall: Design) -> None:
    walls = tuple(replace(w, exterior=w.id == "M", insulated=False) for w in tall.house.walls)
    climate = replace(tall.house.climate, winter_design_f=-8.0)
    cold = replace(tall, house=replace(tall.house, walls=walls, climate=climate))
    assert (_stack(tall), "M") in [f.about for f in run.check(cold).findings if f.check == "CLD001"]


def test_a_stack_thicker_than_the_wall_of_the_storey_between_is_found(tall: Design) -> None:
    stack = _stack(tall)
    thin = replace(_wall(tall, "M"), depth_mm=64.0)  # a 3 in pipe is 89 mm thick
    walls = tuple(thin if w.id == "M" else w for w in tall.house.walls)
    narrow = replace(tall, house=replace(tall.house, walls=walls))
    found = [f for f in run.check(narrow).findings if f.check == "CLA004" and stack in f.about]
    assert [f.about[-1] for f in found] == ["M"]


def test_an_upright_piece_within_a_floor_lies_in_that_floor(tall: Design) -> None:
    pipe = tall.network.pipe(_stack(tall))
    floor = tall.house.frame_carrying("mid")
    assert floor is not None
    high, low = floor.top_z_mm - 10.0, floor.bottom_z_mm + 10.0
    piece = replace(pipe, a=Vec(pipe.a.x, pipe.a.y, high), b=Vec(pipe.a.x, pipe.a.y, low))
    assert lies_in(tall, piece) == "joist bay mid floor"


def test_a_line_stands_in_a_wall_only_between_its_plates(tall: Design) -> None:
    wall = _wall(tall, "M")
    low, high = wall.bottom_z_mm + wall.bottom_plate_mm, wall.under_plates_at(1000.0)

    def stands(lo_mm: float, hi_mm: float, out_mm: float = 0.0) -> bool:
        return wall.stands_in(wall.point(1000.0, hi_mm, out_mm), wall.point(1000.0, lo_mm, out_mm))

    assert stands(low - 500.0, high + 500.0)
    assert stands(low - 500.0, low + 26.0)
    assert not stands(low - 500.0, low + 24.0)  # ends as good as in the plate
    assert not stands(high - 24.0, high + 500.0)
    assert not stands(low, high, wall.depth_mm / 2)  # before the studs
    assert not wall.stands_in(wall.point(-1.0, low), wall.point(-1.0, high))


def test_a_stack_through_a_closed_wall_is_found(tall: Design) -> None:
    wishes = replace(tall.house.wishes, no_drain_in_walls=("M",))
    closed = replace(tall, house=replace(tall.house, wishes=wishes))
    found = [f for f in run.check(closed).findings if f.check == "CLA007"]
    assert [f.about for f in found] == [(_stack(tall), "M")]


def test_heights_of_a_third_floor_fit_the_drain_schedule(tall: Design) -> None:
    table = next(b for b in drains_page(tall).blocks if isinstance(b, TableBlock))
    page, inset = LETTER.width - 28.0, 8 * MM_PER_POINT  # margins of the page, of a cell: as the template has
    for head in ("Length", "Falls", "z at upper end", "z at lower end"):
        room = page * table.widths[table.head.index(head)] / sum(table.widths) - inset
        for mm in (5480.05, 6393.6, -1203.3):  # 17'-11 3/4", 20'-11 11/16", -3'-11 3/8": numbers stay on one line
            assert text_width(units.length(mm, "inch"), 9.0) <= room, (head, mm)
