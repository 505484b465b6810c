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
from stubout.fixes.follow import followed, jointed, touched
from stubout.fixes.graph import measured_on
from stubout.fixes.model import Edit
from stubout.fixes.moves import Shift
from stubout.fixes.near import beside
from stubout.network.model import Network
from stubout.problems import Finding, Level, NotChecked
from stubout.windows import table

GRAVE = (Level.STOP, Level.FIX)

OF_LISTS = ("FIT", "FLG001", "FRM", "SGL002", "SUP")  # checks that read fittings, pieces, holes or supports

OF_JOINTS = "FIT"  # of those: they read fittings and pieces only

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
        self._before = before

    @cached_property
    def _touched(self) -> frozenset[str]:
        return touched(self._before, self._after)

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

    def raised_by(self, edits: Sequence[Edit], finding: Finding) -> tuple[str | None, Design | None]:
        """Return the first check that speaks up about some edits, and the design they make.

        The check is "" if none speaks, None if the finding stays; the design is None where it was not made to the end.
        The checks that read no list of what is cut and bored are asked first: the lists need not be made for them;
        unless it was a check of the lists that spoke up last.
        """
        made = Made(self.design, tuple(edits))
        if self.order[0].id.startswith(OF_JOINTS) and made.quick:
            said = self._first(made.joints, finding, self.order[:1])
            if said != "":
                return said, None
        if self.order[0].id.startswith(OF_LISTS):
            return self._first(made.whole, finding, tuple(self.order)), made.whole
        said = self._spoken(made, finding, tuple(c for c in self.order if not c.id.startswith(OF_LISTS)))
        if said != "":
            return said, None
        lists = tuple(c for c in self.order if c.id.startswith(OF_LISTS))
        return self._first(made.whole, finding, lists), made.whole

    def _spoken(self, made: Made, finding: Finding, checks: Iterable[Check]) -> str | None:
        """Return what `_first` does of checks that read no lists; vents are measured no sooner than one asks for it."""
        parts: dict[int, Parts] = {}
        for check in checks:
            bare = made.measured if check.id in table.LENGTHS else made.bare
            said = self._first(bare, finding, (check,), parts.setdefault(id(bare), Parts(self.design, bare)))
            if said != "":
                return said
        return ""

    def _first(
        self, design: Design, finding: Finding, checks: Sequence[Check], parts: Parts | None = None
    ) -> str | None:
        own = self.known[key(finding)]
        parts = parts or Parts(self.design, design)
        for check in checks:
            judged = design
            if check.id in PIPE_BY_PIPE and check.id != finding.check and design.house is self.design.house:
                judged = parts.pairs if check.id in table.PAIRS else parts.own
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


class Made:
    """A design with some edits made, as far as each check needs it."""

    def __init__(self, before: Design, edits: tuple[Edit, ...]) -> None:
        self.before, self.edits = before, edits

    @property
    def quick(self) -> bool:
        """Return whether fittings and pieces alone tell as much as all lists: after a single move of points."""
        return len(self.edits) == 1 and isinstance(self.edits[0], Shift)

    @cached_property
    def bare(self) -> Design:
        """Return the pipes as they are then, lists and lengths of vents as they were."""
        return applied(self.before, self.edits, follow=False, measure=False)

    @cached_property
    def measured(self) -> Design:
        """Return the same with the lengths of moved vents."""
        return applied(self.before, self.edits, follow=False)

    @cached_property
    def joints(self) -> Design:
        """Return the pipes with their fittings and pieces, holes and supports as they were."""
        return jointed(self.before, self.bare)

    @cached_property
    def whole(self) -> Design:
        """Return the design with all that follows."""
        return applied(self.before, self.edits)


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
