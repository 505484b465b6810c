"""What a check looks at: it says the same of the noting design, and what it did not look at may move without it."""

from dataclasses import replace

import pytest

from stubout.checks.registry import CHECKS, by_id
from stubout.geometry.vec import Vec
from stubout.layout.model import Role
from stubout.network.model import Network, Pipe
from stubout.problems import NotChecked
from stubout.windows.looks import _noting, changed, looks_of
from stubout.windows.moves import measured, move

BY = (Vec(23.0, 0.0), Vec(0.0, 23.0), Vec(0.0, 0.0, 23.0))


def told(check, design):
    """Return all that a check says of a design, without the words."""
    found, silent = check.run(design)
    return {(f.level, f.about, f.found, f.at) for f in found}, set(silent)


@pytest.fixture(scope="module")
def looks(drawn):
    return looks_of(drawn, CHECKS)


@pytest.fixture(scope="module")
def spoiled(drawn):
    """Return the drawn bath with its pipes too flat, too small and too high, so that many checks speak."""
    net = drawn.network
    pipes = tuple(replace(p, b=p.b.plus(Vec(0.0, 0.0, 9.0)), size_in=1.25) for p in net.pipes)
    traps = tuple(replace(t, trap_in=3.0) for t in net.traps)
    return replace(drawn, network=Network(net.nodes, pipes, traps))


def test_noting_changes_nothing_that_is_said(drawn, spoiled):
    for design in (drawn, spoiled):
        for check in CHECKS:
            assert told(check, _noting(design, set())) == told(check, design), check.id
    assert sum(bool(told(c, spoiled)[0]) for c in CHECKS) > 10


def test_what_some_checks_look_at(drawn, looks):
    """An arm's length is that of its pipes, a stub-out's height that of its mark, a terminal's that of its node."""
    trap = next(t for t in drawn.network.traps if t.tag == "LV1")
    terminal = next(n for n in drawn.network.nodes if n.kind.value == "terminal")
    assert {("pipe", i) for i in trap.arm_runs} <= looks["ARM001"]
    assert ("stub", "LV1") in looks["STB001"]
    assert ("node", terminal.id) in looks["TRM001"]
    assert {kind for kind, _ in looks["FIT006"]} == {"piece"}
    assert {kind for kind, _ in looks["FIT008"]} == {"fitting", "pipe"}
    assert {("pipe", p.id) for p in drawn.network.drains() if not p.vertical and p.role.value != "trap arm"} <= looks[
        "DRN007"
    ]


@pytest.mark.parametrize("check", ["ARM007", "DRN003", "DRN004", "VNT005", "VNT007", "DSH001", "TST002", "MAT001"])
def test_sizes_and_facts_lie_nowhere(looks, check):
    """A size is too small wherever the pipe lies."""
    assert looks[check] == frozenset()


def test_a_developed_length_is_no_place(drawn):
    """VNT006 asks how long a vent is and not where: a vent moved as a whole asks for it anew all the same."""
    vents = {p.id for p in drawn.network.vents()}
    pipes = tuple(replace(p, role=Role.BRANCH_VENT) if p.id in vents else p for p in drawn.network.pipes)
    design = replace(drawn, network=Network(drawn.network.nodes, pipes, drawn.network.traps))
    assert looks_of(design, [by_id("VNT006")])["VNT006"] == {("length", i) for i in vents}


def test_looking_once_more_begins_anew(drawn, looks):
    assert looks_of(drawn, [by_id("TST002"), by_id("ARM001")]) == {i: looks[i] for i in ("TST002", "ARM001")}


def test_a_record_made_of_a_noted_one_is_plain(drawn):
    """A check may make a pipe of a pipe; the new one is told apart from the noted one by nothing but its class."""
    seen = set()
    noted = _noting(drawn, seen).network.pipes[0]
    copy = replace(noted, size_in=9.0)
    assert type(copy) is Pipe
    assert (copy.a, copy.size_in) == (drawn.network.pipes[0].a, 9.0)
    assert isinstance(noted, Pipe)
    assert ("pipe", copy.id) in seen


def test_what_a_move_changes(drawn):
    """The trap's own pipe and mark with the weir; all developed lengths with a vent; none with a drain."""
    net, trap = drawn.network, next(t for t in drawn.network.traps if t.tag == "LV1")
    arm = frozenset(trap.arm_runs[:1])
    got = changed(drawn, frozenset({trap.weir}), arm)
    assert {("node", trap.weir), ("pipe", trap.arm_runs[0]), ("trap", "LV1"), ("stub", "LV1")} <= got
    assert not {kind for kind, _ in got} & {"length"}
    assert {i for kind, i in got if kind == "fitting"} == {
        f.id for f in drawn.fabrication.fittings if f.node == trap.weir
    }
    assert {i for kind, i in got if kind == "piece"} == {
        p.id for p in drawn.fabrication.pieces if set(p.pipes or (p.pipe,)) & arm
    }
    top = next(p for p in net.vents() if net.node(p.end).kind.value == "terminal")
    got = changed(drawn, frozenset({top.end}), frozenset({top.id}))
    assert {i for kind, i in got if kind == "length"} == {p.id for p in net.vents()}
    assert not {kind for kind, _ in got} & {"trap", "stub"}


def test_what_a_check_did_not_look_at_may_move(drawn, looks):
    """Each point of the house moved by an inch: a check that looked at nothing of it says the same word for word."""
    left_out = 0
    for node in drawn.network.nodes:
        for by in BY:
            moved = move(drawn, frozenset({node.id}), by)
            upright = {p.id for p in drawn.network.pipes if p.vertical}
            if upright != {p.id for p in moved.design.network.pipes if p.vertical}:
                continue  # then every check is made again
            after = measured(moved.design)
            things = changed(drawn, frozenset({node.id}), moved.pipes)
            for check in CHECKS:
                if not looks[check.id] & things:
                    left_out += 1
                    assert told(check, after) == told(check, drawn), (check.id, node.id, by)
    assert left_out > 1000


def test_silence_is_noted_too(drawn):
    """What could not be judged is said of the noting design as well."""
    mute = replace(drawn, house=replace(drawn.house, roof=()))
    check = by_id("TRM001")
    assert told(check, _noting(mute, set()))[1] == told(check, mute)[1]
    assert all(isinstance(n, NotChecked) for n in told(check, mute)[1])
    assert told(check, mute)[1]


def test_a_coupling_goes_along_with_its_pipe(drawn):
    use = next(f for f in drawn.fabrication.fittings if f.in_run)
    pipe = drawn.network.pipe(use.pipes[0])
    both = frozenset({pipe.start, pipe.end})
    moved_use = next(f for f in move(drawn, both, Vec(0.0, 0.0, 12.0)).design.fabrication.fittings if f.id == use.id)
    assert moved_use.at.to(use.at.plus(Vec(0.0, 0.0, 12.0))) < 1e-6
    half = next(
        f for f in move(drawn, frozenset({pipe.end}), Vec(0.0, 0.0, 12.0)).design.fabrication.fittings if f.id == use.id
    )
    assert half.at.z - use.at.z == pytest.approx(12.0 * pipe.a.to(use.at) / pipe.length_mm)
    assert ("fitting", use.id) in changed(drawn, frozenset({pipe.end}), frozenset({pipe.id}))
