"""A changed job laid out so that as little as possible moves: the accepted layout kept, and let go where it must be.

First a fixture that was only moved, by little, takes its own pipes along (`shifted.py`). Where that does not do, only
the fixtures that changed are laid out anew. Where that leaves something blocked, or a finding that was not
there, those concerned are let go too, then their walls, their level, and at last all that is not installed. Of what was
tried the best is taken: least blocked, fewest findings, least moved.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass

from stubout.change.judged import Judge, Judged
from stubout.change.keep import (
    Route,
    changed_fixtures,
    hung_on,
    installed_pipes,
    questions,
    routes,
    with_those_they_vent,
)
from stubout.change.moved import lies_as
from stubout.change.shifted import Shifted, shifted
from stubout.design import Design
from stubout.fixes.graph import leg_of
from stubout.fixes.said import Value
from stubout.house.model import House
from stubout.job.model import Job, QuestionSaid, RouteSaid
from stubout.layout.model import Blocked
from stubout.problems import Finding
from stubout.units import Units

MOST_TRIALS = 6  # whole plans, the last of them with nothing kept but what is installed


@dataclass(frozen=True, slots=True)
class Keeping:
    """A changed job with the routes that keep the accepted layout."""

    job: Job
    routes: tuple[Route, ...]
    questions: tuple[dict[str, Value], ...]
    judged: Judged
    anew: tuple[str, ...]  # fixtures laid out anew
    along: tuple[str, ...]  # fixtures that took their pipes along as they were moved
    new_faults: tuple[tuple[str, ...], ...]  # about what: blocked or found now, and not in the accepted design


def keep(was: Judged, job: Job, house: House, judge: Judge) -> Keeping:
    """Return a changed job laid out with as much of an accepted design as serves.

    Args:
        was: The accepted design.
        job: The changed job.
        house: The changed job resolved.
        judge: Designs a job and checks it.
    """
    old = was.design
    base = tuple(r for r in job.routes if not r.kept)
    ids, own = {r.id for r in base}, {q.id for q in job.questions}
    installed = installed_pipes(old, house)
    tags = {f.tag for f in house.fixtures}
    changed = changed_fixtures(old.house, house)
    held = hung_on(old.network, installed, changed)
    by_hand = {leg.id for leg in old.house.routes if not leg.said} | ids
    tried: list[tuple[tuple[int, int, int], Keeping]] = []

    def trial(way: Shifted, anew: frozenset[str]) -> Keeping:
        made = routes(way.design, anew, installed, held, ids, tags)
        asked = questions(old, anew, own)
        laid = job.model_copy(
            update={
                "routes": (*base, *(said(r, job.job.units) for r in made)),
                "questions": (*job.questions, *(QuestionSaid.model_validate(dict(q)) for q in asked)),
            }
        )
        judged = judge(laid)
        bad = new_faults(was, judged)
        got = Keeping(laid, made, asked, judged, tuple(sorted(anew & tags)), tuple(sorted(way.tags)), bad)
        tried.append(((len(bad), len(judged.open), _moved(old, judged.design)), got))
        return got

    fixed = {p.id for p in old.network.pipes if p.id in held or p.id in by_hand or leg_of(p.id) in by_hand}
    set_over = shifted(old, house, changed, fixed)
    if set_over.tags:
        anew = with_those_they_vent(old.network, changed - set_over.tags, held)
        if not anew & set_over.tags and not trial(set_over, anew).new_faults:
            return tried[-1][1]
    anew, ways = with_those_they_vent(old.network, changed, held), _wider(old.house, house)
    as_it_lies = Shifted(old, frozenset())
    while len(tried) < MOST_TRIALS:
        got = trial(as_it_lies, anew)
        bad = got.new_faults
        if not bad or anew >= tags:
            break
        more = concerned(got.judged.design, bad) - anew
        while not more:
            wide = next(ways, None)
            more = (tags if wide is None else wide(anew)) - anew
            if wide is None:
                break
        if len(tried) == MOST_TRIALS - 1:
            more = tags
        anew = with_those_they_vent(old.network, anew | more, held)
    return min(tried, key=lambda t: t[0])[1]


def said(route: Route, unit: Units) -> RouteSaid:
    """Return a route as the job file would say it; a bare number of it counts in the units of the job."""
    return RouteSaid.model_validate(dict(route.entry), context={"bare": unit})


def faults_since(was: Judged, now: Judged) -> tuple[Blocked | Finding, ...]:
    """Return what is blocked or found in a design and was not before."""
    before = [(f.check, set(f.about)) for f in was.open]
    out: list[Blocked | Finding] = [
        b for b in now.design.blocked if not any(set(b.about) & set(o.about) for o in was.design.blocked)
    ]
    out += [f for f in now.open if not any(f.check == check and about & set(f.about) for check, about in before)]
    return tuple(out)


def new_faults(was: Judged, now: Judged) -> tuple[tuple[str, ...], ...]:
    """Return what is blocked or found in a design and was not before, by what it is about."""
    return tuple(dict.fromkeys(f.about for f in faults_since(was, now)))


def _moved(old: Design, new: Design) -> int:
    return sum(not lies_as(new, p) for p in old.network.pipes)


def concerned(design: Design, bad: Collection[tuple[str, ...]]) -> set[str]:
    """Return the fixtures that faults are about: the nearest by name, else those of the pipe that serves fewest."""
    tags = {t.tag for t in design.network.traps} | {f.tag for f in design.house.fixtures}
    pipes = {p.id: set(p.tags) for p in design.network.pipes}
    for p in design.network.pipes:
        pipes.setdefault(leg_of(p.id), set(p.tags))
    out: set[str] = set()
    for about in bad:
        named = tags & set(about)
        served = sorted((pipes[i] for i in about if pipes.get(i)), key=len)
        out |= named or (served[0] if served else set())
    return out


def _wider(*houses: House) -> Iterator[Callable[[Collection[str]], set[str]]]:
    """Yield what else to let go beside some fixtures: those of their walls and baths, then those of their levels."""
    every = [f for h in houses for f in h.fixtures]

    def near(tags: Collection[str]) -> set[str]:
        mine = [f for f in every if f.tag in tags]
        walls, groups = {f.wall_id for f in mine} - {""}, {f.group for f in mine} - {""}
        return {f.tag for f in every if f.wall_id in walls or f.group in groups}

    def level(tags: Collection[str]) -> set[str]:
        levels = {f.level_id for f in every if f.tag in tags}
        return {f.tag for f in every if f.level_id in levels}

    yield near
    yield level
