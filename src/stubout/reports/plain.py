"""What a terminal says of a design: findings in plain words, how values came about, how far marks may be off."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping

from stubout import units
from stubout.design import Design, Direction, Tried, Window
from stubout.problems import Basis, Derivation, Finding, Level, NotChecked, several
from stubout.reports.costs import cost_line
from stubout.reports.front import AUTHORITY_SHORT, LEVEL_MEANS, unverified
from stubout.reports.groups import Group, groups
from stubout.reports.show import CATALOG, JOB_FILE, PRACTICE, TRADE, book_name, clause, unsaid
from stubout.reports.waivers import waiver_of

LABEL = 13  # columns before the text of a labelled line


def check_text(
    design: Design,
    findings: tuple[Finding, ...],
    not_checked: tuple[NotChecked, ...],
    *,
    width: int = 92,
    full: bool = False,
    tried: Mapping[Finding, Tried] | None = None,
) -> str:
    """Return the findings as a plumber reads them: counts, then each finding gravest first, then what is left open.

    Args:
        design: The design judged.
        findings: Its findings, gravest first.
        not_checked: What could not be judged.
        width: Columns of the terminal.
        full: Also list every check that was not made, and the notes.
        tried: What was tried for findings, if it was.
    """
    lines = [*_head(design, findings, width), ""]
    for group in groups(findings):
        if group.level is not Level.NOTE or full:
            lines += [*_group(design, group, width, tried or {}), ""]
    for blocked in unsaid(design.blocked, findings):
        lines.append(_title("NOT LAID OUT", ", ".join(blocked.about), "", width))
        lines += _label("why", blocked.constraint, width)
        lines += _label("frees", blocked.free, width)
        lines += [*_label("by", clause(blocked.bases), width), ""]
    lines += _tail(design, findings, not_checked, width, full)
    return "\n".join(lines) + "\n"


def summary_text(
    design: Design, findings: tuple[Finding, ...], not_checked: tuple[NotChecked, ...], *, width: int = 92
) -> str:
    """Return counts, cost and closing lines only, for the end of a run that wrote the findings into files."""
    tail = _tail(design, findings, not_checked, width, full=True, listed=False)
    cost = textwrap.wrap(cost_line(design), width)
    return "\n".join((*_head(design, findings, width), "", *cost, *tail)) + "\n"


def _head(design: Design, findings: tuple[Finding, ...], width: int) -> Iterator[str]:
    job = design.house.job
    amended = f", {several(len(design.book.amendments), 'amendment')}" if design.book.amendments else ""
    yield f"{job.title}, revision {job.revision}"
    yield from textwrap.wrap(f"{book_name(design.book)}{amended}", width)
    yield from textwrap.wrap(f"Framing by {book_name(design.framing)}", width)
    yield ""
    for level in Level:
        of_level = [f for f in findings if f.level is level]
        accepted = sum(1 for f in of_level if waiver_of(f, design.house.readings))
        tail = f", {accepted} accepted in writing" if accepted else ""
        yield f"{level.value:<5} {len(of_level):>3}  {LEVEL_MEANS[level]}{tail}"


def _title(level: str, about: str, check: str, width: int) -> str:
    left = f"{level:<5} {about}"
    return f"{left}{' ' * max(2, width - len(left) - len(check))}{check}".rstrip()


def _label(label: str, text: str, width: int) -> list[str]:
    if not text:
        return []
    head = f"  {label:<{LABEL - 2}}"
    return textwrap.wrap(
        text,
        max(width, 40),
        initial_indent=head,
        subsequent_indent=" " * LABEL,
        break_long_words=False,
        break_on_hyphens=False,
    )


def _group(design: Design, group: Group, width: int, tried: Mapping[Finding, Tried]) -> Iterator[str]:
    """Print the findings of one check: what they share once, then each with what it is about."""
    yield _title(group.level.value, f"{group.title}{group.times}", group.check, width)
    yield from _label("wanted", group.wanted, width)
    yield from _label("by", clause(group.bases), width)
    yield from _label("why", group.why, width)
    people = dict(design.house.job.people)
    for finding in group.findings:
        yield f"  {', '.join(finding.about)}"
        yield from _label("  found", finding.found, width)
        if not group.wanted:
            yield from _label("  wanted", finding.wanted, width)
        if not group.bases:
            yield from _label("  by", clause(finding.bases), width)
        if not group.why:
            yield from _label("  why", finding.why, width)
        yield from _label("  do", finding.do, width)
        yield from _label("  fix", tried[finding].sentence if finding in tried else "", width)
        yield from _label("  owed by", people.get(finding.owner, finding.owner), width)
        if finding.line:
            yield from _label("  at", f"line {finding.line} of {design.house.job.source_name}", width)
        if waiver := waiver_of(finding, design.house.readings):
            yield from _label("  ACCEPTED", f"by {waiver.author}, {waiver.date}: {waiver.value}", width)


def _tail(
    design: Design,
    findings: tuple[Finding, ...],
    not_checked: tuple[NotChecked, ...],
    width: int,
    full: bool,
    *,
    listed: bool = True,
) -> Iterator[str]:
    must = [f for f in findings if f.level in (Level.STOP, Level.FIX) and not waiver_of(f, design.house.readings)]
    if full and listed:
        if not_checked:
            yield "Not checked, for want of data"
        for n in not_checked:
            yield from _label(n.check, f"{n.name.replace('-', ' ')}: {n.reason}", width)
        if not_checked:
            yield ""
    hidden = [] if full else [f for f in findings if f.level is Level.NOTE]
    said = [
        f"{len(must)} to put right before glue." if must else "Nothing found that must be put right.",
        f"{several(len(design.blocked), 'part')} not laid out." if design.blocked else "",
        "`stubout refine` tries other layouts." if (must or design.blocked) and not design.house.routes else "",
        f"{several(len(design.questions), 'open question')}.",
        f"{several(len({n.check for n in not_checked}), 'check')} lacked data"
        f"{'' if full or not not_checked else ' (--all lists them)'}.",
        f"{several(len(hidden), 'note')} left out (--all shows them)." if hidden else "",
        f"{several(len(unverified(design, findings)), 'unverified value')} decided something.",
    ]
    yield from textwrap.wrap(" ".join(s for s in said if s), width)
    yield from textwrap.wrap(AUTHORITY_SHORT, width)


def why_text(derivations: Iterable[Derivation], width: int = 92) -> str:
    """Return how values came about: the value, the steps, the sources with their status."""
    lines: list[str] = []
    for d in derivations:
        lines.append(f"{d.about}  {d.what}: {d.value}")
        for number, step in enumerate(d.steps, 1):
            lines += textwrap.wrap(step, width, initial_indent=f"  {number}. ", subsequent_indent="     ")
        for b in d.bases:
            lines += textwrap.wrap(_basis(b), width, initial_indent="  - ", subsequent_indent="    ")
        lines.append("")
    return "\n".join(lines)


def _basis(b: Basis) -> str:
    """Return one value with its source, how sure it is, and where to look it up or measure it."""
    if b.book == JOB_FILE and not b.section:
        return f"{b.what}: {b.value} (said by the job)"
    if b.book == TRADE:
        note = b.note.removeprefix(f"{PRACTICE}, ") or b.status.value
        return f"{b.what}: {b.value} ({PRACTICE}, {note})"
    doubt = ""
    if not b.status.verified:
        doubt = "; measure the part" if b.book == CATALOG else "; look it up in your own copy"
    source = f"{b.book} {b.section}".strip()
    return f"{b.what}: {b.value} ({source}; {b.status.value}{doubt})" + (f"; {b.note}" if b.note else "")


_WAY_WORDS: dict[Direction, str] = {
    "up": "up",
    "down": "down",
    "away": "away from the control corner",
    "back": "towards the control corner",
    "out": "out of the wall",
    "in": "into the wall",
}


def windows_text(design: Design, windows: Iterable[Window], width: int = 92) -> str:
    """Return how far marks may be off: direction, amount, the rule that binds, its sources."""
    lines: list[str] = []
    head = ("", "", "")
    for w in windows:
        if (w.wall, w.kind, w.about) != head:
            head = (w.wall, w.kind, w.about)
            lines.append(f"{w.about}  {w.kind} on wall {w.wall}, {w.side} side, may be off, what hangs on it along:")
        amount = units.both(w.amount_mm, design.house.job.units)
        way = _WAY_WORDS[w.direction]
        if not w.bound:
            lines.append(f"  - {way}: more than {amount}, farther was not looked")
            continue
        by = "; ".join(dict.fromkeys(f"{b.book} {b.section}".strip() + f", {b.status.value}" for b in w.bases))
        text = f"{way}: {amount}; then {w.check} {w.name}: {w.words} ({by})"
        lines += textwrap.wrap(text, width, initial_indent="  - ", subsequent_indent="    ")
    return "\n".join((*lines, "")) if lines else ""
