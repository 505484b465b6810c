"""Faults of the amendments of a job: told with their line, before anything is laid out."""

from __future__ import annotations

from stubout import units
from stubout.files.books import load_book
from stubout.files.job_words import did_you_mean, quoted
from stubout.house.model import Amend
from stubout.job.model import AmendSaid, Job
from stubout.problems import Fault, RuleBookError
from stubout.rulebooks import amend
from stubout.rulebooks.model import RuleBook


def amendment_faults(job: Job, name: str) -> list[Fault]:
    """Return what is wrong with the amendments of a job whose book is known; `name` is what the file is called."""
    book = load_book(job.job.book)
    found = (_fault(book, number, said, name) for number, said in enumerate(job.amendments, start=1))
    return [f for f in found if f]


def _fault(book: RuleBook, number: int, said: AmendSaid, name: str) -> Fault | None:
    one = Amend(said.value, said.is_, said.citation, said.author, said.date, said.reason)
    place = f"amendments[no. {number}]"
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
        do = did_you_mean(said.value, amend.ids(book))
        return Fault(name, said.line, f"{place}.value", quoted(said.value), wanted, do)
    cells = [amended.values.get(said.value), *(r.cell for t in amended.tables.values() for r in t.rows)]
    if any(c and c.amended_by and isinstance(c.value, float) and c.value < 0 for c in cells):
        return Fault(name, said.line, f"{place}.is", quoted(said.is_), "no minus here")
    return None
