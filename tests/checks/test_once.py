"""What two checks would say of one place is told once."""

from __future__ import annotations

from stubout.checks.once import told_once
from stubout.problems import Finding, Level


def finding(check: str, *about: str, owner: str = "") -> Finding:
    return Finding(check, "name", Level.FIX, about, "found", "wanted", "set a cleanout", owner=owner)


MISSING = finding("CLO003", "D2", "D1", "N4")
QUESTION = finding("ASK001", "Q-N4-cleanout", "N4", owner="inspector")


def test_the_question_goes_into_the_finding_of_its_place():
    (one,) = told_once([MISSING, QUESTION])
    assert one.check == "CLO003"
    assert one.do.startswith("set a cleanout; no place was found")
    assert one.owner == "inspector"


def test_a_question_about_another_place_stays():
    other = finding("ASK001", "Q-N9-cleanout", "N9", owner="inspector")
    assert told_once([MISSING, other]) == (MISSING, other)


def test_other_questions_and_other_checks_stay():
    heads = finding("ASK001", "ask-heads-SH4", "SH4", "heads", owner="owner")
    near = finding("CLA001", "N4")
    assert told_once([near, QUESTION, heads]) == (near, QUESTION, heads)
    assert told_once([]) == ()
