"""From a job to a layout that is finished and checked: the stages that every question about a job begins with.

Each stage is a pure function of the one before and the rule book; they are imported when they are needed, so that a
lookup does not load the layout engine.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from functools import partial
from typing import TYPE_CHECKING

from stubout.collecting import uncollected
from stubout.problems import Finding, LayoutError, Level, NotChecked, NotInBook, Question, several

if TYPE_CHECKING:
    from stubout.change.best import Whole
    from stubout.change.eased import Finish, Finished, Vain
    from stubout.change.judged import Judged, Rank
    from stubout.change.mended import Same
    from stubout.design import Design
    from stubout.house.facts import Choice
    from stubout.house.model import House
    from stubout.job.model import Job
    from stubout.layout.bound.bound import Bound
    from stubout.layout.engine import Known
    from stubout.layout.model import Blocked, Layout
    from stubout.layout.select.model import Selection
    from stubout.rulebooks.model import RuleBook

Progress = Callable[[str], None]
Right = Callable[["Whole[Laid]"], "Whole[Laid]"]
Form = Callable[["Whole[Laid]"], "tuple[Whole[Laid], ...]"]
MOST_PUT_RIGHT = 3  # layouts next to the best, put right where that could not be
MORE_FOUND = 2  # findings more than in the best that one of them may have
MOST_AT_FIRST = 2  # times the search a house may take at first that is laid out through walls besides


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the checks say of a design, written acceptances taken into account."""

    findings: tuple[Finding, ...]
    not_checked: tuple[NotChecked, ...]
    waived: tuple[Finding, ...] = ()  # those of `findings` that the authority accepted in writing
    used: Mapping[str, tuple[str, ...]] = field(default_factory=dict)  # id of a book value -> checks that judged by it

    @property
    def open(self) -> tuple[Finding, ...]:
        """Return the findings of level STOP and FIX that nobody has accepted."""
        return tuple(f for f in self.findings if f.level in (Level.STOP, Level.FIX) and f not in self.waived)


def quiet(_step: str) -> None:
    """Say nothing: the progress of a run nobody watches."""


@dataclass(frozen=True, slots=True)
class Laid:
    """A house laid out by its books, before anything is sized."""

    house: House
    questions: tuple[Question, ...]  # of the house
    asked: tuple[Question, ...]  # left to the inspector by an amendment
    book: RuleBook
    framing: RuleBook
    layout: Layout


def design(job: Job, progress: Progress | None = None) -> Design:
    """Return the finished design of a job.

    Args:
        job: The job as the user said it.
        progress: Called with the name of each stage as it starts.

    Raises:
        RuleBookError: If a rule book or an amendment is broken, or the book leaves away a figure nothing can be laid
            out without.
        LayoutError: If the house gives the layout nothing to start from.
    """
    return laid_out(job, progress).design


@uncollected()
def laid_out(job: Job, progress: Progress | None = None) -> Whole[Laid]:
    """Return a job laid out, finished and judged; raises what `design` raises.

    It is laid out in each order, through walls too where drops could go on there, and the best is taken; then others
    are tried, most where the checks find something.
    """
    from stubout.change.best import MOST_EFFORT, best
    from stubout.change.refine import choosing
    from stubout.change.righting import Righting
    from stubout.house.site import choices
    from stubout.layout.choices import ORDERS, WORDS
    from stubout.layout.engine import Known
    from stubout.layout.work import Order

    known, say = Known(), progress or quiet
    righting = Righting(shapes_of, put_right, _laid)
    vain: Vain = set()
    first = lay(job, progress, known)
    if first.layout.chosen is None:  # all of it is drawn by hand
        return whole(first, progress, shapes=True)
    if job.choices:
        return _hung(put_right(_led_out(whole(first, progress, shapes=True), first, known)), first, known, say)
    one = whole(first, progress, vain=vain)
    bound, drawn = one.design.bound, first.layout.chosen.drawn

    tried = [one]

    def trial(changed: Job, than: Rank, *, mend: bool = False) -> Whole[Laid]:
        tried.append(whole(again(first, choices(changed), known, mend=mend), bound=bound, than=than, vain=vain))
        return tried[-1]

    say("other orders")
    words = [word for word, order in ORDERS.items() if not order.in_walls and (known.low or not order.short)]
    orders = [choosing(job, ({"drawn": word},)) for word in words if word != drawn or first.layout.chosen.left_out]
    there = _those_laid_out(one, orders, trial)
    if known.walls and one.effort <= MOST_AT_FIRST * MOST_EFFORT:
        through = choosing(job, ({"drawn": WORDS[Order(in_walls=True)]},))
        with suppress(LayoutError, NotInBook):
            there.append(trial(through, there[0].trial.rank, mend=True))
        there.sort(key=lambda w: w.trial.rank)
    say("what the checks find put right")
    there[0] = righting.right(there[0])
    found = righting.right(_led_out(best(job, there, trial, say), first, known, say, righting.form))
    say("ways of all layouts put together")
    put, selection, mixed = _combined(found, first, tried, known)
    chosen = righting.right(put)
    chosen = min((chosen, *map(righting.right, _next_to(chosen, tried))), key=lambda w: w.trial.rank)
    chosen = _hung(chosen, first, known, say, righting.right)
    return _said_of(replace(chosen, design=replace(chosen.design, selection=selection)), one, mixed=mixed)


def tried(job: Job) -> Whole[Laid]:
    """Return a job that makes its choices laid out, finished and judged, as a search holds many against each other.

    No other shapes are tried of it as it is drawn, so that many can be tried, but for drains that are hung close under
    the joists of a crawl space; raises what `design` raises.
    """
    from stubout.layout.engine import Known

    known = Known()
    first = lay(job, None, known)
    return _hung(_led_out(whole(first), first, known), first, known)


def _laid(one: Whole[Laid]) -> Hashable:
    """Return what is laid out, to know the same by."""
    made = one.laid.layout
    return made.points, made.runs, made.traps, made.stubs, made.cleanouts


def _led_out(
    one: Whole[Laid], first: Laid, known: Known, say: Progress = quiet, form: Form | None = None
) -> Whole[Laid]:
    """Return a layout with its vents led out in another order, where that is better by all checks or costs less."""
    other = known.led_out(one.drawn)
    if other is None:
        return one
    led = (form or shapes_of)(whole(replace(first, layout=other), bound=one.design.bound, than=one.trial.rank))[0]
    if not led.trial.rank < one.trial.rank:
        return one
    found = several(len(led.trial.findings), "finding")
    say(f"vents in another order: {found}, costs {led.trial.cost_min:.0f} min")
    return led


def _hung(
    one: Whole[Laid], first: Laid, known: Known, say: Progress = quiet, right: Right | None = None
) -> Whole[Laid]:
    """Return a layout with the drains of its crawl space close under the joists, where that is better or costs less."""
    from stubout.change.hung import hung, where_eased
    from stubout.layout.takeup import TakeUp

    house = first.house
    bare = where_eased(known.bare(one.drawn), one.laid.layout, house)
    layout = hung(bare, house, TakeUp(house.measured))
    if layout is None:
        return one
    made = whole(_opened(first, layout), bound=one.design.bound, than=one.trial.rank)
    up = put_right(shapes_of(made)[0]) if right is None else right(made)
    if not up.trial.rank < one.trial.rank:
        return one
    say(f"drains hung under the joists: {several(len(up.trial.findings), 'finding')}, {up.trial.cost_min:.0f} min")
    return up


def _combined(
    found: Whole[Laid], first: Laid, tried: Sequence[Whole[Laid]], known: Known
) -> tuple[Whole[Laid], Selection | None, bool]:
    """Return the best that the ways of all layouts make together, how near that is to the cheapest, if it is mixed.

    What is drawn by hand stays as it is drawn: nothing is put together then.
    """
    from stubout.catalog.queries import costs_of
    from stubout.change.combined import Candidate, Combining
    from stubout.layout.worth import pipe_tops

    if any(r.drawn for r in found.drawn.runs):
        return found, None, False
    own = Candidate(known.bare(found.drawn), frozenset(found.trial.concerned))
    others = [Candidate(d, None) for d in known.drawings.layouts]
    others += [Candidate(known.bare(w.drawn), frozenset(w.trial.concerned)) for w in tried]
    house = first.house
    combining = Combining(found, own, others, costs_of(house.costs), pipe_tops(house.fixtures))

    def finished(layout: Layout) -> Whole[Laid]:
        opened = _opened(first, layout)
        known.remember_bare(opened.layout, layout)
        return whole(opened, bound=found.design.bound, than=combining.best.trial.rank)

    put = combining.bettered(finished)
    return put, combining.selection(), put is not found and combining.mixed


def _opened(laid: Laid, layout: Layout) -> Laid:
    """Return a house with a layout that gets the cleanouts its book asks for."""
    from stubout.layout.cleanouts import with_cleanouts

    return replace(laid, layout=with_cleanouts(layout, laid.house, laid.book))


def _those_laid_out(
    one: Whole[Laid], jobs: Iterable[Job], trial: Callable[[Job, Rank], Whole[Laid]]
) -> list[Whole[Laid]]:
    """Return a layout with those of some jobs, as long as they are not too much work, the best first."""
    from stubout.change.best import MOST_EFFORT

    there = [one]
    for job in jobs:
        if sum(w.effort for w in there) <= MOST_EFFORT:
            with suppress(LayoutError, NotInBook):
                there.append(trial(job, min(w.trial.rank for w in there)))
    return sorted(there, key=lambda w: w.trial.rank)


def _next_to(chosen: Whole[Laid], tried: Sequence[Whole[Laid]]) -> list[Whole[Laid]]:
    """Return the layouts that come next to one in which more is found than is true of the house."""
    from stubout.change.best import of_house, true_of_house

    if chosen.trial.blocked or true_of_house(chosen.trial, of_house([w.trial for w in tried])):
        return []
    most = (0, len(chosen.trial.findings) + MORE_FOUND)
    return sorted((w for w in tried if w.trial.rank[:2] <= most), key=lambda w: w.trial.rank)[:MOST_PUT_RIGHT]


def _said_of(one: Whole[Laid], first: Whole[Laid], *, mixed: bool) -> Whole[Laid]:
    """Return the layout that is planned, saying what it is better in than the first one where it is another.

    Args:
        one: The layout that is planned.
        first: The one that was laid out first.
        mixed: Whether it takes the ways of its fixtures from several of those tried.
    """
    if not mixed and one.laid.layout.chosen == first.laid.layout.chosen:
        return one
    gain = "has fewer findings" if one.trial.rank[:2] < first.trial.rank[:2] else "costs less"
    whence = ", put together from several of them," if mixed else ""
    words = f"Other layouts were tried, and this one{whence} {gain} than the first."
    return replace(one, design=replace(one.design, notes=(*one.design.notes, words)))


def whole(
    laid: Laid,
    progress: Progress | None = None,
    *,
    shapes: bool = False,
    bound: Bound | None = None,
    than: Rank | None = None,
    vain: Vain | None = None,
) -> Whole[Laid]:
    """Return a layout finished, its fittings given room, and what it is worth by all checks.

    Args:
        laid: The house laid out.
        progress: Called with the name of each stage as it starts.
        shapes: Whether other shapes are tried of what has no room, and not only moved a little.
        bound: What no layout of this house can cost less than, where it is known.
        than: A layout that is there already: one that cannot come to be as good is left as it is.
        vain: What was eased in vain in other layouts of the house; added to.
    """
    from stubout.change.eased import eased, reshaped

    one = _finished(laid, bound, laid.layout, progress)
    finished = partial(_finished, laid, one.design.bound)
    return _worth(laid, reshaped(one, finished)[0] if shapes else eased(one, finished, than, vain))


def shapes_of(one: Whole[Laid]) -> tuple[Whole[Laid], ...]:
    """Return the same with what has no room in other shapes, where those are better; and what comes next to that."""
    from stubout.change.eased import reshaped

    now, finished = _as_finished(one)
    return tuple(_bettered(one, now, made) for made in reshaped(now, finished))


def put_right(one: Whole[Laid], in_vain: set[Same] | None = None) -> Whole[Laid]:
    """Return the same with what is found in it put right by the changes that the checks offer.

    `in_vain` is what these did not put right in other layouts of the house; added to.
    """
    from stubout.change.mended import mended

    def look(design: Design) -> tuple[tuple[Finding, ...], tuple[NotChecked, ...]]:
        verdict = check(_unrecorded(design))
        return verdict.findings, verdict.not_checked

    now, finished = _as_finished(one)
    return _bettered(one, now, mended(now, finished, look=look, in_vain=in_vain))


def _as_finished(one: Whole[Laid]) -> tuple[Finished, Finish]:
    """Return a layout as it is finished, and what finishes others of the house."""
    from stubout.change.eased import Finished

    return Finished(one.laid.layout, one.design, one.open), partial(_finished, one.laid, one.design.bound)


def _bettered(one: Whole[Laid], now: Finished, better: Finished) -> Whole[Laid]:
    """Return what was made of a layout, judged again, or the same where nothing was made of it."""
    return one if better is now else replace(_worth(one.laid, better), drawn=one.drawn)


def _finished(laid: Laid, bound: Bound | None, layout: Layout, progress: Progress | None = None) -> Finished:
    from stubout.change.eased import Finished

    made = finish(replace(laid, layout=layout), progress, bound)
    return Finished(layout, made, check(_unrecorded(made)).open)


def _unrecorded(made: Design) -> Design:
    """Return a design without what was recorded of pipe that stands: a record chooses no other layout."""
    kept = tuple(r for r in made.house.readings if r.kind == "waiver")
    return made if kept == made.house.readings else replace(made, house=replace(made.house, readings=kept))


def _worth(laid: Laid, found: Finished) -> Whole[Laid]:
    from stubout.change.best import DRAWN, Whole, worth

    trial = worth(found.design, found.layout, found.open)
    effort = laid.layout.effort + DRAWN * len(laid.house.fixtures) ** 2
    return Whole(replace(laid, layout=found.layout), laid.layout, found.design, found.open, trial, effort)


def lay(job: Job, progress: Progress | None = None, known: Known | None = None, *, until_free: bool = False) -> Laid:
    """Return a job laid out; raises what `design` raises.

    Args:
        job: The job.
        progress: Told each step.
        known: Keeps what was found out about its house.
        until_free: Whether the first drawing in which nothing is blocked will do, as it stands: see `blocked`.
    """
    from stubout.files.books import adopted
    from stubout.house.questions import needed, who
    from stubout.house.resolve import resolve
    from stubout.layout.engine import lay_out
    from stubout.rulebooks.asks import questions

    say = progress or quiet
    say("house")
    house, open_questions = resolve(job)
    say("rule books")
    book, framing = adopted(house.job.book_id, house.job.framing_id, house.amendments, house.confirmations)
    inspector = who((name for _, name in house.job.people), "inspector")
    asked = tuple(q for b in (book, framing) for q in questions(b, inspector))
    say("layout")
    with _silent_book():
        layout = lay_out(house, book, framing, known, until_free=until_free)
    return Laid(house, needed(open_questions, book), asked, book, framing, layout)


def blocked(job: Job) -> tuple[Blocked, ...]:
    """Return what is blocked in a job laid out; raises what `design` raises.

    Nothing is bettered once nothing is blocked any more, so that a search for what frees a part need not wait for it.
    """
    return lay(job, until_free=True).layout.blocked


@contextmanager
def _silent_book() -> Iterator[None]:
    """Say what to do where the book leaves away what nothing can be laid out without."""
    try:
        yield
    except NotInBook as silent:
        raise NotInBook(
            f"{silent}, and nothing can be laid out without it: some figures a book leaves to the town; ask the "
            "inspector and write the answer under `amendments:` (docs/job-file.md)"
        ) from silent


def again(laid: Laid, choices: tuple[Choice, ...], known: Known, *, mend: bool = False) -> Laid:
    """Return the same house laid out by other choices; raises what `design` raises."""
    from stubout.layout.engine import lay_out

    with _silent_book():
        layout = lay_out(replace(laid.house, choices=choices), laid.book, laid.framing, known, mend=mend)
    return replace(laid, layout=layout)


def finish(laid: Laid, progress: Progress | None = None, bound: Bound | None = None) -> Design:
    """Return the design of a layout: sized, with fittings, pieces and bores; raises what `design` raises.

    Args:
        laid: The house laid out.
        progress: Called with the name of each stage as it starts.
        bound: What no layout of this house can cost less than, where it is known: it is a matter of the house alone.
    """
    from stubout.catalog.queries import costs_of
    from stubout.change.installed import unheld
    from stubout.design import Design
    from stubout.fabrication.build import fabricate
    from stubout.house.questions import unrepeated
    from stubout.layout.bound.bound import lower_bound
    from stubout.layout.cleanout_setter import covers_as_drawn
    from stubout.layout.cleanout_turns import turns_as_drawn
    from stubout.network.build import build, faults_of
    from stubout.rulebooks.asks import merged
    from stubout.sizing.cleanouts import sized_cleanouts
    from stubout.sizing.outlets import taken_outlets
    from stubout.sizing.size import size

    house, book, framing, layout = laid.house, laid.book, laid.framing, laid.layout
    say = progress or quiet
    with _silent_book():
        say("network and sizes")
        network, derivations = size(build(layout, house, book), layout, house, book, framing)
        layout = replace(layout, cleanouts=sized_cleanouts(layout.cleanouts, network, book))
        layout = turns_as_drawn(covers_as_drawn(layout, house), house, book)
        say("fittings, pieces, bores")
        fabrication = fabricate(network, layout, house, book, framing)
        bound = bound or lower_bound(house, book, framing, costs_of(house.costs))
    return Design(
        house=house,
        book=book,
        framing=framing,
        network=network,
        stubs=layout.stubs,
        cleanouts=layout.cleanouts,
        fabrication=fabrication,
        derivations=tuple(
            dict.fromkeys(
                (
                    *layout.derivations,
                    *(s.derivation for s in layout.stubs),
                    *taken_outlets(network, house, book),
                    *derivations,
                )
            )
        ),
        questions=tuple(
            dict.fromkeys((*unrepeated(laid.questions, merged(laid.asked, layout.questions)), *unheld(house, network)))
        ),
        blocked=tuple(dict.fromkeys(layout.blocked + faults_of(layout))),
        notes=layout.notes,
        bound=bound,
    )


def judged(job: Job, progress: Progress | None = None) -> Judged:
    """Return a trial of a job designed and checked, as it is laid out first."""
    from stubout.change.judged import Judged

    made = whole(lay(job, progress), progress)
    return Judged(made.design, made.open)


def planned(job: Job, progress: Progress | None = None) -> Judged:
    """Return a job designed and checked as `design` plans it: what stands on its sheets."""
    from stubout.change.judged import Judged

    made = laid_out(job, progress)
    return Judged(made.design, made.open)


def check(design: Design) -> Verdict:
    """Return what the checks find in a design, gravest first, and what they could not check."""
    from stubout.checks.registry import run_all
    from stubout.reports.waivers import waiver_of
    from stubout.rulebooks.watch import Watch, watched

    watch = Watch()
    seen = replace(design, book=watched(design.book, watch), framing=watched(design.framing, watch))
    findings, not_checked = run_all(seen, watch.begin)
    order = list(Level)
    ranked = tuple(sorted(findings, key=lambda f: (order.index(f.level), f.check, f.about)))
    waived = tuple(f for f in ranked if waiver_of(f, design.house.readings))
    return Verdict(ranked, tuple(not_checked), waived, watch.used())
