"""Crowded rooms of an isometric drawn larger: fewer words to look for, every pipe told once, cuts found again."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import Literal

import pytest
from laid_out import design_named

from stubout.design import Design
from stubout.geometry.distance import segment_meets_rect
from stubout.geometry.vec import Vec
from stubout.sheets import iso_views as views
from stubout.sheets import isometric as drawing
from stubout.sheets.canvas import Canvas
from stubout.sheets.chains import chains
from stubout.sheets.free_box import free_box
from stubout.sheets.iso_enlarged import ENDS, best_seen
from stubout.sheets.iso_frame import crossing
from stubout.sheets.iso_rooms import IsoRoom, knife_of, lettered
from stubout.sheets.iso_split import IsoPart, halves
from stubout.sheets.iso_views import GAIN, draw_beside
from stubout.sheets.metrics import text_rect
from stubout.sheets.model import A4, LETTER, TABLOID, Item, Line, Paper, Sheet, Style, Text
from stubout.sheets.titleblock import body
from stubout.units import Units

Case = tuple[str, Units, Literal["letter", "a4"]]
CALM = ("demo", "04", "05", "06", "drawn-bath")
CROWDED: dict[Case, list[str]] = {  # own output: the views that are drawn
    ("01", "mm", "letter"): ["Laundry", "Future bath", "Ensuite", "Family bath"],
    ("01", "inch", "letter"): ["Laundry", "Future bath", "Family bath", "Ensuite"],
    ("02", "mm", "letter"): ["Kitchen"],
    ("03", "inch", "letter"): ["Bath"],
    ("03", "mm", "a4"): ["Bath"],
}
LONG_MM = 30.0 * 25.4 / 72.0  # a leader line of 30 pt


@cache
def _design(case: Case) -> Design:
    design = design_named(case[0])
    job = replace(design.house.job, units=case[1], paper=case[2])
    return replace(design, house=replace(design.house, job=job))


@cache
def _sheets(case: Case) -> tuple[Sheet, ...]:
    return drawing.isometric(_design(case))


@cache
def _plain(case: Case) -> tuple[drawing._Drawn, ...]:
    """Return the isometric as it would be drawn with all its words and no larger view."""
    design = _design(case)
    parts = halves(design)
    whole = drawing._fitted(drawing._Shown(IsoPart(design, "", {})), parted=bool(parts))
    if not parts or whole.strained <= drawing.CROWDED:
        return (whole,)
    corner = drawing.aspect(design.network).quarter
    return tuple(drawing._fitted(drawing._Shown(part, f"-{n}", corner)) for n, part in enumerate(parts, 1))


@cache
def _relieved(case: Case) -> tuple[drawing._Drawn, ...]:
    """Return the isometric without the words of the rooms that are drawn larger."""
    number, letters, out = 0, dict(_plain(case)[0].shown.part.cuts), []
    for plain in _plain(case):
        out.append(drawing._relieved(plain, number, letters))
        number += len(out[-1].shown.rooms)
    return tuple(out)


def _rooms(case: Case) -> list[IsoRoom]:
    return [r for drawn in _relieved(case) for r in drawn.shown.rooms]


def _views(case: Case) -> list[Sheet]:
    return [s for s in _sheets(case) if "-enlarged-" in s.id]


def _wholes(case: Case) -> list[Sheet]:
    return [s for s in _sheets(case) if "-enlarged-" not in s.id]


def _pipes(items: tuple[Item, ...]) -> list[Line]:
    return [i for i in items if isinstance(i, Line) and i.layer.removeprefix("enlarged ").startswith("pipe:")]


def _density(sheet: Sheet) -> Counter[str]:
    """Return long leader lines, leader lines over pipes, and words over pipes, measured on what is drawn."""
    pipes = [(i.points[0], i.points[-1]) for i in _pipes(sheet.items)]
    leaders = [(i.points[0], i.points[-1]) for i in sheet.items if isinstance(i, Line) and i.layer == "leader"]
    words = [i for i in sheet.items if isinstance(i, Text) and i.layer.startswith(("size:", "tag:", "load:"))]
    return Counter(
        long=sum(math.dist(a, b) > LONG_MM for a, b in leaders),
        across=sum(any(crossing(a, b, c, d) is not None for c, d in pipes) for a, b in leaders),
        over=sum(any(segment_meets_rect(Vec(*a), Vec(*b), text_rect(w)) for a, b in pipes) for w in words),
    )


@pytest.mark.parametrize("case", CROWDED)
def test_crowded_rooms_are_drawn_larger(case: Case) -> None:
    titles = [i.text.split(": ")[1] for s in _sheets(case) for i in s.items if _is_title(i)]
    assert titles == CROWDED[case]
    small = LETTER if case[2] == "letter" else A4
    for sheet in _sheets(case):
        assert sorted((sheet.paper.width, sheet.paper.height)) == sorted((small.width, small.height))
        assert min(i.size_pt for i in sheet.items if isinstance(i, Text)) >= 9.0


def _is_title(item: Item) -> bool:
    return isinstance(item, Text) and item.layer.removeprefix("enlarged ").startswith("view:") and ": " in item.text


@pytest.mark.parametrize("name", CALM)
def test_what_is_not_crowded_stays_as_it_was(name: str) -> None:
    design = design_named(name)
    case = (name, design.house.job.units, design.house.job.paper)
    (plain,) = _plain(case)
    assert _sheets(case) == (plain.sheet(()),)
    assert not any(i.layer.startswith(("view:", "join:")) for i in _sheets(case)[0].items)


@pytest.mark.parametrize("case", CROWDED)
def test_fewer_words_must_be_looked_for(case: Case) -> None:
    # Own output: in 01 14 leader lines longer than 30 pt, 20 across pipes and 8 words over pipes before, 2, 5 and 1
    # after, on all its sheets together; in 03 and 05 8 such things before and 2 after, in 02 18 and 10.
    before, after = Counter[str](), Counter[str]()
    for drawn in _plain(case):
        before += _density(drawn.sheet(()))
    for sheet in _sheets(case):
        after += _density(sheet)
    assert after.total() <= 0.67 * before.total(), (before, after)
    assert after["long"] <= before["long"]
    assert all(d.missing == 0 for d in _relieved(case))


@pytest.mark.parametrize("case", CROWDED)
def test_every_pipe_is_told_once_or_where_it_is_cut_on_both(case: Case) -> None:
    design = _design(case)
    there = Counter(i for room in _rooms(case) for i in room.whole)
    assert set(there.values()) == {1}
    cut = {n.split(" ", 1)[1] for r in _rooms(case) for n in r.part.cuts if knife_of(n)}
    cut |= {n.split(" ", 1)[1] for d in _plain(case) for n in d.shown.part.cuts}
    told: Counter[str] = Counter()
    for sheet in _sheets(case):
        told.update({i.layer[5:] for i in sheet.items if isinstance(i, Text) and i.layer.startswith("size:")})
    assert {i for i, n in told.items() if n > 1} <= cut
    for drawn in _relieved(case):
        rest = [p for p in drawn.shown.part.design.pipes() if p.id not in there]
        assert {c.pipes[0].id for c in chains(rest)} <= set(told)
    for room in _rooms(case):
        assert {c.pipes[0].id for c in chains(room.part.design.pipes())} <= set(told)
    assert {p.id for p in design.pipes()} == {i.layer[5:] for s in _wholes(case) for i in _pipes(s.items)}


@pytest.mark.parametrize("case", CROWDED)
def test_the_isometric_names_the_fixtures_of_a_room_and_where_it_is_drawn(case: Case) -> None:
    written = {(i.layer, i.text) for s in _wholes(case) for i in s.items if isinstance(i, Text)}
    for room in _rooms(case):
        assert (f"view:{room.letter}", f"SEE VIEW {room.letter}") in written
        assert (f"view:{room.letter}", room.title) in written
        for node in room.part.design.network.nodes:
            if node.tag and node.kind in ENDS:
                assert (f"tag:{node.tag}", node.tag) in written
    for sheet in _views(case):
        assert all(f"view {r.letter} ({r.title})" in sheet.title for r in _rooms(case) if sheet.id.endswith(r.letter))


@pytest.mark.parametrize("case", CROWDED)
def test_a_pipe_cut_at_a_room_has_one_letter_on_both(case: Case) -> None:
    halved = {letter for d in _plain(case) for letter in d.shown.part.cuts.values()}
    on_whole = Counter(t for s in _wholes(case) for t in _letters(s))
    on_views = {t for s in _views(case) for t in _letters(s)}
    wanted = {letter for room in _rooms(case) for letter in room.part.cuts.values()}
    assert on_views == wanted
    assert set(on_whole) == wanted - halved  # where the isometric itself is cut, its own letter stands
    assert set(on_whole.values()) == {1}
    for room in _rooms(case):  # a letter stands at each point where what is not the room's goes on, and nowhere else
        ids = {p.id for p in room.part.design.pipes()}
        ends = {n for n in room.part.cuts if not knife_of(n) and not n.startswith("cut ")}
        drawn = next(d for d in _relieved(case) if room in d.shown.rooms)
        others = [p for p in drawn.shown.part.design.pipes() if p.id not in ids]
        assert ends == {n for n in room.nodes if any(n in (p.start, p.end) for p in others)}


def _letters(sheet: Sheet) -> list[str]:
    return [i.text for i in sheet.items if isinstance(i, Text) and i.layer.startswith("join:")]


@pytest.mark.parametrize("case", CROWDED)
def test_a_room_is_drawn_larger_and_seen_from_the_same_corner(case: Case) -> None:
    lines = {i.layer: i for s in _wholes(case) for i in _pipes(s.items)}
    ends = {p.id: (p.start, p.end) for p in _design(case).pipes()}
    parts = (p for room in _rooms(case) for p in room.part.design.pipes())
    uncut = {f"enlarged pipe:{p.id}" for p in parts if ends.get(p.id) == (p.start, p.end)}
    for sheet in _views(case):
        pairs = [(i, lines[i.layer.removeprefix("enlarged ")]) for i in _pipes(sheet.items) if i.layer in uncut]
        lengths = ({(i.layer, i.points): i for i in side} for side in zip(*pairs, strict=True))  # gaps part a line
        here, there = (sum(math.dist(i.points[0], i.points[-1]) for i in side.values()) for side in lengths)
        assert here >= GAIN * there
        design = _design(case)
        for i, j in pairs:  # what runs along an axis of the house runs the same way on paper
            pipe = design.network.pipe(j.layer[5:])
            along = sum(abs(a - b) > 2.0 for a, b in zip(pipe.a, pipe.b, strict=True)) == 1
            if along and not pipe.vertical:
                assert _turn(i) * _turn(j) > 0.0, pipe.id


def _turn(line: Line) -> float:
    """Return the slope of a line on paper: positive up to the right."""
    (x0, y0), (x1, y1) = line.points[0], line.points[-1]
    return (y1 - y0) * (1.0 if x1 > x0 else -1.0)


@pytest.mark.parametrize("case", CROWDED)
def test_the_line_round_a_room_holds_its_pipes(case: Case) -> None:
    for drawn in _relieved(case):
        items = drawn.canvas.items
        for room in drawn.shown.rooms:
            (line,) = (i for i in items if isinstance(i, Line) and i.layer == f"view:{room.letter}")
            assert line.closed
            for p in room.part.design.pipes():
                if p.id in room.whole:
                    assert _inside(line, drawn.view.point(p.start))
                    assert _inside(line, drawn.view.point(p.end))


def _inside(area: Line, at: tuple[float, float]) -> bool:
    ring = [*area.points, area.points[0]]
    turns = [(b[0] - a[0]) * (at[1] - a[1]) - (b[1] - a[1]) * (at[0] - a[0]) for a, b in pairwise(ring)]
    return all(t > 0.0 for t in turns)


def _crossed_out(paper: Paper, share: float) -> Canvas:
    """Return a drawing whose lower part is full of lines."""
    canvas = Canvas(paper, body(paper))
    x0, y0, x1, y1 = canvas.body
    for k in range(int((y1 - y0) * share)):
        canvas.line(((x0, y0 + k), (x1, y0 + k)), Style("thin"), "pipe:X", cover="firm")
    return canvas


def test_a_room_is_drawn_beside_the_isometric_where_its_sheet_has_room() -> None:
    case = ("03", "inch", "letter")
    (drawn,) = _relieved(case)
    canvas = _crossed_out(TABLOID, 0.4)
    top = max(y for i in canvas.items if isinstance(i, Line) for _, y in i.points)
    first = len(canvas.items)
    (beside,) = draw_beside(drawn.shown.rooms, drawn.view, canvas)
    assert beside.room == drawn.shown.rooms[0]
    assert beside.badly == (0, 0)
    assert beside.gain(drawn.view) >= GAIN
    lines = [i for i in canvas.items[first:] if isinstance(i, Line)]
    assert min(y for i in lines for _, y in i.points) > top
    assert "view A (Bath)" in replace(drawn, canvas=canvas).sheet((beside,)).title
    assert draw_beside(drawn.shown.rooms, drawn.view, _crossed_out(TABLOID, 0.8)) == ()


def test_the_largest_empty_rectangle() -> None:
    canvas = Canvas(LETTER, (0.0, 0.0, 90.0, 60.0))
    assert free_box(canvas, (30.0, 30.0)) == (0.0, 0.0, 90.0, 60.0)
    canvas.line(((40.0, 0.0), (40.0, 60.0)), Style("thin"), "pipe:X", cover="firm")
    box = free_box(canvas, (30.0, 30.0))
    assert box is not None
    assert (box[1], box[2], box[3]) == (0.0, 90.0, 60.0)
    assert 40.0 < box[0] <= 46.0
    canvas.text((60.0, 30.0), "words", "note")
    box = free_box(canvas, (30.0, 30.0))
    assert box is not None
    assert box[2] <= 40.0
    assert free_box(canvas, (60.0, 60.0)) is None


def test_a_cut_vent_is_no_open_end() -> None:
    written = [i.text for s in _views(("03", "inch", "letter")) for i in s.items if isinstance(i, Text)]
    assert "OPEN END:" not in written


def test_rooms_that_meet_use_one_letter() -> None:
    first, second = _rooms(("01", "mm", "letter"))[:2]
    both = first.part.cuts.keys() & second.part.cuts.keys()
    assert both  # own output: the vents of the laundry join those of the future bath
    assert {first.part.cuts[n] for n in both} == {second.part.cuts[n] for n in both}
    letters: dict[str, str] = {}
    again = [lettered(r, n, letters) for n, r in enumerate((first, second))]
    assert len(set(letters.values())) == len(letters)
    assert [r.letter for r in again] == ["A", "B"]


def test_the_same_view_is_taken_again() -> None:
    (drawn,) = _relieved(("03", "inch", "letter"))
    seen = [best_seen(drawn.shown.rooms[0], drawn.view.quarter, LETTER, body(LETTER)).view for _ in range(2)]
    assert seen[0] == seen[1]
    assert drawing.isometric(_design(("03", "inch", "letter"))) == _sheets(("03", "inch", "letter"))


def test_two_rooms_on_one_sheet_keep_apart() -> None:
    case = ("01", "mm", "letter")
    rooms, whole = _relieved(case)[0].shown.rooms, _relieved(case)[0].view
    both = views._sheet(rooms, whole, LETTER)
    assert both.sheet.id == "isometric-enlarged-A-B"
    first, second = (_frame(both.sheet, r) for r in rooms)
    assert first[2] < second[0] or first[1] > second[3]
    for room, box in zip(rooms, (first, second), strict=True):
        layers = {f"enlarged pipe:{p.id}" for p in room.part.design.pipes()}
        points = [at for i in _pipes(both.sheet.items) if i.layer in layers for at in i.points]
        assert points
        assert all(box[0] < x < box[2] and box[1] < y < box[3] for x, y in points)


def _frame(sheet: Sheet, room: IsoRoom) -> tuple[float, float, float, float]:
    """Return the frame of a view."""
    (frame,) = (i for i in sheet.items if isinstance(i, Line) and i.layer == f"enlarged view:{room.letter}")
    xs, ys = zip(*frame.points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)
