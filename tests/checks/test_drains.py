"""Drains: size, load, closets, slope, order, sewer, cleanouts, fittings."""

from dataclasses import replace

import pytest

from stubout.fabrication.model import CutPiece, Fabrication, FittingUse
from stubout.geometry.vec import Box, Vec
from stubout.house.model import CabinetBox, HouseLevel, Obstacle
from stubout.house.outside import Sewer
from stubout.layout.model import CleanoutPlan
from stubout.problems import Status


@pytest.mark.parametrize(
    ("edit", "n"),
    [
        ({"D1": {"load": 8}}, 0),  # stack table: 1-1/2 in carries 8
        ({"D1": {"load": 8.5}}, 1),
        ({"B2": {"load": 180}}, 0),  # 4 in at 1:100 carries 180 (B2 falls 1:50: 240)
        ({"B2": {"load": 241}}, 1),
    ],
)
def test_drain_overloaded(kit, edit, n):
    """NPC Tables 2.4.10.6 and 2.4.10.8."""
    assert len(kit.found("DRN001", kit.design(edit=edit))) == n


@pytest.mark.parametrize(("load", "n"), [(6, 0), (6.5, 1)])
def test_branch_overloaded(kit, load, n):
    """NPC Table 2.4.10.7: 2 in branch 6 FU."""
    d = kit.design(
        add={
            "K1": {
                "role": "branch",
                "a": (300, 609, -318),
                "b": (0, 609, -323.9),
                "size": 2,
                "load": load,
                "tags": "LV1",
            }
        }
    )
    assert len(kit.found("DRN001", d)) == n


def test_building_drain_table_is_not_the_branch_table(kit):
    """O5: a 3 in building drain takes 36 at 1/8 in/ft, a 3 in branch 20 (IPC/IRC)."""
    z = -307.8
    for role, load, n in (("building drain", 36, 0), ("building drain", 37, 1), ("branch", 20, 0), ("branch", 21, 1)):
        d = kit.design(
            book="irc-2021",
            edit={"B1": {"role": role, "size": 3, "load": load, "b": (0, 609, z - 812 / 96)},
                  "B2": {"a": (0, 609, z - 812 / 96)}, "D1": {"b": (0, 609, z - 812 / 96)}},
        )  # fmt: skip
        assert len([f for f in kit.found("DRN001", d) if f.about == ("B1",)]) == n


def stack(kit, loads=(9, 6), size=3, levels=("upper", "upper"), **kw):
    """Return a stack with two baths on it and a laundry branch near its foot."""
    add = {
        "K1": {"role": "stack", "a": (0, 3000, 2400), "b": (0, 3000, -295), "size": size, "tags": "X0 X1",
               "load": sum(loads), "place": "wall:P"},
        "T0": {"role": "trap arm", "a": (400, 3000, 2420), "b": (0, 3000, 2400), "size": 3, "tags": "X0",
               "load": loads[0]},
        "T1": {"role": "trap arm", "a": (-400, 3000, 2420), "b": (0, 3000, 2400), "size": 3, "tags": "X1",
               "load": loads[1]},
        "E1": {"role": "building drain", "a": (0, 3000, -295), "b": (0, kw.pop("joint_y", 1421), -307.8), "size": 4,
               "tags": "X0 X1", "load": sum(loads), "place": "under slab:main"},
        "V5": {"system": "vent", "role": "stack vent", "a": (0, 3000, 2400), "b": (0, 3000, 3300), "size": size,
               "tags": "X0 X1"},
    }  # fmt: skip
    fx = tuple(kit.fixture(f"X{i}", "shower", level_id=lv, wall_id="") for i, lv in enumerate(levels))
    lv = (
        HouseLevel("main", "Main", 0, "slab", 0.0, 2467.0, slab_mm=100.0),
        HouseLevel("upper", "Upper", 1, "frame", 2300.0, 2467.0, attic_above=True),
    )
    return kit.design(
        add=add,
        traps=(*kit.TRAPS, {"tag": "X0", "arm": ("T0",)}, {"tag": "X1", "arm": ("T1",)}),
        fixtures=(kit.LV1, kit.WC1, *fx),
        levels=lv,
        kinds={(0, 3000, -295): "stack foot", (0, 3000, 3300): "terminal"},
        **kw,
    )


@pytest.mark.parametrize(("loads", "n"), [((9, 6), 0), ((9, 9), 0), ((9, 9.5), 1)])
def test_stack_from_one_storey(kit, loads, n):
    """House 01, fact 2: 6 + 9 = 15 FU of 18 allowed from one storey on 3 in."""
    assert len(kit.found("DRN002", stack(kit, loads))) == n


@pytest.mark.parametrize(
    ("away_mm", "levels", "n"),
    [(1501, ("main", "upper"), 0), (1450, ("main", "upper"), 1), (1450, ("upper", "upper"), 0)],
)
def test_joint_near_stack_foot(kit, away_mm, levels, n):
    """NPC 2.4.2.1(2): 1.5 m where the stack drains two storeys or 30 FU; the closet's arm joins there."""
    y = 3000 - away_mm
    d = stack(kit, levels=levels, joint_y=y)
    specs = {"A3": {"b": (0, y, -307.8)}, "B1": {"a": (0, y, -307.8)}, "V2": {"a": (0, y, -307.8)}}
    d = stack(kit, levels=levels, joint_y=y, edit=specs)
    assert len(kit.found("DRN012", d)) == n


def test_drain_reduced(kit):
    assert kit.found("DRN003", kit.design()) == []
    (f,) = kit.found("DRN003", kit.design(edit={"S1": {"size": 3}}))
    assert f.about == ("S1", "B2")
    assert f.level.value == "STOP"


def test_closet_on_two_inches(kit):
    assert kit.found("DRN004", kit.design()) == []
    assert {f.about[0] for f in kit.found("DRN004", kit.design(edit={"A3": {"size": 2}}))} == {"A3"}


@pytest.mark.parametrize(("closets", "size", "n"), [(2, 3, 0), (3, 3, 1), (3, 4, 0)])
def test_third_closet_on_three_inches(kit, closets, size, n):
    """NPC 2.4.9.2(2): from the third connection on 4 in."""
    tags = " ".join(f"W{i}" for i in range(closets))
    fx = tuple(kit.fixture(f"W{i}", "water closet", wall_id="") for i in range(closets))
    d = kit.design(edit={"B1": {"tags": tags, "size": size}}, fixtures=(kit.LV1, kit.WC1, *fx))
    assert len([f for f in kit.found("DRN005", d) if f.about[0] == "B1"]) == n


def test_building_drain_least(kit):
    assert kit.found("DRN006", kit.design()) == []
    assert {f.about[0] for f in kit.found("DRN006", kit.design(edit={"B2": {"size": 3}}))} == {"B2"}


@pytest.mark.parametrize(("fall_mm", "size", "n"), [(8.1, 4, 0), (7.5, 4, 1), (16.3, 3, 0), (15.6, 3, 1)])
def test_drain_too_flat(kit, fall_mm, size, n):
    """812 mm at 1:100 is 8.1 mm, at 1:50 16.2: 4 in may lie at 1:100, 3 in not."""
    z = -307.8 - fall_mm
    d = kit.design(edit={"B1": {"b": (0, 609, z), "size": size}, "D1": {"b": (0, 609, z)}, "B2": {"a": (0, 609, z)}})
    assert len([f for f in kit.found("DRN007", d) if f.about[0] == "B1"]) == n


def test_quarter_inch_per_foot_is_not_two_percent(kit):
    """1/4 in/ft is 1:48: a UPC drain at 1:50 falls short by 0.7 mm over 812 mm."""
    at_two_percent = -307.8 - 812 * 0.02
    d = kit.design(
        book="upc-2021",
        edit={
            "B1": {"b": (0, 609, at_two_percent), "size": 3},
            "D1": {"b": (0, 609, at_two_percent)},
            "B2": {"a": (0, 609, at_two_percent)},
        },
    )
    assert "B1" in {f.about[0] for f in kit.found("DRN007", d)}


def test_drain_that_climbs(kit):
    d = kit.design(edit={"B1": {"b": (0, 609, -295)}, "D1": {"b": (0, 609, -295)}, "B2": {"a": (0, 609, -295)}})
    assert [f.about for f in kit.found("DRN008", d)] == [("B1",)]
    assert "B1" not in {f.about[0] for f in kit.found("DRN007", d)}
    assert kit.found("DRN008", kit.design()) == []


def test_dead_end(kit):
    spec = {"Z1": {"role": "branch", "a": (600, 609, -311), "b": (0, 609, -323.9), "size": 2}}
    assert [f.about for f in kit.found("DRN009", kit.design(add=spec))] == [("Z1",)]
    assert kit.found("DRN009", kit.design(add=spec, kinds={(600, 609, -311): "cap"})) == []


def test_drain_to_nowhere(kit):
    assert kit.found("DRN010", kit.design()) == []
    d = kit.design(edit={"D1": {"b": (20, 609, -323.9)}})
    assert [f.level.value for f in kit.found("DRN010", d)] == ["STOP"]


def test_branch_beyond_the_arm(kit):
    """UPC 702.1: 2 in branch beyond the arm of a kitchen sink."""
    ks = kit.fixture("LV1", "kitchen sink", group="", flood_rim_z_mm=900.0)
    d = kit.design(book="upc-2021", fixtures=(ks, kit.WC1))
    assert {f.about[0] for f in kit.found("DRN011", d)} == {"D1"}
    ok = kit.design(book="upc-2021", fixtures=(ks, kit.WC1), edit={"D1": {"size": 2}})
    assert kit.found("DRN011", ok) == []


def test_fixture_without_arm(kit):
    bar = kit.fixture("BS", "bar sink")
    assert [f.about for f in kit.found("DRN013", kit.design(fixtures=(kit.LV1, kit.WC1, bar)))] == [("BS",)]
    assert kit.found("DRN013", kit.design()) == []
    (f,) = kit.found("DRN013", kit.design(fixtures=(kit.WC1,)))
    assert "no fixture" in f.found


@pytest.mark.parametrize(("invert", "n"), [(-487, 0), (-486, 1)])
def test_sewer_met(kit, invert, n):
    sewer = Sewer(Vec(0, -5000, invert), 4.0, "south", "sewer")
    assert len(kit.found("SEW001", kit.design(sewer=sewer))) == n


def test_sewer_beside(kit):
    assert len(kit.found("SEW001", kit.design(sewer=Sewer(Vec(60, -5000, -490), 4.0, "south", "sewer")))) == 1


@pytest.mark.parametrize(("doubt", "n"), [(0.0, 0), (50.0, 0), (90.0, 1)])
def test_doubt_about_the_sewer(kit, doubt, n):
    """Spare on the closet's way: B1 8, B2 11, S1 45 mm above 1:100 = 64 mm."""
    sewer = Sewer(Vec(0, -5000, -487), 4.0, "south", "sewer", invert_uncertainty_mm=doubt)
    assert len(kit.found("SEW002", kit.design(sewer=sewer))) == n


def use(pattern, node, pipes, at=(0, 0, 0), sizes=(3.0, 3.0)):
    return FittingUse("F1", node, pattern, sizes, Vec(*at), tuple(pipes), Status.MEMORY)


def fab(*uses, pieces=()):
    return Fabrication(tuple(uses), tuple(pieces), (), (), (), (), (), ())


def with_fitting(kit, pattern, at_end_of, **kw):
    """Return a bath with a fitting at the end of a pipe."""
    d = kit.design(**kw)
    end = next(p for p in d.network.pipes if p.id == at_end_of).end
    node = d.network.node(end)
    return replace(d, fabrication=fab(use(pattern, end, (*node.inflow, *node.outflow))))


@pytest.mark.parametrize(
    ("check", "pattern", "pipe", "book", "n"),
    [
        ("FIT001", "sanitary tee", "D1", "irc-2021", 1),  # a lavatory's drop into the lying drain
        ("FIT001", "wye", "D1", "irc-2021", 0),
        ("FIT001", "sanitary tee", "A1", "irc-2021", 0),  # lying arm into the drop
        ("FIT002", "1/4 bend", "D1", "irc-2021", 1),
        ("FIT002", "long-turn 1/4 bend", "D1", "irc-2021", 0),
        ("FIT002", "1/4 bend", "D1", "npc-2020", 1),
        ("FIT003", "1/4 bend", "A3", "irc-2021", 1),  # 3 in closet arm into the drain, lying: table allows 2 in at most
        ("FIT003", "1/8 bend", "A3", "irc-2021", 0),
        ("FIT005", "tee", "D1", "npc-2020", 1),
        ("FIT005", "wye", "D1", "npc-2020", 0),
    ],
)
def test_fitting_by_change_of_direction(kit, check, pattern, pipe, book, n):
    """IRC Table P3005.1 (read, IRC 2012 and two more): tee only lying into upright, no quarter bend at the foot."""
    assert len(kit.found(check, with_fitting(kit, pattern, pipe, book=book))) == n


def test_unknown_pattern_is_not_checked(kit):
    d = with_fitting(kit, "whirl-o-matic", "D1")
    assert all(kit.found(c, d) == [] for c in ("FIT001", "FIT002", "FIT003", "FIT005"))
    assert kit.unjudged("FIT005", d)


@pytest.mark.parametrize(("flat_mm", "n"), [(456, 2), (457, 0)])
def test_cross_flow(kit, flat_mm, n):
    """IRC P3005.1.1: closets back to back only with 18 in (457 mm) from closet to tee."""
    z = -307.8
    arms = {
        "X1": {
            "role": "trap arm",
            "a": (flat_mm, 1421, z + flat_mm / 50),
            "b": (0, 1421, z),
            "size": 3,
            "tags": "WC1",
            "load": 4,
        },
        "X2": {
            "role": "trap arm",
            "a": (-flat_mm, 1421, z + flat_mm / 50),
            "b": (0, 1421, z),
            "size": 3,
            "tags": "WC2",
            "load": 4,
        },
    }
    d = kit.design(
        book="irc-2021",
        drop=("A2", "A3"),
        add=arms,
        traps=(kit.TRAPS[0], {"tag": "WC1", "arm": ("X1",)}, {"tag": "WC2", "arm": ("X2",)}),
        fixtures=(kit.LV1, kit.WC1, kit.fixture("WC2", "water closet", wall_id="")),
    )
    node = next(p for p in d.network.pipes if p.id == "X1").end
    d = replace(d, fabrication=fab(use("double sanitary tee", node, ("X1", "X2", "B1"))))
    assert len(kit.found("FIT004", d)) == n


def two_arms(kit, inlet_in, barrel_in, pattern="double sanitary tee", book="upc-2021"):
    """Return the bath with a second arm across from that of the lavatory, both of one size."""
    across = {"role": "branch", "a": (-300, 609, 501), "b": (0, 609, 495.4), "size": inlet_in, "tags": "BS"}
    d = kit.design(book=book, add={"X1": across}, edit={"A1": {"size": inlet_in}})
    node = d.network.pipe("A1").end
    tee = use(pattern, node, ("V1", "D1", "A1", "X1"), sizes=(barrel_in, barrel_in, inlet_in, inlet_in))
    return replace(d, fabrication=fab(tee))


@pytest.mark.parametrize(
    ("inlet_in", "barrel_in", "n"),
    [(1.5, 2.0, 1), (1.5, 2.5, 0), (1.5, 3.0, 0), (2.0, 2.0, 1), (2.0, 2.5, 1), (2.0, 3.0, 0)],
)
def test_barrel_of_a_double_sanitary_tee(kit, inlet_in, barrel_in, n):
    """UPC 706.2 (a field guide of about 1997-2000): two pipe sizes over the largest inlet; 2-1/2 in is a size."""
    found = kit.found("FIT004", two_arms(kit, inlet_in, barrel_in))
    assert [f.about for f in found] == [("F1", "A1", "X1")] * n
    for f in found:
        assert f.wanted == f"a barrel of at least {'2-1/2' if inlet_in == 1.5 else '3'} in"
        assert "double fixture fitting" in f.do
        assert "two tees one above the other" in f.do
        assert f.bases[-1].of == ("fitting.double_tee_steps_over",)


def test_a_barrel_matters_to_no_other_fitting_and_no_other_book(kit):
    assert kit.found("FIT004", two_arms(kit, 1.5, 1.5, "double fixture fitting")) == []
    for book in ("npc-2020", "ipc-2021", "irc-2021"):
        assert kit.found("FIT004", two_arms(kit, 1.5, 1.5, book=book)) == []


def test_unlike_inlets_in_a_double_tee(kit):
    d = kit.design(
        add={
            "X1": {"role": "branch", "a": (-300, 609, 501), "b": (0, 609, 495.4), "size": 2, "tags": "BS", "load": 1.5}
        }
    )
    node = next(p for p in d.network.pipes if p.id == "A1").end
    d = replace(d, fabrication=fab(use("double sanitary tee", node, ("A1", "X1", "D1"))))
    assert len(kit.found("FIT004", d)) == 1


def test_fittings_collide(kit):
    piece = CutPiece("D1-1", "D1", "drain", 1.5, 90, 59, 60, -29, "F1", "F2", Status.MEMORY, fits=False)
    assert len(kit.found("FIT006", kit.design(fabrication=fab(pieces=(piece,))))) == 1
    assert kit.found("FIT006", kit.design(fabrication=fab(pieces=(replace(piece, fits=True),)))) == []


def test_make_ups_that_decide_are_named_with_their_status(kit):
    """A collision rests on make-ups: each is named with its dimensions and how sure it is, measured ones as such."""
    tee = FittingUse("F1", "N2", "sanitary tee", (3.0, 3.0, 2.0), Vec(0, 609, 0), ("D1", "D1", "A1"), Status.MEMORY)
    bend = FittingUse("F2", "N2", "1/4 bend", (3.0, 3.0), Vec(0, 609, 0), ("D1", "A1"), Status.ESTIMATE)
    piece = CutPiece("D1-1", "D1", "drain", 3, 90, 59, 60, -29, "F1", "F2", Status.ESTIMATE, fits=False)
    made = replace(kit.EMPTY, fittings=(tee, bend), pieces=(piece,))
    (f,) = kit.found("FIT006", kit.design(fabrication=made))
    assert [(b.what, b.book, b.status.value) for b in f.bases] == [
        ("make-up of sanitary tee 3 x 3 x 2", "catalog", "memory"),
        ("make-up of 1/4 bend 3", "catalog", "memory"),  # from memory is weaker than an estimate
    ]
    assert "branch 75" in f.bases[0].value
    assert "estimate: measure" in f.found
    own = (("sanitary tee 3 x 3 x 2", "branch", 71.0),)
    (f,) = kit.found("FIT006", kit.design(fabrication=made, measured=own))
    assert "branch 71" in f.bases[0].value


def test_a_silent_table_of_fittings_is_reported_by_one_check(kit):
    """A pattern the book does not list is the business of the check that would judge it, and of no other."""
    node = next(p for p in kit.design().network.pipes if p.id == "D1").start
    odd = FittingUse(
        "F1", node, "side-inlet sanitary tee", (1.5, 1.5, 1.5), Vec(0, 609, 495), ("A1", "D1"), Status.READ
    )
    d = kit.design(book="irc-2021", fabrication=replace(kit.EMPTY, fittings=(odd,)))
    silent = {c for c in ("FIT001", "FIT002", "FIT003", "FIT005") if kit.unjudged(c, d)}
    assert silent == {"FIT005"}


@pytest.mark.parametrize(("z", "n"), [(1015, 0), (1014, 1)])
def test_vent_bend_below_rim(kit, z, n):
    """UPC 903.3: 6 in (152.4 mm) above the rim, which is at 863."""
    d = kit.design(
        book="upc-2021",
        edit={"V1": {"b": (0, 609, z)}},
        add={
            "V1b": {"system": "vent", "role": "vent", "a": (0, 609, z), "b": (0, 609, 3300), "size": 1.5, "tags": "LV1"}
        },
    )
    node = next(p for p in d.network.pipes if p.id == "V1").end
    d = replace(d, fabrication=fab(use("vent 1/4 bend", node, ("V1", "V1b"))))
    assert len(kit.found("FIT007", d)) == n


def test_a_flashing_is_not_a_vent_bend(kit):
    """It is made for vents and nothing stands in it: an unknown rim is no reason to leave it unjudged."""
    node = next(p for p in kit.design().network.pipes if p.id == "V1").end
    unknown = replace(kit.LV1, flood_rim_z_mm=None)
    flashing, bend = (
        kit.design(book="upc-2021", fixtures=(unknown, kit.WC1), fabrication=fab(use(word, node, ("V1",))))
        for word in ("vent flashing", "vent 1/4 bend")
    )
    assert kit.unjudged("FIT007", flashing) == []
    assert kit.unjudged("FIT007", bend)


# --- cleanouts


def plan(node, *, size=4.0, opens=(0, 0, 1), clear=450.0, serves="building drain"):
    return CleanoutPlan("CO1", node, size, Vec(*opens), clear, serves, "here")


def at(d, xyz):
    return next(n.id for n in d.network.nodes if n.at.to(Vec(*xyz)) < 1)


def test_stack_cleanout(kit):
    d = stack(kit, cleanouts=())
    assert [f.about[0] for f in kit.found("CLO001", d)] == ["K1"]
    near = replace(d, cleanouts=(plan(at(d, (0, 3000, -295))),))
    assert kit.found("CLO001", near) == []


def test_upper_end_cleanout(kit):
    """UPC 707.4: the upper end of each lying drain, 5 ft and more, or with a sink on it."""
    long = {
        "K1": {"role": "branch", "a": (2000, 609, -280), "b": (0, 609, -323.9), "size": 2, "tags": "LV1", "load": 1}
    }
    d = kit.design(book="upc-2021", add=long, cleanouts=())
    assert "K1" in {f.about[0] for f in kit.found("CLO002", d)}
    ok = replace(d, cleanouts=(plan(at(d, (2000, 609, -280))),))
    assert "K1" not in {f.about[0] for f in kit.found("CLO002", ok)}
    short = {"K1": {**long["K1"], "a": (1500, 609, -290)}}
    assert "K1" not in {f.about[0] for f in kit.found("CLO002", kit.design(book="upc-2021", add=short, cleanouts=()))}


def bend(kit, turns, book):
    """Return the bath whose sewer turns by eighth or quarter bends."""
    pts = {"quarter": [(0, -500), (0, -3000), (3000, -3000)], "eighth": [(0, -500), (0, -3000), (2000, -5000)]}[turns]
    zs = [-346, -400, -470]
    add = {
        f"S{i + 2}": {"role": "building sewer", "a": (*pts[i], zs[i]), "b": (*pts[i + 1], zs[i + 1]), "size": 4,
                      "tags": "LV1 WC1", "load": 5.5, "place": "buried:main"}
        for i in range(2)
    }  # fmt: skip
    return kit.design(book=book, drop=("S1",), add=add, cleanouts=())


@pytest.mark.parametrize(("turns", "book", "n"), [("quarter", "irc-2021", 1), ("eighth", "irc-2021", 0)])
def test_cleanout_at_turn(kit, turns, book, n):
    """IPC 708.1.4: each change over 45 degrees."""
    assert len([f for f in kit.found("CLO003", bend(kit, turns, book)) if f.about[0] == "S3"]) == n


def test_cleanout_serves_turns_near_it(kit):
    d = bend(kit, "quarter", "irc-2021")
    d = replace(d, cleanouts=(plan(at(d, (0, -500, -346))),))
    assert [f for f in kit.found("CLO003", d) if f.about[0] == "S3"] == []


def test_sewer_cleanout(kit):
    assert kit.found("CLO004", kit.design()) == []
    assert [f.about[0] for f in kit.found("CLO004", kit.design(cleanouts=()))] == ["B2"]


@pytest.mark.parametrize(("y", "n"), [(-15400, 0), (-15600, 1)])
def test_cleanout_spacing(kit, y, n):
    """4 in drain: 15 m for a cleanout rodded one way (NPC, memory); the cleanout stands at y -500."""
    d = kit.design(edit={"S1": {"b": (0, y, -346 - (-500 - y) / 50)}})
    d = replace(d, cleanouts=(plan(at(d, (0, -500, -346))),))
    assert len(kit.found("CLO005", d)) == n


def test_cleanout_blocked(kit):
    bank = CabinetBox(
        "K1.1",
        "K1",
        "drawer bank",
        "drawers",
        "P",
        "right",
        0,
        600,
        Box(Vec(100, -700, -200), Vec(700, -300, 900)),
        118.0,
    )
    d = kit.design(cabinets=(bank,))
    node = d.cleanouts[0].point
    assert kit.found("CLO006", d) == []
    d = replace(d, cleanouts=(plan(node, opens=(1, 0, 0)),))
    assert [f.about[1] for f in kit.found("CLO006", d)] == ["K1.1"]
    sink = replace(bank, kind="sink base")
    assert kit.found("CLO006", replace(d, house=replace(d.house, cabinets=(sink,)))) == []
    post = Obstacle("O1", "post", Box(Vec(200, -600, -400), Vec(300, -400, 400)), "post")
    assert [
        f.about[1] for f in kit.found("CLO006", replace(d, house=replace(d.house, cabinets=(), obstacles=(post,))))
    ] == ["O1"]


@pytest.mark.parametrize(("x", "n"), [(505, 0), (400, 1)])
def test_cleanout_clearance_depth(kit, x, n):
    """NPC gives no clearance: the plan's own 450 mm is held; UPC 707.9 asks 24 in for pipe over 2 in."""
    tank = Obstacle("O1", "tank", Box(Vec(x, -600, -400), Vec(x + 300, -400, 400)), "appliance")
    d = kit.design(obstacles=(tank,))
    d = replace(d, cleanouts=(plan(d.cleanouts[0].point, opens=(1, 0, 0)),))
    assert len(kit.found("CLO006", d)) == n


@pytest.mark.parametrize(
    ("girder_lo", "book", "n"),
    [
        (-390.0, "ipc-2021", 0),
        (-391.0, "ipc-2021", 1),
        (-390.0, "irc-2021", 0),
        (-391.0, "irc-2021", 1),
        (-543.0, "upc-2021", 0),
        (-544.0, "upc-2021", 1),
    ],
)
def test_cleanout_in_a_crawl_space_has_height(kit, girder_lo, book, n):
    """IPC 708.1.10: 24 in (610 mm) over a cleanout in a crawl space, UPC 18 in (457 mm); house 03, fact 6: 20 3/4 in
    under the girder.

    The ground is at -1000. A girder that does not lie over the cleanout does not count.
    """
    crawl = replace(kit.house().levels[0], id="crawl", kind="ground", subfloor_z_mm=-1000.0)
    girder = Obstacle("F1", "girder", Box(Vec(-60, -3000, girder_lo), Vec(60, 3000, -20)), "beam")
    aside = replace(girder, id="F2", box=Box(Vec(900, -3000, -700), Vec(960, 3000, -20)))
    low = {"C1": {"a": (0, -500, -700), "b": (0, -450, -700), "place": "crawl:crawl"}}
    d = kit.design(
        book=book,
        edit=low,
        kinds={(0, -500, -700): "cleanout"},
        levels=(crawl, *kit.house().levels),
        obstacles=(girder, aside),
    )
    d = replace(d, cleanouts=(plan(at(d, (0, -500, -700)), opens=(1, 0, 0), clear=10.0),))
    found = [f for f in kit.found("CLO006", d) if f.about == ("CO1", "F1")]
    assert len(found) == n
    if n and book == "ipc-2021":
        assert [b.section for b in found[0].bases] == ["708.1.10"]


def test_cleanout_size(kit):
    d = kit.design()
    assert kit.found("CLO007", d) == []
    d = replace(d, cleanouts=(plan(d.cleanouts[0].point, size=3.0),))
    assert len(kit.found("CLO007", d)) == 1


@pytest.mark.parametrize(("opens", "n"), [((0, 1, 0), 0), ((0, 0, 1), 0), ((0, -1, 0.5), 1)])
def test_cleanout_direction(kit, opens, n):
    """The sewer runs south: one looks out of a right cleanout to the north or up."""
    d = kit.design()
    d = replace(d, cleanouts=(plan(at(d, (0, -500, -346)), opens=opens),))
    assert len(kit.found("CLO008", d)) == n


def test_sink_cleanout(kit):
    ks = kit.fixture("LV1", "kitchen sink", group="", flood_rim_z_mm=900.0)
    d = kit.design(fixtures=(ks, kit.WC1))
    assert len(kit.found("CLO009", d)) == 1
    d = replace(d, cleanouts=(*d.cleanouts, plan(at(d, (0, 609, 495.4)))))
    assert kit.found("CLO009", d) == []
