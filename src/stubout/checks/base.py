"""What a check is, what it is given, and how it speaks.

A check reads the finished `Design` and nothing else. It gets a `Review` (the design, the book, and a way to ask the
book) and yields findings. A question the book is silent on, or a fact the job lacks, becomes "not checked" with the
reason; it is never passed by silence.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any, ParamSpec, TypeVar, cast

from stubout import units
from stubout.design import Design
from stubout.fabrication.model import Bore
from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.network.model import Network
from stubout.problems import AskInspector, Basis, Finding, Level, NotChecked, NotInBook, Status
from stubout.rulebooks.model import Cell, RuleBook

Findings = Iterator[Finding]
P = ParamSpec("P")
T = TypeVar("T")

HEADS = ("What it checks", "Why it matters", "Fails", "Passes", "Does not check")

# Named tolerances: what a level, a tape and a square can show on site.
LEVEL_TOL_MM = 0.5  # heights and falls
LENGTH_TOL_MM = 0.5  # lengths along pipes
ANGLE_TOL_DEG = 2.5  # drainage fittings are moulded with pitch, so a "90" may turn 91.2
BORE_TOL_MM = 0.5  # rounding of inch bits to mm
TOUCH_TOL_MM = 1.0  # two bodies overlap by less than this: they touch


class Answers:
    """What books and catalogue answered: kept while one design is judged again and again with its pipes moved."""

    def __init__(self) -> None:
        self._known: dict[tuple[object, ...], tuple[object, LookupError | None]] = {}

    def to(self, question: Callable[..., T], args: tuple[Any, ...], kwargs: dict[str, Any]) -> T:
        """Return the answer to a question; raises LookupError where it is not answered."""
        told = (id(a) if isinstance(a, RuleBook) else a for a in args)  # a book is not compared: it stays the same one
        key = (question, *told, *kwargs.items())
        try:
            known = self._known.get(key)
        except TypeError:  # asked with something that is not compared: a measured catalogue
            return question(*args, **kwargs)
        if known is None:
            try:
                known = question(*args, **kwargs), None
            except LookupError as silent:
                known = None, silent
            self._known[key] = known
        answer, refusal = known
        if refusal is not None:
            raise refusal.with_traceback(None)
        return cast(T, answer)


@dataclass(slots=True)
class Review:
    """One check at work on one design."""

    design: Design
    check: Check
    answers: Answers | None = None
    _reasons: dict[str, dict[str, None]] = field(default_factory=dict)  # why not judged -> of which fixtures

    @property
    def book(self) -> RuleBook:
        """Return the adopted book."""
        return self.design.book.to_judge_by

    @property
    def framing(self) -> RuleBook:
        """Return the book of framing cuts."""
        return self.design.framing.to_judge_by

    @property
    def house(self) -> House:
        """Return the house."""
        return self.design.house

    @property
    def net(self) -> Network:
        """Return the network."""
        return self.design.network

    def ask(self, question: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T | None:
        """Put a question to a book or catalogue; None, with the reason kept, where it is silent."""
        try:
            return self._answer(question, *args, **kwargs)
        except LookupError as silent:  # NotInBook and CatalogError are both look-up errors
            self.skip(str(silent.args[0]) if silent.args else "the book is silent")
            return None

    def maybe(self, question: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T | None:
        """Put a question to a book; None where it is silent, for checks that then know another measure."""
        try:
            return self._answer(question, *args, **kwargs)
        except AskInspector:
            raise  # another measure does not stand for the inspector's answer: the check is not made
        except LookupError:
            return None

    def _answer(self, question: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
        return question(*args, **kwargs) if self.answers is None else self.answers.to(question, args, kwargs)

    def value(self, value_id: str) -> Cell | None:
        """Return a single value of the book; None, with the reason kept, where it is silent."""
        return self.ask(self.book.value, value_id)

    def waits(self, bases: Iterable[Basis]) -> bool:
        """Return whether something the layout reckoned rests on what is only assumed until the inspector answers.

        The reason is kept. Values asked of `book` and `framing` need no such question: there the answer is missing.
        """
        asked = {**self.design.book.asked, **self.design.framing.asked}
        open_ids = [i for b in bases for i in b.of if i in asked] if asked else []
        for value_id in open_ids:
            self.skip(asked[value_id].reason)
        return bool(open_ids)

    def bores(self) -> Iterator[Bore]:
        """Yield the holes whose limits are known; one whose limit waits for the inspector is not judged."""
        return (b for b in self.design.fabrication.bores if not self.waits(b.bases))

    def skip(self, reason: str, tag: str = "") -> None:
        """Note that something could not be judged, why, and of which fixture, where it is one."""
        self._reasons.setdefault(reason, {}).update({tag: None} if tag else {})

    def not_checked(self) -> tuple[NotChecked, ...]:
        """Return what could not be judged, one entry a reason."""
        told = [f"{', '.join(tags)}: {reason}" if tags else reason for reason, tags in self._reasons.items()]
        return tuple(NotChecked(self.check.id, self.check.name, reason) for reason in told)

    def mm(self, value_mm: float) -> str:
        """Return a length in both systems, the job's own first."""
        return units.both(value_mm, self.house.job.units)

    def above(self, mm: float) -> str:
        """Return a height above or below something, which is named next."""
        return f"{self.mm(abs(mm))} {'above' if mm >= 0.0 else 'below'}"

    def at_least_above(self, mm: float) -> str:
        """Return the least height above something, which is named next."""
        return f"at least {self.mm(mm)} above" if mm > LEVEL_TOL_MM else "at or above"

    def slope(self, m_per_m: float) -> str:
        """Return a slope as the job's trade says it."""
        return units.slope(m_per_m, self.house.job.units)

    def size(self, size_in: float) -> str:
        """Return a nominal pipe size."""
        return f"{units.size(size_in)} in"

    def above_floor(self, z_mm: float, finished_z_mm: float, subfloor_z_mm: float) -> str:
        """Return a height from both floors."""
        return units.over_floors(z_mm - finished_z_mm, z_mm - subfloor_z_mm, self.house.job.units)

    def finding(
        self,
        *,
        about: Iterable[str],
        found: str,
        wanted: str,
        do: str,
        why: str,
        bases: Iterable[Cell | Basis | None] = (),
        at: Vec | None = None,
        level: Level | None = None,
        owner: str = "",
        line: int = 0,
        with_clause: bool = True,
    ) -> Finding:
        """Return a finding of this check; the clause of the book or framing book comes before the values used.

        `with_clause` is False where the values carry the sections themselves and the check's clause speaks of another
        case (a hole in a joist, where the finding is about a stud).
        """
        clause = self.book.clauses.get(self.check.id) or self.framing.clauses.get(self.check.id)
        clause = clause if with_clause else None
        given = [b.basis if isinstance(b, Cell) else b for b in (clause, *bases) if b is not None]
        if not given:
            given = [TRADE]
        unique = tuple(dict.fromkeys(given))
        place = None if at is None else (round(at.x, 1) + 0.0, round(at.y, 1) + 0.0, round(at.z, 1) + 0.0)
        return Finding(
            check=self.check.id,
            name=self.check.name,
            level=level or self.check.level,
            about=tuple(about),
            found=found,
            wanted=wanted,
            do=do,
            bases=unique,
            why=why,
            owner=owner,
            line=line,
            at=place,
        )


TRADE = Basis("rule of the trade", "common practice", "trade", "", Status.MEMORY, "common practice, no source")


def trade(what: str, value: str) -> Basis:
    """Return the basis of a figure that the trade uses and no code gives."""
    return Basis(what, value, "trade", "", Status.MEMORY, "common practice, no source")


def said(what: str, value: str) -> Basis:
    """Return the basis of something that the job file says, or leaves open: no rule of the trade decides it."""
    return Basis(what, value, "job", "", Status.JOB)


@dataclass(frozen=True, slots=True)
class Check:
    """One check: its lasting id, the name of the fault, its grade, its page, and the rule itself."""

    id: str
    name: str
    level: Level
    page: str  # the docstring: the page of the check in the reference
    rule: Callable[[Review], Findings]

    def run(self, design: Design, answers: Answers | None = None) -> tuple[tuple[Finding, ...], tuple[NotChecked, ...]]:
        """Return the findings, and what could not be judged.

        Args:
            design: The design to judge.
            answers: What books and catalogue answered before, where the same design is judged again and again.
        """
        review = Review(design, self, answers)
        found: list[Finding] = []
        try:
            found.extend(self.rule(review))
        except (NotInBook, AskInspector) as silent:
            review.skip(str(silent.args[0]) if silent.args else "the book is silent")
        return tuple(found), review.not_checked()

    @property
    def title(self) -> str:
        """Return the first line of the page."""
        return self.page.strip().splitlines()[0]


def check(check_id: str, name: str, level: Level) -> Callable[[Callable[[Review], Findings]], Check]:
    """Make a check of a function; the docstring becomes its page."""

    def wrap(rule: Callable[[Review], Findings]) -> Check:
        return Check(check_id, name, level, rule.__doc__ or "", rule)

    return wrap
