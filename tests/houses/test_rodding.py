"""A turn that no cleanout can serve is laid another way, where the house has one."""

import pytest
from plausible import plausible

from stubout import run
from stubout.files.books import book_ids
from stubout.files.jobs import read_job_text
from stubout.layout.rodding import missing


@pytest.mark.parametrize("seed", [24, 30])
def test_every_turn_finds_its_cleanout(seed):
    """Published: a cleanout for each turn over 45 degrees (IRC P3005.2.4), for 90 in all (NPC 2.4.7.1); from memory."""
    design = run.design(read_job_text(plausible(seed), "house.yaml", book_ids()))
    assert design.blocked == ()
    assert not [q for q in design.questions if q.id.endswith("-cleanout")]
    assert not [f for f in run.check(design).findings if f.check in ("CLO002", "CLO003", "CLO004")]


def test_missing_reads_the_questions_of_the_cleanouts_only():
    class Asked:
        def __init__(self, id_, about):
            self.id, self.about = id_, (about,)

    class Drawn:
        questions = (Asked("Q-N3-cleanout", "N3"), Asked("Q-terminal-above-roof", "x"), Asked("Q-D4-cleanout", "D4"))

    assert missing(Drawn()) == ("N3", "D4")
