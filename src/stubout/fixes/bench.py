"""A design with what the checks say of it; edits made on copies of it, and who of the checks then speaks up."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from stubout.checks.base import Check
from stubout.checks.registry import CHECKS
from stubout.design import Design
from stubout.fabrication.model import Fabrication
from stubout.fixes.follow import followed
from stubout.fixes.graph import measured_on
from stubout.fixes.model import Edit
from stubout.fixes.moves import Shift
from stubout.problems import Finding, Level, NotChecked

GRAVE = (Level.STOP, Level.FIX)

Key = tuple[str, tuple[str, ...]]


def key(f: Finding) -> Key:
    """Return what makes a finding the same before and after a change."""
    return f.check, f.about


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
        own = self.known[key(finding)]
        still = 0
        for check in self.order:
            found, unable = check.run(design)
            new = Counter(key(f) for f in found if f.level in GRAVE)
            if check.id == finding.check:
                still = new[key(finding)]
                if still >= own:
                    return None
            dumb = check.id == finding.check and any((n.check, n.reason) not in self.silent for n in unable)
            if dumb or any(new[k] > self.known[k] for k in new):
                self.order.remove(check)
                self.order.insert(0, check)
                return check.id
        return ""


def applied(design: Design, edits: Iterable[Edit], *, follow: bool = True) -> Design:
    """Return the design with some edits made one after the other.

    Args:
        design: The design as it stands.
        edits: The edits.
        follow: Whether fittings, pieces, holes and supports follow the pipes.
    """
    for edit in edits:
        new = edit.on(design)
        if follow:
            new = measured_on(design, new) if isinstance(edit, Shift) else new
            new = followed(design, new)
        design = new
    return design
