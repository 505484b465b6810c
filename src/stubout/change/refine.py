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
USUAL_ORDERS = 2  # tried before single choices; what is left of them is slow and seldom better
SIDE_STEP = 2  # every so many steps one goes on from a layout of another order: the best may lead nowhere
NO_GAIN: Rank = (0, 0, 0.0)
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
    asked_min: float = 0.0  # what it weighs that the layout asks for what the job had said otherwise

    @property
    def rank(self) -> Rank:
        """Return what is blocked, how much is found, what it costs: the less the better."""
        return rank(self.blocked, len(self.findings), self.cost_min + self.asked_min)


def nothing(job: Job) -> Trial:
    """Return what is worse than any layout: none comes out."""
    return Trial(len(job.fixtures) + 1, (), 0.0, (), None)


TryAll = Callable[[Sequence[Job]], list[Trial]]
Say = Callable[[str], None]
Enough = Callable[[Trial], bool]


Better = Callable[[Trial, Trial], bool]


def ranked_before(one: Trial, best: Trial) -> bool:
    """Return whether a trial is better than the best so far, by however little."""
    return one.rank < best.rank


def never(_best: Trial) -> bool:
    """Go on as long as there is something to try."""
    return False


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
        return self.best.rank[2] < self.was.rank[2] * (1.0 - LEAST_SAVING)


State = tuple[str, frozenset[Ban]]


@dataclass(slots=True)
class _Open:
    """A layout to go on from."""

    number: int
    trial: Trial
    chosen: Chosen


class _Lessons:
    """What leaving out a choice has won so far, wherever it was tried."""

    def __init__(self) -> None:
        self._won: dict[Ban, Rank] = {}

    def learn(self, before: Trial, state: State, after: Trial) -> None:
        """Remember what came of a way."""
        if before.chosen is not None and before.chosen.drawn == state[0]:
            for ban in state[1] - set(before.chosen.left_out):
                won = _won(before.rank, after.rank)
                self._won[ban] = max(won, self._won.get(ban, won))

    def sorted(self, bans: Sequence[Ban]) -> tuple[list[Ban], list[Ban], list[Ban]]:
        """Return those that won something, the most first; those nothing is known of; those that won nothing."""
        known = sorted((b for b in bans if b in self._won), key=lambda b: self._won[b], reverse=True)
        good = [b for b in known if self._won[b] > NO_GAIN]
        return good, [b for b in bans if b not in self._won], known[len(good) :]


def _won(before: Rank, after: Rank) -> Rank:
    """Return how much better one rank is than another: what is blocked before what is found before what it costs."""
    return before[0] - after[0], before[1] - after[1], before[2] - after[2]


def refine(
    job: Job,
    was: Trial,
    try_all: TryAll,
    most: int,
    say: Say,
    enough: Enough = never,
    *,
    better: Better = ranked_before,
    beside: Sequence[Trial] = (),
    endable: bool = True,
) -> Refined:
    """Return the best of so many layouts of a job.

    Args:
        job: The job.
        was: Its layout as it is.
        try_all: Lays jobs out and judges them, side by side where it can.
        most: How many to try.
        say: Told how far it is.
        enough: Asked with the best so far before each step; ends the search.
        better: Whether a trial takes the place of the best so far.
        beside: Other layouts of it that are there already, to go on from too.
        endable: Whether a KeyboardInterrupt ends the search with the best so far, and not the program.
    """
    if was.chosen is None:
        return Refined(was, was, (), 0)
    best, entries, tried, turn = was, _entries(job, was.chosen.drawn, was.chosen.left_out), 0, 0
    seen: set[State] = {(t.chosen.drawn, frozenset(t.chosen.left_out)) for t in beside if t.chosen is not None}
    # what comes out as before leads where it led before
    unlike = {(t.rank, t.chosen.made): _Open(0, t, t.chosen) for t in (*reversed(beside), was) if t.chosen is not None}
    drawn, frontier, lessons = set(unlike), list(unlike.values()), _Lessons()
    try:
        while frontier and tried < most and not enough(best):
            frontier.sort(key=lambda o: (o.trial.rank, o.number))
            turn += 1
            one = frontier[0] if turn % SIDE_STEP else _beside(frontier)
            some = _next(_ways(one.chosen, one.trial.concerned, lessons), seen, min(AT_ONCE, most - tried))
            if not some:
                frontier.remove(one)
                continue
            written = [_entries(job, *state) for state in some]
            for trial, state, said in zip(try_all([choosing(job, e) for e in written]), some, written, strict=True):
                tried += 1
                lessons.learn(one.trial, state, trial)
                if trial.chosen is not None and (trial.rank, trial.chosen.made) not in drawn:
                    drawn.add((trial.rank, trial.chosen.made))
                    frontier.append(_Open(tried, trial, trial.chosen))
                if better(trial, best):
                    best, entries = trial, said
            say(f"layout {tried} of {most}: best has {best.rank[1]} findings and costs {best.cost_min:.0f} min")
    except KeyboardInterrupt:
        if not endable:
            raise
        say("ended by you: the best so far")
    return Refined(was, best, entries, tried)


def _beside(frontier: Sequence[_Open]) -> _Open:
    """Return the best layout that was drawn in another order than the very best, that one where there is no other."""
    return next((o for o in frontier if o.chosen.drawn != frontier[0].chosen.drawn), frontier[0])


def _next(ways: Iterator[State], seen: set[State], most: int) -> list[State]:
    some: list[State] = []
    for state in ways:
        if state not in seen:
            seen.add(state)
            some.append(state)
            if len(some) == most:
                break
    return some


def _ways(chosen: Chosen, concerned: Sequence[str], lessons: _Lessons) -> Iterator[State]:
    """Yield what to try from a layout, the most promising first.

    Without a choice that won something where it was left out elsewhere, in other orders, without a choice of those
    concerned, without any one choice, and at last what has won nothing yet.
    """
    bans, drawn = frozenset(chosen.left_out), chosen.drawn
    good, unknown, vain = lessons.sorted(chosen.made)
    others = [word for word, order in ORDERS.items() if word != drawn and order.in_walls == ORDERS[drawn].in_walls]
    yield from ((drawn, bans | {b}) for b in good)
    yield from ((word, bans) for word in others[:USUAL_ORDERS])
    yield from ((drawn, bans | {b}) for b in unknown if b[0] in concerned)
    yield from ((word, bans) for word in (*others[USUAL_ORDERS:], drawn))
    yield from ((drawn, bans | {b}) for b in unknown if b[0] not in concerned)
    yield from ((drawn, bans - {b}) for b in sorted(bans))
    yield from ((drawn, bans | {b}) for b in vain)


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
    if choice.not_through_walls:
        return {"fixture": choice.tag, "not through walls": "yes"}
    if choice.joins_not_near is not None:
        return {"fixture": choice.tag, "joins not near": near(*choice.joins_not_near)}
    return {"fixture": choice.tag, "vent not in": choice.vent_not_in, "near": near(choice.near_mm)}
