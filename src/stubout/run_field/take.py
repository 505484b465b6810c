"""One job planned for the site: every file of the packet, and `field.json` with the pictures of its walls."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from stubout import run
from stubout.design import Design
from stubout.export.json_ import plain
from stubout.export.json_ import write as as_json
from stubout.export.svg import svg
from stubout.job.model import Job
from stubout.problems import Derivation, Finding
from stubout.reports.front import AUTHORITY_SHORT, unverified
from stubout.reports.show import book_name, clause
from stubout.reports.stock import OFFCUT_MM, left_over
from stubout.reports.waivers import waiver_of
from stubout.run_field import cards, kept, leaving, marks, tasks
from stubout.run_field.model import Drawing, Field, Reason, Said, WallSide


def take(job: Job, progress: Callable[[str], None] | None = None) -> dict[str, bytes]:
    """Return every file of a job by its relative name, for the screen and for the printer; raises as `run.design`.

    Args:
        job: The job.
        progress: Called with the name of each stage as it starts.
    """
    say = progress or (lambda _step: None)
    return files_of(*judged(job, say), say)


def judged(job: Job, say: Callable[[str], None]) -> tuple[Design, run.Verdict]:
    """Return the design of a job with what the checks say of it; raises as `run.design`."""
    design = run.design(job, say)
    say("checks")
    return design, run.check(design)


def files_of(design: Design, verdict: run.Verdict, say: Callable[[str], None]) -> dict[str, bytes]:
    """Return every file of a judged design."""
    made = run.made(design, verdict, say)
    say("walls for the site")
    walls, pictures = [], {}
    found = marks.sides(design, made.windows, {sheet.id: name for sheet, name in made.drawings})
    names = run.file_names(tuple(picture.id for _, picture in found))
    for side, picture in found:
        name = f"screens/{names[picture.id]}.svg"
        pictures[name] = svg(picture).encode()
        walls.append(replace(side, picture=name))
    carded = cards.cards(design)
    pictures.update({card.picture: svg(picture).encode() for card, picture in carded})
    asked = {name: run.why(design, name) for name in run.known_ids(design)}
    field = replace(_field(design, verdict, made, tuple(walls), asked), cards=tuple(card for card, _ in carded))
    left = leaving.Left(made.design.house.job.material, OFFCUT_MM, left_over(made.design))
    mine = {kept.FIELD: kept.write(field), kept.WHY: _why(asked, made), leaving.LEFT: leaving.write(left)}
    return {**made.files, **pictures, **mine}


Asked = dict[str, tuple[Derivation, ...]]  # by what may be asked about


def _why(asked: Asked, made: run.Made) -> bytes:
    """Return the bytes of `why.json`: every derivation once, by the ids that it answers, and the windows of marks."""
    numbers = {d: i for i, d in enumerate(dict.fromkeys(d for found in asked.values() for d in found))}
    answers = {name: [numbers[d] for d in found] for name, found in asked.items()}
    return as_json({
        "derivations": [plain(d) for d in numbers], "answers": answers, "windows": [plain(w) for w in made.windows]
    })  # fmt: skip


def _field(design: Design, verdict: run.Verdict, made: run.Made, walls: tuple[WallSide, ...], asked: Asked) -> Field:
    facts = design.house.job
    people = dict(facts.people)
    reasons = {d: i for i, d in enumerate(dict.fromkeys(d for found in asked.values() for d in found))}
    return Field(
        title=facts.title,
        address=facts.address,
        revision=facts.revision,
        units=facts.units,
        book=book_name(design.book),
        caution=AUTHORITY_SHORT,
        doubtful=len(unverified(design, verdict.findings)),
        drawings=tuple(Drawing(name, s.title, s.scale, s.id.split("-")[0]) for s, name in made.drawings),
        walls=walls,
        tasks=tasks.tasks(design, walls),
        drains=tasks.drains(design),
        fillings=tasks.fillings(design),
        findings=tuple(_finding(design, f, people, made.places.get(f, "")) for f in verdict.findings),
        questions=tuple(
            Said("ASK", q.id, "", q.about, q.text, q.blocks, q.assumed, "", "", people.get(q.owner, q.owner), q.line)
            for q in design.questions
        ),
        blocked=tuple(
            Said("NOT LAID OUT", "", "", b.about, b.constraint, "", b.free, "", clause(b.bases), "", 0)
            for b in design.blocked
        ),
        not_checked=tuple(
            Said("NOT CHECKED", n.check, n.name, (), n.reason, "", "", "", "", "", 0) for n in verdict.not_checked
        ),
        reasons=tuple(Reason(d.about, d.what, d.value, d.steps, tuple(str(b) for b in d.bases)) for d in reasons),
        answers={name: tuple(reasons[d] for d in found) for name, found in asked.items()},
        notes=design.notes,
        paper=facts.paper,
    )


def _finding(design: Design, f: Finding, people: dict[str, str], picture: str) -> Said:
    waiver = waiver_of(f, design.house.readings)
    return Said(
        f.level.value, f.check, f.name, f.about, f.found, f.wanted, f.do, f.why, clause(f.bases),
        people.get(f.owner, f.owner), f.line, picture, f"{waiver.author}, {waiver.date}" if waiver else "",
    )  # fmt: skip
