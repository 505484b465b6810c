"""Faults of amendments and confirmations: told with their line, before anything is laid out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from stubout import units
from stubout.files.books import book_of, load_book
from stubout.files.job_words import did_you_mean, quoted
from stubout.job.model import AmendSaid, ConfirmSaid
from stubout.problems import Fault, RuleBookError
from stubout.rulebooks import amend, confirm, spots
from stubout.rulebooks.model import RuleBook
from stubout.rulebooks.overlay import Amend, Confirm


def amendment_faults(said: Sequence[AmendSaid], books: tuple[RuleBook, RuleBook], name: str) -> Iterator[Fault]:
    """Yield what is wrong with the amendments of one file; `name` is what the file is called.

    Args:
        said: The amendments of the file, in its order.
        books: The plumbing book and the framing book of the job, as shipped.
        name: The file.
    """
    for number, one in enumerate(said, start=1):
        place = f"amendments[no. {number}]"
        if bool(one.is_.strip()) == bool(one.ask.strip()):
            found = "both `is` and `ask`" if one.ask.strip() else "neither `is` nor `ask`"
            yield Fault(name, one.line, place, found, "one of them: a value, or the question to the inspector")
            continue
        yield from _unsigned(one.line, place, name, citation=one.citation, author=one.author, date=one.date)
        fault = _amendment_fault(book_of(one.value, *books), one, place, name)
        if fault is not None:
            yield fault


def _unsigned(line: int, place: str, name: str, **words: str) -> Iterator[Fault]:
    for key, text in words.items():
        if not text.strip():
            yield Fault(name, line, f"{place}.{key}", "nothing", "a text: what nobody signed changes nothing")


def _amendment_fault(book: RuleBook, said: AmendSaid, place: str, name: str) -> Fault | None:
    one = Amend(said.value, said.is_, said.citation, said.author, said.date, said.reason, ask=said.ask)
    try:
        amended = amend.apply(book, (one,))
    except RuleBookError as error:
        cause = error.__cause__
        if isinstance(cause, units.UnitError):
            do = f"{cause.do[0].upper()}{cause.do[1:]}." if cause.do else ""
            return Fault(name, said.line, f"{place}.is", quoted(cause.found), cause.wanted, do)
        _, _, wanted = str(error).partition(", wanted ")
        if wanted:
            return Fault(name, said.line, f"{place}.is", quoted(said.is_), wanted)
        wanted = f"a value that books know; `stubout lookup {book.id}` lists those of this one"
        do = did_you_mean(said.value, spots.ids(book))
        return Fault(name, said.line, f"{place}.value", quoted(said.value), wanted, do)
    cell = spots.spot(amended, said.value).cell
    if cell and cell.amended_by and isinstance(cell.value, float) and cell.value < 0:
        return Fault(name, said.line, f"{place}.is", quoted(said.is_), "no minus here")
    return None


def confirmation_faults(said: Sequence[ConfirmSaid], books: tuple[RuleBook, RuleBook], name: str) -> Iterator[Fault]:
    """Yield what is wrong with the confirmations of one file; `name` is what the file is called.

    Args:
        said: The confirmations of the file, in its order.
        books: The plumbing book and the framing book of the job, as shipped.
        name: The file.
    """
    for number, one in enumerate(said, start=1):
        place = f"confirmations[no. {number}]"
        yield from _unsigned(one.line, place, name, printed=one.printed, by=one.by, date=one.date)
        if not one.printed.strip():
            continue
        try:
            shelf = (load_book(one.book),) if one.book else books
        except RuleBookError as error:
            yield Fault(name, one.line, f"{place}.book", quoted(one.book), "the id of a rule book", f"{error}.")
            continue
        asked = Confirm(one.value, one.printed, one.by, one.date, book=one.book)
        found = next(((b, c) for b in shelf if (c := confirm.confirmable(b, asked)) is not None), None)
        if found is None:
            wanted = f"a value or a clause of {' or '.join(b.id for b in shelf)}"
            do = did_you_mean(one.value, [i for b in shelf for i in (*spots.ids(b), *b.clauses)])
            yield Fault(name, one.line, f"{place}.value", quoted(one.value), wanted, do)
            continue
        book, cell = found
        if ours := confirm.printed_differs(book, asked, cell):
            wanted = f"{ours}, as we have it from {cell.book} {cell.section}".strip()
            do = (
                f"If your copy says {quoted(one.printed)}, this is no confirmation: write it as an amendment of "
                f"{cell.id}, with the page of your copy as its citation."
            )
            yield Fault(name, one.line, f"{place}.printed", quoted(one.printed), wanted, do)
