"""Other layouts of a job that differ in kind: another wall for the stack, another vent method, other terminals.

Each is a whole layout of a copy of the job with other wishes, judged by all checks. Of each kind the best is kept, and
only where it really came out otherwise.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from stubout import units
from stubout.change.judged import Judge, Judged, Rank, rank, wished
from stubout.change.relax import DEEP_STUD_MM
from stubout.design import Design
from stubout.house.framing import Wall
from stubout.job.model import Job
from stubout.layout.model import PointKind, Role, VentMethod
from stubout.problems import StuboutError, several
from stubout.reports.costs import hours
from stubout.reports.model import Document, Paragraph, TableBlock

MOST_WALLS = 2  # narrow walls tried with deeper studs, for each wall with a stack
Kind = Literal["as laid out", "stack wall", "vent method", "valves", "terminals"]
BY_WISH = (VentMethod.WET, VentMethod.COMMON, VentMethod.LOOP)  # what the engine leaves out when it is not wanted


@dataclass(frozen=True, slots=True)
class Facts:
    """What tells layouts apart."""

    stack_walls: tuple[str, ...]
    methods: tuple[tuple[str, str], ...]  # fixture, how it is vented
    terminals: int
    pipe_mm: float
    fittings: int
    holes: int
    blocked: int
    findings: int  # STOP and FIX that nobody has accepted
    cost_min: float  # working time and material, by the rows of the data and those of the job


@dataclass(frozen=True, slots=True)
class Other:
    """One layout beside the others."""

    kind: Kind
    reason: str  # one line: what was asked for
    differs: str  # what came out otherwise
    facts: Facts


@dataclass(frozen=True, slots=True)
class _Way:
    kind: Kind
    reason: str
    job: Job


def facts_of(tried: Judged) -> Facts:
    """Return what tells a layout from others."""
    net, made = tried.design.network, tried.design.fabrication
    walls = {p.place.ref for p in net.pipes if p.role is Role.STACK and p.place.kind == "wall"}
    return Facts(
        stack_walls=tuple(sorted(walls)),
        methods=tuple(sorted((t.tag, t.method.value) for t in net.traps)),
        terminals=sum(n.kind is PointKind.TERMINAL for n in net.nodes),
        pipe_mm=sum(p.length_mm for p in net.pipes),
        fittings=len(made.fittings),
        holes=len(made.bores),
        blocked=len(tried.design.blocked),
        findings=len(tried.open),
        cost_min=tried.design.costing().minutes,
    )


def others(job: Job, main: Judged, judge: Judge) -> tuple[Other, ...]:
    """Return the layout as it is, then at most one of each other kind, the least blocked, faulty and dear of its kind.

    Args:
        job: The job.
        main: Its layout.
        judge: Lays a job out and checks it.
    """
    facts = facts_of(main)
    best: dict[Kind, Other] = {}
    for way in _ways(job, main.design, facts):
        try:
            found = facts_of(judge(way.job))
        except StuboutError:
            continue  # a book or a house that leaves no layout at all with this wish
        words = _differs(way.kind, facts, found)
        if not words or found.blocked > facts.blocked:  # what leaves more undone is no layout to choose
            continue
        one = Other(way.kind, way.reason, words, found)
        if way.kind not in best or _rank(found) < _rank(best[way.kind].facts):
            best[way.kind] = one
    return (Other("as laid out", "the layout of these sheets", "", facts), *best.values())


def _rank(f: Facts) -> Rank:
    return rank(f.blocked, f.findings, f.cost_min)


def _ways(job: Job, design: Design, facts: Facts) -> Iterator[_Way]:
    wishes = job.wishes
    for taken in facts.stack_walls:
        yield from _other_stack(job, design, taken)
    used = {m for _, m in facts.methods}
    for method in BY_WISH:
        word = method.value
        if word in used:
            unwanted = (*wishes.methods_not_wanted, word)
            yield _Way("vent method", f"no {word} vent", wished(job, "methods_not_wanted", unwanted))
        elif word in wishes.methods_not_wanted:
            wanted = tuple(m for m in wishes.methods_not_wanted if m != word)
            yield _Way("vent method", f"{word} vents, which are not wanted", wished(job, "methods_not_wanted", wanted))
    if wishes.aav == "no":
        yield _Way("valves", "air admittance valves, if the authority allows them", wished(job, "aav", "yes"))
    if facts.terminals > 1:
        yield _Way("terminals", "one terminal", wished(job, "at_most_terminals", 1))
    elif wishes.at_most_terminals is not None:
        yield _Way("terminals", "as many terminals as are short", wished(job, "at_most_terminals", None))


def _other_stack(job: Job, design: Design, taken: str) -> Iterator[_Way]:
    """Yield ways to keep the stack out of a wall: another one as it is, or a narrow one near by of deeper studs."""
    unwanted = (*job.wishes.no_stacks_in_walls, taken)
    asked = wished(job, "no_stacks_in_walls", unwanted)
    yield _Way("stack wall", f"no stack in wall {taken}", asked)
    deep, u = DEEP_STUD_MM[job.job.units], job.job.units
    for w in _narrow(design, design.house.wall(taken), deep)[:MOST_WALLS]:
        studs = tuple(s.model_copy(update={"stud": deep}) if s.id == w.id else s for s in job.walls)
        words = f"no stack in wall {taken}, wall {w.id} of studs {units.both(deep, u)} deep"
        yield _Way("stack wall", words, asked.model_copy(update={"walls": studs}))


def _narrow(design: Design, taken: Wall, deep_mm: float) -> list[Wall]:
    """Return the inside walls of a level that are too narrow for a stack as they are, the nearest first."""
    middle = taken.point(taken.length_mm / 2, 0.0)
    found = [
        w
        for w in design.house.walls
        if w.level_id == taken.level_id and not (w.exterior or w.knee) and w.depth_mm < deep_mm - 1.0
    ]
    return sorted(found, key=lambda w: (round(w.point(w.length_mm / 2, 0.0).to(middle)), w.id))


def _differs(kind: Kind, main: Facts, other: Facts) -> str:
    """Return in words how a layout came out otherwise in what it is tried for; "" if it did not."""
    if kind == "stack wall":
        if other.stack_walls == main.stack_walls:
            return ""
        return f"stacks in {_listed(other.stack_walls)} in place of {_listed(main.stack_walls)}"
    if kind == "terminals":
        if other.terminals == main.terminals:
            return ""
        return f"{several(other.terminals, 'terminal')} in place of {main.terminals}"
    was, now = Counter(m for _, m in main.methods), Counter(m for _, m in other.methods)
    gone, come = was - now, now - was
    if not gone and not come:
        return ""
    return f"{_counted(come)} in place of {_counted(gone)}"


def _listed(words: tuple[str, ...]) -> str:
    return ", ".join(words) or "no wall"


def _counted(found: Counter[str]) -> str:
    return ", ".join(f"{n} {m}" for m, n in sorted(found.items())) or "none"


def page(found: tuple[Other, ...], system: units.Units) -> Document:
    """Return the page of a packet that sets the layouts side by side."""
    return Document(
        "alternatives",
        "Other layouts",
        (
            Paragraph(
                "Each is a whole layout with one wish changed, judged by all checks. Cost: work and material in "
                "time, by the rows of the data and those of the job; the sheets show the first."
            ),
            TableBlock(
                ("Layout", "Differs", "Stacks", "Terminals", "Pipe", "Fittings", "Holes", "Findings", "Cost"),
                tuple(_row(o, found[0].facts, system) for o in found),
                widths=(2.2, 3.0, 1.2, 1.0, 1.4, 1.0, 0.8, 1.0, 1.4),
            ),
        ),
    )


def _row(o: Other, main: Facts, system: units.Units) -> tuple[str, ...]:
    f = o.facts
    faults = str(f.findings) + (f", {f.blocked} blocked" if f.blocked else "")
    return (
        o.reason, o.differs or "-", ", ".join(f.stack_walls) or "-", str(f.terminals), units.length(f.pipe_mm, system),
        str(f.fittings), str(f.holes), faults, cost_words(f, main),
    )  # fmt: skip


def cost_words(f: Facts, main: Facts) -> str:
    """Return what a layout costs, the others beside the main one."""
    if f is main:
        return hours(f.cost_min)
    return f"{f.cost_min - main.cost_min:+.0f} min ({100.0 * (f.cost_min / main.cost_min - 1.0):+.0f} %)"


def told(found: tuple[Other, ...], system: units.Units) -> str:
    """Return the layouts side by side for a terminal."""
    main = found[0].facts
    lines = ["OTHER LAYOUTS, each whole and checked"]
    for o in found[1:]:
        f = o.facts
        faults = several(f.findings, "finding") + (f", {f.blocked} blocked" if f.blocked else "")
        lines += [
            f"  {o.reason}: {o.differs}",
            f"      pipe {units.length(f.pipe_mm, system)} (here {units.length(main.pipe_mm, system)}), "
            f"{f.fittings} fittings ({main.fittings}), {f.holes} holes ({main.holes}), {faults} ({main.findings}), "
            f"cost {cost_words(f, main)}",
        ]
    if len(found) == 1:
        lines.append("  none came out otherwise in kind")
    return "\n".join(lines) + "\n"
