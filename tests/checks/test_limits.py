"""Numbers of the books just inside and just outside, where no seeded pair of `tests/faults` tries them.

Every number stands here as the reference pages give it (n-, i-, u-family of ../shared/reference), with its article, and
not as the book file has it. A tolerance of half a millimetre, or of 2.5 degrees, lies between inside and outside.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from stubout.checks.registry import by_id
from stubout.fabrication.model import Bore, CutPiece, Hanger
from stubout.geometry.distance import point_segment
from stubout.geometry.vec import Vec
from stubout.house.facts import Climate
from stubout.layout.model import CleanoutPlan, PointKind
from stubout.network.model import Network
from stubout.problems import Status

NPC, UPC, IPC, IRC = "npc-2020", "upc-2021", "ipc-2021", "irc-2021"
DRAIN = {"size": 4, "tags": "LV1 WC1", "load": 5.5, "place": "buried:main"}


def winding(kit, book, *turns_deg, openings=(), leg_mm=3000.0, size=4):
    """Return the bath whose sewer goes on from (0, -500) with turns between its legs, and cleanouts somewhere else.

    A cleanout on a leg opens into it by an extension upwards.
    """
    at, heading, pts = Vec(0.0, -500.0, -346.0), -math.pi / 2, []
    for turn in (0.0, *turns_deg):
        heading += math.radians(turn)
        pts.append(at)
        at = at.plus(Vec(math.cos(heading), math.sin(heading), -0.021).times(leg_mm))
    pts.append(at)
    openings = [next((q for q in pts if q.to(p) < 0.1), p) for p in openings]
    add = {}
    for i, (a, b) in enumerate(pairwise(pts)):
        on_it = (p for p in openings if point_segment(p, a, b) < 0.1 and min(p.to(a), p.to(b)) > 0.1)
        parts = [a, *sorted(on_it, key=a.to), b]
        for k, (c, d) in enumerate(pairwise(parts)):
            name = f"S{i + 2}" + "abc"[k - 1] * bool(k)
            add[name] = {"role": "building sewer", "a": c, "b": d, **DRAIN, "size": size}
    add |= {f"C{i + 2}": {"role": "cleanout extension", "a": p.plus(Vec(0, 0, 90)), "b": p, "size": 4}
            for i, p in enumerate(openings)}  # fmt: skip
    d = kit.design(book=book, drop=("S1",), add=add, cleanouts=())
    return replace(d, cleanouts=tuple(opening(d, p) for p in openings))


def opening(d, p, size=4.0, serves="drain"):
    node = next(n.id for n in d.network.nodes if n.at.to(p) < 1e-6)
    return CleanoutPlan(f"O-{node}", node, size, Vec(0, 0, 1), 450.0, serves, "here")


# --- cleanouts --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("book", "turns_deg", "told"),
    [
        (IPC, (47.4,), []), (IPC, (47.6,), ["S3"]), (IRC, (47.4,), []), (IRC, (47.6,), ["S3"]),
        (IPC, (47.4, 47.4), []),  # each by itself
        (NPC, (60.0, 32.4), []), (NPC, (60.0, 32.6), ["S4"]), (NPC, (92.6,), ["S3"]),
        (UPC, (90.0, 47.4), []), (UPC, (90.0, 47.6), ["S4"]), (UPC, (90.0, -47.6), ["S4"]),
        (NPC, (92.6, 92.4), ["S3"]), (NPC, (92.6, 92.6), ["S3", "S4"]),
        (NPC, (92.6, 60.0, 32.6), ["S3", "S5"]),  # told, it is counted anew
    ],
)  # fmt: skip
def test_turns_without_a_cleanout(kit, book, turns_deg, told):
    """IPC/IRC 708.1.4: each change over 45 degrees. NPC 2.4.7.1 (memory): 90 in all. UPC 707.4: 135 in all."""
    found = kit.found("CLO003", winding(kit, book, *turns_deg))
    assert [f.about[0] for f in found] == told
    each = book in (IPC, IRC)
    for f in found:
        assert f.wanted == (
            "a cleanout for each turn over 45 degrees"
            if each
            else f"a cleanout for every {90 if book == NPC else 135} degrees of turn in all"
        )
        assert f.found.startswith("the drain turns " if each else "the drain has turned ")


WAY = Vec(0.0, -1.0, -0.021)  # of the first leg


@pytest.mark.parametrize(
    ("book", "reach_mm"), [(IPC, 12192.0), (IRC, 12192.0), (NPC, 0.0), (UPC, 0.0)]
)  # 40 ft, 708.1.4; where turns are added up, those above it only
def test_how_far_a_cleanout_serves_turns(kit, book, reach_mm):
    """Along the pipe, and down stream of it: the rod goes in with the flow."""
    turns = (90.0, 90.0) if book == UPC else (100.0,)
    corner = Vec(0.0, -500.0, -346.0).plus(WAY.times(14000.0))
    last = ["S4"] if book == UPC else ["S3"]

    def told(mm, way):
        spot = corner.plus(way.unit().times(mm))
        d = winding(kit, book, *turns, openings=(spot,), leg_mm=14000.0)
        cover = next(n.id for n in d.network.nodes if "C2" in n.outflow)
        outer = replace(d, cleanouts=(replace(d.cleanouts[0], point=cover),))  # seen from its cover it is as far away
        inner, outer = ([f.about[0] for f in kit.found("CLO003", x)] for x in (d, outer))
        assert inner == outer
        return inner

    assert told(reach_mm, WAY.times(-1.0)) == []
    assert told(reach_mm + 1.0, WAY.times(-1.0)) == last
    on = math.radians(-90.0 + turns[0])
    down = Vec(math.cos(on), math.sin(on), -0.021)
    assert told(2.0, down) == ([] if book == UPC else last)  # one that stands between two turns parts them


def test_where_the_book_gives_no_reach_it_is_five_feet(kit):
    """Common practice, no source: a book that counts each turn by itself, and says no more."""
    corner = Vec(0.0, -3500.0, -409.0)
    for mm, told in ((1524.0, []), (1525.0, ["S3"])):
        d = winding(kit, IPC, 90.0, openings=(corner.plus(WAY.unit().times(-mm)),))
        cells = {i: c for i, c in d.book.values.items() if i != "cleanout.turn_serves"}
        found = kit.found("CLO003", replace(d, book=replace(d.book, values=cells)))
        assert [f.about[0] for f in found] == told


def test_turns_that_no_cleanout_parts_are_added_up_past_one_close_below(kit):
    """UPC 707.4: five turns between two cleanouts; that the lower one stands 1 m below the last does not matter."""
    last = Vec(0.0, -500.0, -346.0)
    turns, heading = (90.0, 45.0, 45.0, -90.0, -90.0), -math.pi / 2
    for turn in (0.0, *turns):
        heading += math.radians(turn)
        last = last.plus(Vec(math.cos(heading), math.sin(heading), -0.021).times(1200.0 if turn != turns[-1] else 0.0))
    d = winding(kit, UPC, *turns, leg_mm=1200.0)
    assert [f.about[0] for f in kit.found("CLO003", d)] == ["S5", "S7"]
    below = d.network.pipe("S7").a.plus(d.network.pipe("S7").b.minus(d.network.pipe("S7").a).times(0.8))
    d = winding(kit, UPC, *turns, leg_mm=1200.0, openings=(below,))
    assert [f.about[0] for f in kit.found("CLO003", d)] == ["S5", "S7"]


def test_a_cleanout_beyond_another_joint_serves_a_turn(kit):
    """On the way down from it another joint and a plug too small for the drain are passed."""
    corner = Vec(0.0, -500.0, -346.0).plus(WAY.times(14000.0))
    spots = tuple(corner.plus(WAY.unit().times(-mm)) for mm in (10000.0, 4000.0))
    d = winding(kit, IPC, 90.0, openings=spots, leg_mm=14000.0)
    far, near = d.cleanouts
    assert kit.found("CLO003", replace(d, cleanouts=(far, replace(near, size_in=2.0)))) == []
    assert len(kit.found("CLO003", replace(d, cleanouts=(replace(near, size_in=2.0),)))) == 1


def test_a_count_begun_at_a_cleanout_begins_at_nought(kit):
    """UPC 707.4: at its limit of 135 degrees and 2.5 of play; the cleanout stands at the turn before."""
    corner = Vec(0.0, -3500.0, -409.0)
    for last, told in ((47.4, []), (47.6, ["S5"])):
        d = winding(kit, UPC, 90.0, 90.0, last, openings=(corner,))
        assert [f.about[0] for f in kit.found("CLO003", d)] == told


def test_a_reach_of_a_book_that_adds_turns_up_is_not_used(kit):
    """A town gives 40 ft under a book that adds turns up: its cleanout still parts turns only where it opens."""
    spot = Vec(0.0, -500.0, -346.0).plus(WAY.times(3000.0))
    d = winding(kit, UPC, 90.0, 90.0, openings=(spot,), leg_mm=6000.0)
    cell = replace(kit.BOOKS[IPC].value("cleanout.turn_serves"))
    d = replace(d, book=replace(d.book, values={**d.book.values, "cleanout.turn_serves": cell}))
    assert [f.about[0] for f in kit.found("CLO003", d)] == ["S4"]


@pytest.mark.parametrize(
    ("serves", "away_mm", "drop_mm", "told"),
    [
        ("two-way", 1523.0, 0.0, []), ("two-way", 1526.0, 0.0, ["K2"]), ("two-way", 700.0, 300.0, ["K2"]),
        ("drain", 700.0, 0.0, ["K2"]),
    ],
)  # fmt: skip
def test_a_two_way_cleanout_serves_a_turn_close_above_it(kit, serves, away_mm, drop_mm, told):
    """IPC 708.1.4: its rod goes in up stream too, 5 ft, but not where the drain falls in between."""
    a, b, c = Vec(3000.0, 3000.0, -300.0), Vec(0.0, 3000.0, -360.0), Vec(0.0, 3500.0, -370.0)
    low = c.plus(Vec(0.0, 0.0, -drop_mm))
    spot, end = low.plus(Vec(0.0, away_mm - 500.1, -4.0)), low.plus(Vec(0.0, 3000.0, -60.0))
    legs = [(a, b), (b, c), *([(c, low)] if drop_mm else []), (low, spot), (spot, end)]
    add = {f"K{i}": {"role": "branch", "a": p, "b": q, "size": 2, "tags": "LV1", "load": 1}
           for i, (p, q) in enumerate(legs, start=1)}  # fmt: skip
    d = kit.design(book=IPC, add=add, cleanouts=())
    d = replace(d, cleanouts=(opening(d, spot, serves=serves),))
    assert [f.about[0] for f in kit.found("CLO003", d) if f.about[0] in add] == told


def test_what_opens_between_two_turns_parts_them(kit):
    """UPC 707.4 (read): one more cleanout in a drain for each 135 degrees of turn in all.

    A cleanout anywhere in the drain begins the count anew, however far from both turns and however deep it lies below
    its cover; a joint alone does not, nor the cleanout of the branch that joins there, nor one beside the drain.
    """
    turns = (90.0, 90.0)
    corner = Vec(0.0, -6500.0, -472.0)
    middle = corner.plus(Vec(1.0, 0.0, -0.021).times(3000.0))
    long = {"leg_mm": 6000.0}
    d = winding(kit, UPC, *turns, openings=(middle,), **long)
    assert kit.found("CLO003", d) == []
    assert [f.about[0] for f in kit.found("CLO003", replace(d, cleanouts=()))] == ["S4"]
    end = middle.plus(Vec(-1000.0, 1000.0, 30.0))
    branch = {"B9": {"role": "building drain", "a": end, "b": middle, **DRAIN}}
    pts = [Vec(0.0, -500.0, -346.0), corner, middle, corner.plus(Vec(1.0, 0.0, -0.021).times(6000.0))]
    pts.append(pts[-1].plus(Vec(0.0, 1.0, -0.021).times(6000.0)))
    legs = {f"S{i}": {"role": "building sewer", "a": a, "b": b, **DRAIN} for i, (a, b) in enumerate(pairwise(pts), 2)}
    d = kit.design(book=UPC, drop=("S1",), add=legs | branch, cleanouts=())
    for spots in ((), (opening(d, end),)):
        found = kit.found("CLO003", replace(d, cleanouts=spots))
        assert [f.about[0] for f in found] == ["S5"]
        assert "180 degrees" in found[0].found


def test_a_cleanout_deep_under_its_cover_opens_the_drain_all_the_same(kit):
    """The way in through the extension is no part of the drain: 3 m deep it stands at the turn still."""
    corner = Vec(0.0, -3500.0, -409.0)
    d = winding(kit, IPC, 90.0, openings=(corner,))
    top = next(n for n in d.network.nodes if "C2" in n.outflow)
    deep = replace(top, at=corner.plus(Vec(0.0, 0.0, 13000.0)))
    pipe = replace(d.network.pipe("C2"), a=deep.at)
    net = Network(
        tuple(deep if n is top else n for n in d.network.nodes),
        tuple(pipe if p.id == "C2" else p for p in d.network.pipes),
        d.network.traps,
    )
    d = replace(d, network=net, cleanouts=(replace(d.cleanouts[0], point=top.id),))
    assert kit.found("CLO003", d) == []


def test_one_beside_the_drain_opens_it_not(kit):
    """Two drains side by side: the cleanout of one, 300 mm away, opens the other nowhere."""
    corner = Vec(0.0, -3500.0, -409.0)
    beside = corner.plus(Vec(-300.0, 0.0, 0.0))
    assert [f.about[0] for f in kit.found("CLO003", winding(kit, IPC, 90.0, openings=(beside,)))] == ["S3"]


def test_a_piece_without_length_hides_no_turn(kit):
    """What turns is the drain, whatever piece of no length it begins with or has at the turn."""
    a, b, c = Vec(0.0, 6000.0, -300.0), Vec(0.0, 3000.0, -360.0), Vec(-3000.0, 3000.0, -420.0)
    for pts in ((a, a.plus(Vec(0.0, -0.5, 0.0)), b, c), (a, b, b.plus(Vec(0.0, -0.5, 0.0)), c)):
        legs = {
            f"K{i}": {"role": "branch", "a": p, "b": q, "size": 2, "tags": "LV1", "load": 1}
            for i, (p, q) in enumerate(pairwise(pts))
        }
        found = kit.found("CLO003", kit.design(book=IPC, add=legs, cleanouts=()))
        assert [f.about[0] for f in found if f.about[0] in legs] == ["K2"]
    on = math.radians(-90.0 + 92.4)  # NPC (memory): 90 in all; the piece without length adds nothing to it
    pts = (a, a.plus(Vec(0.0, -0.5, 0.0)), b, b.plus(Vec(math.cos(on), math.sin(on), -0.02).times(3000.0)))
    legs = {f"K{i}": {"role": "branch", "a": p, "b": q, "size": 2, "tags": "LV1", "load": 1}
            for i, (p, q) in enumerate(pairwise(pts))}  # fmt: skip
    assert [f for f in kit.found("CLO003", kit.design(add=legs, cleanouts=())) if f.about[0] in legs] == []


def test_a_turn_told_of_one_drain_is_not_counted_on_by_the_next(kit):
    """NPC (memory): 90 degrees in all. Two drains come down one line; behind the turn of 100 another of 60 is free."""
    a, b = Vec(0.0, 3000.0, -360.0), Vec(0.0, 0.0, -420.0)
    c = b.plus(Vec(math.cos(math.radians(10.0)), math.sin(math.radians(10.0)), -0.02).times(3000.0))
    e = c.plus(Vec(math.cos(math.radians(70.0)), math.sin(math.radians(70.0)), -0.02).times(3000.0))
    ends = (a.plus(Vec(900.0, 519.6, 20.0)), a.plus(Vec(-900.0, 519.6, 20.0)))
    legs = {"K1": (ends[0], a), "K2": (ends[1], a), "K3": (a, b), "K4": (b, c), "K5": (c, e)}
    add = {i: {"role": "branch", "a": p, "b": q, "size": 2, "tags": "LV1", "load": 1} for i, (p, q) in legs.items()}
    found, _ = by_id("CLO003").run(kit.design(add=add, cleanouts=()))  # named is the first of both
    assert [f.about[0] for f in found if f.about[0] in legs] == ["K4"]


def test_a_cleanout_too_small_serves_no_turn(kit):
    d = winding(kit, IPC, 90.0, openings=(Vec(0.0, -3500.0, -409.0),))
    small = replace(d, cleanouts=(replace(d.cleanouts[0], size_in=3.0),))
    assert [len(kit.found("CLO003", x)) for x in (d, small)] == [0, 1]


@pytest.mark.parametrize(("book", "size", "kind", "n"), [
    (IPC, 2.5, "trap", 1), (IPC, 3.0, "trap", 0), (IPC, 3.0, "cleanout", 1), (IPC, 4.0, "cleanout", 0),
    (NPC, 3.0, "trap", 1),
])  # fmt: skip
def test_a_removable_trap_serves_a_drain_one_size_larger(kit, book, size, kind, n):
    """IPC 708.7 (memory). The drain is 4 in, the next smaller size 3 in; no other book lets a trap serve."""
    d = winding(kit, book, 100.0, openings=(Vec(0.0, -3500.0, -409.0),))
    spot = replace(d.network.node(d.cleanouts[0].point), kind=PointKind(kind))
    nodes = tuple(spot if k.id == spot.id else k for k in d.network.nodes)
    net = Network(nodes, d.network.pipes, d.network.traps)
    d = replace(d, network=net, cleanouts=(replace(d.cleanouts[0], size_in=size),))
    assert len(kit.found("CLO003", d)) == n


@pytest.mark.parametrize("book", [NPC, UPC, IPC, IRC])
@pytest.mark.parametrize(("away_mm", "n"), [(3048.0, 0), (3049.0, 1)])
def test_cleanout_near_where_the_drain_leaves(kit, book, away_mm, n):
    """IPC 708.1.3: within 10 ft of the junction; where a book says "near", the same 10 ft, common practice, no source.

    The drain passes the edge of the house at y -50, and is measured along the pipe from there.
    """
    edge, foot = Vec(0.0, -50.0, -336.95), Vec(0.0, -500.0, -346.0)
    spot = foot.plus(WAY.unit().times(away_mm - edge.to(foot)))
    d = winding(kit, book, openings=(spot,), leg_mm=6000.0)
    found = kit.found("CLO004", d)
    assert [f.about for f in found] == [("B2",)] * n
    beside = replace(d.cleanouts[0], point=next(k.id for k in d.network.nodes if k.at.to(Vec(0, 609, 495.4)) < 1e-6))
    assert len(kit.found("CLO004", replace(d, cleanouts=(replace(beside, size_in=4.0),)))) == 0  # it drains into it
    if n:
        assert "3049 mm" in found[0].found
        assert "3048 mm" in found[0].wanted
        assert found[0].at == (0.0, -50.0, pytest.approx(-337.0, abs=0.2))


# --- arms, traps, floor drains ----------------------------------------------------------------------------------------


def winding_arm(kit, book, *turns_deg, size=1.5, kind="lavatory", fall=0.03):
    """Return the bath whose lavatory's arm turns between its legs of 300 mm, at the vent fitting at last."""
    at, heading, pts = Vec(0.0, 609.0, 495.4), 0.0, []
    for turn in (0.0, *reversed(turns_deg)):
        heading += math.radians(turn)
        pts.append(at)
        at = at.plus(Vec(math.cos(heading), math.sin(heading), fall).times(300.0))
    pts = [at, *reversed(pts)]
    add = {f"A1{i}": {"role": "trap arm", "a": a, "b": b, "size": size, "tags": "LV1", "load": 1.5}
           for i, (a, b) in enumerate(pairwise(pts))}  # fmt: skip
    traps = ({"tag": "LV1", "arm": tuple(add), "trap_in": size}, kit.TRAPS[1])
    body = replace(kit.LV1, kind=kit.fixture("X", kind).kind)
    return kit.design(book=book, drop=("A1",), add=add, traps=traps, fixtures=(body, kit.WC1))


@pytest.mark.parametrize(
    ("book", "size", "kind", "most_deg"),
    [
        (NPC, 1.5, "lavatory", 135.0),
        (NPC, 3, "water closet", 225.0),
        (UPC, 1.5, "lavatory", 90.0),
        (UPC, 3, "shower", 135.0),
    ],
)
def test_turns_of_an_arm(kit, book, size, kind, most_deg):
    """NPC 2.5.6.3 (read): 135 degrees, closets 225; UPC 1002.3: 90 degrees, 135 in 3 in and larger."""
    for over_deg, n in ((2.4, 0), (2.6, 1)):
        third = (most_deg + over_deg) / 3
        found = kit.found("ARM006", winding_arm(kit, book, third, -third, third, size=size, kind=kind, fall=0.0))
        assert [f.about[0] for f in found] == ["LV1"] * n
        if n:
            assert f"{most_deg:.0f} degrees" in found[0].wanted
            assert "3 degrees" in found[0].do


@pytest.mark.parametrize(
    ("book", "heads", "size", "n"),
    [
        (NPC, 1, 1.5, 0), (NPC, 2, 1.5, 1), (NPC, 3, 2, 0), (NPC, 4, 2, 1), (NPC, 6, 3, 0),
        (IPC, 2, 1.5, 0), (IPC, 3, 1.5, 1), (IPC, 4, 2, 0), (IPC, 5, 2, 1), (IRC, 4, 2, 0), (IRC, 5, 2, 1),
    ],
)  # fmt: skip
def test_trap_by_heads_of_a_shower(kit, book, heads, size, n):
    """NPC Table 2.4.9.3 (n-family 1): 1 head 1-1/2 in, 3 heads 2 in, 6 heads 3 in. I family by flow, 2.5 gpm a head:
    5.7 gpm 1-1/2 in, 12.3 gpm 2 in (memory)."""
    shower = kit.fixture("LV1", "shower", heads=heads, station_mm=609.0)
    d = kit.design(
        book=book,
        fixtures=(shower, kit.WC1),
        edit={"A1": {"size": size}},
        traps=({"tag": "LV1", "arm": ("A1",), "trap_in": size}, kit.TRAPS[1]),
    )
    assert len(kit.found("ARM007", d)) == n


@pytest.mark.parametrize(("fall_mm", "n"), [(76.0, 0), (77.0, 1)])
def test_fall_of_a_floor_drain_without_vent(kit, fall_mm, n):
    """NPC 2.5.1.1(3) (read): the fall within the pipe size, 3 in, 76.2 mm."""
    z = -323.9 + fall_mm
    bare = {"tag": "FD", "arm": ("F1", "B2", "S1"), "trap_in": 3.0, "vented": False, "method": "none"}
    d = kit.design(
        add={"F1": {"role": "fixture drain", "a": (1000, 609, z), "b": (0, 609, -323.9), "size": 3, "tags": "FD"}},
        traps=(*kit.TRAPS, bare),
        fixtures=(kit.LV1, kit.WC1, kit.fixture("FD", "floor drain", wall_id="", primer=True)),
    )
    found = kit.found("FLD001", d)
    assert len(found) == n
    if n:
        assert "76 mm" in found[0].wanted
        assert "1 mm" in found[0].do


# --- drains, supports -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("slope", "leave"), [(1 / 96, True), (1 / 97, False), (1 / 52, True)])
def test_slope_by_leave_of_the_authority(kit, slope, leave):
    """UPC 708.1: 1/4 in per ft (1:48); where that is impracticable 4 in pipe at 1/8 in per ft (1:96), when approved."""
    z = -307.8 - 812 * slope
    far = {"B1": {"b": (0, 609, z)}, "D1": {"b": (0, 609, z)}, "B2": {"a": (0, 609, z)}}
    (f,) = [f for f in kit.found("DRN007", kit.design(book=UPC, edit=far)) if f.about == ("B1",)]
    assert ("get leave" in f.do) is leave
    small = {i: {**s, "size": 3} for i, s in far.items()}
    (f,) = [f for f in kit.found("DRN007", kit.design(book=UPC, edit=small)) if f.about == ("B1",)]
    assert "get leave" not in f.do  # 3 in is not named there


@pytest.mark.parametrize(("book", "most_mm"), [(NPC, 1200.0), (UPC, 1219.2), (IPC, 1219.2), (IRC, 1219.2)])
def test_supports_of_plastic_pipe(kit, book, most_mm):
    """NPC 2.3.4: 1.2 m; UPC Table 313.3, IPC Table 308.5, IRC P2605.1: 4 ft. ABS that lies."""
    for gap_mm, n in ((most_mm + 0.4, 0), (most_mm + 0.8, 1)):
        spec = {"K1": {"role": "branch", "a": (2400, 609, -270), "b": (0, 609, -270), "size": 2, "tags": "LV1",
                       "load": 1, "place": "below frame:floor"}}  # fmt: skip
        hung = tuple(Hanger(f"H{i}", "K1", Vec(x, 609, -270), "hanger") for i, x in enumerate((1500, 1500 - gap_mm)))
        piece = CutPiece("K1-1", "K1", "drain", 2, 2400, 0, 0, 2400, "", "", Status.READ)
        made = replace(kit.EMPTY, hangers=hung, pieces=(piece,))
        found = kit.found("SUP001", kit.design(book=book, add=spec, fabrication=made))
        assert [f.about for f in found] == [("K1",)] * n
        if n:
            assert "set 1 more" in found[0].do
            assert f"{gap_mm:.0f} mm" in found[0].found


@pytest.mark.parametrize(("gap_mm", "more"), [(1201.0, 1), (2400.0, 1), (2401.0, 2), (3600.4, 2), (3601.0, 3)])
def test_how_many_supports_are_missing(kit, gap_mm, more):
    """NPC 2.3.4: 1.2 m. A span of twice that takes one more, anything longer two."""
    spec = {"K1": {"role": "branch", "a": (gap_mm, 609, -270), "b": (0, 609, -270), "size": 2, "tags": "LV1",
                   "place": "crawl:main"}}  # fmt: skip
    piece = CutPiece("K1-1", "K1", "drain", 2, gap_mm, 0, 0, gap_mm, "", "", Status.READ)
    (f,) = kit.found("SUP001", kit.design(add=spec, fabrication=replace(kit.EMPTY, pieces=(piece,))))
    assert f"set {more} more" in f.do


@pytest.mark.parametrize(("book", "asked_mm"), [(UPC, 25.4), (IPC, 31.75), (IRC, 31.75)])
def test_nail_plate_where_a_pipe_is_near_the_face(kit, book, asked_mm):
    """UPC 312.9: 1 in. IPC 305.6, IRC P2603.2.1: 1-1/4 in. The pipe, 48.26 mm, in 140 mm of stud; 1 mm is passed."""
    for away_mm, n in ((asked_mm - 0.9, 0), (asked_mm - 1.1, 1)):
        for side in (1.0, -1.0):
            x = side * (70.0 - 24.13 - away_mm)
            hole = Bore("B1", "P stud at 406", "stud", "P", 406.0, "A1", Vec(x, 406, 480), 60.0, 140.0, 10.0, None,
                        None, "ok", 0.0, 0.0)  # fmt: skip
            d = kit.design(book=book, fabrication=replace(kit.EMPTY, bores=(hole,)))
            found = kit.found("FRM005", d)
            assert len(found) == n
            assert all(f"{away_mm:.0f} mm" in f.found and f"{asked_mm:.0f} mm" in f.wanted for f in found)


@pytest.mark.parametrize("book", [NPC, UPC, IPC, IRC])
@pytest.mark.parametrize(("winter_f", "n"), [(32.0, 2), (32.1, 0)])
def test_where_it_freezes(kit, book, winter_f, n):
    """IPC 305.4.1, IRC P2603.5: a winter design temperature of 32 F or lower; the same where a book names none."""
    cold = Climate(frost_prone_vents=False, winter_design_f=winter_f, footing_depth_mm=None)
    walls = (kit.wall(exterior=True),)
    found = kit.found("CLD001", kit.design(book=book, climate=cold, walls=walls, drop=("V1", "V2")))
    assert len(found) == n


# --- vents ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("book", "most_mm"), [(NPC, 13000.0), (IPC, 12801.6)])
def test_length_of_a_stack_vent(kit, book, most_mm):
    """NPC Table 2.5.8.4: 3 in stack, 10 FU, 1-1/2 in vent: 13 m. IPC Table 906.1, the same row: 42 ft."""
    for length_mm, n in ((most_mm, 0), (most_mm + 1.0, 1)):
        d = kit.design(
            book=book,
            edit={
                "D1": {"size": 3, "load": 10},
                "V1": {"role": "stack vent", "load": 10, "vent_mm": length_mm},
                "V2": {"vent_mm": 0},
            },
        )
        found = kit.found("VNT006", d)
        assert [f.about for f in found] == [("V1",)] * n
        if n:
            assert "2 in" in found[0].wanted


@pytest.mark.parametrize("book", [IPC, IRC])
@pytest.mark.parametrize(
    ("length_mm", "size", "n"), [(12192.0, 1.25, 0), (12193.0, 1.25, 1), (12193.0, 1.5, 0), (40000.0, 1.5, 0)]
)
def test_a_long_vent_is_one_size_larger(kit, book, length_mm, size, n):
    """IPC 906.2, IRC P3113.1: a vent over 40 ft is one size larger over its whole length; half of 1-1/2 in else."""
    d = kit.design(book=book, edit={"V1": {"vent_mm": length_mm, "size": size}, "V2": {"vent_mm": 0}})
    assert [f.about for f in kit.found("VNT006", d)] == [("V1",)] * n


# --- wet vents --------------------------------------------------------------------------------------------------------


def shared(kit, book, *, closets=0, others=0, groups=1, size=3.0, load=2.0, fall_mm=60.0):
    """Return a lavatory whose lying drain W0 vents closets and tubs that join it, of so many bathrooms."""
    a, b, c = (0.0, 609.0, -323.9), (0.0, 300.0, -323.9 - fall_mm), (0.0, -500.0, -323.9 - fall_mm - 20.0)
    bodies = [("W", "water closet")] * closets + [("B", "bathtub")] * others
    names = [f"{letter}{i}" for i, (letter, _) in enumerate(bodies)]
    rooms = [f"bath{i % groups}" for i in range(len(bodies))]
    add = {
        f"T-{t}": {"role": "trap arm", "a": (400.0 + i, 300.0, b[2] + 9), "b": b, "size": 2, "tags": t, "load": 2}
        for i, t in enumerate(names)
    }
    add |= {
        "W0": {"role": "branch", "a": a, "b": b, "size": size, "tags": "LV1", "load": load, "wet": True},
        "W9": {"role": "branch", "a": b, "b": c, "size": 4, "tags": " ".join(["LV1", *names]), "load": 9},
    }
    trap = {"trap_in": 2.0, "method": "wet", "through": ("W0",)}
    traps = ({"tag": t, "arm": (f"T-{t}",), **trap} for t in names)
    made = (kit.fixture(t, k, wall_id="", group=r) for t, (_, k), r in zip(names, bodies, rooms, strict=True))
    return kit.design(
        book=book,
        drop=("D1", "B1", "B2"),
        edit={"A1": {"a": (230.0, 609.0, -319.3), "b": a}, "V1": {"a": a}},
        add=add,
        traps=(*kit.TRAPS, *traps),
        fixtures=(replace(kit.LV1, group="bath0"), kit.WC1, *made),
    )


@pytest.mark.parametrize(("book", "most"), [(NPC, 2), (UPC, 1), (IPC, 2), (IRC, 2)])
def test_closets_on_one_wet_vent(kit, book, most):
    """NPC 2.5.2.1 (read): two. IPC/IRC 912.1 (two bathrooms), UPC 908.2 (one bathroom), secondary."""
    for closets, n in ((most, 0), (most + 1, 1)):
        found = kit.found("WET005", shared(kit, book, closets=closets))
        assert len(found) == n
        if n:
            assert f"{closets} closets" in found[0].found
            assert found[0].wanted == f"at most {most}"
            assert f"vent W{most} by itself" in found[0].do


@pytest.mark.parametrize(("book", "most"), [(UPC, 1), (IPC, 2), (IRC, 2)])
def test_bathrooms_on_one_wet_vent(kit, book, most):
    """IPC/IRC 912.1: two bathrooms; UPC 908.2: one (secondary)."""
    for groups, n in ((most, 0), (most + 1, 1)):
        found = [f for f in kit.found("WET003", shared(kit, book, others=groups, groups=groups)) if "bath0" in f.about]
        assert len(found) == n
        if n:
            assert f"{groups} bathrooms" in found[0].found


@pytest.mark.parametrize(("size", "n"), [(2.0, 0), (1.5, 1)])
def test_least_wet_vent_of_the_upc(kit, size, n):
    """UPC 908.2.2 (memory): a lying wet vent is 2 in at least."""
    found = [f for f in kit.found("WET001", shared(kit, UPC, others=1, size=size, load=1.0)) if f.about[0] == "W0"]
    assert len(found) == n


@pytest.mark.parametrize(("fall_mm", "n"), [(6.2, 0), (5.9, 1)])
def test_slope_of_a_wet_vent(kit, fall_mm, n):
    """NPC (trade magazine, secondary): 1:50. 309 mm fall 6.2, half a millimetre in a metre less is passed."""
    found = kit.found("WET010", shared(kit, NPC, others=1, fall_mm=fall_mm))
    assert [f.about for f in found] == [("W0",)] * n


def test_a_branch_that_joins_a_closets_straight_arm_or_a_larger_stack_does_not_turn(kit):
    """UPC 707.4: 180 degrees in all, the last 90 of them where the branch comes into the drain of something else."""
    a, b, c = Vec(3000.0, 6000.0, -250.0), Vec(3000.0, 3000.0, -310.0), Vec(0.0, 3000.0, -370.0)
    end = Vec(0.0, 609.0, -418.0)

    def told(**more):
        legs = {"K1": (a, b), "K2": (b, c), "K3": (c, end)}
        add = {i: {"role": "branch", "a": p, "b": q, "size": 2, "tags": "LV1", "load": 1} for i, (p, q) in legs.items()}
        add["K3"]["size"] = 3
        found = kit.found("CLO003", kit.design(book=UPC, add=add | more, cleanouts=()))
        return [f.about[0] for f in found if f.about[0] in add]

    stack = {"role": "stack", "a": c.plus(Vec(0.0, 0.0, 2400.0)), "b": c, "size": 3, "tags": "WC1", "load": 4}
    arm = {"role": "trap arm", "a": c.plus(Vec(0.0, 900.0, 18.0)), "b": c, "size": 3, "tags": "WC1", "load": 4}
    aside = arm | {"a": c.plus(Vec(900.0, 0.0, 18.0))}
    assert told() == ["K3"]
    assert told(X1=stack) == told(X1=arm) == []
    assert told(X1=stack | {"size": 2}) == told(X1=aside) == told(X1=arm | {"size": 1.5}) == ["K3"]
