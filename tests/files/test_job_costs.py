"""A job's own costs: every fault with its file and line, and what is good is laid over the data."""

from __future__ import annotations

import pytest

from stubout.catalog.queries import costs_of
from stubout.files.jobs import read_job_text
from stubout.house.resolve import resolve
from stubout.job.starter import starter_text
from stubout.problems import JobFileError

BOOKS = ("upc-2021", "npc-2020", "irc-framing-2021", "nbc-9.23.5")
STARTER = starter_text("inch")


def faults(*lines: str) -> list[str]:
    with pytest.raises(JobFileError) as caught:
        read_job_text(STARTER + "\n".join(("", "costs:", *lines, "")), "house.yaml", BOOKS)
    return [str(f) for f in caught.value.faults]


def line(number: int) -> int:
    """Return the line of the file at which the n-th line under `costs:` stands."""
    return STARTER.count("\n") + 2 + number


def test_an_unknown_item_gets_its_line_and_a_guess() -> None:
    (told,) = faults("  - item: fitting te", "    work: 2")
    assert told.startswith(f"house.yaml:{line(1)}: costs[no. 1].item: ")
    assert "fitting tee" in told


@pytest.mark.parametrize(
    ("lines", "at", "words"),
    [
        (("  - item: pipe",), 1, "`work` or `material`, in minutes"),
        (("  - item: pipe", "    work: -2"), 2, "minutes, no minus"),
        (("  - item: pipe", "    work: 1e308"), 2, "minutes, no minus and at most 10000"),
        (("  - item: pipe", "    work: 2", "    material: 10001"), 3, "at most 10000"),
        (("  - item: pipe", "    work: 1e400"), 2, "at most 10000"),
        (("  - item: pipe", "    work: nan"), 2, "at most 10000"),
        (("  - item: factor crawl", "    work: 101"), 2, "how many times as long it takes, no minus and at most 100"),
        (("  - item: pipe", "    material: .nan"), 2, "wanted a number"),
        (("  - item: pipe", "    work: much"), 2, "number"),
        (("  - item: hanger", '    size: 2"', "    work: 2"), 2, "costs the same in all"),
        (("  - item: pipe", '    size: 8"', "    work: 2"), 2, "one of 1-1/4, 1-1/2"),
        (("  - item: factor crawl", "    material: 2"), 2, "how many times as long"),
        (("  - item: trench", "    work: 2", "  - item: trench", "    work: 3"), 3, "one entry an item and size"),
        (("  - item: trench", "    labour: 2"), 2, "labour"),
    ],
)
def test_faults_are_told_in_their_line(lines: tuple[str, ...], at: int, words: str) -> None:
    told = faults(*lines)
    assert any(t.startswith(f"house.yaml:{line(at)}: ") and words in t for t in told), told


def test_a_jobs_costs_reach_the_house_in_whatever_order_they_stand() -> None:
    one, every = '  - {item: pipe, size: 3", work: 9}\n', "  - {item: pipe, work: 5, material: 1}\n"
    got = []
    for lines in (one + every, every + one):
        house, _ = resolve(read_job_text(f"{STARTER}\ncosts:\n{lines}", "house.yaml", BOOKS))
        got.append(house.costs)
        assert costs_of(house.costs).pipe(3.0).minutes == 10.0
        assert costs_of(house.costs).pipe(2.0).minutes == 6.0
    assert got[0] == got[1]
