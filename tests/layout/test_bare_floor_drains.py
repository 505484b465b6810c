"""Floor drains without a vent: NPC 2.5.1.1(3) asks for a trap of 3 in there, and for 2 in where there is a vent."""

from __future__ import annotations

from pathlib import Path

from stubout import run
from stubout.files.jobs import read_job_text
from stubout.layout.model import VentMethod

CABIN = Path(__file__).parents[1] / "change" / "cabin.yaml"
DRAWN_ONCE = "\nchoices:\n  - drawn: as usual\n"  # any layout will do


def test_the_trap_is_as_large_as_asked_without_a_vent_where_the_job_says_none() -> None:
    text = CABIN.read_text(encoding="utf-8")
    assert text.count("    trap: 3\n") == 1
    judged = run.judged(read_job_text(text.replace("    trap: 3\n", "") + DRAWN_ONCE))
    (trap,) = [t for t in judged.design.network.traps if t.tag == "FD"]
    assert (trap.method, trap.trap_in) == (VentMethod.NONE, 3.0)
    assert not [f for f in judged.open if f.check == "FLD001"]
    (why,) = [d for d in judged.design.derivations if d.about == trap.arm_runs[0] and d.what == "size"]
    assert "trap of FD: floor drain without a vent, 3 in at least" in why.steps
    assert "2.5.1.1(3)" in {b.section for b in why.bases}


def test_a_trap_that_the_job_says_is_kept_and_told() -> None:
    text = CABIN.read_text(encoding="utf-8").replace("    trap: 3\n", "    trap: 2\n")
    judged = run.judged(read_job_text(text + DRAWN_ONCE))
    (trap,) = [t for t in judged.design.network.traps if t.tag == "FD"]
    assert (trap.method, trap.trap_in) == (VentMethod.NONE, 2.0)
    assert [f.found for f in judged.open if f.check == "FLD001"] == ["FD has no vent and a 2 in trap"]
