"""Other layouts beside the one of the sheets: whole, checked, and different in kind.

Expected: by hand, from what was asked for: the wall, the method or the number of terminals must have changed.
"""

from __future__ import annotations

import json

import pytest

from stubout import run
from stubout.change.others import Other, told

pytestmark = pytest.mark.usefixtures("laid_out_once")


@pytest.fixture(scope="module")
def found() -> run.Beside:
    return run.beside(run.demo_job())


def of_kind(found: run.Beside, kind: str) -> Other:
    return next(o for o in found.others if o.kind == kind)


def test_the_first_is_the_layout_of_the_sheets(found: run.Beside) -> None:
    main = found.others[0]
    assert (main.kind, main.differs) == ("as laid out", "")
    assert main.facts.pipe_mm == pytest.approx(sum(p.length_mm for p in found.design.network.pipes))
    assert main.facts.holes == len(found.design.fabrication.bores)


def test_each_kind_comes_once_and_really_differs(found: run.Beside) -> None:
    kinds = [o.kind for o in found.others]
    assert 3 <= len(kinds) == len(set(kinds)) <= 5
    main = found.others[0].facts
    assert of_kind(found, "stack wall").facts.stack_walls != main.stack_walls
    assert of_kind(found, "vent method").facts.methods != main.methods
    for o in found.others[1:]:
        assert o.facts.blocked == 0
        assert o.differs


def test_a_wet_vent_saves_pipe_where_the_owner_lets_it(found: run.Beside) -> None:
    """The demonstration house wants no wet vents; with them two traps need no vent of their own.

    Held against the house as it is laid out first, as the others are: the sheets have the best of several.
    """
    wet = of_kind(found, "vent method")
    assert "wet" in dict(wet.facts.methods).values()
    first = run.judged(run.demo_job()).design.network
    assert wet.facts.pipe_mm < sum(p.length_mm for p in first.pipes)


def test_they_are_told_with_what_each_costs(found: run.Beside) -> None:
    words = told(found.others, "inch")
    assert words.count("cost ") == len(found.others) - 1


def test_page_and_json_stand_in_the_packet(found: run.Beside) -> None:
    files = run.outputs(found.design, run.check(found.design), among=found)
    data = json.loads(files["alternatives.json"])
    assert [o["kind"] for o in data["layouts"]] == [o.kind for o in found.others]
    assert "alternatives.json" not in run.outputs(found.design, run.check(found.design))
