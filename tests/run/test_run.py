"""The use cases, on the bundled house."""

from __future__ import annotations

import pytest
from laid_out import design_named

from stubout import run
from stubout.design import Design


@pytest.fixture(scope="module")
def design() -> Design:
    return design_named("demo")


def test_stages_are_told_in_order() -> None:
    said: list[str] = []
    run.design(run.demo_job(), said.append)
    stages = ["house", "rule books", "layout", "network and sizes", "fittings, pieces, bores", "other orders"]
    stages.append("what the checks find put right")
    assert said[: len(stages)] == stages
    rest = said[len(stages) :]
    last = rest.index("ways of all layouts put together")
    ours = ("layout ", "vents in another order: ")
    assert all(words.startswith(ours) for words in rest[:last]), "how many others were tried, and what was won besides"
    (hung,) = rest[last + 1 :]  # it stands over a crawl space
    assert hung.startswith("drains hung under the joists: 0 findings, ")


def test_the_same_job_gives_the_same_design(design: Design) -> None:
    assert run.design(run.demo_job()).network == design.network


def test_findings_come_gravest_first(design: Design) -> None:
    verdict = run.check(design)
    order = ["STOP", "FIX", "ASK", "NOTE"]
    levels = [order.index(f.level.value) for f in verdict.findings]
    assert levels == sorted(levels)
    assert all(f in verdict.findings for f in verdict.open)


def test_why_is_known_for_every_pipe(design: Design) -> None:
    ids = set(run.known_ids(design))
    assert {p.id for p in design.network.pipes} <= ids
    assert run.why(design, design.network.pipes[0].id.lower())
    assert run.why(design, "no such thing") == ()


def test_lookup_asks_for_all_words() -> None:
    book = run.book("npc-2020")
    both = run.lookup(book, "trap arm")
    assert both
    assert all("trap" in f"{c.id} {c.what} {c.section}".casefold() for c in both)
    assert run.lookup(book, "zeppelin") == ()


def test_file_names_suit_every_system() -> None:
    ids = ("wall-M-P-L", "wall-a/b", "wall-N\u00f6", "wall-p", "wall-P", "wall-a_2fb")
    names = ("wall-M-P-L", "wall-a_2fb", "wall-N_f6", "wall-p", "wall-P-2", "wall-a_2fb-2")
    assert run.file_names(ids) == dict(zip(ids, names, strict=True))


def test_a_fixture_answers_for_its_arm_and_vent(design: Design) -> None:
    trap = next(t for t in design.network.traps if t.arm_runs and t.vent_runs)
    about = {d.about for d in run.why(design, trap.tag)}
    assert set(trap.arm_runs) | set(trap.vent_runs) <= about
