"""A few of the inputs of the long run, in every run of the suite; and the mutator itself."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from judge import ACCEPTED, FAILED, QUESTIONS, REFUSED, judge
from mutate import BYTES, TAME, WILD, mutant

SOME = range(900_001, 900_161)  # not those of the long run


def test_the_same_number_gives_the_same_bytes() -> None:
    # Taken down once, so that a number in a report stays good: a change of the mutator or of a seed changes it.
    assert [mutant(n) for n in (1, 2, 3)] == [mutant(n) for n in (1, 2, 3)]
    assert len({mutant(n).data for n in SOME}) > 0.9 * len(SOME)


def test_every_change_is_drawn() -> None:
    drawn = {name for n in range(700) for name in mutant(n).changes}
    assert drawn == {change.__name__ for change in (*TAME, *WILD, *BYTES)}


def test_mutants_end_as_promised(tmp_path: Path) -> None:
    path, kinds = tmp_path / "job.yaml", Counter[str]()
    for number in SOME:
        path.write_bytes(mutant(number).data)
        outcome = judge(path, "house")
        assert outcome.kind not in FAILED, (number, outcome.note)
        kinds[outcome.kind] += 1
    # Both ways are taken often, or the mutator tests nothing.
    assert kinds[REFUSED] > len(SOME) / 4
    assert kinds[ACCEPTED] + kinds[QUESTIONS] > len(SOME) / 10


@pytest.mark.parametrize("number", range(900_001, 900_005))
def test_small_mutants_are_laid_out_and_checked(number: int, tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_bytes(mutant(number, small=True).data)
    outcome = judge(path, "design")
    assert outcome.kind not in FAILED, outcome.note
