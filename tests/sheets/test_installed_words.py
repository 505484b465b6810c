"""What the sheets say of installed pipe: its material, and which couplings join new pipe to it."""

from __future__ import annotations

from pathlib import Path

import pytest

from stubout import run
from stubout.design import Design
from stubout.fabrication.set_in import TRANSITION
from stubout.files.jobs import read_job_text
from stubout.sheets.words import installed_words, set_in_words

DRAWN = (Path(__file__).parents[2] / "examples" / "drawn-bath.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def old() -> Design:
    text = DRAWN
    for i, says in (("S1", "material: cast iron"), ("BD", ""), ("CO1", ""), ("V-WC1", "material: cast iron")):
        head = text.index(f"  - id: {i} ") if f"  - id: {i} " in text else text.index(f"  - id: {i}\n")
        at = text.index("    system:", head)
        text = f"{text[:at]}    installed: old\n{f'    {says}' + chr(10) if says else ''}{text[at:]}"
    return run.design(read_job_text(text))


def test_the_note_says_the_material(old):
    (note,) = installed_words(old.pipes())
    assert "S1" in note
    assert "of cast iron" in note
    assert "BD.1" in note
    assert "of unknown material" in note


def test_the_note_names_fitting_and_couplings_where_they_are(old):
    (note,) = set_in_words(old, old.pipes())
    wye = next(f for f in old.fabrication.fittings if f.node == "BD@1")
    sleeves = [f.id for f in old.fabrication.fittings if f.node == wye.node and f.pattern == TRANSITION]
    assert f"{wye.id} {wye.pattern}" in note
    assert sleeves
    assert all(i in note for i in sleeves)
    assert set_in_words(old, (), 0.0) == ()
    vents = [p for p in old.pipes() if p.system == "vent"]
    assert wye.id not in "".join(set_in_words(old, vents))
    assert set_in_words(old, old.pipes(), 1.0e6) == ()


def test_a_job_without_old_pipe_has_no_note():
    new = run.design(read_job_text(DRAWN))
    assert installed_words(new.pipes()) == set_in_words(new, new.pipes()) == ()
