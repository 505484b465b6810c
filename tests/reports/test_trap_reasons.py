"""What `stubout why` says of a fixture's trap."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from stubout import run
from stubout.design import Design
from stubout.kinds import FixtureKind
from stubout.reports.reasons import trap_reason

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def drawn() -> Design:
    """Return a bath whose routes are all drawn: it is designed in a moment."""
    return run.design(run.read(str(EXAMPLES / "drawn-bath.yaml")))


def test_a_fixture_answers_for_its_trap_with_both_floors_and_its_clause(drawn: Design) -> None:
    trap = next(t for t in drawn.network.traps if drawn.house.fixture(t.tag).kind is FixtureKind.LAVATORY)
    body = drawn.house.fixture(trap.tag)
    said = run.why(drawn, trap.tag)[0]
    assert (said.about, said.what) == (trap.tag, "trap")
    above = (trap.weir_z_mm - body.finished_z_mm, trap.weir_z_mm - body.subfloor_z_mm)
    for mm, floor in zip(above, ("finished floor", "subfloor"), strict=True):
        assert f"({abs(mm):.0f} mm) above {floor}" in said.value.replace("\u00a0", " ")
    assert said.bases
    assert all(b.section for b in said.bases)


def test_a_closet_has_its_trap_in_it(drawn: Design) -> None:
    trap = next(t for t in drawn.network.traps if drawn.house.fixture(t.tag).kind is FixtureKind.WATER_CLOSET)
    assert trap_reason(drawn, trap).value == "in the closet itself"


def test_an_outlet_that_nobody_has_said_is_open(drawn: Design) -> None:
    trap = next(t for t in drawn.network.traps if drawn.house.fixture(t.tag).kind is FixtureKind.LAVATORY)
    bodies = tuple(replace(f, outlet_z_mm=None) if f.tag == trap.tag else f for f in drawn.house.fixtures)
    unsaid = replace(drawn, house=replace(drawn.house, fixtures=bodies))
    assert "OPEN" not in " ".join(trap_reason(drawn, trap).steps)
    assert any("OPEN" in s and "height of the outlet" in s for s in trap_reason(unsaid, trap).steps)
