"""The use cases: what the command line and the web door call, and nothing below it.

Each stage is a pure function of the one before and the rule book; they are imported when they are needed, so that a
lookup does not load the layout engine and `--help` loads nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from stubout.laying import (
    Laid,
    Progress,
    Verdict,
    blocked,
    check,
    design,
    finish,
    judged,
    laid_out,
    lay,
    planned,
    quiet,
    tried,
    whole,
)
from stubout.problems import Derivation, Finding

if TYPE_CHECKING:
    from stubout.catalog.prices import PriceList
    from stubout.change.judged import Judged
    from stubout.change.others import Other
    from stubout.design import Design, Tried, Window
    from stubout.job.model import Job
    from stubout.layout.model import Blocked
    from stubout.rulebooks.model import Cell, RuleBook
    from stubout.sheets.model import Sheet

# The stages of `laying`, which callers of the use cases ask for too.
__all__ = [
    "Laid", "Progress", "Verdict", "blocked", "check", "design", "finish", "judged", "laid_out", "lay", "planned",
    "tried", "whole",
]  # fmt: skip


def read(path: str, confirmations: str = "") -> Job:
    """Read a job file, with a file of confirmations of the one who asks; raises JobFileError with every fault."""
    from stubout.files.books import book_ids, framing_ids
    from stubout.files.books_said import overlaid
    from stubout.files.jobs import read_job

    return overlaid(read_job(path, book_ids(), framing_ids()), path, confirmations)


def explained(job: Job, design: Design, progress: Progress | None = None, *, endable: bool = False) -> Design:
    """Return a design whose blocked parts tell which constraints clash and what would free them, found by trying.

    Args:
        job: The job.
        design: Its design.
        progress: Told which part is looked at.
        endable: Whether a KeyboardInterrupt ends the search with what was found so far, and not the program.
    """
    from stubout.change.clash import Tries, clash_of, told
    from stubout.change.relax import relaxations

    say = progress or quiet
    tries = Tries(job, design.blocked, blocked)
    explained: list[Blocked] = []
    try:
        for one in design.blocked:
            if one.certain:
                explained.append(one)
                continue
            say(f"why {', '.join(one.about)} is blocked")
            known = tuple(relaxations(job, design.house, design.book, one.about))
            explained.append(told(clash_of(one, known, tries)))
    except KeyboardInterrupt:
        if not endable:
            raise
        left = design.blocked[len(explained) :]
        say("ended by you: what was found so far is told")
        names = "; ".join(", ".join(one.about) for one in left)
        note = f"The search for what blocks parts was ended by hand before it came to: {names}"
        return replace(design, blocked=(*explained, *left), notes=(*design.notes, note))
    return replace(design, blocked=tuple(explained))


@dataclass(frozen=True, slots=True)
class Beside:
    """The layout of a job with others that differ from it in kind."""

    design: Design
    others: tuple[Other, ...]  # the first is the layout itself


def beside(job: Job, progress: Progress | None = None) -> Beside:
    """Return a job designed, with two or three other layouts that differ in kind, each judged by all checks."""
    from stubout.change.judged import Judged
    from stubout.change.others import others

    say = progress or quiet

    def judge(trial: Job) -> Judged:
        say("another layout")
        return judged(trial)

    made = laid_out(job, progress)
    main = Judged(made.design, made.open)
    return Beside(main.design, others(job, main, judge))


def fixes_of(design: Design, verdict: Verdict) -> dict[Finding, Tried]:
    """Return what was tried on a copy of the design for each open finding of level STOP or FIX.

    A fix is offered only where all checks, asked again about the changed copy, are content with it.
    """
    from stubout.fixes.tried import fixes

    return {t.finding: t for t in fixes(design, verdict.findings, verdict.not_checked, verdict.waived)}


def plan(
    job: Job,
    progress: Progress | None = None,
    *,
    fixes: bool = False,
    why_blocked: bool = False,
    among: Beside | None = None,
    prices: PriceList | None = None,
    endable: bool = False,
) -> tuple[dict[str, bytes], Design, Verdict]:
    """Return every output file of a job by its relative name, with the design and verdict they show.

    Nothing is written here: the caller hands the files to `write`, all or none. With `fixes` what was tried for each
    finding stands beside it; with `why_blocked` every blocked part tells which constraints clash;
    `among` others, those are set beside it; with `prices` the material list has what each line comes to, and what has
    no price is an open question. Where it is `endable`, a KeyboardInterrupt ends the search for what blocks parts only.
    """
    say = progress or quiet
    finished = design(job, say) if among is None else among.design
    if why_blocked:
        finished = explained(job, finished, say, endable=endable)
    say("checks")
    verdict = check(finished)
    tried: dict[Finding, Tried] = {}
    if fixes:
        say("fixes")
        tried = fixes_of(finished, verdict)
    out = made(finished, verdict, say, tried, among, prices)
    return out.files, out.design, verdict


def sawn(design: Design) -> Design:
    """Return a design whose stock plan is planned anew by columns and the exact solver, where that may better it.

    Only what is printed needs it, so that checking and asking for reasons do not wait for it.
    """
    from stubout.fabrication.build import with_solver
    from stubout.fabrication.in_place import pipes_in_place

    better = with_solver(design.fabrication, design.house, there=pipes_in_place(design.network))
    return design if better is design.fabrication else replace(design, fabrication=better)


@dataclass(frozen=True, slots=True)
class Made:
    """Every output file of a design, and what the files were made from."""

    design: Design  # as printed: its stock plan bettered, open prices among its questions
    files: dict[str, bytes]  # by relative name
    windows: tuple[Window, ...]
    drawings: tuple[tuple[Sheet, str], ...]  # in the order they are bound, with the name of the file
    places: dict[Finding, str]  # the file that shows where a finding is


def outputs(
    design: Design,
    verdict: Verdict,
    progress: Progress | None = None,
    tried: Mapping[Finding, Tried] | None = None,
    among: Beside | None = None,
) -> dict[str, bytes]:
    """Return every output file of a finished design by its relative name."""
    return made(design, verdict, progress, tried, among).files


def made(
    design: Design,
    verdict: Verdict,
    progress: Progress | None = None,
    tried: Mapping[Finding, Tried] | None = None,
    among: Beside | None = None,
    prices: PriceList | None = None,
) -> Made:
    """Return every output file of a finished design, with the windows, sheets and places they show."""
    from stubout.change.others import page
    from stubout.export.csv_ import lists, table
    from stubout.export.csv_shop import order_list
    from stubout.export.glb import glb
    from stubout.export.json_ import SCHEMA, design_json, findings_json, plain
    from stubout.export.json_ import write as as_json
    from stubout.export.packet import packet
    from stubout.files.fonts import font_folder, template
    from stubout.reports.documents import documents
    from stubout.reports.front import unverified
    from stubout.reports.order import order, price_question
    from stubout.sheets.all import sheets
    from stubout.sheets.finding_picture import finding_pictures
    from stubout.windows.solve import windows

    say = progress or quiet
    design = sawn(design)
    bought = order(design, prices) if prices is not None else None
    if bought is not None and (open_prices := price_question(bought)) is not None:
        design = replace(design, questions=(*design.questions, open_prices))
    say("windows of marks")
    off = windows(design)
    say("sheets")
    drawn = sheets(design, off)
    say("schedules and lists")
    places = finding_pictures(design, verdict.findings)
    shown = {finding: sheet.id for finding, sheet in places.items()}
    papers = documents(design, verdict.findings, verdict.not_checked, verdict.used, shown, tried, off, prices)
    if among is not None:
        papers = (*papers[:3], page(among.others, design.house.job.units), *papers[3:])
    say("packet")
    doubtful = len(unverified(design, verdict.findings))
    bound = packet(
        design,
        papers,
        drawn,
        template=template("packet.typ"),
        fonts=font_folder(),
        doubtful=doubtful,
        places=tuple(places.values()),
    )
    files = {"packet.pdf": bound.pdf}
    names = {i: f"drawings/{name}.svg" for i, name in file_names(tuple(bound.drawings)).items()}
    files.update({names[i]: picture.encode() for i, picture in bound.drawings.items()})
    files.update({f"lists/{name}.csv": data for name, data in lists(design, verdict.findings, off).items()})
    if bought is not None:
        files["lists/order.csv"] = table(*order_list(bought))
    files["design.json"] = design_json(design, verdict.findings, verdict.not_checked, off)
    files["findings.json"] = findings_json(design, verdict.findings, verdict.not_checked, tried)
    files["model.glb"] = glb(design)
    if among is not None:
        files["alternatives.json"] = as_json({"schema": SCHEMA, "layouts": plain(among.others)})
    return Made(
        design,
        dict(sorted(files.items())),
        off,
        tuple((sheet, names[sheet.id]) for sheet in drawn),
        {finding: names[i] for finding, i in shown.items()},
    )


def file_names(sheet_ids: tuple[str, ...]) -> dict[str, str]:
    """Return a file name for each sheet that every system takes; ids of walls are the user's own words.

    Two names that differ in case only, or not at all, are told apart by a number.
    """
    names: dict[str, str] = {}
    taken: set[str] = set()
    for sheet_id in sheet_ids:
        plain = "".join(c if c.isascii() and (c.isalnum() or c in "-_") else f"_{ord(c):x}" for c in sheet_id)
        name, number = plain, 1
        while name.casefold() in taken:
            number += 1
            name = f"{plain}-{number}"
        taken.add(name.casefold())
        names[sheet_id] = name
    return names


def refuse_folder(folder: str) -> None:
    """Raise OutputError if results cannot go into this folder: said before the work, not after it."""
    from stubout.files.out import refuse

    refuse(folder)


def put_right(folder: str) -> tuple[str, ...]:
    """Put right what a killed run left beside a folder of results; return what its owner has to be told of it."""
    from stubout.files.out import put_right

    return put_right(folder)


def write(folder: str, files: dict[str, bytes]) -> None:
    """Write the files of a plan into a folder: all of them, or none."""
    from stubout.files.out import write_folder

    write_folder(folder, files)


def why(design: Design, about: str) -> tuple[Derivation, ...]:
    """Return how the values of one pipe, fixture or mark came about; empty if nothing is recorded under that id.

    A fixture answers for its trap, its stub-out, its trap arm and its own vent.
    """
    from stubout.reports.reasons import cleanout_reason, trap_reason

    wanted = {about.casefold()}
    asked = [t for t in design.network.traps if t.tag.casefold() in wanted and t.arm_runs]
    traps = [trap_reason(design, t) for t in asked]
    for trap in design.network.traps:
        if trap.tag.casefold() in wanted:
            wanted.update(i.casefold() for i in (*trap.arm_runs, *trap.vent_runs))
    cleanouts = (cleanout_reason(design, c) for c in design.cleanouts if c.id.casefold() in wanted)
    return (*traps, *cleanouts, *(d for d in design.derivations if d.about.casefold() in wanted))


def why_off(design: Design, about: str) -> tuple[Window, ...]:
    """Return how far the marks of one fixture, bore, pipe, node or cleanout may be off; empty if it has no mark."""
    from stubout.windows.solve import windows

    return windows(design, about)


def known_ids(design: Design) -> tuple[str, ...]:
    """Return the ids that `why` can explain, sorted."""
    named = {t.tag for t in design.network.traps} | {c.id for c in design.cleanouts}
    return tuple(sorted({d.about for d in design.derivations} | named))


def price_list(path: str) -> PriceList:
    """Return the prices of a file; raises JobFileError with every fault."""
    from stubout.files.prices import read_prices

    return read_prices(path)


def book(book_id: str) -> RuleBook:
    """Return a shipped rule book without amendments; raises RuleBookError."""
    from stubout.files.books import load_book

    return load_book(book_id)


def books() -> tuple[str, ...]:
    """Return the ids of the shipped rule books."""
    from stubout.files.books import book_ids

    return tuple(book_ids())


def lookup(rules: RuleBook, words: str) -> tuple[Cell, ...]:
    """Return the values of a rule book whose id, title or section holds all the words, in the order of the book."""
    wanted = words.casefold().split()
    cells = [*rules.values.values()]
    cells += [row.cell for table in rules.tables.values() for row in table.rows if row.cell is not None]
    cells += [*rules.clauses.values()]
    return tuple(c for c in cells if all(w in f"{c.id} {c.what} {c.section}".casefold() for w in wanted))


def schema(of: Literal["job", "amendments", "confirmations"] = "job") -> bytes:
    """Return the JSON Schema of a job file, or of a file of amendments or confirmations beside it."""
    from stubout.export.json_ import write as as_json
    from stubout.job.schema import json_schema

    return as_json(json_schema(of))


def begin(path: str, units: Literal["mm", "inch"]) -> None:
    """Write a new job file to start from; raises FileExistsError rather than touch an existing one."""
    from stubout.files.single import write_new
    from stubout.job.starter import starter_text

    write_new(path, starter_text(units).encode())


def demo_job() -> Job:
    """Return the bundled invented house."""
    from stubout.files.demo import demo_job as bundled

    return bundled()


def diameters_mm(size_in: float) -> tuple[float, float]:
    """Return inside and outside diameter of plastic drain pipe of a nominal size [mm]; raises CatalogError."""
    from stubout.catalog.queries import pipe

    data = pipe("pvc", size_in)
    return data.id_mm, data.od_mm
