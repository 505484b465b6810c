"""A layout bettered by trying: one choice taken back or another order of drawing at a time, each judged whole.

The engine judges its own drawings by what it can see of them and stops where it sees nothing to doubt. Here every trial
is finished, checked by all checks and priced by its cut list; what is better is gone on from, the best first. Choices
come out in the words of the job file, so that the file lays the same house out again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from stubout import units
from stubout.change.judged import Rank, rank
from stubout.house.facts import Choice
from stubout.job.model import ChoiceSaid, Job
from stubout.layout.choices import ORDERS, choice_of
from stubout.layout.model import Chosen
from stubout.layout.work import Ban

AT_ONCE = 4  # trials begun together, however many processors there are: so the same job always takes the same ways
LEAST_SAVING = 0.002  # of the cost: less is not worth a changed file

Entry = dict[str, str]


@dataclass(frozen=True, slots=True)
class Trial:
    """One layout tried, and what it is worth."""

    blocked: int
    findings: tuple[str, ...]  # checks that found a STOP or FIX nobody has accepted, one a finding
    cost_min: float
    concerned: tuple[str, ...]  # fixtures that are blocked or that findings are about
    chosen: Chosen | None

    @property
    def rank(self) -> Rank:
        """Return what is blocked, how much is found, what it costs: the less the better."""
        return rank(self.blocked, len(self.findings), self.cost_min)


TryAll = Callable[[Sequence[Job]], list[Trial]]
Say = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Refined:
    """What came of it."""

    was: Trial
    best: Trial  # the same where nothing better was found
    entries: tuple[Entry, ...]  # the choices of the best, as the job file says them
    tried: int

    @property
    def better(self) -> bool:
        """Return whether the best is worth a changed file."""
        if self.best.rank[:2] != self.was.rank[:2]:
            return self.best.rank < self.was.rank
        return self.best.cost_min < self.was.cost_min * (1.0 - LEAST_SAVING)


State = tuple[str, frozenset[Ban]]


@dataclass(slots=True)
class _Open:
    """A layout to go on from, with the ways that were not tried yet."""

    number: int
    trial: Trial
    ways: Iterator[State]


def refine(job: Job, was: Trial, try_all: TryAll, most: int, say: Say) -> Refined:
    """Return the best of so many layouts of a job.

    Args:
        job: The job.
        was: Its layout as it is.
        try_all: Lays jobs out and judges them, side by side where it can.
        most: How many to try.
        say: Told how far it is; a KeyboardInterrupt ends the search with the best so far.
    """
    if was.chosen is None:
        return Refined(was, was, (), 0)
    best, entries, tried = was, _entries(job, was.chosen.drawn, was.chosen.left_out), 0
    frontier = [_Open(0, was, _ways(was.chosen, was.concerned))]
    seen: set[State] = set()
    drawn = {(was.rank, was.chosen.made)}  # what comes out as before leads where it led before
    try:
        while frontier and tried < most:
            frontier.sort(key=lambda o: (o.trial.rank, o.number))
            some = _next(frontier[0].ways, seen, min(AT_ONCE, most - tried))
            if not some:
                del frontier[0]
                continue
            written = [_entries(job, *state) for state in some]
            for trial, said in zip(try_all([choosing(job, e) for e in written]), written, strict=True):
                tried += 1
                if trial.chosen is not None and (trial.rank, trial.chosen.made) not in drawn:
                    drawn.add((trial.rank, trial.chosen.made))
                    frontier.append(_Open(tried, trial, _ways(trial.chosen, trial.concerned)))
                if trial.rank < best.rank:
                    best, entries = trial, said
            say(f"layout {tried} of {most}: best has {best.rank[1]} findings and costs {best.cost_min:.0f} min")
    except KeyboardInterrupt:
        say("ended by you: the best so far")
    return Refined(was, best, entries, tried)


def _next(ways: Iterator[State], seen: set[State], most: int) -> list[State]:
    some: list[State] = []
    for state in ways:
        if state not in seen:
            seen.add(state)
            some.append(state)
            if len(some) == most:
                break
    return some


def _ways(chosen: Chosen, concerned: Sequence[str]) -> Iterator[State]:
    """Yield what to try from a layout: without a choice of those concerned, in other orders, without any one choice."""
    bans = frozenset(chosen.left_out)
    hot = [b for b in chosen.made if b[0] in concerned]
    yield from ((chosen.drawn, bans | {b}) for b in hot)
    yield from ((word, bans) for word in ORDERS)
    yield from ((chosen.drawn, bans | {b}) for b in chosen.made if b not in hot)
    yield from ((chosen.drawn, bans - {b}) for b in sorted(bans))


def choosing(job: Job, entries: Sequence[Entry]) -> Job:
    """Return a job with these choices in the place of its own, read as from its file."""
    bare = {"bare": job.job.units}
    said = tuple(ChoiceSaid.model_validate(e, context=bare) for e in entries)
    return job.model_copy(update={"choices": said})


def _entries(job: Job, drawn: str, bans: Sequence[Ban] | frozenset[Ban]) -> tuple[Entry, ...]:
    """Return choices as the job file says them."""
    system = job.job.units
    return ({"drawn": drawn}, *(entry(choice_of(b), system) for b in sorted(bans)))


def entry(choice: Choice, system: units.Units) -> Entry:
    """Return one choice as the job file says it; places of a hand's breadth to the nearest inch or as they are."""

    inch = units.MM_PER_INCH

    def near(*mms: float) -> str:
        return units.all_typed([round(v / inch) * inch if system == "inch" else v for v in mms], system)

    if choice.drawn:
        return {"drawn": choice.drawn}
    if choice.stack_not_near is not None:
        return {"stack not near": units.all_typed(choice.stack_not_near, system)}
    if choice.not_vented_by:
        return {"fixture": choice.tag, "not vented by": choice.not_vented_by}
    if choice.joins_not_near is not None:
        return {"fixture": choice.tag, "joins not near": near(*choice.joins_not_near)}
    return {"fixture": choice.tag, "vent not in": choice.vent_not_in, "near": near(choice.near_mm)}
