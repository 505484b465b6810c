"""Why a part is blocked: small houses made infeasible on purpose, by constraints that are known.

Expected: by hand, from how each house was spoilt. The house is the starter, which is laid out whole without a finding.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest

from stubout import laying, run, units
from stubout.change import clash
from stubout.change.clash import Clash, Tries, clash_of
from stubout.change.relax import relaxations
from stubout.files.jobs import read_job_text
from stubout.job.starter import starter_text
from stubout.layout.model import Blocked

sys.path.insert(0, str(Path(__file__).parents[1] / "layout_bound"))
from small import small_house

SOME = frozenset({"stud P", "stud T", "no vents W", "cabinet V1"})  # one that blocks, of several kinds that do not
P_MM = "  - id: P                         # the plumbing wall"

# Several of them try the same spoilt house.
pytestmark = pytest.mark.usefixtures("laid_out_once")


def clashes(text: str, only: frozenset[str] = frozenset()) -> dict[str, Clash]:
    """Return what clashes for each blocked part, by its first word; `only` some constraints are looked at."""
    job = read_job_text(text)
    laid = run.lay(job)
    tries = Tries(job, laid.layout.blocked, run.blocked)
    out = {}
    for one in laid.layout.blocked:
        known = [r for r in relaxations(job, laid.house, laid.book, one.about) if not only or r.id in only]
        out[one.about[0]] = clash_of(one, known, tries)
    return out


def ids(found: Clash) -> set[str]:
    return {r.id for r in found.clash}


def narrow(text: str) -> str:
    """Return the starter with the plumbing wall of 2x4 studs."""
    head, tail = text.split(P_MM, 1)
    return head + P_MM + tail.replace("stud: 140", "stud: 89", 1)


def test_a_wall_too_narrow_for_the_one_vent_is_named_alone() -> None:
    found = clashes(narrow(starter_text("mm")), SOME)
    assert list(found) == ["building vent"]
    assert ids(found["building vent"]) == {"stud P"}
    assert len(found["building vent"].alone) == 1
    assert "wall P" in found["building vent"].alone[0]


def test_a_connection_too_high_is_named_alone_with_the_fall_it_takes() -> None:
    said, high_mm = "-2'-10 1/2\"", -431.8
    text = starter_text("inch").replace(said, '-17"')
    found = clashes(text)
    for one in found.values():
        assert ids(one) == {"fall"}
        assert len(one.alone) == 1
    job = read_job_text(text)
    words = next(iter(found.values())).alone[0]
    more_mm = units.parse_length_mm(words.split(" (")[0], "inch")
    assert 0.0 < more_mm < 600.0

    def with_fall(more: float) -> tuple[Blocked, ...]:
        sewer = job.sewer.model_copy(update={"invert": high_mm - more})
        return run.blocked(job.model_copy(update={"sewer": sewer}))

    assert not with_fall(more_mm + 2.0), "what is told frees it"
    assert with_fall(more_mm - 14.0), "and much less does not"


def test_two_constraints_that_clash_are_both_named() -> None:
    """No vent may stand in the walls round the bath, and no valve is allowed: either let go frees the lavatory."""
    text = starter_text("inch").replace("no vents in walls: N, S, E, W", "no vents in walls: N, S, E, W, P, T")
    found = clashes(text)
    assert ids(found["LV1"]) == {"no vents P", "aav"}
    assert set(found["LV1"].alone) == {"vents in wall P", "permission for an air admittance valve"}
    assert ids(found["BT1"]) == {"no vents P"}, "a tub takes no valve here"


def test_trusses_over_the_plumbing_wall_are_told_to_be_set_aside() -> None:
    """A bottom chord of 1 1/2 in along the middle of a 2x6 leaves no way through its plates."""
    text = starter_text("inch")
    said = '      first: 24"\n      spacing: 24"'
    over = text.replace(said, said.replace("first: 24", "first: 20 1/4"))  # the third over the middle of P
    found = clashes(over, frozenset({"members roof trusses", "terminals"}))["LV1"]
    assert "members roof trusses" in ids(found)
    (words,) = (w for w in found.alone if "roof trusses" in w)
    job = read_job_text(over)
    aside_mm = units.parse_length_mm(words.split(" set ")[1].split(" (")[0], "inch")

    def with_aside(by: float) -> tuple[Blocked, ...]:
        laid = run.lay(job)
        (frame,) = (r for r in relaxations(job, laid.house, laid.book, ("LV1",)) if r.id == "members roof trusses")
        return run.blocked(frame.applied(by))

    assert not with_aside(aside_mm + 2.0), "what is told frees it"
    assert with_aside(aside_mm - 14.0), "and much less does not"


def test_a_joist_under_a_fixture_is_looked_at_with_its_frame() -> None:
    """The joists of the starter lie across its plumbing wall, one of them 3 1/2 in beside the outlet of the tub."""
    job = read_job_text(starter_text("inch"))
    laid = run.lay(job)
    about = {r.id: r for r in relaxations(job, laid.house, laid.book, ("BT1",))}
    assert about["members main floor"].has == "a member of main floor lies along wall N and under BT1"
    moved = about["members main floor"].applied(50.0).frames[0].members
    was = job.frames[0].members
    assert moved.at == was.at, "the end joists stay"
    assert moved.first is not None
    assert was.first is not None
    assert abs(moved.first - was.first) == 50.0


def test_what_frees_only_together_is_told_together() -> None:
    """The one wall that could take the building vent is too narrow, and the owner wants no vent in it."""
    text = narrow(starter_text("mm")).replace("no vents in walls: N, S, E, W", "no vents in walls: N, S, E, W, P, T")
    found = clashes(text, frozenset({"stud P", "no vents P", "aav"}))["building vent"]
    assert not found.alone
    assert len(found.together) == 2
    assert ids(found) >= {"stud P", "no vents P"}


def test_what_is_blocked_is_told_as_laid_out_whole_and_what_is_free_is_not_bettered() -> None:
    """Two ways to the same answer; steps of search are counted where nothing is blocked."""
    text = starter_text("inch").replace("no vents in walls: N, S, E, W", "no vents in walls: N, S, E, W, P, T")
    spoilt, free = read_job_text(text), read_job_text(starter_text("inch"))
    assert laying.blocked(spoilt) == laying.lay(spoilt).layout.blocked != ()
    one, whole = laying.lay(free, until_free=True).layout, laying.lay(free).layout
    assert one.blocked == whole.blocked == ()
    assert 0 < one.effort < whole.effort
    assert {t.tag for t in one.traps} == {t.tag for t in whole.traps}
    assert laying.blocked(small_house(20)) == (), "blocked as drawn first, and not in another order"


def test_what_nothing_known_frees_is_told_so() -> None:
    text = starter_text("inch").replace("no vents in walls: N, S, E, W", "no vents in walls: N, S, E, W, P, T")
    found = clashes(text, frozenset({"terminals", "fall"}))["BT1"]
    assert (found.clash, found.alone, found.together) == ((), (), ())


def test_the_finding_tells_what_clashes() -> None:
    text = starter_text("inch").replace("no vents in walls: N, S, E, W", "no vents in walls: N, S, E, W, P, T")
    job = read_job_text(text)
    verdict = run.check(run.explained(job, run.design(job)))
    lavatory = next(f for f in verdict.findings if f.check == "BLK001" and "LV1" in f.about)
    assert "no vents are wanted in wall P" in lavatory.found
    assert "no air admittance valve is allowed" in lavatory.found
    assert "permission for an air admittance valve" in lavatory.do


def test_ended_by_hand_the_search_keeps_what_it_found(monkeypatch: pytest.MonkeyPatch) -> None:
    text = starter_text("inch").replace("no vents in walls: N, S, E, W", "no vents in walls: N, S, E, W, P, T")
    job = read_job_text(text)
    design = run.design(job)
    assert len(design.blocked) > 1
    real, asked = clash.clash_of, list[Blocked]()

    def until_the_second(one: Blocked, *rest: object) -> clash.Clash:
        asked.append(one)
        if len(asked) > 1:
            raise KeyboardInterrupt
        return real(one, *rest)

    monkeypatch.setattr(clash, "clash_of", until_the_second)
    ended = run.explained(job, design, endable=True)
    assert [b.about for b in ended.blocked] == [b.about for b in design.blocked]
    assert ended.blocked[0] != design.blocked[0]
    assert ended.blocked[1:] == design.blocked[1:]
    (note,) = set(ended.notes) - set(design.notes)
    assert all(tag in note for one in design.blocked[1:] for tag in one.about)
    asked.clear()
    with pytest.raises(KeyboardInterrupt):
        run.explained(job, design)


def test_what_is_certain_is_not_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    job = read_job_text(starter_text("inch"))
    one = Blocked(("LV1",), "too low", "a lower connection", certain=True)
    monkeypatch.setattr(clash, "clash_of", lambda *_: pytest.fail("tried"))
    assert run.explained(job, replace(run.design(job), blocked=(one,))).blocked == (one,)
