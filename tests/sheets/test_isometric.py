"""The isometric: all pipes, all sizes, all fixtures, and what stands above stays above."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from drawn import isometric
from laid_out import design_named

from stubout import units
from stubout.design import Design
from stubout.layout.model import PointKind, Role
from stubout.sheets import isometric as drawing
from stubout.sheets.chains import chains
from stubout.sheets.iso_frame import aspect, crossing, fitted, frame
from stubout.sheets.iso_split import IsoPart, halves
from stubout.sheets.iso_words import LOADED, load_words, loads, number
from stubout.sheets.metrics import text_rect
from stubout.sheets.model import LETTER, Circle, Line, Text


def _texts(design: Design, prefix: str) -> dict[str, list[str]]:
    out: dict[str, list[str]] = {}
    for sheet in isometric(design):
        for i in sheet.items:
            if isinstance(i, Text) and i.layer.startswith(prefix):
                out.setdefault(i.layer[len(prefix) :], []).append(i.text)
    return out


def test_every_pipe_is_drawn(cottage: Design, drawn_bath: Design, large_house: Design) -> None:
    for design in (cottage, drawn_bath, large_house):
        drawn = {i.layer[5:] for s in isometric(design) for i in s.items if i.layer.startswith("pipe:")}
        assert drawn == {p.id for p in design.pipes()}


def test_a_system_that_crowds_one_sheet_is_cut_at_a_floor(large_house: Design) -> None:
    below, above = (s for s in isometric(large_house) if "-enlarged-" not in s.id)
    drawn = [{i.layer[5:] for i in s.items if i.layer.startswith("pipe:")} for s in (below, above)]
    # A pipe on both sheets is one that was cut, and nothing else is on both; each cut has one letter on both.
    letters = [{i.text for i in s.items if isinstance(i, Text) and i.layer.startswith("cut:")} for s in (below, above)]
    assert letters[0] == letters[1]
    assert len(letters[0]) == len(drawn[0] & drawn[1]) > 0
    for pipe in (large_house.network.pipe(i) for i in drawn[0] & drawn[1]):
        assert abs(pipe.fall_mm) > 1.0, pipe.id
    lowest = {i: min(large_house.network.pipe(i).a.z, large_house.network.pipe(i).b.z) for i in drawn[0]}
    highest = {i: max(large_house.network.pipe(i).a.z, large_house.network.pipe(i).b.z) for i in drawn[1]}
    assert max(lowest.values()) < max(highest.values())
    assert min(highest[i] for i in drawn[1] - drawn[0]) > min(lowest.values())
    # Cut at the pipe's own height: the two parts of a cut pipe make its whole length.
    for half, other in [halves(large_house)]:
        for name in half.cuts:
            cut = large_house.network.pipe(name.removeprefix("cut "))
            parts = [part.design.network.pipe(cut.id).length_mm for part in (half, other)]
            assert sum(parts) == pytest.approx(cut.length_mm)


def test_a_word_of_an_isometric_is_easy_to_follow(large_house: Design, real_house: Design) -> None:
    # A leader line over words, or a label far from what it speaks of, is what makes an isometric unreadable.
    for design in (large_house, real_house):
        for sheet in isometric(design):
            leaders = [i for i in sheet.items if isinstance(i, Line) and i.layer == "leader"]
            words = {i.layer for i in sheet.items if isinstance(i, Text) and i.layer.startswith(("size:", "tag:"))}
            far = [i for i in leaders if math.dist(i.points[0], i.points[-1]) > 30.0]
            assert len(far) <= 0.1 * len(words), (sheet.id, len(far), len(words))


def test_the_demonstration_house_is_readable_on_letter() -> None:
    # 34 labels: all of them at 9 pt on the paper that comes out of the printer, none left out.
    design = design_named("demo")
    (sheet,) = isometric(design)
    assert sorted((sheet.paper.width, sheet.paper.height)) == sorted((LETTER.width, LETTER.height))
    told = {i.layer for i in sheet.items if isinstance(i, Text) and i.layer.startswith("size:")}
    assert {f"size:{c.pipes[0].id}" for c in chains(design.pipes())} <= told
    assert min(i.size_pt for i in sheet.items if isinstance(i, Text)) >= 9.0


def test_every_pipe_is_sized(cottage: Design, drawn_bath: Design, large_house: Design) -> None:
    for design in (cottage, drawn_bath, large_house):
        written = _texts(design, "size:")
        told: set[str] = set()
        for chain in chains(design.pipes()):
            words = " ".join(written[chain.pipes[0].id])
            assert f"{units.size(chain.size_in)} in" in words
            assert len({p.size_in for p in chain.pipes}) == 1
            if chain.pipes[0].system == "drain" and not chain.vertical:
                shown = units.slope(chain.longest.slope, design.house.job.units).split(" (")[0]
                assert shown in words
            told |= {p.id for p in chain.pipes}
        assert told == {p.id for p in design.pipes()}


def test_every_trap_has_its_tag_and_load(cottage: Design, large_house: Design) -> None:
    for design in (cottage, large_house):
        tags = _texts(design, "tag:")
        load = loads(design)
        for trap in design.network.traps:
            if design.network.node(trap.weir).kind is not PointKind.TRAP:
                continue
            assert trap.tag in tags[trap.tag]
            assert f"{number(load[trap.tag])} {design.book.load_unit}" in tags[trap.tag]


def test_stacks_and_the_building_drain_say_what_they_carry(cottage: Design, large_house: Design) -> None:
    for design in (cottage, large_house):
        written = [*_texts(design, "size:").values(), *_texts(design, "load:").values()]  # one pipe may have both
        said = {line for lines in written for words in lines for line in words.split(" in ")}
        runs = [c for c in chains(design.pipes()) if c.longest.role in (Role.STACK, Role.BUILDING_DRAIN, Role.SEWER)]
        assert runs
        for c in runs:
            load = f"{number(max(p.load for p in c.pipes))} {design.book.load_unit}"
            assert load in said, (c.pipes[0].id, load, said)


def test_vents_dashed_drains_solid(large_house: Design) -> None:
    for i in (i for s in isometric(large_house) for i in s.items):
        if isinstance(i, Line) and i.layer.startswith("pipe:"):
            vent = large_house.network.pipe(i.layer[5:]).system == "vent"
            assert (i.style.dash == "solid") is not vent


def test_terminal_cleanout_and_sewer_are_named(cottage: Design) -> None:
    sheet = isometric(cottage)[0]
    words = [i.text for i in sheet.items if isinstance(i, Text)]
    assert "VTR 3 in" in words
    assert "frost size" in words
    assert "CO1 3 in" in words
    assert "to sewer" in words
    assert "building drain" in words
    assert any("dot" not in i.layer and isinstance(i, Circle) for i in sheet.items)


def test_what_stands_above_stays_above(large_house: Design, cottage: Design) -> None:
    for design in (cottage, large_house):
        at = frame(design.network)
        for p in design.pipes():
            a, b = at[p.start], at[p.end]
            if p.vertical and abs(p.fall_mm) > 1.0 and p.plan_mm < 1.0:
                assert (a.z - b.z) * p.fall_mm > 0, p.id
            if not p.vertical:
                assert a.z == pytest.approx(b.z), p.id


def test_order_along_each_axis_is_kept(large_house: Design) -> None:
    at = frame(large_house.network)
    for axis in (0, 1):
        nodes = sorted(large_house.network.nodes, key=lambda n: n.at[axis])
        places = [at[n.id][axis] for n in nodes]
        assert all(b >= a - 1e-9 for a, b in pairwise(places))


def test_axes_are_drawn_at_thirty_degrees(cottage: Design) -> None:
    view = fitted(aspect(cottage.network), 200.0, 150.0)
    for pipe_id in ("D11", "V2"):
        p = cottage.network.pipe(pipe_id)
        (x0, y0), (x1, y1) = view.point(p.start), view.point(p.end)
        assert abs(math.degrees(math.atan2(abs(y1 - y0), abs(x1 - x0)))) == pytest.approx(30.0)
    stack = cottage.network.pipe("D6")
    assert view.point(stack.start)[0] == pytest.approx(view.point(stack.end)[0])


def test_the_view_fills_but_does_not_leave_its_room(large_house: Design) -> None:
    view = fitted(aspect(large_house.network), 200.0, 300.0)
    points = [view.point(n.id) for n in large_house.network.nodes]
    assert min(p[0] for p in points) >= -1e-6
    assert max(p[0] for p in points) <= 200.0 + 1e-6
    assert min(p[1] for p in points) >= -1e-6
    assert max(p[1] for p in points) <= 300.0 + 0.5


def test_crossing_of_two_lines() -> None:
    assert crossing((0, 0), (10, 10), (0, 10), (10, 0)) == (0.5, 0.5)
    assert crossing((0, 0), (10, 0), (0, 1), (10, 1)) is None
    assert crossing((0, 0), (10, 0), (10, 0), (10, 10)) is None


@pytest.mark.parametrize("name", ["03", "04", "05"])
def test_every_piece_of_a_stack_or_building_drain_tells_its_own_load(name: str) -> None:
    # 04 by hand from its drain schedule: D11 and D12 carry 6, D22 12, D29 14, D30 17; one label used to say 17 for all.
    design = design_named(name)
    size, load = _texts(design, "size:"), _texts(design, "load:")
    for c in (c for c in chains(design.pipes()) if c.longest.role in LOADED):
        # A chain that a room drawn larger takes a part of is told in parts; a pipe cut there tells its load on both.
        words = [w for p in c.pipes for w in dict.fromkeys(size.get(p.id, ()))]
        said = [w.rsplit(" in ", 1)[-1] for w in words if w.endswith(design.book.load_unit)]
        said += [w for p in c.pipes for w in load.get(p.id, ())]
        assert sorted(said) == sorted(load_words(design, s.pipes[0]) for s in c.stretches())
        for p in c.pipes:
            assert load.get(p.id, [load_words(design, p)]) == [load_words(design, p)]
    if name == "04":
        (drain,) = (c for c in chains(design.pipes()) if c.pipes[0].id == "D11")
        assert [s.pipes[0].load for s in drain.stretches()] == [6, 12, 14, 17]


def _away(at: tuple[float, float], line: Line) -> float:
    """Return how far a point is from a line on paper [mm]."""
    (x0, y0), (x1, y1) = line.points[0], line.points[-1]
    long = math.dist((x0, y0), (x1, y1)) ** 2 or 1.0
    t = max(0.0, min(1.0, ((at[0] - x0) * (x1 - x0) + (at[1] - y0) * (y1 - y0)) / long))
    return math.dist(at, (x0 + (x1 - x0) * t, y0 + (y1 - y0) * t))


@pytest.mark.parametrize("name", ["04", "06"])
def test_a_header_lies(name: str) -> None:
    design = design_named(name)
    headers = [p for p in design.pipes() if p.role is Role.HEADER and not p.vertical]
    said = 0
    for sheet in isometric(design):
        lines = [i for i in sheet.items if isinstance(i, Line) and "pipe:" in i.layer]
        # words may stand in the corner between a header and what comes up into it: nothing else that lies is nearer
        upright = {f"pipe:{p.id}" for p in design.pipes() if p.vertical}
        lines = [i for i in lines if i.layer[i.layer.index("pipe:") :] not in upright]
        for i in sheet.items:
            if isinstance(i, Text) and "vent header" in i.text:
                said += 1
                assert i.turn_deg == 0.0
                x0, y0, x1, _ = text_rect(i)
                spots = [(x0, y0), ((x0 + x1) / 2, y0), (x1, y0)]
                near = min(lines, key=lambda line: min(_away(at, line) for at in spots))
                assert near.layer.partition("pipe:")[2] in {p.id for p in headers}
    assert said


@pytest.mark.parametrize(("name", "over", "touching"), [("03", 3, 0), ("04", 1, 1), ("05", 3, 0)])
def test_words_that_stand_badly_are_seen_from_elsewhere(name: str, over: int, touching: int) -> None:
    # Own output: on one view of these houses 2 to 6 words lie over pipes, so that neither can be told.
    design = design_named(name)
    whole = drawing._Shown(IsoPart(design, "", {}))
    plain = drawing._draw(whole, aspect(design.network), LETTER, 9.0)
    taken = drawing._fitted(whole)
    assert taken.badly < plain.badly
    assert taken.over <= over <= plain.over
    assert taken.touching <= touching
    assert isometric(design)[0] == drawing.isometric(design)[0]
