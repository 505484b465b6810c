"""The use cases of the rule books: what they hold, what is to be compared with the page, and two of them side by side.

Beside `run.py`, on which it stands; a door calls both. Imports are as lazy as there.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from stubout import run
from stubout.problems import LayoutError, NotInBook, RuleBookError
from stubout.rulebooks.tables import canonical

if TYPE_CHECKING:
    from stubout.design import Design
    from stubout.job.model import AmendSaid, Job
    from stubout.reports.judged import FindingRow, JobCompared, Judged, SizeRow, Trial
    from stubout.rulebooks.census import Census
    from stubout.rulebooks.compare import Comparison
    from stubout.rulebooks.model import Cell, RuleBook


def shelf() -> tuple[tuple[RuleBook, Census], ...]:
    """Return every shipped book with its count by status, in the order of their ids."""
    from stubout.rulebooks.census import census

    return tuple((book, census(book)) for book in map(run.book, run.books()))


def count(book: RuleBook) -> Census:
    """Return how much a book holds, by status."""
    from stubout.rulebooks.census import census

    return census(book)


def verification(job: Job, progress: run.Progress | None = None) -> tuple[Design, run.Verdict]:
    """Return the design of a job and the verdict on it: what the verification sheet is drawn from."""
    design = run.design(job, progress)
    return design, run.check(design)


def write_sheet(path: str, data: bytes) -> None:
    """Write a verification sheet; raises FileExistsError rather than touch an existing file."""
    from stubout.files.single import write_new

    write_new(path, data)


def compare(a: str, b: str) -> Comparison:
    """Return two shipped books side by side.

    Raises:
        RuleBookError: If there is no such book, or one is of plumbing and the other of framing.
    """
    from stubout.rulebooks.compare import compare as side_by_side

    one, two = run.book(a), run.book(b)
    if (one.family == "framing") != (two.family == "framing"):
        raise RuleBookError(f"{a} and {b} speak of different things: one of plumbing, one of framing cuts")
    return side_by_side(one, two)


def compare_job(job: Job, a: str, b: str, progress: run.Progress | None = None) -> JobCompared:
    """Return a job judged under two books.

    Raises:
        RuleBookError: If a book is broken, or the two are of different kinds.
    """
    from stubout.reports.judged import JobCompared, finding_rows, size_rows

    framing = run.book(a).family == "framing"
    (one, laid_one), (two, laid_two) = (_trial(job, book_id, framing, progress) for book_id in (a, b))
    rows: tuple[FindingRow, ...] = ()
    sizes: tuple[SizeRow, ...] = ()
    if one.judged is not None and two.judged is not None:
        rows = finding_rows(one.judged, two.judged, same_layout=False)
        sizes = size_rows(one.judged.design, two.judged.design)
    own = job.job.framing if framing else job.job.book
    kept, laid, other = (two, laid_two, one) if own == b else (one, laid_one, two)
    if kept.judged is None or laid is None:
        return JobCompared(one, two, rows, sizes)
    try:
        told = _judged_as_it_stands(kept.judged, laid, job, other.book, framing)
    except NotInBook as silent:
        return JobCompared(one, two, rows, sizes, kept.book, (), str(silent))
    sides = (kept.judged, told) if kept is one else (told, kept.judged)
    return JobCompared(one, two, rows, sizes, kept.book, finding_rows(*sides, same_layout=True))


def _trial(job: Job, book_id: str, framing: bool, progress: run.Progress | None) -> tuple[Trial, run.Laid | None]:
    from stubout.reports.judged import Judged, Trial

    changed, taken, left = _under(job, book_id, framing)
    try:
        found = run.laid_out(changed, progress)
    except (NotInBook, LayoutError) as silent:
        return Trial(book_id, None, str(silent), taken, left), None
    verdict = run.check(found.design)
    judged = Judged(book_id, found.design, verdict.findings, verdict.not_checked)
    return Trial(book_id, judged, "", taken, left), found.laid


def _under(job: Job, book_id: str, framing: bool) -> tuple[Job, tuple[str, ...], tuple[str, ...]]:
    """Return the job by another book, and which amendments went with it.

    Amendments were made to one book. Only what answers where the other one is silent is taken along.
    """
    from stubout.files.books import book_of

    if book_id == (job.job.framing if framing else job.job.book):
        return job, (), ()
    shipped, framing_book = run.book(job.job.book), run.book(job.job.framing)
    old, new = (framing_book if framing else shipped), run.book(book_id)
    kept: list[AmendSaid] = []
    taken, left = [], []
    for said in job.amendments:
        if book_of(said.value, shipped, framing_book) is not old:
            kept.append(said)
        elif canonical(said.value) in new.known and canonical(said.value) not in new.values:
            kept.append(said)
            taken.append(said.value)
        else:
            left.append(said.value)
    own = "framing" if framing else "plumbing"
    read = tuple(c for c in job.confirmations if c.book or _read_in(c.value, shipped, framing_book) != own)
    head = job.job.model_copy(update={"framing" if framing else "book": book_id})
    changed = job.model_copy(update={"job": head, "amendments": tuple(kept), "confirmations": read})
    return changed, tuple(dict.fromkeys(taken)), tuple(dict.fromkeys(left))


def _read_in(value_id: str, book: RuleBook, framing: RuleBook) -> Literal["plumbing", "framing"]:
    """Return which book of the job a confirmation that names none was read in."""
    from stubout.files.books import book_of

    if canonical(value_id) in framing.clauses and canonical(value_id) not in book.clauses:
        return "framing"
    return "framing" if book_of(value_id, book, framing) is framing else "plumbing"


def _judged_as_it_stands(kept: Judged, laid: run.Laid, job: Job, book_id: str, framing: bool) -> Judged:
    """Return what another book says of a layout that stands: its loads and lengths are counted anew, no size changes.

    Raises:
        NotInBook: If the other book has no load for a fixture, or no limit for a hole.
    """
    from stubout.fabrication.build import fabricate
    from stubout.files.books import adopted
    from stubout.house.resolve import resolve
    from stubout.network.build import build
    from stubout.network.model import Network
    from stubout.reports.judged import Judged

    house, _ = resolve(_under(job, book_id, framing)[0])
    book, frame = adopted(house.job.book_id, house.job.framing_id, house.amendments, house.confirmations)
    old = kept.design
    sizes = {p.id: p.size_in for p in old.network.pipes}
    counted = build(laid.layout, house, book)
    pipes = tuple(replace(p, size_in=sizes[p.id]) for p in counted.pipes)
    network = Network(counted.nodes, pipes, counted.traps)
    bores = fabricate(network, laid.layout, house, book, frame).bores if framing else old.fabrication.bores
    stands = replace(
        old,
        house=house,
        book=book,
        framing=frame,
        network=network,
        fabrication=replace(old.fabrication, bores=bores),
    )
    verdict = run.check(stands)
    return Judged(book_id, stands, verdict.findings, verdict.not_checked)


@dataclass(frozen=True, slots=True)
class BoreAnswer:
    """What one sawn member may be bored to, and whether a pipe's usual hole is within it."""

    limit: Cell
    edge: Cell | None  # None: the book asks for no wood at the edge beyond the hole's own limit
    hole_mm: float | None = None
    passes: bool | None = None  # None: no pipe asked for


def bore(
    framing_id: str,
    depth_mm: float,
    member: Literal["stud", "joist"],
    *,
    bearing: bool,
    exterior: bool,
    doubled: bool,
    size_in: float | None,
) -> BoreAnswer:
    """Return the largest hole through a sawn member by a framing book.

    Raises:
        RuleBookError: If there is no such book, or it says nothing of this member.
        CatalogError: If the pipe size is not in the catalogue.
    """
    from stubout.catalog.queries import hole_mm
    from stubout.rulebooks import queries

    rules = run.book(framing_id)
    if member == "stud":
        limit = queries.stud_bore_limit(rules, depth_mm, bearing=bearing, exterior=exterior, doubled=doubled)
    else:
        limit = queries.joist_bore_limit(rules, depth_mm)
    try:
        edge = queries.stud_edge(rules) if member == "stud" else queries.joist_edge(rules)
    except NotInBook:
        edge = None
    if size_in is None:
        return BoreAnswer(limit, edge)
    hole = hole_mm(size_in)
    return BoreAnswer(limit, edge, hole, hole <= min(limit.number, depth_mm - 2 * (edge.number if edge else 0.0)))
