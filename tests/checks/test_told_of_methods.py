"""What checks of circuit vents, combination drains and wet vents tell, and some facts they share; by hand."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from stubout.checks import facts
from stubout.checks.base import Answers, Review
from stubout.checks.registry import by_id
from stubout.geometry.vec import Box, Vec
from stubout.house.facts import Climate
from stubout.house.framing import Opening
from stubout.house.model import HouseLevel, Obstacle
from stubout.layout.model import VentMethod
from stubout.network.model import Network
from stubout.problems import Basis, NotInBook, Status
from stubout.rulebooks.frozen import Frozen
from stubout.rulebooks.model import Asked

UPC, IPC, NPC = "upc-2021", "ipc-2021", "npc-2020"


def branch(a, b, **kw):
    return {"role": "branch", "a": a, "b": b, "size": 3, "tags": "LV1", "load": 2, **kw}


def without(d, *ids):
    return replace(d, book=replace(d.book, values=Frozen({i: c for i, c in d.book.values.items() if i not in ids})))


def line(kit, way, *, arms, pieces=4, vents=(0.5,), book=IPC, kind="floor drain", more=None, size=3.0, arm=None, **kw):
    """Return a line of a said method at x 2000, pieces of 1 m from y 5000 south, with arms and vents on it.

    `arms` are the nodes the fixtures join, `vents` the places of vents: 1 at the node, 0.5 half way before it.
    """
    places = sorted({float(i) for i in range(pieces + 1)} | {float(v) for v in vents})
    at = {p: (2000.0, 5000.0 - 1000.0 * p, -300.0 - 20.8 * p) for p in places}
    add, traps, bodies = {}, [], []
    for i, joint in enumerate(arms):
        tag, end = f"FD{i + 1}", at[float(joint)]
        add[f"A-{tag}"] = {"role": "trap arm", "a": (end[0] + 500.0, end[1], end[2] + 10.4), "b": end, "size": 2,
                           "tags": tag, "load": 2, **(arm or {})}  # fmt: skip
        traps.append({"tag": tag, "arm": (f"A-{tag}",), "trap_in": 2.0, "method": way.value})
        bodies.append(kit.fixture(tag, kind, group="", **kw.get("body", {})))
    for i, (p, q) in enumerate(pairwise(places)):
        tags = [f"FD{k + 1}" for k, joint in enumerate(arms) if joint <= p]
        add[f"L{i + 1}"] = branch(at[p], at[q], size=size, tags=" ".join(tags), load=2 * len(tags))
    for i, v in enumerate(vents):
        end = at[float(v)]
        add[f"V-L{i + 1}"] = {"system": "vent", "role": "vent", "a": end, "b": (*end[:2], 3500.0), "size": 3}
    d = kit.design(book=book, add=add | (more or {}), traps=tuple(traps), fixtures=tuple(bodies),
                   kinds={(*at[float(v)][:2], 3500.0): "terminal" for v in vents})  # fmt: skip
    pipes = tuple(replace(p, vents_by=way) if p.id[0] == "L" else p for p in d.network.pipes)
    return replace(d, network=Network(d.network.nodes, pipes, d.network.traps))


# --- circuit vents ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("vents", "told"),
    [
        ((0.5,), 1),  # nine on one vent
        ((0.5, 4.5), 0),  # five and four
        ((0.5, 8.0), 0),  # the second at the joint of the last: eight and one are not nine
        ((0.5, 9.0), 1),  # it leaves below the ninth
        ((0.5, 1.5), 0),
        ((0.5, 10.0), 1),
    ],
)
def test_fixtures_between_two_vents(kit, vents, told):
    """Eight on one circuit vent (IPC 914.1); a vent at a joint gives air to what joins there and below."""
    d = line(kit, VentMethod.CIRCUIT, arms=range(9), pieces=10, vents=vents)
    found = kit.found("CIR001", d)
    assert len(found) == told
    if told:
        assert found[0].about[0] == "L1"
        assert "9 fixtures" in found[0].found
        assert found[0].at == (2000.0, 5000.0, -300.0)


@pytest.mark.parametrize(
    ("vent", "word"), [(0.0, "up stream of FD1"), (0.5, None), (1.0, None), (1.5, "down stream of FD2")]
)
def test_where_a_circuit_vent_leaves(kit, vent, word):
    """IPC 914.2: between the two most upstream fixtures."""
    found = kit.found("CIR002", line(kit, VentMethod.CIRCUIT, arms=(0, 1), vents=(vent,)))
    assert [word in f.found for f in found] == ([True] if word else [])
    assert all("between FD1 and FD2" in f.do for f in found)
    assert kit.found("CIR002", line(kit, VentMethod.CIRCUIT, arms=(0,), vents=(1.5,))) == []


def test_a_stack_that_comes_in_above_the_last(kit):
    """NPC 2.5.3.1, one storey: a stack joined up stream; a branch there is none, nor a stack below the last fixture."""
    stack = branch((2000.0, 4000.0, 3000.0), (2000.0, 4000.0, -320.8), role="stack", tags="LV1")
    (f,) = kit.found("CIR005", line(kit, VentMethod.CIRCUIT, arms=(0, 2), book=NPC, more={"K1": stack}))
    assert f.about[:2] == ("L1", "K1")
    assert "the stack K1 comes in" in f.found
    other = {**stack, "role": "branch"}
    assert kit.found("CIR005", line(kit, VentMethod.CIRCUIT, arms=(0, 2), book=NPC, more={"K1": other})) == []
    low = {**stack, "a": (2000.0, 2000.0, 3000.0), "b": (2000.0, 2000.0, -362.4)}
    assert kit.found("CIR005", line(kit, VentMethod.CIRCUIT, arms=(0, 2), book=NPC, more={"K1": low})) == []
    d = line(kit, VentMethod.CIRCUIT, arms=(0, 2), book=NPC)
    bodies = (d.house.fixtures[0], replace(d.house.fixtures[1], level_id="upper"))
    (f,) = kit.found("CIR005", replace(d, house=replace(d.house, fixtures=bodies)))
    assert "fixtures of main, upper" in f.found
    assert f.about == ("L1", "FD1", "FD2")


def test_small_and_large_traps_on_one_circuit_vent(kit):
    """NPC 2.5.3.1: outlets below 2 in are kept apart."""
    d = line(kit, VentMethod.CIRCUIT, arms=(0, 1), book=NPC)
    assert [f for f in kit.found("CIR007", d) if "larger ones" in f.found] == []
    traps = (replace(d.network.traps[0], trap_in=1.5), d.network.traps[1])
    mixed = replace(d, network=Network(d.network.nodes, d.network.pipes, traps))
    (f,) = [f for f in kit.found("CIR007", mixed) if "larger ones" in f.found]
    assert (f.about, f.at) == (("L1", "FD1"), (2000.0, 5000.0, -300.0))
    assert kit.found("CIR007", without(mixed, "circuit_vent.small_outlets")) == []


@pytest.mark.parametrize(("load", "n"), [(0.0, 1), (0.5, 0), (6.0, 0), (6.5, 1)])
def test_what_relieves_a_circuit_vent(kit, load, n):
    """NPC 2.5.3.1: a drain of up to 6 FU whose fixture has a vent; one without load brings no air."""
    end = (2000.0, 1000.0, -383.2)
    more = {
        "K1": branch((2900.0, 1000.0, -365.0), end, tags="LV1", load=load),
        "K2": branch(end, (2000.0, -900.0, -420.0), tags="FD1 LV1", load=6),
    }
    d = line(kit, VentMethod.CIRCUIT, arms=(0, 1), book=NPC, more=more)
    lavatory = replace(d.network.traps[0], tag="LV1", vent_runs=("V1",), arm_runs=("A1",))
    d = replace(d, network=Network(d.network.nodes, d.network.pipes, (*d.network.traps, lavatory)))
    found = kit.found("CIR008", d)
    assert len(found) == n
    assert all(f.at == (2000.0, 1000.0, -383.2) for f in found)


# --- combination drains -----------------------------------------------------------------------------------------------


def test_a_combination_drain_with_no_vent_and_with_two_sizes(kit):
    """UPC 910.3: half of the area of the largest drain, 3 in: 2-1/2 in is more, 2 in less."""
    d = line(kit, VentMethod.COMBINATION, arms=(0, 1), vents=(2.5,), book=UPC)
    for vent_in, small_in, n in ((2.5, 3.0, 0), (2.0, 3.0, 1), (2.0, 2.0, 1), (1.5, 2.0, 1)):
        pipes = tuple(
            replace(p, size_in=vent_in if p.id == "V-L1" else small_in if p.id == "L1" else p.size_in)
            for p in d.network.pipes
        )
        found = kit.found("CMB005", replace(d, network=Network(d.network.nodes, pipes, d.network.traps)))
        assert [f.about[0] for f in found] == ["V-L1"] * n
    bare = line(kit, VentMethod.COMBINATION, arms=(0, 1), vents=(), book=UPC)
    assert kit.found("CMB005", bare) == []
    above = line(kit, VentMethod.COMBINATION, arms=(1, 2), vents=(0.5,), book=UPC)
    (f,) = by_id("CMB005").run(above)[0]  # named is the first of its fixtures
    assert "up stream of all its fixtures" in f.found
    assert [v for b in f.bases for v in b.of if v != "CMB005"] == ["combination.vent_rule"]
    (f,) = by_id("CMB005").run(without(above, "combination.vent_rule"))[0]
    assert [v for b in f.bases for v in b.of if v != "CMB005"] == ["combination.vent_area_fraction"]
    assert f.wanted == "down stream of the uppermost fixture"
    assert kit.found("CMB005", line(kit, VentMethod.COMBINATION, arms=(0, 2), vents=(0.5,), book=UPC)) == []


@pytest.mark.parametrize(("kind", "n"), [("floor drain", 1), ("water closet", 0)])
def test_drops_on_a_combination_drain(kit, kind, n):
    """IPC 915.2.2: 8 ft upright at most; a closet's own bend is not meant."""
    tall = {"a": (2000.0, 5000.0, 2200.0)}
    d = line(kit, VentMethod.COMBINATION, arms=(0,), arm=tall, kind=kind, book=IPC)
    assert len(kit.found("CMB003", d)) == n


@pytest.mark.parametrize(("heads", "n"), [(None, 0), (1, 0)])
def test_heads_that_nobody_gave(kit, heads, n):
    """A trap on a combination drain is judged by one head where they are an open question."""
    d = line(kit, VentMethod.COMBINATION, arms=(0, 1), book=UPC, kind="shower", body={"heads": heads}, arm={"size": 3})
    traps = tuple(replace(t, trap_in=3.0) for t in d.network.traps)
    d = replace(d, network=Network(d.network.nodes, d.network.pipes, traps))
    assert [f for f in kit.found("CMB002", d) if "is the arm of" in f.found] == []
    small = tuple(replace(t, trap_in=2.0) for t in d.network.traps)
    d = replace(d, network=Network(d.network.nodes, d.network.pipes, small))
    assert len([f for f in kit.found("CMB002", d) if "is the arm of" in f.found]) == 2


# --- cold, panels, headers, the rest ----------------------------------------------------------------------------------


def test_a_site_whose_frost_is_not_known(kit):
    d = kit.design(climate=Climate(None, None, None), walls=(kit.wall(exterior=True),))
    assert kit.found("CLD001", d) == []
    assert kit.unjudged("CLD001", d) == ["the job does not say whether it freezes"]


def test_a_pipe_in_the_panel_and_one_over_it(kit):
    """What runs into it is CLA001's; what goes over it is told by the panel's name, or its id."""
    for what, word in (("panel", "above or below panel"), ("", "above or below O1")):
        panel = Obstacle("O1", what, Box(Vec(-60, 459, 300), Vec(60, 759, 900)), "panel", keep_clear_above_below=True)
        over = {"X1": {"system": "vent", "role": "vent", "a": (0, 300, 1500), "b": (0, 900, 1510), "size": 1.5}}
        found = kit.found("CLA008", kit.design(obstacles=(panel,), add=over, drop=("D1",)))
        assert [f.about[0] for f in found if f.about[0] in ("X1", "V1")] == ["X1"]
        assert all(word in f.found for f in found)


def test_a_header_is_as_deep_as_its_wall(kit):
    """A pipe 70 mm and its own half beside the middle of a 140 mm wall is clear of it."""
    door = Opening("G1", "P", 300.0, 900.0, 0.0, 2000.0, 2240.0, "door")
    for x, n in ((70 + 23.2, 0), (70 + 23.0, 1), (-70 - 23.0, 1), (-70 - 23.2, 0)):
        pipe = {"system": "vent", "role": "vent", "a": (x, 600, 1000), "b": (x, 600, 3300), "size": 1.5, "tags": "LV1"}
        d = kit.design(walls=(kit.wall(openings=(door,)),), add={"K1": pipe})
        found = kit.found("CLA003", d)
        assert len([f for f in found if f.about == ("K1", "G1")]) == n
        bare = replace(d, framing=replace(d.framing, values=Frozen({})))
        assert all(f.bases[-1].what == "header" for f in kit.found("CLA003", bare))


def test_hubs_and_pipes_stand_out_of_a_wall_on_either_side(kit):
    """2 in in a 2x4 wall of 89 mm: the hub of 69.85 mm reaches 44.5 where it stands 9.6 mm aside; told both ways."""
    for x in (12.0, -12.0):
        pipe = {"role": "drain", "a": (x, 3000, 1500), "b": (x, 3000, 500), "size": 2, "tags": "LV1"}
        d = kit.design(walls=(kit.wall(depth_mm=89.0),), add={"K1": pipe}, drop=("A2", "A3"))
        found = [f for f in kit.found("CLA004", d) if f.about[0] == "K1"]
        assert found
        assert all("2 mm" in f.found for f in found)  # 12 + 34.9 - 44.5


def test_what_runs_into_an_obstacle_is_called_by_its_name(kit):
    where = Box(Vec(-100, 500, 1500), Vec(100, 700, 1700))
    for what, word in (("recessed box", "into recessed box O1"), ("", "into duct O1")):
        (f,) = kit.found("CLA001", kit.design(obstacles=(Obstacle("O1", what, where, "duct"),)))
        assert word in f.found


def test_the_deepest_of_pipes_that_meet_is_told(kit):
    """Two crossings within a hand's breadth are one place, a third farther off is another."""
    base = branch((2000, 6000, 2000), (2000, 9000, 2000), size=2)
    add = {"K0": base}
    for i, (y, z) in enumerate(((7000, 2000), (7100, 2030), (8500, 2000), (8600, 2010)), start=1):
        add[f"K{i}"] = branch((1000, y, z), (3000, y, z), size=2)
    found = kit.found("CLA005", kit.design(add=add))
    assert [f.about for f in found] == [("K0", "K1"), ("K0", "K3")]
    assert all("60 mm" in f.do for f in found)


def test_a_cleanout_under_a_girder_has_a_name(kit):
    """IPC 708.1.10: the lowest thing over the opening is named; what hangs beside it does not count."""
    crawl = HouseLevel("crawl", "c", 0, "ground", -1000.0, 0.0)
    low = {"C1": {"a": (0, -500, -700), "b": (0, -450, -700), "place": "crawl:crawl"}}
    for what, word in (("girder", "under girder"), ("", "under beam")):
        thing = Obstacle("F1", what, Box(Vec(0, -500, -500), Vec(60, 3000, -20)), "beam")  # its corner is just over it
        d = kit.design(book=IPC, edit=low, kinds={(0, -500, -700): "cleanout"}, obstacles=(thing,),
                       levels=(crawl, *kit.house().levels))  # fmt: skip
        node = next(n.id for n in d.network.nodes if n.kind.value == "cleanout")
        d = replace(d, cleanouts=(replace(d.cleanouts[0], point=node),))
        (f,) = [f for f in kit.found("CLO006", d) if "F1" in f.about and "crawl space" in f.found]
        assert f.found.endswith(word)
        assert "500 mm" in f.found


# --- what is not judged -----------------------------------------------------------------------------------------------


def test_an_arm_ends_where_another_drain_joins(kit):
    """A trap without a vent has of its own the pipe to the first joint."""
    bare = {"tag": "LV1", "arm": ("A1", "D1", "B2", "S1"), "vented": False, "method": "none"}
    d = kit.design(traps=(bare, kit.TRAPS[1]))
    arm = next(a for a in facts.arms(Review(d, by_id("ARM001"))) if a.trap.tag == "LV1")
    assert [p.id for p in arm.pipes] == ["A1", "D1"]


def test_a_turn_below_the_last_fixture_is_none_of_the_circuit(kit):
    """NPC 2.5.3.1: 45 degrees between the vent and the last fixture; what the branch does behind it is its own."""
    for arms, told in (((0, 1), 0), ((0, 3), 1)):
        d = line(kit, VentMethod.CIRCUIT, arms=arms, book=NPC)
        bent = tuple(
            replace(p, b=p.b.plus(Vec(1500.0, 0.0)) if p.id == "L4" else p.b) if p.id != "L5"
            else replace(p, a=p.a.plus(Vec(1500.0, 0.0)), b=p.b.plus(Vec(3000.0, 0.0)))
            for p in d.network.pipes
        )  # fmt: skip
        found = kit.found("CIR006", replace(d, network=Network(d.network.nodes, bent, d.network.traps)))
        assert [f.about[0] for f in found] == ["L4"] * told


def test_what_joins_at_any_joint_of_an_arm(kit):
    """An arm of three pieces: a drain at its first or second joint shares it, one at its end does not."""
    one, two, end = (200, 609, 501.0), (100, 609, 498.0), (0, 609, 495.4)
    arm = {"role": "trap arm", "size": 1.5, "tags": "LV1", "load": 1.5}
    add = {
        "A1": {**arm, "a": (300, 609, 504.0), "b": one},
        "A1b": {**arm, "a": one, "b": two},
        "A1c": {**arm, "a": two, "b": end},
    }
    traps = ({"tag": "LV1", "arm": ("A1", "A1b", "A1c")}, kit.TRAPS[1])
    for joint, n in ((one, 1), (two, 1), (end, 0)):
        guest = branch((joint[0], 900, joint[2] + 6), joint, tags="BT1")
        d = kit.design(drop=("A1",), add={**add, "K1": guest}, traps=traps)
        assert [f.about for f in kit.found("ARM009", d)] == [("LV1", "K1")] * n


@pytest.mark.parametrize(("x", "n"), [(15.0, 0), (-15.0, 0), (16.0, 1), (-16.0, 1)])
def test_a_pipe_without_a_hub_at_its_end(kit, x, n):
    """At its trap a 2 in pipe of 60.3 mm is no thicker than that: 44.5 mm of a 2x4 wall less 30.2."""
    weir = (x, 3000, 1500)
    pipe = {"role": "trap arm", "a": weir, "b": (x, 3000, 4000), "size": 2, "tags": "LV1"}
    d = kit.design(walls=(kit.wall(depth_mm=89.0),), add={"K1": pipe}, kinds={weir: "trap"})
    found = [f for f in kit.found("CLA004", d) if f.about[0] == "K1"]
    assert len(found) == n
    assert all("2 in pipe at" in f.found for f in found)


def test_one_value_of_several_waits(kit):
    """What the layout reckoned from a value left to the inspector is not judged, and the reason is his question."""
    d = kit.design()
    cell = d.book.value("trap_arm.min_diameters")
    asked = {"trap_arm": Asked("trap_arm", "Trap arm", "What does your town say?", "town rule", NPC, None, cell)}
    on = Review(replace(d, book=replace(d.book, asked=asked)), by_id("STB001"))
    bases = (Basis("y", "1", NPC, "1", Status.READ, of=("cover", "trap_arm")), Basis("z", "2", NPC, "2", Status.READ))
    assert on.waits(bases)
    assert [n.reason for n in on.not_checked()] == [asked["trap_arm"].reason]
    assert not on.waits(bases[1:])


def test_books_are_asked_once_for_each_question(kit):
    """The same question of the same book is answered from memory, of another book anew; so is a refusal."""
    calls: list[tuple[str, object]] = []

    def question(book, what):
        calls.append((book.id, what))
        if what == "unknown":
            raise NotInBook("no such thing")
        return f"{book.id} {what}"

    known = Answers()
    npc, ipc = kit.BOOKS[NPC], kit.BOOKS[IPC]
    assert [known.to(question, (b, "x"), {}) for b in (npc, ipc, npc, ipc)] == [f"{NPC} x", f"{IPC} x"] * 2
    assert len(calls) == 2
    for _ in range(2):
        with pytest.raises(NotInBook, match="no such thing"):
            known.to(question, (npc, "unknown"), {})
    assert len(calls) == 3
    assert known.to(lambda book, what: sorted(what), (npc, {3, 1}), {}) == [1, 3]  # not to be remembered: asked
