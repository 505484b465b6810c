"""The layout that is planned: the best of those in each order and of a few more, most where something is found."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from plausible import plausible

from stubout import laying, run
from stubout.change import best
from stubout.change.combined import MOST_COMBINED
from stubout.change.refine import Trial, choosing
from stubout.design import Design
from stubout.files.demo import demo_job
from stubout.files.jobs import read_job_text
from stubout.job.model import Job
from stubout.job.starter import starter_text
from stubout.layout.choices import ORDERS
from stubout.layout.model import Layout
from stubout.problems import Finding

TRIED = "Other layouts were tried"


def told(design: Design) -> list[str]:
    return [n for n in design.notes if n.startswith(TRIED)]


def worth_as_much(planned: Trial, least: Trial) -> bool:
    """Return whether a layout is the least of all, or nothing is found in it and the least costs hardly less."""
    hardly = planned.cost_min * (1.0 - best.WORTH_ANOTHER) <= least.cost_min
    return planned.rank == least.rank or (planned.rank[:2] == least.rank[:2] == (0, 0) and hardly)


@pytest.mark.parametrize(
    ("was", "one", "is_better"),
    [
        (Trial(0, (), 1000.0, (), None), Trial(0, (), 991.0, (), None), False),  # clean, and hardly cheaper
        (Trial(0, (), 1000.0, (), None), Trial(0, (), 989.0, (), None), True),
        (Trial(0, (), 1000.0, (), None), Trial(0, ("FIT006",), 500.0, (), None), False),
        (Trial(0, ("FIT006",), 1000.0, (), None), Trial(0, ("FIT006",), 999.0, (), None), True),
        (Trial(0, ("FIT006",), 1000.0, (), None), Trial(0, (), 2000.0, (), None), True),
        (Trial(1, (), 1000.0, (), None), Trial(1, (), 999.0, (), None), True),
    ],
)
def test_a_clean_layout_gives_way_only_to_one_that_is_worth_it(was: Trial, one: Trial, is_better: bool) -> None:
    """Where nothing is found the first stays, unless another costs a hundredth less; else whatever ranks before."""
    assert best.better(one, was) is is_better


def test_few_others_are_tried_of_a_clean_house_and_none_dearer_than_the_best_told_is_planned(small: Job) -> None:
    said: list[str] = []
    design = run.design(small, said.append)
    tried = [re.fullmatch(r"layout (\d+) of \d+: best has 0 findings and costs (\d+) min", s) for s in said]
    counts = [(int(m[1]), int(m[2])) for m in tried if m]
    led = [int(m[1]) for s in said if (m := re.fullmatch(r"vents in another order: 0 findings, costs (\d+) min", s))]
    assert counts
    assert counts[-1][0] == best.MOST_CLEAN
    assert round(design.costing().minutes) <= [counts[-1][1], *led][-1], "put together from several it may be cheaper"
    assert all(v < counts[-1][1] for v in led)


@pytest.fixture
def demo() -> Job:
    return demo_job()


@pytest.fixture
def small() -> Job:
    """Return a small house, so that many of its layouts are tried in little time."""
    return read_job_text(starter_text("inch"))


@pytest.fixture
def laid(monkeypatch: pytest.MonkeyPatch) -> list[Trial]:
    """Return the list that every layout judged is put into."""
    judged: list[Trial] = []
    real = best.worth

    def seen(design: Design, layout: Layout, still: Sequence[Finding]) -> Trial:
        judged.append(real(design, layout, still))
        return judged[-1]

    monkeypatch.setattr(best, "worth", seen)
    return judged


def finding(monkeypatch: pytest.MonkeyPatch, faulty: Callable[[Trial], bool]) -> list[Trial]:
    """Let the checks find something in some layouts; return the list that every layout judged is put into."""
    judged: list[Trial] = []
    real = best.worth

    def seen(design: Design, layout: Layout, still: Sequence[Finding]) -> Trial:
        trial = real(design, layout, still)
        judged.append(replace(trial, findings=("FIT006",)) if faulty(trial) else trial)
        return judged[-1]

    monkeypatch.setattr(best, "worth", seen)
    return judged


def test_of_layouts_the_checks_like_the_cheapest_is_planned(demo: Job, laid: list[Trial]) -> None:
    found = run.laid_out(demo)
    assert laid[0].rank[:2] == (0, 0)
    assert len({t.chosen.drawn for t in laid if t.chosen}) == len(ORDERS), "in every order"
    assert len(laid) <= len(ORDERS) + best.MOST_CLEAN + MOST_COMBINED
    assert worth_as_much(found.trial, min(laid, key=lambda t: t.rank))
    assert bool(told(found.design)) == (found.trial.chosen != laid[0].chosen)


def test_others_are_tried_until_one_is_liked(small: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    first = run.lay(small).layout.chosen
    assert first is not None
    assert first.drawn != "short ways"
    judged = finding(monkeypatch, lambda t: t.chosen is not None and t.chosen.drawn != "short ways")
    found = run.laid_out(small)
    laid, design = found.laid, found.design
    assert laid.layout.chosen is not None
    assert laid.layout.chosen.drawn == "short ways"
    (words,) = told(design)
    assert words.endswith("has fewer findings than the first.")
    assert len(judged) <= len(ORDERS) + best.MOST_TRIED + MOST_COMBINED
    assert laid.house == run.lay(small).house, "the house is the job's own, which says no choices"


def test_what_none_betters_stays_the_first_and_is_not_tried_for_ever(
    small: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    judged = finding(monkeypatch, lambda _: True)
    first = run.finish(run.lay(small))
    design = run.design(small)
    assert design.costing().minutes <= first.costing().minutes
    assert len(ORDERS) < len(judged) <= len(ORDERS) + best.MOST_TRIED + MOST_COMBINED


def test_what_every_order_has_is_the_house_s_own(small: Job) -> None:
    one = Trial(0, ("STB005", "FIT006", "GRD002"), 0.0, (), None)
    two = Trial(0, ("GRD002", "STB005", "STB005", "FIT006"), 0.0, (), None)
    assert best.of_house([one, two]) == {"STB005": 1, "GRD002": 1}, "fittings lie otherwise in each"
    assert best.of_house([one, Trial(0, (), 0.0, (), None)]) == {}


def test_a_job_that_says_its_choices_is_laid_out_as_it_says(small: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    judged = finding(monkeypatch, lambda _: True)
    said = choosing(small, ({"drawn": "last first"},))
    found = run.laid_out(said)
    laid, design = found.laid, found.design
    assert len(judged) <= 2, "no other layout is tried, only its vents in another order"
    assert len({(t.chosen.drawn, t.chosen.left_out) for t in judged if t.chosen is not None}) == 1
    assert laid.layout.chosen is not None
    assert laid.layout.chosen.drawn == "last first"
    assert not told(design)


def test_a_house_that_took_much_work_already_is_not_drawn_again(small: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(best, "MOST_EFFORT", 0)
    judged = finding(monkeypatch, lambda _: True)
    run.design(small)
    assert len(judged) <= 2, "itself, and its vents in another order"
    assert len({(t.chosen.drawn, t.chosen.left_out) for t in judged if t.chosen is not None}) == 1


@pytest.mark.parametrize(
    ("blocked", "effort", "enough"),
    [(0, 1.0, False), (0, 1.01, True), (1, 1.01, False), (1, 2.0, False), (1, 2.01, True)],
)
def test_twice_as_much_is_searched_where_something_is_blocked(blocked: int, effort: float, enough: bool) -> None:
    trial = Trial(blocked, ("FIT006",), 1000.0, (), None)
    nothing: Any = None
    one: best.Whole[None] = best.Whole(None, nothing, nothing, (), trial, round(effort * best.MOST_EFFORT))
    assert best._Found([one], nothing).enough(trial) is enough


def test_a_house_nobody_tuned_for_comes_out_no_worse_than_first_laid_out(tmp_path: Path, laid: list[Trial]) -> None:
    path = tmp_path / "job.yaml"
    path.write_text(plausible(18), encoding="utf-8")
    job = run.read(str(path))
    design = run.design(job)
    again = run.design(job)
    planned = replace(laid[0], blocked=len(design.blocked), findings=tuple(f.check for f in run.check(design).open))
    planned = replace(planned, cost_min=design.costing().minutes)
    assert worth_as_much(planned, min(laid, key=lambda t: t.rank))
    assert again.costing() == design.costing()
    assert again.notes == design.notes


def test_the_best_and_those_next_to_it_are_put_right_once_each(demo: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where something is found in every layout that no order is to blame for, the next ones get their turn too."""
    checks = iter(f"X{n}" for n in range(1000))
    real = best.worth

    def seen(design: Design, layout: Layout, still: Sequence[Finding]) -> Trial:
        return replace(real(design, layout, still), findings=(next(checks),))

    monkeypatch.setattr(best, "worth", seen)
    righted: list[Layout] = []

    def put_right(one: Any, _in_vain: object = None) -> Any:
        righted.append(one.laid.layout)
        return one

    monkeypatch.setattr(laying, "put_right", put_right)
    run.laid_out(demo)
    assert 1 < len(righted) <= 3 + laying.MOST_PUT_RIGHT, (
        "the best of those laid out, that put together, that hung, and those next to them"
    )
    assert len({(one.points, one.runs) for one in righted}) == len(righted)
