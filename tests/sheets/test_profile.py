"""The profile: stations, inverts, cover."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from laid_out import design_named

from stubout import units
from stubout.design import Design
from stubout.layout.model import PointKind
from stubout.sheets.model import Line, Text
from stubout.sheets.pipeware import bore_mm, od_mm
from stubout.sheets.profile import profile
from stubout.sheets.profile_facts import branches, main_run, stations
from stubout.sheets.words import level_mark, mm


def test_the_run_goes_from_the_upstream_end_to_the_connection(cottage: Design, large_house: Design) -> None:
    assert [p.id for p in main_run(cottage)] == ["D8", "D10", "D11", "D12"]
    for design in (cottage, large_house):
        run = main_run(design)
        assert design.network.node(run[-1].end).kind is PointKind.SEWER
        assert all(a.end == b.start for a, b in pairwise(run))


def test_stations_by_hand(cottage: Design) -> None:
    rows = {s.what: s for s in stations(cottage, main_run(cottage))}
    foot = rows["stack foot"]
    # 388 west and 388 south at 45 degrees, then 392 south.
    assert foot.along_mm == pytest.approx((388.0**2 * 2) ** 0.5 + 392.0)
    assert foot.invert_z_mm == pytest.approx(-620.0 - 3.042 * 25.4 / 2)  # average bore of 3 in, ASTM D2665 (read)
    out = rows["leaves the house"]
    assert out.along_mm == pytest.approx(foot.along_mm + 3720.0)
    # 400 beyond the size change at 1:50; ground at the house -450.
    assert out.invert_z_mm == pytest.approx(-686.4 - 400.0 * 80.0 / 4000.0 - 3.998 * 25.4 / 2)
    assert out.cover_mm == pytest.approx(-450.0 - (-686.4 - 8.0 + 4.5 * 25.4 / 2))
    end = rows["connection, sewer"]
    assert end.surface_z_mm == pytest.approx(-500.0)
    assert end.invert_z_mm == pytest.approx(-766.4 - bore_mm(4.0) / 2)


def test_the_table_says_what_the_stations_say(cottage: Design, large_house: Design) -> None:
    for design in (cottage, large_house):
        cells = {i.text for s in profile(design) for i in s.items if isinstance(i, Text)}
        for s in stations(design, main_run(design)):
            assert level_mark(design, s.invert_z_mm) in cells
            assert mm(design, s.along_mm) in cells
            assert level_mark(design, s.surface_z_mm) in cells


def test_exaggeration_is_stated_and_true(cottage: Design) -> None:
    sheet = profile(cottage)[0]
    times = float(sheet.notes[0].split("drawn ")[1].split(" times")[0])
    ratio = float(sheet.scale.split(", heights")[0].rstrip(")").rsplit(":", 1)[1])
    line = next(i for i in sheet.items if isinstance(i, Line) and i.layer == "pipe:D11")
    (x0, y0), (x1, y1) = line.points
    pipe = cottage.network.pipe("D11")
    assert (x1 - x0) * ratio == pytest.approx(pipe.plan_mm)
    assert (y0 - y1) * ratio / times == pytest.approx(pipe.fall_mm)


def test_each_pipe_of_the_run_once_and_no_other(cottage: Design) -> None:
    drawn = [i.layer[5:] for i in profile(cottage)[0].items if i.layer.startswith("pipe:")]
    assert drawn == [p.id for p in main_run(cottage)]


def test_a_connection_that_is_missed_is_said(cottage: Design) -> None:
    gap = (-766.4 - bore_mm(4.0) / 2) - cottage.house.sewer.at.z
    assert any(f"arrives {mm(cottage, gap)} above" in n for n in profile(cottage)[0].notes)
    assert od_mm(4.0) > bore_mm(4.0)


def test_trench_caution(cottage: Design) -> None:
    assert any("trench" in n for n in profile(cottage)[0].notes)


def test_every_branch_is_marked_with_its_fixtures_and_invert(cottage: Design, large_house: Design) -> None:
    for design in (cottage, large_house):
        run = main_run(design)
        own = {p.id for p in run}
        along = 0.0
        sheets = profile(design)
        for p in run:
            for q in (design.network.pipe(i) for i in design.network.node(p.start).inflow):
                if q.system == "drain" and q.id not in own and q.tags:
                    words = [i.text for i in sheets[0].items if isinstance(i, Text) and i.layer == f"branch:{q.id}"]
                    low = p if q.vertical else q
                    z = (p.a.z if q.vertical else q.b.z) - bore_mm(low.size_in) / 2
                    assert words == [
                        f"{', '.join(q.tags)} {units.size(q.size_in)} in",
                        f"invert {level_mark(design, z)}",
                    ]
            along += p.plan_mm
        assert along == pytest.approx(sum(p.plan_mm for p in run))


def test_the_ground_is_drawn_at_the_two_heights_the_job_gives(cottage: Design) -> None:
    sheet = profile(cottage)[0]
    ratio, times = (
        float(sheet.scale.split(", heights")[0].rstrip(")").rsplit(":", 1)[1]),
        float(sheet.notes[0].split("drawn ")[1].split(" times")[0]),
    )
    line = next(
        i for i in sheet.items if isinstance(i, Line) and i.layer == "ground" and i.points[0][1] != i.points[1][1]
    )
    pipe = next(i for i in sheet.items if isinstance(i, Line) and i.layer == "pipe:D12")
    z0 = cottage.network.pipe("D12").b.z - bore_mm(4.0) / 2
    ground = cottage.house.ground
    drawn = [z0 + (y - pipe.points[1][1]) * ratio / times for _, y in line.points]
    assert drawn == pytest.approx([ground.at_house_z_mm, ground.at_sewer_z_mm])
    words = [i.text for i in sheet.items if isinstance(i, Text) and i.layer == "ground words"]
    for z in (ground.at_house_z_mm, ground.at_sewer_z_mm):
        assert level_mark(cottage, z) in words


def scales_of(sheet) -> tuple[float, float]:
    """Return the scale of lengths, and how many times taller heights are drawn."""
    ratio = float(sheet.scale.split(", heights")[0].rstrip(")").rsplit(":", 1)[1])
    return ratio, float(sheet.notes[0].split("drawn ")[1].split(" times")[0])


def test_a_riser_is_drawn_up_to_its_plug() -> None:
    design = design_named("05")
    sheet = profile(design)[0]
    ratio, times = scales_of(sheet)
    risers = [b for b in branches(design, main_run(design)) if b.access and b.drop]
    assert {t for b in risers for t in b.tags} == {"CO1", "CO5"}
    for b in risers:
        (co,) = (c for c in design.cleanouts if c.id in b.tags)
        z = design.network.node(co.point).at.z
        lines = [i for i in sheet.items if isinstance(i, Line) and i.layer == f"branch:{b.pipe}"]
        (riser,) = (i for i in lines if i.points[0][0] == i.points[1][0])
        tall = riser.points[0][1] - riser.points[1][1]
        assert tall * ratio / times == pytest.approx(z - b.invert_z_mm)
        words = [i.text for i in sheet.items if isinstance(i, Text) and i.layer == f"branch:{b.pipe}"]
        assert words == [f"{co.id} {units.size(b.size_in)} in", f"opens at {level_mark(design, z)}"]


def test_a_riser_to_ground_that_is_drawn_broken_is_broken() -> None:
    design = design_named("04")
    # ground 15 m over the pipe: no scale of the paper holds it, so that it is drawn at the top, broken
    high = replace(design.house.ground, at_house_z_mm=14_000.0, at_sewer_z_mm=14_000.0)
    cos = tuple(c for c in design.cleanouts if c.id == "CO1")
    nodes = tuple(replace(n, at=n.at.at_z(14_000.0)) if n.id == cos[0].point else n for n in design.network.nodes)
    moved = replace(
        design, house=replace(design.house, ground=high), network=replace(design.network, nodes=nodes), cleanouts=cos
    )
    sheet = profile(moved)[0]
    layers = [i for i in sheet.items if isinstance(i, Line) and i.layer in ("break", "branch:CO1E")]
    assert any(i.layer == "break" for i in layers)
    top = max(y for i in layers for _, y in i.points)
    assert top < max(y for i in sheet.items if isinstance(i, Line) and i.layer == "level" for _, y in i.points) + 20.0
    words = [i.text for i in sheet.items if isinstance(i, Text) and i.layer == "branch:CO1E"]
    assert words == ["CO1 3 in", f"opens at {level_mark(moved, 14_000.0)}", "riser drawn broken"]


def test_what_lies_into_the_run_tells_its_invert_and_its_plug(cottage: Design) -> None:
    words = [i.text for i in profile(cottage)[0].items if isinstance(i, Text) and i.layer == "branch:D9"]
    invert = cottage.network.pipe("D9").b.z - bore_mm(3.0) / 2
    assert words == ["CO1 3 in", f"invert {level_mark(cottage, invert)}", f"opens at {level_mark(cottage, -599.2)}"]
