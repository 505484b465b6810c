"""A design with what the checks say of it; edits made on copies of it, and who of the checks then speaks up."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from stubout.checks.base import Check
from stubout.checks.registry import CHECKS
from stubout.design import Design
from stubout.fabrication.model import Fabrication
from stubout.fixes.follow import followed, touched
from stubout.fixes.graph import measured_on
from stubout.fixes.model import Edit
from stubout.fixes.moves import Shift
from stubout.fixes.near import beside
from stubout.network.model import Network
from stubout.problems import Finding, Level, NotChecked
from stubout.windows import table

GRAVE = (Level.STOP, Level.FIX)

OF_LISTS = ("FIT", "FLG001", "FRM", "SGL002", "SUP")  # checks that read fittings, pieces, holes or supports

PIPE_BY_PIPE = ("CLA001", "CLA002", "CLA003", "CLA004", "CLA008", "CLA009", *table.PAIRS)

Key = tuple[str, tuple[str, ...]]


def key(f: Finding) -> Key:
    """Return what makes a finding the same before and after a change."""
    return f.check, f.about


class Parts:
    """The pipes that a change touched, alone and with those beside them: all that checks of single pipes need."""

    def __init__(self, before: Design, after: Design) -> None:
        """Take the design as it stands and as it is changed."""
        self._after = after
        self._touched = touched(before, after)

    @cached_property
    def own(self) -> Design:
        """Return the changed design with the touched pipes only."""
        return self._with(self._touched)

    @cached_property
    def pairs(self) -> Design:
        """Return the changed design with the touched pipes and those beside them."""
        return self._with(beside(self._after.network, self._touched))

    def _with(self, ids: frozenset[str]) -> Design:
        net = self._after.network
        return replace(self._after, network=Network(net.nodes, tuple(p for p in net.pipes if p.id in ids), ()))


@dataclass(slots=True)
class Bench:
    """One design, what the checks say of it, and which of them spoke up against changes so far."""

    design: Design
    findings: tuple[Finding, ...]
    not_checked: tuple[NotChecked, ...]
    known: Counter[Key] = field(init=False)
    silent: frozenset[tuple[str, str]] = field(init=False)
    order: list[Check] = field(init=False)
    anew: list[Fabrication] = field(default_factory=list)  # made by the first finding that asks for it

    def __post_init__(self) -> None:
        self.known = Counter(key(f) for f in self.findings if f.level in GRAVE)
        self.silent = frozenset((n.check, n.reason) for n in self.not_checked)
        self.order = list(CHECKS)

    def raised(self, design: Design, finding: Finding) -> str | None:
        """Return the first check that speaks up about a changed design, "" if none does, None if the finding stays."""
        return self._first(design, finding, tuple(self.order))

    def raised_by(self, edits: Sequence[Edit], finding: Finding) -> tuple[str | None, Design | None]:
        """Return what `raised` does of some edits, and the design they make; None where it was not made to the end.

        The checks that read no list of what is cut and bored are asked first: the lists need not be made for them;
        unless it was a check of the lists that spoke up last.
        """
        if self.order[0].id.startswith(OF_LISTS):
            made = applied(self.design, edits)
            return self._first(made, finding, tuple(self.order)), made
        bare = applied(self.design, edits, follow=False)
        plain = tuple(c for c in self.order if not c.id.startswith(OF_LISTS))
        said = self._first(bare, finding, plain)
        if said != "":
            return said, None
        made = applied(self.design, edits)
        return self._first(made, finding, tuple(c for c in self.order if c.id.startswith(OF_LISTS))), made

    def _first(self, design: Design, finding: Finding, checks: tuple[Check, ...]) -> str | None:
        own = self.known[key(finding)]
        part: Parts | None = None
        for check in checks:
            judged = design
            if check.id in PIPE_BY_PIPE and check.id != finding.check and design.house is self.design.house:
                part = part or Parts(self.design, design)
                judged = part.pairs if check.id in table.PAIRS else part.own
            found, unable = check.run(judged)
            new = Counter(key(f) for f in found if f.level in GRAVE)
            if check.id == finding.check and new[key(finding)] >= own:
                return None
            dumb = check.id == finding.check and any((n.check, n.reason) not in self.silent for n in unable)
            if dumb or any(new[k] > self.known[k] for k in new):
                self.order.remove(check)
                self.order.insert(0, check)
                return check.id
        return ""


def applied(design: Design, edits: Iterable[Edit], *, follow: bool = True, measure: bool = True) -> Design:
    """Return the design with some edits made one after the other.

    Args:
        design: The design as it stands.
        edits: The edits.
        follow: Whether fittings, pieces, holes and supports follow the pipes.
        measure: Whether the lengths of moved vents follow.
    """
    for edit in edits:
        new = edit.on(design)
        new = measured_on(design, new) if measure and isinstance(edit, Shift) else new
        design = followed(design, new) if follow else new
    return design
