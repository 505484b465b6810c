"""A layout bettered by trying: what is tried, in which order, and what comes into the job file.

The search is held against a made-up landscape whose best place is known by hand; that the choices of the file lay out
what was judged is tried on the demonstration house.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stubout import run_refine
from stubout.change.refine import AT_ONCE, Refined, Trial, choosing, entry, refine
from stubout.files.demo import demo_job
from stubout.house import site
from stubout.job.model import Job
from stubout.layout.choices import bans_said, choice_of, order_said
from stubout.layout.model import Chosen
from stubout.layout.work import BY_WET, COMMON, STACK, THROUGH, Ban, joint_key, place_key, stack_key
from stubout.units import Units

MADE: tuple[Ban, ...] = (("LV1", "P@3"), ("LV1", joint_key((1000.0, 2400.0))), ("WC1", BY_WET), ("AW", COMMON))


def landscape(
    price: Callable[[frozenset[Ban]], float], faults: Callable[[frozenset[Ban]], int]
) -> Callable[[Job], Trial]:
    def judge(job: Job) -> Trial:
        bans = bans_said(site.choices(job))
        drawn = next((c.drawn for c in job.choices if c.drawn), "as usual")
        found = ("FIT006",) * faults(bans)
        hot = ("WC1",) if found else ()
        chosen = Chosen(drawn, tuple(sorted(bans)), tuple(b for b in MADE if b not in bans))
        return Trial(0, found, price(bans) + 5.0 * (drawn != "short ways"), hot, chosen)

    return judge


def searched(judge: Callable[[Job], Trial], most: int, told: list[str] | None = None) -> tuple[Refined, list[int]]:
    job = demo_job()
    batches: list[int] = []

    def all_of(jobs: Sequence[Job]) -> list[Trial]:
        batches.append(len(jobs))
        return [judge(j) for j in jobs]

    said = told if told is not None else []
    return refine(job, judge(job), all_of, most, said.append), batches


def test_what_is_better_is_gone_on_from_until_nothing_is() -> None:
    """Two bans spare 30 together and one of them alone costs 10 more: the way leads over the better one."""
    a, b = MADE[0], MADE[1]

    def price(bans: frozenset[Ban]) -> float:
        return 1000.0 - 20.0 * (a in bans) - (40.0 if a in bans else -10.0) * (b in bans) + 7.0 * len(bans)

    found, batches = searched(landscape(price, lambda _: 0), 400)
    assert found.better
    assert found.best.cost_min == 1000.0 - 60.0 + 14.0
    assert found.entries == (
        {"drawn": "short ways"},
        {"fixture": "LV1", "vent not in": "P", "near": "2'-0\""},
        {"fixture": "LV1", "joins not near": "3'-3\", 7'-10\""},
    )
    assert max(batches) <= AT_ONCE
    assert found.tried == sum(batches) == 4 * 2**4 - 1 + 1, "every order with every set of choices, each once"


def test_those_concerned_come_first_and_no_finding_is_bought_with_cost() -> None:
    def faults(bans: frozenset[Ban]) -> int:
        return 0 if MADE[2] in bans else 2

    found, _ = searched(landscape(lambda bans: 1000.0 + 100.0 * len(bans), faults), AT_ONCE)
    assert found.best.findings == ()
    assert {"fixture": "WC1", "not vented by": "wet"} in found.entries
    assert found.best.cost_min > found.was.cost_min


def test_so_many_are_tried_and_each_is_told() -> None:
    told: list[str] = []
    found, batches = searched(landscape(lambda _: 1.0, lambda _: 0), 6, told)
    assert (found.tried, batches) == (6, [4, 2])
    assert [words.split(":")[0] for words in told] == ["layout 4 of 6", "layout 6 of 6"]


def test_a_hair_cheaper_is_not_worth_a_changed_file() -> None:
    assert not searched(landscape(lambda bans: 10_000.0 - len(bans), lambda _: 0), 200)[0].better
    assert searched(landscape(lambda bans: 10_000.0 - 20.0 * len(bans), lambda _: 0), 200)[0].better


def test_ended_by_hand_the_best_so_far_counts() -> None:
    judge = landscape(lambda bans: 1000.0 - 50.0 * len(bans), lambda _: 0)
    job = demo_job()
    calls = iter((False, True))

    def all_of(jobs: Sequence[Job]) -> list[Trial]:
        if next(calls):
            raise KeyboardInterrupt
        return [judge(j) for j in jobs]

    told: list[str] = []
    found = refine(job, judge(job), all_of, 100, told.append)
    assert (found.tried, found.better) == (AT_ONCE, True)
    assert told[-1] == "ended by you: the best so far"


def test_a_drawing_by_hand_leaves_nothing_to_choose() -> None:
    found = refine(demo_job(), Trial(0, (), 1.0, (), None), lambda _: pytest.fail("nothing to try"), 9, lambda _: None)
    assert (found.tried, found.better) == (0, False)


lengths = st.floats(-20_000.0, 40_000.0)
places = st.one_of(
    st.builds(lambda z: ("LV1", place_key("P", z)), lengths),
    st.builds(lambda x, y: ("WC1", joint_key((x, y))), lengths, lengths),
    st.builds(lambda x, y: (STACK, stack_key((x, y))), lengths, lengths),
    st.sampled_from([("LV1", BY_WET), ("LV1", COMMON), ("LV1", THROUGH)]),
)


@given(places, st.sampled_from(["inch", "mm"]))
def test_what_is_not_to_be_chosen_comes_back_from_the_file_as_it_was(ban: Ban, system: Units) -> None:
    job = demo_job()
    job = job.model_copy(update={"job": job.job.model_copy(update={"units": system})})
    said = site.choices(choosing(job, [{"drawn": "last first"}, entry(choice_of(ban), system)]))
    assert bans_said(said) == {ban}
    order = order_said(said)
    assert order is not None
    assert order.last_first


def test_the_choices_of_the_file_lay_out_what_was_judged() -> None:
    """Each move of one step from the demonstration house, laid out by itself, stays without what is left out."""
    job = demo_job()
    was = run_refine.tried(job)
    assert was.chosen is not None
    assert was.chosen.left_out == ()
    wanted = [{"drawn": was.chosen.drawn}, entry(choice_of(was.chosen.made[0]), job.job.units)]
    now = run_refine.tried(choosing(job, wanted))
    assert now.chosen is not None
    assert now.chosen.left_out == was.chosen.made[:1]
    assert was.chosen.made[0] not in now.chosen.made
    assert now == run_refine.tried(choosing(job, wanted))
    same = run_refine.tried(choosing(job, wanted[:1]))
    assert same.rank == was.rank, "drawn in the order it was drawn in"
    assert len({t.chosen for t in (was, now, same)}) == 2
