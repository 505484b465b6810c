"""One cause is told once: a missing cleanout, covers in the floor, a drawer before a trap."""

from __future__ import annotations

from pathlib import Path

import pytest

from stubout import run
from stubout.layout.cleanout_spots import Spots

TURNS = Path(__file__).parent / "data" / "missing-cleanout.yaml"  # invented: a drain that turns under a slab


@pytest.fixture
def closed_in(monkeypatch):
    """Nothing opens indoors: no removable trap, no cover in a floor."""
    monkeypatch.setattr(Spots, "traps", lambda *_: [])
    monkeypatch.setattr(Spots, "_to_floor", lambda *_: None)
    monkeypatch.setattr(Spots, "_tees", lambda *_: [])


@pytest.mark.usefixtures("closed_in")
def test_a_turn_that_easing_takes_asks_for_no_cleanout():
    """Both square turns become two of 45 degrees, which the book (IRC, 708.1.4) lets go without."""
    design = run.design(run.read(str(TURNS)))
    assert not [q for q in design.questions if q.id.endswith("-cleanout")]
    assert not [f for f in run.check(design).findings if f.check.startswith("CLO")]


@pytest.mark.usefixtures("closed_in")
def test_a_missing_cleanout_is_one_finding_with_its_question():
    design = run.finish(run.lay(run.read(str(TURNS))))
    asked = {q.about[0] for q in design.questions if q.id.endswith("-cleanout")}
    assert asked
    told = [f for f in run.check(design).findings if asked & set(f.about)]
    assert {a for f in told for a in f.about} >= asked, "a question about a cleanout that no check misses"
    for f in told:
        assert f.check.startswith("CLO")
        assert "ask the inspector where it may be" in f.do
        assert f.owner == "inspector"


@pytest.mark.parametrize("name", ["01", "02"])
def test_covers_in_floors_are_one_question(chain, name):
    c = chain(name)
    covers = {p.id for p in c.design.cleanouts if "cover in the floor" in p.access}
    assert len(covers) > 1
    (q,) = [q for q in c.design.questions if covers & set(q.about)]
    assert set(q.about) == covers
    assert len([f for f in c.said("ASK001") if covers & set(f.about)]) == 1


def test_a_drawer_before_a_trap_is_one_finding(c01):
    assert [f.check for f in c01.verdict.findings if f.check.startswith("STB") and "LV3" in f.about] == ["STB005"]
