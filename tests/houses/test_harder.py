"""Three harder houses typed in from plans: two baths on I-joists, a slab with two islands, half of a duplex.

Expected: by hand, from what the plans allow: which walls and joists may take no pipe, and which findings are true of
the houses or told in `docs/state.md` as what the engine does not do well yet.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from laid_out import design_named

from stubout import laying, run
from stubout.design import Design
from stubout.layout.engine import Known
from stubout.layout.model import PointKind, Role, VentMethod
from stubout.problems import Level
from stubout.run import Verdict

EXAMPLES = Path(__file__).parents[2] / "examples"
STACKED, ISLANDS, DUPLEX = "04-stacked-baths", "05-two-islands", "06-duplex-half"
TOLD = {  # open findings, with why they stand
    STACKED: set(),
    ISLANDS: set(),
    DUPLEX: set(),
}


@cache
def planned(name: str) -> tuple[Design, Verdict]:
    design = design_named(name)
    return design, run.check(design)


@pytest.mark.parametrize("name", TOLD)
def test_every_fixture_is_trapped_vented_and_drained(name: str) -> None:
    design, verdict = planned(name)
    assert not design.blocked
    assert {t.tag for t in design.network.traps} == {f.tag for f in design.house.fixtures}
    assert not [t.tag for t in design.network.traps if t.method is VentMethod.NONE]
    assert not [f for f in verdict.open if f.level is Level.STOP]
    assert {f.check for f in verdict.open} <= TOLD[name]


def test_no_hole_is_cut_in_the_i_joists() -> None:
    for name in (STACKED, DUPLEX):
        design, _ = planned(name)
        assert not [b for b in design.fabrication.bores if b.member_kind == "i-joist"]


def test_both_islands_have_a_loop_and_a_foot_vent() -> None:
    design, _ = planned(ISLANDS)
    methods = {t.tag: t.method for t in design.network.traps}
    assert methods["KS"] is methods["PS"] is VentMethod.LOOP


def test_the_foot_vents_have_the_room_their_fittings_take() -> None:
    """Where the ground leaves it: the tee of the foot vent and the fitting it drops into, sockets and all."""
    design, verdict = planned(ISLANDS)
    drops = {p.id for p in design.network.pipes if p.place.kind == "cabinet" and p.system == "drain"}
    assert not [f for f in verdict.findings if f.check == "FIT006" and drops.intersection(f.about)]


def test_what_joins_an_islands_drain_leaves_its_return_the_place_under_the_cabinet() -> None:
    """Whatever the order, the drain of one island goes into the other's where its loop has come down already."""
    known = Known()
    laying.lay(run.read(str(EXAMPLES / "05-two-islands.yaml")), known=known)
    usual = [d for d in known.drawings.layouts if d.chosen is not None and d.chosen.drawn in ("as usual", "short ways")]
    assert usual
    assert not [b.constraint for d in usual for b in d.blocked]


def test_the_loops_of_both_islands_stand_in_their_cabinets() -> None:
    """Common practice, no source: nobody agreed to a pipe in front of an island."""
    design, _ = planned(ISLANDS)
    boxes = {b.id: b.box for b in design.house.cabinets}
    loops = [p for p in design.network.pipes if p.tag in ("KS", "PS") and p.place.kind == "cabinet"]
    assert {p.place.ref for p in loops} == {"I1.3", "I2.3"}
    for p in loops:
        box = boxes[p.place.ref]
        assert all(box.lo.x < q.x < box.hi.x and box.lo.y < q.y < box.hi.y for q in (p.a, p.b)), p.id


def test_the_washer_upstairs_drains_straight_down_in_its_wall() -> None:
    """Common practice, no source: where wall stands over wall, a drop goes on as a stack without a jog in the floor."""
    design, _ = planned(DUPLEX)
    own = [p for p in design.network.drains() if p.tags == ("AW",) and p.a.z > 0.0 and p.role is not Role.TRAP_ARM]
    assert len({(round(q.x), round(q.y)) for p in own for q in (p.a, p.b)}) == 1


def test_nothing_stands_in_the_party_wall_and_one_pipe_comes_out_of_the_roof() -> None:
    design, _ = planned(DUPLEX)
    assert not [p.id for p in design.network.pipes if p.place.kind == "wall" and p.place.ref in ("PW", "UPW")]
    out = [n for n in design.network.nodes if n.kind is PointKind.TERMINAL]
    assert len(out) == 1
    assert out[0].at.x < 4600.0, "the strip beside the party wall stays closed"
