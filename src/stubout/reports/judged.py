"""One job judged under two books: what passes in one and fails in the other, and what is sized otherwise."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from stubout.design import Design
from stubout.layout.model import PointKind, Role, StubMark, TrapPlan
from stubout.network.model import Pipe
from stubout.problems import Finding, Level, NotChecked
from stubout.reports.show import NONE, fixture_units, show, size


@dataclass(frozen=True, slots=True)
class Judged:
    """A design, and what the checks said of it by one book."""

    book: str
    design: Design
    findings: tuple[Finding, ...]
    not_checked: tuple[NotChecked, ...]


@dataclass(frozen=True, slots=True)
class FindingRow:
    """One fault in one place, as each of two books judges it."""

    check: str
    name: str
    level: Level
    about: tuple[str, ...]
    differs: Literal["only a", "only b", "other wanted", "same"]
    a: tuple[Finding, ...]
    b: tuple[Finding, ...]
    not_checked: tuple[str, ...] = ()  # why the book that finds nothing did not judge it

    @property
    def counts(self) -> bool:
        """Return whether it is a rule that is kept in one book and broken in the other."""
        return self.differs.startswith("only") and self.level in (Level.STOP, Level.FIX)


@dataclass(frozen=True, slots=True)
class SizeRow:
    """One figure of the layouts that is not the same under two books."""

    about: str
    what: str
    a: str
    b: str


@dataclass(frozen=True, slots=True)
class Trial:
    """One job by one book: laid out and judged, or why it could not be."""

    book: str
    judged: Judged | None
    silent: str = ""  # why nothing could be laid out
    taken: tuple[str, ...] = ()  # amendments taken along from the job's own book
    left: tuple[str, ...] = ()  # amendments left behind


@dataclass(frozen=True, slots=True)
class JobCompared:
    """The same job under two books: laid out by each, and one layout judged by both."""

    a: Trial
    b: Trial
    rows: tuple[FindingRow, ...]  # each laid out by its own book
    sizes: tuple[SizeRow, ...]
    kept: str = ""  # the book whose layout was judged by both, "" if none could be
    kept_rows: tuple[FindingRow, ...] = ()
    kept_silent: str = ""  # why the other book could not judge it

    @property
    def differs(self) -> bool:
        """Return whether a rule is kept in one book and broken in the other."""
        return any(r.counts for r in (*self.rows, *self.kept_rows))

    @property
    def blocked(self) -> bool:
        """Return whether a part could not be laid out by one of the books."""
        return any(t.judged is None or bool(t.judged.design.blocked) for t in (self.a, self.b))


def finding_rows(a: Judged, b: Judged, *, same_layout: bool) -> tuple[FindingRow, ...]:
    """Return every finding of either book, gravest first.

    Args:
        a: The job by the first book.
        b: The job by the second one.
        same_layout: Whether ids of pipes mean the same pipes in both; if not, a pipe is known by what drains or
            breathes through it.
    """
    left = _by_place(a, same_layout)
    right = _by_place(b, same_layout)
    rows = [_row(key, left.get(key, ()), right.get(key, ()), a, b) for key in dict.fromkeys((*left, *right))]
    order = list(Level)
    return tuple(sorted(rows, key=lambda r: (order.index(r.level), r.check, r.about)))


_Place = tuple[str, tuple[str, ...]]


def _by_place(side: Judged, same_layout: bool) -> dict[_Place, tuple[Finding, ...]]:
    names = {} if same_layout else dict(_names(side.design))
    out: dict[_Place, list[Finding]] = {}
    for f in side.findings:
        about = f.about if same_layout else tuple(sorted({names.get(i, i) for i in f.about}))
        out.setdefault((f.check, about), []).append(f)
    return {k: tuple(v) for k, v in out.items()}


def _names(design: Design) -> Iterator[tuple[str, str]]:
    """Yield what pipes, points and cleanouts are called where their ids mean nothing: by the fixtures behind them."""
    for p in design.network.pipes:
        yield p.id, f"{p.role.value} of {', '.join(p.tags) or 'nothing'}"
    for n in design.network.nodes:
        tags = {t for i in (*n.inflow, *n.outflow) for t in design.network.pipe(i).tags}
        yield n.id, f"{n.kind.value} at {', '.join(sorted(tags)) or 'nothing'}"
    for c in design.cleanouts:
        yield c.id, f"cleanout of {c.serves or 'nothing'}"


def _row(key: _Place, a: tuple[Finding, ...], b: tuple[Finding, ...], one: Judged, two: Judged) -> FindingRow:
    first = (a or b)[0]
    differs: Literal["only a", "only b", "other wanted", "same"]
    if not b:
        differs, silent = "only a", two
    elif not a:
        differs, silent = "only b", one
    else:
        differs, silent = ("same" if {f.wanted for f in a} == {f.wanted for f in b} else "other wanted"), None
    reasons = tuple(n.reason for n in silent.not_checked if n.check == key[0]) if silent is not None else ()
    return FindingRow(key[0], first.name, first.level, key[1], differs, a, b, reasons)


def size_rows(a: Design, b: Design) -> tuple[SizeRow, ...]:
    """Return the figures of a job laid out by two books that are not the same: by fixture, then of the whole house."""
    rows: list[SizeRow] = []
    theirs = {t.tag: t for t in b.network.traps}
    for trap in sorted(a.network.traps, key=lambda t: t.tag):
        other = theirs.get(trap.tag)
        left = _trap_figures(a, trap)
        right = _trap_figures(b, other) if other is not None else dict.fromkeys(left, "not laid out")
        rows += [SizeRow(trap.tag, what, left[what], right[what]) for what in left if left[what] != right[what]]
    rows += [SizeRow(t.tag, "fixture", "not laid out", "laid out") for t in b.network.traps
             if t.tag not in {u.tag for u in a.network.traps}]  # fmt: skip
    whole, other_whole = _house_figures(a), _house_figures(b)
    rows += [
        SizeRow("house", what, whole[what], other_whole[what]) for what in whole if whole[what] != other_whole[what]
    ]
    return tuple(rows)


def _trap_figures(design: Design, trap: TrapPlan) -> dict[str, str]:
    net = design.network
    known = {p.id for p in net.pipes}
    stub = next((s for s in design.stubs if s.tag == trap.tag), None)
    return {
        "trap": size(trap.trap_in),
        "trap arm": _largest(net.pipe(i) for i in trap.arm_runs if i in known),
        "vented by": trap.method.value,
        "vent": _largest(net.pipe(i) for i in trap.vent_runs if i in known),
        "stub-out": _stub_place(stub),
        "stub-out above subfloor": show(design).length(None if stub is None else stub.mark_z_mm - stub.subfloor_z_mm),
    }


def _stub_place(stub: StubMark | None) -> str:
    """Return where the mark of a stub-out stands."""
    if stub is None:
        return NONE
    return stub.place.words or f"{stub.place.kind} {stub.wall_id}"


def _house_figures(design: Design) -> dict[str, str]:
    net = design.network
    last = [p for p in net.drains() if net.node(p.end).kind is PointKind.SEWER]
    return {
        "load on the sewer": f"{fixture_units(max((p.load for p in last), default=0.0))}",
        "building drain": _largest(last),
        "largest stack": _largest(p for p in net.drains() if p.role is Role.STACK),
        "vents to the open air": str(sum(1 for n in net.nodes if n.kind is PointKind.TERMINAL)),
        "largest terminal": _largest(p for p in net.vents() if net.node(p.end).kind is PointKind.TERMINAL),
        "cleanouts": str(len(design.cleanouts)),
        "drain pipe": _metres(design, net.drains()),
        "vent pipe": _metres(design, net.vents()),
        "not laid out": str(len(design.blocked)),
    }


def _largest(pipes: Iterable[Pipe]) -> str:
    sizes = [p.size_in for p in pipes]
    return size(max(sizes)) if sizes else "none"


def _metres(design: Design, pipes: Iterable[Pipe]) -> str:
    return show(design).length(sum(p.length_mm for p in pipes))
