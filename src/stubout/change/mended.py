"""What the checks find in the layout that is planned, put right by the changes they offer themselves.

A change is taken where it moves points and nothing else, nobody has to agree to it, no pipe drawn by hand is touched,
and the house finished and checked again as a whole comes out better. Easing moves along straight pipes for room; this
goes by what each check itself measures, past studs and joints too. What draws pipes anew is left to who lays out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import replace

from stubout.change.eased import Finish, Finished, misplaced
from stubout.change.easing import marked, moved
from stubout.design import Design
from stubout.fixes.bench import GRAVE, Bench, Key, applied, key
from stubout.fixes.model import Candidate, Edit
from stubout.fixes.moves import Shift
from stubout.fixes.tried import tried
from stubout.geometry.vec import Vec
from stubout.layout.model import Layout, PointKind
from stubout.layout.weights import MOST_STEEPER, STEEPEST_USUAL
from stubout.network.model import Pipe
from stubout.problems import Finding, NotChecked

MOST_MENDED = 6  # changes taken one after the other
MOST_CONFIRMED = 16  # changes of one kind put before every check: what goes at all goes among the first
MOST_CARRIED_ON = 2  # changes that clear one finding and raise another, carried on by a second
UNDER_OUTLETS = (PointKind.TRAP, PointKind.FLANGE)  # in plan they stand where their fixture has its outlet
PROBED_MM, STILL_MM = 10.0, 0.1
TO_MEASURE = "for what the checks measure"  # why a mark is moved
PLAY_MM = 5.0  # a drain may fall so much more than the steepest that is laid; common practice, no source
LEANING = 0.5  # a pipe that falls more than so much of its plan length is a leaning one, no lying drain

Look = Callable[[Design], tuple[Sequence[Finding], Sequence[NotChecked]]]
Same = tuple[str, object]
"""What makes a finding the same in two layouts of a house: its check, and where it is or what it is about."""


def mended(one: Finished, finish: Finish, look: Look, in_vain: set[Same] | None = None) -> Finished:
    """Return a layout with what the checks find in it put right, as far as their own changes do; or as it is.

    Args:
        one: The layout, finished and checked.
        finish: Does so with another.
        look: Returns all findings of a design, and what could not be checked.
        in_vain: What was not put right in other layouts of the house, and so is not tried again; added to.
    """
    before = frozenset(in_vain or ())
    tried: set[Key] = set()
    for _ in range(MOST_MENDED):
        better = next((f for f in _changed(one, finish, look, tried, before) if f.rank[:2] < one.rank[:2]), None)
        if better is None:
            break
        one = better
    if in_vain is not None:
        in_vain |= {same(f) for f in one.open if key(f) in tried}
    return one


def same(finding: Finding) -> Same:
    """Return what makes a finding the same in two layouts, where pipes have other names."""
    return finding.check, finding.about if finding.at is None else finding.at


def _changed(
    one: Finished, finish: Finish, look: Look, in_vain: set[Key], before: frozenset[Same]
) -> Iterator[Finished]:
    """Yield a layout with the change made that clears one of its findings, finding by finding.

    Args:
        one: The layout, finished and checked.
        finish: Does so with another.
        look: Returns all findings of a design, and what could not be checked.
        in_vain: What was tried before without success, added to.
        before: What was in other layouts.
    """
    if all(key(f) in in_vain or same(f) in before for f in one.open):
        return
    found, unable = look(one.design)
    bench, may = Bench(one.design, tuple(found), tuple(unable)), _free(one.design)
    for finding in found:
        if finding.level not in GRAVE or finding not in one.open or key(finding) in in_vain or same(finding) in before:
            continue
        in_vain.add(key(finding))
        said, edits = tried(bench, finding, MOST_CARRIED_ON, may, MOST_CONFIRMED)
        if said.cleared:
            with suppress(LookupError, ValueError, ZeroDivisionError):
                made = finish(_laid(one, edits))
                if as_plain(one.design, made.design) and not misplaced(one, made):
                    yield made


def as_plain(before: Design, after: Design) -> bool:
    """Return whether a changed design takes no more fittings, and no drain in it lies steeper than anybody lays one."""
    if len(after.fabrication.fittings) > len(before.fabrication.fittings):
        return False
    was = {p.id: p for p in before.network.drains()}
    return all(_too_steep(p) <= max(PLAY_MM, _too_steep(was[p.id])) for p in after.network.drains() if p.id in was)


def _too_steep(pipe: Pipe) -> float:
    """Return how much more a lying drain falls than it would at the steepest slope that is laid [mm]."""
    plan = pipe.a.minus(pipe.b).plan_length
    fall = abs(pipe.a.z - pipe.b.z)
    return fall - plan * MOST_STEEPER * STEEPEST_USUAL if fall < plan * LEANING else 0.0


def _free(design: Design) -> Callable[[Candidate], bool]:
    """Return what says whether a change only moves points that nobody drew, traps and flanges no way but up or down."""
    kinds = {n.id: n.kind for n in design.network.nodes}
    said = {n for p in design.network.pipes if p.drawn for n in (p.start, p.end)}
    said |= {i for i, kind in kinds.items() if kind is PointKind.SEWER}

    def free(point: str, by: Vec) -> bool:
        return point not in said and (kinds[point] not in UNDER_OUTLETS or by.plan_length < STILL_MM)

    def may(change: Candidate) -> bool:
        if change.asks:
            return False
        try:
            edits = change.edits(min(change.most_mm, PROBED_MM))
        except (LookupError, ValueError):
            return False
        return all(isinstance(e, Shift) and not e.fixtures and all(free(*one) for one in e.by) for e in edits)

    return may


def _laid(one: Finished, edits: Sequence[Edit]) -> Layout:
    """Return the layout with its points where edits of its design move them, its marks where their arms then pass."""
    design, old = applied(one.design, edits, follow=False, measure=False), one.layout
    was, system = {p.id: p.at for p in old.points}, design.house.job.units
    there = moved(old, design.house, {n.id: n.at.minus(was[n.id]) for n in design.network.nodes if n.at != was[n.id]})
    marks = (
        marked(replace(m, station_mm=new.station_mm, place=new.place), new.mark_z_mm - m.mark_z_mm, system, TO_MEASURE)
        for m, new in zip(old.stubs, design.stubs, strict=True)
    )
    return replace(there, stubs=tuple(marks))
