"""Confirmations: what the user has compared with their own copy of a book."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_books import with_values

from stubout.files.books import adopted, load_book
from stubout.problems import RuleBookError, Status
from stubout.rulebooks import confirm
from stubout.rulebooks import queries as q
from stubout.rulebooks.frozen import Frozen
from stubout.rulebooks.model import RuleBook
from stubout.rulebooks.overlay import Amend, Confirm
from stubout.rulebooks.spots import put, spot


def said(value_id: str, printed: str, book: str = "") -> Confirm:
    return Confirm(value_id, printed, "Plumber P", "2030-01-05", "second printing", book)


def doubtful() -> RuleBook:
    """Return the book with a value nobody has read, whatever its data say today."""
    book = load_book("npc-2020")
    place = spot(book, "trap_arm[1.5]")
    assert place.cell is not None
    return put(book, place, replace(place.cell, status=Status.SECONDARY))


@pytest.mark.parametrize("printed", ["1.8 m", "1800 mm", " 1.8  M "])
def test_a_confirmed_value_is_sure_and_says_who_read_it(printed: str) -> None:
    shipped = q.arm_max_length(doubtful(), 1.5)
    cell = q.arm_max_length(confirm.apply(doubtful(), [said("trap_arm[1.5]", printed)]), 1.5)
    assert cell.status is Status.CONFIRMED
    assert cell.status.verified
    assert (cell.number, cell.printed, cell.section) == (shipped.number, shipped.printed, shipped.section)
    assert cell.basis.note.endswith("read in their own copy by Plumber P, 2030-01-05, second printing")


def test_the_shipped_book_is_as_it_was() -> None:
    before = load_book("npc-2020")
    confirm.apply(before, [said("trap_arm[1.5]", "1.8 m")])
    assert load_book("npc-2020") is before
    assert not q.arm_max_length(before, 1.5).confirmed_by


def test_another_figure_is_no_confirmation() -> None:
    with pytest.raises(RuleBookError, match=r"confirmation of trap_arm\[1.5\]: found '1.5 m', wanted 1.8 m"):
        confirm.apply(load_book("npc-2020"), [said("trap_arm[1.5]", "1.5 m")])
    with pytest.raises(RuleBookError, match=r"wanted 1\.8 m"):
        confirm.apply(load_book("npc-2020"), [said("trap_arm[1.5]", "long enough")])


def test_a_value_that_was_read_keeps_its_status() -> None:
    book = load_book("npc-2020")
    read = next(c for c in book.values.values() if c.status is Status.READ)
    cell = confirm.apply(book, [said(read.id, read.printed)]).value(read.id)
    assert cell.status is Status.READ
    assert cell.confirmed_by


def test_a_clause_is_confirmed_by_its_section() -> None:
    book = load_book("npc-2020")
    clause = replace(book.clauses["VNT004"], status=Status.MEMORY)
    book = replace(book, clauses=Frozen({**book.clauses, "VNT004": clause}))
    section = clause.section
    assert confirm.apply(book, [said("VNT004", section)]).clauses["VNT004"].status is Status.CONFIRMED
    with pytest.raises(RuleBookError, match=f"wanted section {section}"):
        confirm.apply(book, [said("VNT004", "9.9.9")])


def test_another_book_is_passed_over_and_a_parent_is_not() -> None:
    one = said("trap_arm[1.5]", "1.8 m", "npc-2020")
    assert confirm.confirmable(load_book("upc-2021"), one) is None
    assert confirm.confirmable(load_book("npc-2020"), one) is not None
    # a value that the residential code takes from the plumbing code may be named by either book
    child = load_book("irc-2021")
    taken = next(c for c in child.values.values() if c.book == "ipc-2021")
    for book in ("irc-2021", "ipc-2021"):
        assert confirm.confirmable(child, said(taken.id, taken.printed, book)) is not None


def test_an_amendment_lies_over_a_confirmed_value() -> None:
    amend = Amend("trap_arm[1.5]", "1.5 m", "by-law", "City", "2030")
    book, _ = adopted("npc-2020", "nbc-9.23.5", [amend], [said("trap_arm[1.5]", "1.8 m")])
    cell = q.arm_max_length(book, 1.5)
    assert (cell.number, cell.status, cell.over) == (1500, Status.JOB, ("the book's 1.8 m",))


def test_a_reckoned_figure_names_the_values_it_stands_on() -> None:
    """Hole of a stud: a fraction of the depth, IRC R602.6; so the fraction is what is to be looked up."""
    framing = load_book("irc-framing-2021")
    limit = q.stud_bore_limit(framing, 139.7, bearing=False, exterior=False, doubled=False)
    assert limit.basis.of == ("stud_bore.nonbearing_fraction",)
    assert q.stud_edge(framing).basis.of == ("stud_bore.edge",)


@pytest.mark.parametrize(("printed", "same"), [("true", True), ("Yes", True), ("false", False), ("no", False)])
def test_a_yes_is_confirmed_by_a_yes_in_other_words(printed: str, same: bool) -> None:
    book = with_values(load_book("npc-2020"), wet_vent__same_floor=True)
    cell = replace(book.value("wet_vent.same_floor"), printed="shall be")
    assert (confirm.printed_differs(book, said(cell.id, printed), cell) == "") is same


def test_a_rule_in_words_is_confirmed_by_the_same_words() -> None:
    book = with_values(load_book("npc-2020"), terminal__frost_rule="enlarged 2'-6\" below the roof")
    cell = replace(book.value("terminal.frost_rule"), printed="in words")
    for mark in ("enlarged 2'-6\" below the roof", "enlarged 2′-6″ below the roof", "Enlarged  2′-6″  below the roof"):
        assert confirm.printed_differs(book, said(cell.id, mark), cell) == ""
    assert confirm.printed_differs(book, said(cell.id, "enlarged 2-6 below the roof"), cell) == "in words"
    typeset = replace(cell, printed="2′-6″ of it", value="x")
    assert confirm.printed_differs(book, said(cell.id, "2'-6\" of it"), typeset) == ""


def test_a_figure_is_confirmed_within_a_ten_thousandth() -> None:
    book = with_values(load_book("npc-2020"), terminal__above_roof=152.4)
    cell = book.value("terminal.above_roof")
    assert confirm.printed_differs(book, said(cell.id, "152.41 mm"), cell) == ""
    assert confirm.printed_differs(book, said(cell.id, "152.5 mm"), cell) == cell.printed
