"""A fix is offered only when all checks, asked again about the changed copy, are content with it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from stubout import run
from stubout.checks.registry import run_all
from stubout.fixes import edits
from stubout.fixes.candidates import candidates
from stubout.fixes.tried import fix_for, fixes
from stubout.geometry.vec import Vec
from stubout.network.model import Network
from stubout.problems import Level
from stubout.units import MM_PER_INCH

DRAWN = Path(__file__).parents[2] / "examples" / "drawn-bath.yaml"
GRAVE = (Level.STOP, Level.FIX)


@pytest.fixture(scope="module")
def clean():
    """Return the drawn bath."""
    return run.design(run.read(str(DRAWN)))


def grave(design):
    return {(f.check, f.about) for f in run_all(design)[0] if f.level in GRAVE}


def news(clean, design):
    known = grave(clean)
    return [f for f in run_all(design)[0] if f.level in GRAVE and (f.check, f.about) not in known]


def trap_of(design):
    """Return the first trap on a level arm, whose weir can be raised and lowered."""
    return next(t for t in design.network.traps if t.arm_runs and not design.network.pipe(t.arm_runs[0]).vertical)


def test_lists_made_anew_are_those_of_the_design(clean):
    assert edits.relisted(clean).fabrication == clean.fabrication


def test_moving_there_and_back_changes_nothing(clean):
    weir = trap_of(clean).weir
    there = edits.moved(clean, (weir,), Vec(0.0, 0.0, 8.0))
    assert there.network.node(weir).at.z == clean.network.node(weir).at.z + 8.0
    assert grave(edits.moved(there, (weir,), Vec(0.0, 0.0, -8.0))) == grave(clean)


def test_pipes_stay_joined_when_moved(clean):
    new = edits.moved(clean, (trap_of(clean).takeoff,), Vec(5.0, 3.0, 2.0)).network
    assert all(p.a == new.node(p.start).at and p.b == new.node(p.end).at for p in new.pipes)


def test_a_flat_arm_is_told_how_far_to_be_raised(clean):
    """The arm is laid level; 1 in 48 or 1 in 50 of its length is what the books ask for."""
    trap = trap_of(clean)
    arm = clean.network.pipe(trap.arm_runs[0])
    flat = edits.relisted(edits.moved(clean, (trap.weir,), Vec(0.0, 0.0, -arm.fall_mm)))
    (own,) = [f for f in news(clean, flat) if f.check == "ARM004"]
    tried = fix_for(flat, own)
    assert tried.cleared
    assert not tried.raised
    assert tried.sentence.startswith(("Raise", "Lower"))


def test_what_is_offered_holds_when_it_is_made_once_more(clean):
    """Made anew by its sentence, a fix leaves nothing that was not there and takes the finding away."""
    trap = trap_of(clean)
    arm = clean.network.pipe(trap.arm_runs[0])
    flat = edits.relisted(edits.moved(clean, (trap.weir,), Vec(0.0, 0.0, -arm.fall_mm)))
    (own,) = [f for f in news(clean, flat) if f.check == "ARM004"]
    tried = fix_for(flat, own)
    step = 1.0 if clean.house.job.units == "mm" else MM_PER_INCH / 16
    made = [
        c.make(n * step)
        for c in candidates(flat, own, edits.made_anew(flat))
        if c.by_length
        for n in range(1, 65)
        if c.say(n * step) == tried.sentence
    ]
    assert made
    after = grave(edits.relisted(made[0]))
    assert (own.check, own.about) not in after
    assert after <= grave(flat)


@pytest.fixture(scope="module")
def framed():
    """Return the bundled house with its nail plates left off, and what is then found."""
    design = run.design(run.demo_job())
    assert design.fabrication.plates
    bare = replace(design, fabrication=replace(design.fabrication, plates=()))
    return bare, [f for f in news(design, bare) if f.check in ("FRM004", "FRM005")]


def test_plates_left_off_are_put_on_and_nothing_is_moved(framed):
    bare, told = framed
    assert told
    tried = fix_for(bare, told[0])
    assert tried.cleared
    assert tried.sentence.startswith("Put on: ")


def test_an_arm_too_small_is_laid_larger(clean):
    trap = trap_of(clean)
    small = edits.relisted(edits.resized(clean, trap.arm_runs, 1.25))
    own = next(f for f in news(clean, small) if f.check == "ARM007")
    tried = fix_for(small, own)
    assert tried.cleared
    assert tried.sentence.startswith("Lay ")


def test_what_fights_is_told(clean):
    """A fixture whose vent is cut out: no pipe moved or laid larger makes a vent of it."""
    trap = trap_of(clean)
    net = clean.network
    gone = {p.id for p in net.vents() if p.start == trap.takeoff}
    nodes = tuple(
        replace(
            n,
            inflow=tuple(i for i in n.inflow if i not in gone),
            outflow=tuple(i for i in n.outflow if i not in gone),
        )
        for n in net.nodes
    )
    cut = Network(nodes, tuple(p for p in net.pipes if p.id not in gone), net.traps)
    bare = edits.relisted(replace(clean, network=cut))
    own = next(f for f in news(clean, bare) if f.check == "VNT001")
    tried = fix_for(bare, own)
    assert not tried.cleared
    assert tried.sentence.startswith("No single change that was tried")


def test_nothing_is_tried_where_nothing_is_wrong(clean):
    assert fixes(clean, tuple(f for f in run_all(clean)[0] if f.level not in GRAVE)) == ()


def test_the_same_finding_gets_the_same_fix(framed):
    bare, told = framed
    assert fixes(bare, tuple(told[:1])) == fixes(bare, tuple(told[:1]))
