"""A connection too high for a drain under the slab: the drain hangs over the basement, what stands on it waits.

Headroom under pipes in a basement: 6 ft 4 in, as under beams and ducts, IRC R305.1.1 (from memory). Bores and outside
diameters of 3 in and 4 in pipe: ASTM D2665 (read).
"""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
import yaml
from plausible import plausible

from stubout import laying, run
from stubout.catalog.queries import trap_reach_mm
from stubout.design import Design
from stubout.files.books import book_ids
from stubout.files.jobs import read_job_text
from stubout.house.model import HouseLevel
from stubout.layout.model import PointKind, Role
from stubout.layout.needs import gauges
from stubout.layout.premises import Premises
from stubout.layout.space_shapes import under_slab_mm
from stubout.layout.way_out import WayOut, way_out
from stubout.reports.pipes import drains_page
from stubout.sheets.model import Line, Text
from stubout.sheets.plan import floor_plans
from stubout.sheets.profile import profile

BATH = 18  # a bath and a kitchen on the main floor, over a basement
SLAB = 25  # a house on a slab at grade
INCH = 25.4
SEWER_Z = -60 * INCH  # the slab is 104 in below the main floor
HEAD_MM = 76 * INCH
LEAST_IN = 1 / 48  # 1/4 in per ft: UPC 708.1, which lets 4 in lie flatter by approval only


def with_sewer(seed: int, invert: str) -> str:
    """Return the job of a plausible house with its connection at another height."""
    return re.sub(r"invert: .*\n", f"invert: {invert}\n", plausible(seed), count=1)


@pytest.fixture(scope="module")
def text() -> str:
    return with_sewer(BATH, "'-60\"'")


@pytest.fixture(scope="module")
def hung(text: str) -> Design:
    return run.design(read_job_text(text, "hung.yaml", book_ids()))


def basement(design: Design) -> HouseLevel:
    return next(v for v in design.house.levels if v.kind == "slab")


def least_short_mm(design: Design, tag: str, size_in: float) -> float:
    """Return by how much the drain of a floor drain lies too low at the least, by hand: straight to the connection."""
    f = next(f for f in design.house.fixtures if f.tag == tag)
    sewer = design.house.sewer.at
    girth, slab = gauges(design.house.job.material), basement(design)
    aside = trap_reach_mm(size_in) + 100.0  # the trap, and what an outlet pipe may jog
    straight = math.hypot(f.outlet.x - sewer.x, f.outlet.y - sewer.y) - aside
    lowest = sewer.z + girth[3.0].id_mm / 2 + straight * LEAST_IN
    return lowest - (slab.subfloor_z_mm - 4 * INCH - 25.0 - girth[size_in].r)


def test_how_low_a_building_drain_can_leave_the_house_by_hand(hung: Design) -> None:
    """The invert, half the bore, and 1/4 in a foot over the 10 ft to the outline."""
    bore, od = 3.042 * INCH, 3.5 * INCH  # 3 in, ASTM D2665
    girth = replace(gauges("pvc")[3.0], id_mm=bore, od_mm=od)
    out = way_out(hung.house, LEAST_IN, girth)
    assert hung.house.sewer.at.z == pytest.approx(SEWER_Z)
    assert out.z_mm == pytest.approx(SEWER_Z + bore / 2 + 120 * INCH / 48)
    slab = basement(hung)
    under = slab.subfloor_z_mm - 4 * INCH - 25.0 - od / 2
    assert under_slab_mm(slab, od / 2) == pytest.approx(under)
    assert out.z_mm - out.at_sewer_mm == pytest.approx(120 * INCH / 48)


@pytest.mark.parametrize(("off_mm", "over"), [(1.0, True), (-1.0, False)])
def test_the_drain_goes_over_the_basement_as_soon_as_it_does_not_fit_under_the_slab(
    hung: Design, off_mm: float, over: bool
) -> None:
    slab, r = basement(hung), 44.45
    under = slab.subfloor_z_mm - 4 * INCH - 25.0 - r
    at = Premises(hung.house, {}, {}, lambda _: 0.0, way_out=WayOut(under + off_mm, SEWER_Z, LEAST_IN, r))
    assert (at.undrained is not None) is over


def test_only_a_basement_with_joists_over_it_is_left_out(hung: Design) -> None:
    high = WayOut(0.0, SEWER_Z, LEAST_IN, 44.45)
    at_grade = replace(
        hung.house, ground=replace(hung.house.ground, at_house_z_mm=basement(hung).subfloor_z_mm - 200.0)
    )
    assert Premises(hung.house, {}, {}, lambda _: 0.0, way_out=high).undrained is basement(hung)
    assert Premises(at_grade, {}, {}, lambda _: 0.0, way_out=high).undrained is None
    one = replace(hung.house, levels=(basement(hung),))
    assert Premises(one, {}, {}, lambda _: 0.0, way_out=high).undrained is None


def test_nothing_is_blocked_and_nothing_found(hung: Design) -> None:
    assert hung.blocked == ()
    assert run.check(hung).open == ()
    gap = hung.gap()  # what is proven holds without a drain under the slab
    assert gap is not None
    assert 0.0 < gap < 1.0
    assert not [p for p in hung.network.pipes if p.place.kind == "under slab"]


def test_one_walks_under_the_drains_but_where_the_building_drain_drops(hung: Design) -> None:
    slab, fp = basement(hung), hung.house.footprint
    for p in (q for q in hung.network.drains() if q.place.kind == "below frame"):
        assert min(p.a.z, p.b.z) - 3.5 * INCH / 2 >= slab.subfloor_z_mm + HEAD_MM - 3.0
    drop = next(p for p in hung.network.drains() if p.vertical and p.role.value == "building drain")
    assert drop.place.kind == "room"
    near = min(drop.a.x - fp.lo.x, fp.hi.x - drop.a.x, drop.a.y - fp.lo.y, fp.hi.y - drop.a.y)
    assert 0.0 < near <= 1500.0


def test_only_the_building_drain_leaves_the_house_and_once(hung: Design) -> None:
    fp, net = hung.house.footprint, hung.network
    outside = [
        p for p in net.drains() if not (fp.lo.x - 1 <= p.b.x <= fp.hi.x + 1 and fp.lo.y - 1 <= p.b.y <= fp.hi.y + 1)
    ]
    assert outside
    assert all(p.place.kind == "buried" for p in outside)
    out = next(n for n in net.nodes if n.kind is PointKind.SEWER)
    assert [p.end for p in outside].count(out.id) == 1
    at_wall = next(p for p in outside if p.start not in {q.end for q in outside})
    assert net.pipe(net.node(at_wall.start).inflow[0]).place.kind == "room"  # open inside, buried from the wall on


def test_the_drains_hang_close_under_the_joists(hung: Design) -> None:
    """The one that lies highest with its hub under them, as near as hangers let it."""
    (bottom,) = (f.bottom_z_mm for f in hung.house.frames if f.carries == "main")
    tops = [max(p.a.z, p.b.z) for p in hung.network.drains() if p.place.kind == "below frame" and not p.vertical]
    assert bottom - 100.0 < max(tops) < bottom - 4.0 * INCH / 2
    assert "The drains over the basement hang close under the joists" in " ".join(hung.notes)


def test_a_connection_inside_the_house_passes_no_wall(text: str) -> None:
    job = yaml.safe_load(text)
    job["sewer"]["at"] = ['80"', '380"']  # 4 in inside the outline
    layout = run.lay(read_job_text(yaml.safe_dump(job, sort_keys=False), "inside.yaml", book_ids())).layout
    assert layout.blocked == ()
    kinds = {r.place.kind for r in layout.runs if r.role is Role.BUILDING_DRAIN}
    assert kinds == {"below frame", "room"}
    assert not [n for n in layout.notes if "sleeve" in n]


def test_the_sheets_say_how_it_leaves(hung: Design) -> None:
    notes = " ".join(hung.notes)
    assert "hangs over Basement, where nothing under the slab falls to the connection" in notes
    assert "passes the wall of the foundation in a sleeve" in notes
    under = next(s for s in floor_plans(hung) if "ground" in s.title)
    assert under.title == "Drains in the ground, outside the house"
    page = next(s for s in floor_plans(hung) if s.title == "Basement plan")
    words = {i.text for i in page.items if isinstance(i, Text)}
    assert "straight on, through the wall, into the ground" in words
    assert drains_page(hung)


def test_the_wall_of_the_house_stays_on_the_profile(hung: Design) -> None:
    (sheet,) = profile(hung)
    walls = [i for i in sheet.items if isinstance(i, Line) and i.layer == "house wall"]
    levels = [i.points[0][1] for i in sheet.items if isinstance(i, Line) and i.layer == "level"]
    assert walls
    spare = 20.0  # of paper, up to the next line of the grid
    assert all(min(levels) - spare <= y <= max(levels) + spare for w in walls for _, y in w.points)
    assert not [i for i in sheet.items if i.layer == "slab"]


def test_what_stands_on_the_slab_waits_for_a_pump_and_the_rest_is_laid_out(text: str, hung: Design) -> None:
    job = yaml.safe_load(text)
    job["rooms"].append(
        {"id": "utility", "title": "Utility", "level": "base", "x": ['80"', '200"'], "y": ['20"', '120"']}
    )
    drain = {"tag": "FD1", "kind": "floor drain", "room": "utility", "drain": ['120"', '60"'], "trap": '2"'}
    job["fixtures"].append({**drain, "faucet": "none"})
    made = run.design(read_job_text(yaml.safe_dump(job, sort_keys=False), "pit.yaml", book_ids()))
    assert [b.about for b in made.blocked] == [("FD1",)]
    (why,) = made.blocked
    assert "too low for the connection" in why.constraint
    assert "ejector pump" in why.free
    assert {t.tag for t in made.network.traps} == {t.tag for t in hung.network.traps}
    lower = re.search(r"at least .*?\((\d+) mm\) lower", why.free)
    assert lower
    assert float(lower.group(1)) == pytest.approx(least_short_mm(made, "FD1", 2.0), abs=1.5)


def test_what_drains_through_a_wall_over_the_slab_is_told_to_go_along_it(text: str) -> None:
    """A tray's stub-out, some 16 in over the floor, lies higher than what falls to a connection 4 ft over the slab."""
    job = yaml.safe_load(text)
    sides = {"left": '1/2"', "right": '1/2"', "stud": '3 1/2"', "spacing": '16"', "role": "interior"}
    job["walls"].append({"id": "BW", "level": "base", "from": ['60"', '20"'], "to": ['60"', '140"'], **sides})
    job["rooms"].append(
        {"id": "utility", "title": "Utility", "level": "base", "x": ['-1"', '58"'], "y": ['20"', '120"']}
    )
    tray = {"tag": "LT9", "kind": "laundry tray", "room": "utility", "wall": "BW", "side": "left", "at": '40"'}
    job["fixtures"].append(
        {**tray, "rim": '34"', "bowl": '13"', "outlet": '1 1/2"', "from wall": '10"', "faucet": "deck"}
    )
    low = yaml.safe_dump({**job, "sewer": {**job["sewer"], "invert": '-102"'}}, sort_keys=False)
    high = yaml.safe_dump(job, sort_keys=False)
    (one,) = laying.blocked(read_job_text(low, "tray.yaml", book_ids()))
    assert one.about == ("LT9",)
    assert "draw its route and the building drain by hand" in one.free
    (other,) = laying.blocked(read_job_text(high, "tray.yaml", book_ids()))
    assert "too low for the connection" in other.constraint


def test_on_a_slab_at_grade_too_one_sentence_says_by_how_much_the_connection_lies_too_high() -> None:
    """Where it lies 8 in lower than that the same fixtures are not told so."""
    blocked = laying.blocked(read_job_text(with_sewer(SLAB, "'-12.5\"'"), "high.yaml", book_ids()))
    (one,) = [b for b in blocked if "too low for the connection" in b.constraint]
    lower = re.search(r"at least .*?\((\d+) mm\) lower", one.free)
    assert lower
    least_in = (12.5 + float(lower.group(1)) / INCH) + 1 / 16
    deeper = laying.blocked(read_job_text(with_sewer(SLAB, f"'-{least_in:.4f}\"'"), "lower.yaml", book_ids()))
    assert not [b for b in deeper if "too low for the connection" in b.constraint]
    assert set(one.about) <= {f["tag"] for f in yaml.safe_load(plausible(SLAB))["fixtures"]}
