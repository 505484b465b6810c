"""Findings, open questions, and what could not be laid out or checked."""

from __future__ import annotations

from collections.abc import Mapping

from stubout.design import Design, Tried
from stubout.house.facts import Reading
from stubout.problems import Finding, Level, NotChecked
from stubout.reports.front import LEVEL_MEANS
from stubout.reports.groups import Group, groups
from stubout.reports.model import Block, Document, Heading, Paragraph, TableBlock
from stubout.reports.show import NONE, clause, unsaid
from stubout.reports.waivers import waiver_of


def findings_page(
    design: Design,
    findings: tuple[Finding, ...],
    not_checked: tuple[NotChecked, ...],
    pictures: Mapping[Finding, str] | None = None,
    tried: Mapping[Finding, Tried] | None = None,
) -> Document:
    """Return the findings by level, each with clause and status; then what was not laid out and not checked.

    Args:
        design: The design.
        findings: What the checks found.
        not_checked: What they could not judge.
        pictures: The sheet that shows the place of a finding, by its id.
        tried: What was tried for findings, if it was.
    """
    blocks: list[Block] = []
    if not any(f.level in (Level.STOP, Level.FIX) for f in findings):
        blocks.append(Paragraph("No finding of level STOP or FIX. What was not checked is listed at the end.", "box"))
    for level in Level:
        of_level = [g for g in groups(findings) if g.level is level]
        if of_level:
            count = sum(len(g.findings) for g in of_level)
            blocks.append(Heading(f"{level.value}: {LEVEL_MEANS[level]} ({count})"))
        for group in of_level:
            blocks += _group_blocks(group, design.house.readings, pictures or {}, tried or {})
    if findings:
        blocks.append(Paragraph(UNVERIFIED_STATUS, "note"))
    blocked = unsaid(design.blocked, findings)
    if blocked:
        blocks += [
            Heading(f"Could not be laid out ({len(blocked)})"),
            TableBlock(
                ("About", "What blocks it", "What would free it", "Source"),
                tuple((", ".join(b.about), b.constraint, b.free, clause(b.bases) or NONE) for b in blocked),
                (1, 3, 3, 2),
            ),
        ]
    if not_checked:
        blocks += [
            Heading(f"Not checked ({len(not_checked)})"),
            Paragraph("These checks lacked the data to decide. They are neither passed nor failed."),
            TableBlock(
                ("Check", "Name", "Why not"), tuple((n.check, n.name, n.reason) for n in not_checked), (1, 2.4, 5)
            ),
        ]
    return Document("findings", "Findings", tuple(blocks))


UNVERIFIED_STATUS = (
    "The word in brackets after a section is the status of the value: "
    "read, confirmed, secondary, derived, estimate, memory, or job."
)


def _group_blocks(
    group: Group, readings: tuple[Reading, ...], pictures: Mapping[Finding, str], tried: Mapping[Finding, Tried]
) -> list[Block]:
    """Return heading, what all findings of the check share, and a row for each."""
    blocks: list[Block] = [Heading(f"{group.check} {group.title}", 3)]
    shared = [
        f"Wanted: {group.wanted}." if group.wanted else "",
        f"By {clause(group.bases)}." if group.bases else "",
        group.why,
    ]
    if any(shared):
        blocks.append(Paragraph(" ".join(s for s in shared if s), "note"))
    rows = []
    shown = tuple(pictures.get(f, "") for f in group.findings)
    for f in group.findings:
        wanted = "\n".join(w for w in ("" if group.wanted else f.wanted, "" if group.bases else clause(f.bases)) if w)
        why = "" if group.why or not f.why else f"\n{f.why}"
        line = f"\njob file line {f.line}" if f.line else ""
        rows.append((", ".join(f.about) + line, f.found + why, wanted, _do(f, waiver_of(f, readings), tried.get(f))))
    if any(r[2] for r in rows):
        head, widths = ("About", "Found", "Wanted, and by what", "Do"), (1.3, 3.2, 2.8, 3)
        blocks.append(TableBlock(head, tuple(rows), widths, pictures=shown if any(shown) else ()))
    else:
        slim = tuple((about, found, do) for about, found, _, do in rows)
        blocks.append(TableBlock(("About", "Found", "Do"), slim, (1.3, 4.4, 4.4), pictures=shown if any(shown) else ()))
    return blocks


def _do(finding: Finding, waiver: Reading | None, tried: Tried | None) -> str:
    parts = [finding.do or NONE]
    if tried is not None:
        parts.append(tried.sentence)
    if finding.owner:
        parts.append(f"Owed by {finding.owner}.")
    if waiver:
        parts.append(f"ACCEPTED by {waiver.author}, {waiver.date}: {waiver.value}")
    return "\n".join(parts)


def questions_page(design: Design, findings: tuple[Finding, ...]) -> Document:
    """Return the open questions by who owes the answer, with what each blocks and what was assumed meanwhile."""
    people = dict(design.house.job.people)
    rows = [
        (
            q.id,
            people.get(q.owner, q.owner) or "nobody named",
            q.text,
            q.blocks or NONE,
            q.assumed or "nothing assumed",
            "",
        )
        for q in design.questions
    ]
    said = {q.id for q in design.questions}
    rows += [
        (f.check, people.get(f.owner, f.owner) or "nobody named", f.found, ", ".join(f.about), f.wanted, "")
        for f in findings
        if f.level is Level.ASK and not said.intersection(f.about)
    ]
    rows.sort(key=lambda r: r[1])
    blocks: list[Block]
    if rows:
        blocks = [
            Paragraph(
                "An assumption holds only until the answer is in: write it into the job file and run again; "
                "everything that hangs on it moves."
            ),
            TableBlock(
                ("No.", "Who owes it", "Question", "Blocks", "Assumed meanwhile", "Answer, date"),
                tuple(rows),
                (0.8, 1.1, 3.6, 1.8, 2.2, 1.5),
            ),
        ]
    else:
        blocks = [Paragraph("No open question.")]
    if design.house.wishes.said:
        blocks.append(Heading("What the job says in its own words"))
        blocks.append(Paragraph("Printed as typed in. The layout does not understand it: see that it is kept."))
        blocks += [Paragraph(f'"{words}"') for words in design.house.wishes.said]
    blocks += _answered(design)
    if design.notes:
        blocks.append(Heading("What the layout says of itself"))
        blocks += [Paragraph(note) for note in design.notes]
    return Document("questions", "Open questions", tuple(blocks))


def _answered(design: Design) -> list[Block]:
    """Return the questions of the file that are answered, each with its answer, who gave it and when."""
    rows = tuple(
        (a.id, a.owner or "nobody named", a.text, a.answer, f"{a.by or 'nobody named'}, {a.date or 'no date'}")
        for a in design.house.answers
    )
    if not rows:
        return []
    said = "What follows from an answer stands in the job file where the file says it; an answer alone moves nothing."
    head = ("No.", "Who owed it", "Question", "Answer", "Given by, date")
    return [Heading("Answered"), Paragraph(said), TableBlock(head, rows, (0.8, 1.1, 3.2, 4.0, 1.9))]
