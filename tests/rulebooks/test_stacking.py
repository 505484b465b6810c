"""Amendments that lie over one another, and values that are left to the inspector."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.files.books import adopted, load_book
from stubout.problems import AskInspector, NotInBook, Question, Status
from stubout.rulebooks import queries as q
from stubout.rulebooks.amend import apply
from stubout.rulebooks.asks import merged, questions
from stubout.rulebooks.overlay import Amend
from stubout.rulebooks.tables import at, canonical, find, least, rows, table

PROVINCE = Amend("terminal.above_roof", "300 mm", "regulation 2", "Province", "2029-01-01")
CITY = Amend("terminal.above_roof", "450 mm", "by-law 7", "City", "2030-01-01", "snow", source="City rules, city.yaml")
ASK = Amend("terminal.above_roof", "", "by-law 9", "City", "2030-02-01", ask="How high  with our\n snow?", line=12)
ARM = Amend("trap_arm[size_in=1.50]", "", "by-law 9", "City", "2030-02-01", ask="How long may a trap arm be?")


def test_a_later_amendment_tells_what_it_lies_over() -> None:
    """The shipped value is 150 mm (6 in): reference file of the book, article 2.5.6.5."""
    cell = q.terminal_above_roof(load_book("npc-2020", [PROVINCE, CITY]))
    assert cell.number == 450
    assert cell.over == ("300 mm (regulation 2, Province, 2029-01-01)", "the book's 150 mm (6 in)")
    assert cell.basis.note == (
        "amended: by-law 7, City, 2030-01-01 [City rules, city.yaml]; over 300 mm (regulation 2, Province, 2029-01-01);"
        " over the book's 150 mm (6 in)"
    )


@pytest.mark.parametrize("spelling", ["trap_arm[1.5]", "trap_arm[1.50]", "trap_arm[size_in=1.5]", " trap_arm[ 1.5 ] "])
def test_every_spelling_of_a_cell_is_the_same_cell(spelling: str) -> None:
    assert canonical(spelling) == "trap_arm[1.5]"


def test_an_amendment_of_a_framing_value_reaches_the_framing_book() -> None:
    """The edge of a stud's hole is 5/8 in in the shipped framing book: IRC R602.6."""
    said = [Amend("stud_bore.edge", "3/4 in", "rule", "Town", "2030"), PROVINCE]
    book, framing = adopted("irc-2021", "irc-framing-2021", said, ())
    assert framing.value("stud_bore.edge").number == pytest.approx(0.75 * 25.4)
    assert framing.amendments == ("stud_bore.edge = 3/4 in (rule, Town, 2030)",)
    assert book.find("stud_bore.edge") is None
    assert q.terminal_above_roof(book).number == 300


def test_what_is_asked_is_assumed_by_the_layout_and_missing_for_the_checks() -> None:
    book = load_book("npc-2020", [ASK])
    assumed = q.terminal_above_roof(book)
    assert (assumed.number, assumed.status) == (150, Status.ESTIMATE)
    assert "assumed until the inspector answers" in assumed.note
    assert not assumed.amended_by
    strict = book.to_judge_by
    for ask in (strict.value, strict.find):
        with pytest.raises(AskInspector, match=r'ask: "How high with our snow\?" \(by-law 9, City, 2030-02-01\)'):
            ask("terminal.above_roof")
    assert strict.find("terminal.frost_least") is not None


def test_nothing_lies_under_a_value_the_book_leaves_to_the_town() -> None:
    """IPC 2021, 903.1.1: the jurisdiction fills in the height."""
    book = load_book("ipc-2021", [ASK])
    with pytest.raises(NotInBook, match="How high with our snow"):
        q.terminal_above_roof(book)
    assert book.asked["terminal.above_roof"].assumed == "that there is no such rule"
    with pytest.raises(AskInspector):
        book.to_judge_by.find("terminal.above_roof")


def test_an_answer_lies_over_the_value_and_not_over_the_question() -> None:
    book = load_book("npc-2020", [PROVINCE, ASK, CITY])
    cell = q.terminal_above_roof(book)
    assert (cell.number, cell.status) == (450, Status.JOB)
    assert cell.over[0] == "300 mm (regulation 2, Province, 2029-01-01)"
    assert not book.asked
    assert book.to_judge_by is book
    assert len(book.amendments) == 3


def test_a_cell_of_a_table_that_is_asked_raises_wherever_it_is_met() -> None:
    book = load_book("npc-2020", [ARM])
    assert q.arm_max_length(book, 1.5).number == 1800  # what the book says, NPC 2.5.6.3, assumed
    arms = table(book.to_judge_by, "trap_arm")
    for meet in (
        lambda: at(arms, size_in=1.5),
        lambda: find(book.to_judge_by, "trap_arm", size_in=1.5),
        lambda: rows(arms),
        lambda: least(arms, "size_in", 1700.0),
    ):
        with pytest.raises(AskInspector, match="How long may a trap arm be"):
            meet()
    assert at(arms, size_in=2.0).number == q.arm_max_length(load_book("npc-2020"), 2.0).number
    assert least(arms, "size_in", 1.0)[0] == 1.25  # found before the cell that is asked


def test_the_fall_back_for_a_silent_book_does_not_swallow_a_question() -> None:
    assert not issubclass(AskInspector, NotInBook)


def test_the_question_to_put() -> None:
    (asked,) = questions(load_book("npc-2020", [PROVINCE, ASK]), "Inspector I")
    assert asked.id == "ask-terminal.above_roof"
    assert (asked.text, asked.owner, asked.line) == ("How high with our snow?", "Inspector I", 12)
    assert asked.assumed == "300 mm (regulation 2, Province, 2029-01-01)"
    assert "terminal.above_roof" in asked.blocks


def test_what_the_book_says_is_assumed_by_its_own_name() -> None:
    book = load_book("npc-2020", [ASK])
    assert book.asked["terminal.above_roof"].assumed == "150 mm (6 in) (npc-2020 2.5.6.5)"
    assert q.terminal_above_roof(book).note.endswith("; from npc-2020 2.5.6.5")


def test_the_book_of_the_checks_goes_once_all_is_answered() -> None:
    asked = load_book("npc-2020", [ASK])
    assert asked.to_judge_by is not asked
    answered = apply(asked, [CITY])
    assert answered.unanswered is None
    assert answered.to_judge_by.find("terminal.above_roof") is not None


def question(about: str, assumed: str, owner: str = "inspector") -> Question:
    return Question(f"q-{about}", f"what of {about}?", owner, "checks", assumed=assumed, about=(about,))


def test_a_value_that_two_stages_ask_about_is_asked_once() -> None:
    a, b = question("a.b", "the book's"), question("c.d", "nothing")
    met, other = question("a.b", "what was drawn", "layout"), question("e.f", "", "layout")
    assert merged([a, b], [met, other]) == (replace(a, assumed="what was drawn"), b, other)
    assert merged([a], [replace(met, assumed="")]) == (a,)  # nothing was assumed beside
    assert merged([], [met]) == (met,)
