"""A turn that no cleanout can serve is laid another way, where the house has one."""

from types import SimpleNamespace

import pytest
from laid_out import design_of
from plausible import plausible

from stubout import run
from stubout.files.books import book_ids
from stubout.files.jobs import read_job_text
from stubout.layout.rodding import Rodded, missing, rodded
from stubout.layout.work import Ban, Order


@pytest.mark.parametrize("seed", [24, 30])
def test_every_turn_finds_its_cleanout(seed):
    """Published: a cleanout for each turn over 45 degrees (IRC P3005.2.4), for 90 in all (NPC 2.4.7.1); from memory."""
    design = design_of(read_job_text(plausible(seed), "house.yaml", book_ids()))
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


def drawing(missed: int, rank: tuple[int, float, float], order: Order) -> Rodded:
    questions = tuple(SimpleNamespace(id=f"Q-N{i}-cleanout", about=(f"N{i}",)) for i in range(missed))
    layout = SimpleNamespace(questions=questions, runs=())
    return Rodded(SimpleNamespace(bans=frozenset(), order=order, traps={}), layout, layout, rank)


@pytest.mark.parametrize(
    ("rank", "kept"),
    [
        ((0, 0.0, 1200.0), True),  # dearer, but every turn is served
        ((0, 1.0, 900.0), False),  # two fittings too near instead
        ((1, 0.0, 900.0), False),  # a fixture blocked instead
    ],
)
def test_fewer_missing_are_kept_where_nothing_else_is_worse(rank: tuple[int, float, float], kept: bool) -> None:
    usual, short = Order(), Order(short=True)
    drawn: list[Order] = []

    def draw(_bans: frozenset[Ban], order: Order) -> Rodded:
        drawn.append(order)
        return drawing(0, rank, order)

    best = rodded(drawing(1, (0, 0.0, 1000.0), usual), draw, (short,), lambda: False)
    assert drawn == [short]
    assert (best.work.order == short) is kept


def test_nothing_is_drawn_again_where_none_is_missing_or_enough_was_searched() -> None:
    def never(_bans: frozenset[Ban], _order: Order) -> Rodded:
        raise AssertionError

    for missed, enough in ((0, False), (1, True)):
        one = drawing(missed, (0, 0.0, 1000.0), Order())
        assert rodded(one, never, (Order(short=True),), lambda enough=enough: enough) is one
