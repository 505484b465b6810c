"""Cleanouts: which drains want one, which one serves what, and what stands in front; by hand on the small bath."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.checks.registry import by_id
from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Opening
from stubout.house.model import CabinetBox, HouseLevel, Obstacle
from stubout.layout.model import CleanoutPlan
from stubout.rulebooks.frozen import Frozen

UPC, IPC, NPC = "upc-2021", "ipc-2021", "npc-2020"


def at(d, xyz):
    return next(n.id for n in d.network.nodes if n.at.to(Vec(*xyz)) < 1e-6)


def plan(node, name="CO1", *, size=4.0, opens=(0, 0, 1), clear=450.0, serves="building drain"):
    return CleanoutPlan(name, node, size, Vec(*opens), clear, serves, "here")


def branch(a, b, **kw):
    return {"role": "branch", "a": a, "b": b, "size": 2, "tags": "LV1", "load": 1, **kw}


# --- CLO002: upper ends of lying drains (UPC 707.4) -------------------------------------------------------------------


def lone(kit, *, levels=None, **pipes):
    """Return what CLO002 says of some branches, none of which has a cleanout."""
    kw = {"levels": levels} if levels else {}
    return {f.about[0]: f for f in kit.found("CLO002", kit.design(book=UPC, add=pipes, cleanouts=(), **kw))}


def test_each_drain_is_judged_by_itself(kit):
    """One above the lowest floor, one too steep, one of 5 ft, one that goes on from another; one that fails."""
    far = (500.0, 3000.0, -300.0)
    found = lone(
        kit,
        K1=branch((3500.0, 3000.0, -240.0), far),
        K2=branch(far, (500.0, 0.0, -360.0)),
        UP=branch((3500.0, 9000.0, 300.0), (500.0, 9000.0, 240.0)),
        STEEP=branch((2500.0, 9500.0, 0.0), (500.0, 9500.0, -700.0)),
        SHORT=branch((2000.0, 9900.0, -300.0), (476.0, 9900.0, -320.0)),
    )
    assert {"K1", "K2", "UP", "STEEP", "SHORT"} & set(found) == {"K1"}


@pytest.mark.parametrize(("length_mm", "n"), [(1524.3, 0), (1525.0, 1)])
def test_a_drain_of_five_feet_is_free(kit, length_mm, n):
    found = lone(kit, K1=branch((length_mm, 609.0, -323.9), (0.0, 609.0, -323.9)))
    assert ("K1" in found) is bool(n)


def test_a_drain_is_as_long_as_to_the_next_that_joins(kit):
    a, b, c = (1600.0, 2000.0, -290.0), (800.0, 2000.0, -306.0), (0.0, 2000.0, -322.0)
    two = {"K1": branch(a, b), "K2": branch(b, c)}
    assert "1600 mm" in lone(kit, **two)["K1"].found
    assert "K1" not in lone(kit, **two, X1=branch((800.0, 2600.0, -280.0), b))
    assert "K1" in lone(kit, **two, X1=branch((800.0, 2600.0, -280.0), b, role="cleanout extension"))
    drop = {"K1": branch(a, b), "K2": branch(b, (800.0, 2000.0, -900.0))}
    assert "K1" not in lone(kit, **drop)  # 800 mm to where it drops


def test_the_lowest_floor_is_no_crawl_space(kit):
    """Over a crawl space the drains of the first floor are meant; one level with it counts."""
    crawl = HouseLevel("crawl", "Crawl space", 0, "ground", -1000.0, 0.0)
    floor = replace(kit.house().levels[0], order=1)
    for z, n in ((-240.0, 1), (0.0, 1), (1.0, 0)):
        found = lone(kit, levels=(crawl, floor), K1=branch((3500.0, 3000.0, z), (500.0, 3000.0, z - 60.0)))
        assert ("K1" in found) is bool(n)


# --- CLO003: turns ----------------------------------------------------------------------------------------------------


def test_a_drop_between_two_lying_drains_begins_anew(kit):
    a, b, c, d = (3000.0, 3000.0, -300.0), (0.0, 3000.0, -360.0), (0.0, 3000.0, -900.0), (0.0, 6000.0, -960.0)
    pipes = {"K1": branch(a, b), "K2": branch(b, c), "K3": branch(c, d)}
    assert [f.about[0] for f in kit.found("CLO003", kit.design(book=IPC, add=pipes, cleanouts=()))] == []
    turned = {"K1": branch(a, b), "K3": branch(b, (0.0, 6000.0, -420.0))}
    assert [f.about[0] for f in kit.found("CLO003", kit.design(book=IPC, add=turned, cleanouts=()))] == ["K3"]


def test_a_turn_that_two_drains_share_is_told_once(kit):
    """Both come down the same line and turn with it; the branch that joins square does not turn there."""
    a, b, c = (0.0, 3000.0, -360.0), (0.0, 4500.0, -390.0), (3000.0, 4500.0, -450.0)
    pipes = {
        "K1": branch((0.0, 1500.0, -330.0), a),
        "K2": branch((900.0, 3000.0, -342.0), a),
        "K3": branch(a, b),
        "K4": branch(b, c),
    }
    found = kit.found("CLO003", kit.design(book=IPC, add=pipes, cleanouts=()))
    assert [f.about[0] for f in found] == ["K4"]
    (f,) = found
    assert "90 degrees" in f.found
    assert f.at == b


@pytest.mark.parametrize(("x", "n"), [(-900.0, 1), (0.0, 0)])
def test_of_two_that_come_in_alike_neither_goes_on(kit, x, n):
    """Two drains meet at 60 degrees from either side: both turn, told once. Beside a straight one it is a joint."""
    here = (0.0, 3000.0, -360.0)
    pipes = {
        "K1": branch((900.0, 2480.4, -342.0), here),
        "K2": branch((x, 2480.4, -342.0), here),
        "K3": branch(here, (0.0, 6000.0, -420.0)),
    }
    found, _ = by_id("CLO003").run(kit.design(book=IPC, add=pipes, cleanouts=()))  # named is the first of both
    assert [f.about[0] for f in found if "K3" in f.about] == ["K3"] * n


# --- CLO005: spacing --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("over_mm", "n"), [(0.4, 0), (0.7, 1)])
def test_length_from_the_upper_end(kit, over_mm, n):
    """NPC (memory): 15 m for 4 in. The drain begins at the closet's vent."""
    net = kit.design().network
    before = net.pipe("B1").length_mm + net.pipe("B2").length_mm
    d = kit.design(edit={"S1": {"b": (0.0, -500.0 - (15000.0 + over_mm - before), -346.0)}}, cleanouts=())
    found = kit.found("CLO005", d)
    assert [f.about for f in found] == [("S1", "B1")] * n


def test_a_long_drain_that_two_share_is_told_once(kit):
    far = {"S1": {"b": (0.0, -20000.0, -346.0)}}
    more = {"K1": branch((900.0, -500.0, -330.0), (0.0, -500.0, -346.0), size=4)}
    found, _ = by_id("CLO005").run(kit.design(edit=far, add=more, cleanouts=()))  # named is the first of both
    assert [f.about[0] for f in found] == ["S1"]


# --- CLO006: what stands in front -------------------------------------------------------------------------------------

HERE = (0.0, 609.0, 495.4)  # in wall P, which is 140 mm deep


def facing_east(kit, **house):
    d = kit.design(**house)
    return replace(d, cleanouts=(plan(at(d, HERE), size=2.0, opens=(1, 0, 0), clear=450.0),))


def cabinet(kind, label=""):
    return CabinetBox("K1.1", "K1", label, kind, "P", "right", 300.0, 900.0, Box(Vec(83, 300, 0), Vec(643, 900, 865)),
                      118.0)  # fmt: skip


@pytest.mark.parametrize("kind", ["drawers", "dishwasher", "range", "refrigerator", "tall", "filler", "panel"])
def test_cabinets_that_do_not_open(kit, kind):
    (f,) = kit.found("CLO006", facing_east(kit, cabinets=(cabinet(kind),)))
    assert f.found == f"the {kind} of K1 stands in front of cleanout CO1"
    (f,) = kit.found("CLO006", facing_east(kit, cabinets=(cabinet(kind, "pantry"),)))
    assert f.found == "the pantry of K1 stands in front of cleanout CO1"


@pytest.mark.parametrize("kind", ["sink base", "doors"])
def test_cabinets_that_open(kit, kind):
    assert kit.found("CLO006", facing_east(kit, cabinets=(cabinet(kind),))) == []


def test_what_stands_in_front_is_called_by_its_name(kit):
    where = Box(Vec(200, 500, 0), Vec(300, 700, 900))
    for what, word in (("boiler", "boiler"), ("", "appliance")):
        (f,) = kit.found("CLO006", facing_east(kit, obstacles=(Obstacle("O1", what, where, "appliance"),)))
        assert f.found == f"{word} stands in front of cleanout CO1"
        assert "450 mm" in f.wanted
    for title, word in (("Tub", "Tub"), ("", "bathtub")):
        tub = kit.fixture("BT1", "bathtub", title=title, extent=where)
        (f,) = kit.found("CLO006", facing_east(kit, fixtures=(kit.LV1, kit.WC1, tub)))
        assert f.found == f"{word} stands in front of cleanout CO1"
    for kind in ("zone", "line", "header", "skylight", "soffit"):
        assert kit.found("CLO006", facing_east(kit, obstacles=(Obstacle("O1", "x", where, kind),))) == []


def second_wall(kit, *openings, start=0.0, end=4000.0):
    return kit.wall(id="Q", start=Vec(370, start, 0), end=Vec(370, end, 0), openings=openings)


@pytest.mark.parametrize(("x", "n"), [(300.0, 1), (521.0, 0), (518.0, 1)])
def test_a_wall_in_front(kit, x, n):
    """450 mm are wanted from the plug on; the wall is 140 mm deep, its near face 70 mm before its line."""
    wall = kit.wall(id="Q", start=Vec(x, 0, 0), end=Vec(x, 4000, 0))
    assert [f.about for f in kit.found("CLO006", facing_east(kit, walls=(kit.wall(), wall)))] == [("CO1", "Q")] * n


@pytest.mark.parametrize(
    ("start", "end", "n"), [(0.0, 577.0, 0), (0.0, 583.0, 1), (641.0, 4000.0, 0), (636.0, 4000.0, 1)]
)
def test_a_wall_that_ends_beside_the_plug(kit, start, end, n):
    """A 2 in plug is 60 mm wide: 579 to 639 along the wall."""
    walls = (kit.wall(), second_wall(kit, start=start, end=end))
    assert len(kit.found("CLO006", facing_east(kit, walls=walls))) == n


def test_through_a_door_one_gets_at_it(kit):
    door = Opening("G1", "Q", 300.0, 900.0, 0.0, 2000.0, 2240.0, "door")
    window = replace(door, id="G2", station_mm=2500.0, sill_z_mm=1000.0)
    for openings, n in (((door,), 0), ((window,), 1), ((door, window), 0), ((window, door), 0), ((), 1)):
        walls = (kit.wall(), second_wall(kit, *openings))
        assert len(kit.found("CLO006", facing_east(kit, walls=walls))) == n
    for change, n in (
        ({"station_mm": 700.0}, 1), ({"width_mm": 200.0}, 1), ({"sill_z_mm": 600.0}, 1), ({"head_z_mm": 490.0}, 1),
        ({"sill_z_mm": 495.4}, 0), ({"head_z_mm": 495.4}, 0),
    ):  # fmt: skip
        walls = (kit.wall(), second_wall(kit, replace(door, **change)))
        assert len(kit.found("CLO006", facing_east(kit, walls=walls))) == n, change


def test_no_space_is_known(kit):
    d = facing_east(kit)
    bare = replace(d, cleanouts=(replace(d.cleanouts[0], clearance_mm=0.0),))
    assert kit.found("CLO006", bare) == []
    assert any("CO1" in r for r in kit.unjudged("CLO006", bare))


# --- CLO007, CLO008, CLO010, CLO011 -----------------------------------------------------------------------------------


def test_the_largest_drain_behind_a_plug_counts_and_not_the_way_to_it(kit):
    for ext_in, sewer_in, plug_in, n in ((4, 4, 4.0, 0), (4, 3, 3.0, 1), (2, 4, 3.0, 1), (6, 4, 4.0, 0)):
        d = kit.design(edit={"C1": {"size": ext_in}, "S1": {"size": sewer_in}})
        d = replace(d, cleanouts=(plan(d.cleanouts[0].point, size=plug_in),))
        assert len(kit.found("CLO007", d)) == n


@pytest.mark.parametrize(("serves", "n"), [("building drain", 1), ("building drain, two-way", 0)])
def test_a_two_way_cleanout_points_both_ways(kit, serves, n):
    d = kit.design()
    d = replace(d, cleanouts=(plan(at(d, (0, -500, -346)), opens=(0, -1, 0), serves=serves),))
    assert len(kit.found("CLO008", d)) == n


def test_the_box_at_the_height_of_the_plug_counts(kit):
    """A wall cabinet above and a base below at one seam: the plug is in the base."""
    base = replace(cabinet("sink base"), from_station_mm=600.0)
    high = replace(base, id="W1.1", box=Box(Vec(83, 600, 1400), Vec(400, 900, 2100)))
    d = kit.design(cabinets=(high, base))
    d = replace(d, cleanouts=(plan(at(d, HERE), size=2.0, opens=(1, 0, 0)),))
    assert [f.about for f in kit.found("CLO010", d)] == [("CO1", "K1.1")]


def test_how_far_under_the_floor(kit):
    """UPC 707.9 (5 ft in the reference): one in the crawl space is judged, one beside it in a wall is not."""
    spec = {"C1": {"a": (0, -500, -250), "place": "crawl:crawl"}}
    reach = kit.BOOKS[UPC].value("cleanout.underfloor_reach").number
    for away_mm, told in ((reach, []), (reach + 1.0, ["CO1"])):
        ground = replace(kit.house().ground, crawl_access=Vec(away_mm, -500.0, 0.0))
        d = kit.design(book=UPC, edit=spec, ground=ground)
        far = plan(at(d, (0, 1421, 3300)), "CO2")
        d = replace(d, cleanouts=(far, plan(at(d, (0, -500, -346)))))
        assert [f.about[0] for f in kit.found("CLO011", d)] == told


def test_a_plug_in_a_crawl_space_without_a_way_in(kit):
    d = kit.design(book=UPC, edit={"C1": {"place": "crawl:crawl"}})
    assert kit.found("CLO011", d) == []
    assert kit.unjudged("CLO011", d) == [
        "CO1: the job does not say where one gets into the crawl space (`site: crawl access`)"
    ]


def test_a_larger_figure_of_the_town_counts_near_the_sewer(kit):
    """An amendment that lets the cleanout stand 20 ft away is heard, and so is the 10 ft of the book."""
    end = (0.0, -6050.0, -457.0)
    far = {"C9": {"role": "cleanout extension", "a": (0.0, -6050.0, -500.0), "b": end, "size": 4}}
    d = kit.design(book=IPC, add=far, edit={"S1": {"b": end}})
    d = replace(d, cleanouts=(plan(at(d, (0.0, -6050.0, -500.0))),))
    assert len(kit.found("CLO004", d)) == 1
    cell = replace(d.book.value("cleanout.sewer_junction_within"), value=6096.0)
    town = replace(d.book, values=Frozen({**d.book.values, cell.id: cell}))
    assert kit.found("CLO004", replace(d, book=town)) == []
