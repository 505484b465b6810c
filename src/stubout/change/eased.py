"""A layout whose fittings have no room, made to go by moving points a little: what the plumber does with a rule.

The least moves that give every piece its room are reckoned (`easing.py`), the house is finished and checked again as a
whole, and what the checks then say becomes a limit of the next reckoning (`ease_limits.py`). What comes out is taken
only if the checks find less in it than in the layout as it was.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from stubout.change.ease_limits import MEETING, Key, hold, key, learn, meetings
from stubout.change.easing import Clear, Easing, Limits, Room, moved, placed, rooms
from stubout.change.judged import Rank, rank
from stubout.change.kicked import kicked, out_of_wood
from stubout.change.reshaped import SHORT_MM, Shapes
from stubout.design import Design
from stubout.fixes.bared import newly_bared
from stubout.fixes.concrete import newly_cast, newly_cast_points
from stubout.layout.cleanouts import with_cleanouts
from stubout.layout.model import Layout
from stubout.layout.worth import asked_worth
from stubout.problems import Finding

OF_ROOM = "FIT006"
EASED = (OF_ROOM, MEETING)
BESIDE = "FIT009"
TURNED = "CLO003"
MISSHAPEN = frozenset({OF_ROOM, MEETING, BESIDE, TURNED})
CHEAPER = 0.98  # easing makes a layout hardly cheaper than so much of what it cost
MOST_RECKONED = 10  # times, of one layout; most need one to five
MOST_IN_VAIN = 5  # of them, one after the other, without less being found
MOST_SHAPES = 30  # tried of one layout
MOST_NEXT = 2  # layouts that come next to the best, with other things found
MOST_MORE = 1  # findings more than in the best that a shape may have to be gone on from
ALIKE_MM = 25.0  # two layouts in which the same is found are one where they lack the same to so much
MOST_WORSE = 3  # findings more than before, and a shape is not eased
SPARE_MM = 1.0  # more than a piece lacks
LONGER_MM = (60.0, 120.0, 200.0)  # a leg of a turn, so that a fitting that opens it goes
MOST_ROUNDS = 2  # each from where the one before came out, with the fittings that stand there then


@dataclass(frozen=True, slots=True)
class Finished:
    """A layout with its design, and what the checks find in it that nobody has accepted."""

    layout: Layout
    design: Design
    open: tuple[Finding, ...]

    @property
    def rank(self) -> Rank:
        """Return what is blocked, how much is found, what it costs: the less the better."""
        asked = asked_worth(self.layout, self.design.house.fixtures)
        return rank(len(self.design.blocked), len(self.open), self.design.costing().minutes + asked)

    @property
    def shape(self) -> tuple[int, int, int, float]:
        """Return the same as its rank, but of two in which as much is found the one with less that no shape helps."""
        blocked, found, cost = self.rank
        return blocked, found, sum(f.check not in MISSHAPEN for f in self.open), cost

    @property
    def tight(self) -> bool:
        """Return whether a fitting has no room, or two pipes run into each other."""
        return any(f.check in EASED for f in self.open)

    @property
    def left(self) -> int:
        """Return how much is found that is no matter of room."""
        return sum(1 for f in self.open if f.check not in EASED)

    @property
    def misshapen(self) -> bool:
        """Return whether another shape may help: of a fitting, of a turn, of pipes that meet."""
        return any(f.check in MISSHAPEN for f in self.open)


Finish = Callable[[Layout], Finished]
Shape = tuple[str, str, int]
"""One shape of one place, in whatever layout: its kind, of which run or point, its number."""
Place = tuple[tuple[float, ...], ...]
Vain = set[frozenset[Place]]
"""What has no room, all of it in one layout, that was once eased in vain: the ends of its runs, and what they lack."""


def reshaped(one: Finished, finish: Finish) -> tuple[Finished, ...]:
    """Return a layout whose fittings find room, in other shapes where moving points will not do; or as it is.

    A shape in which hardly more is found than in the best is gone on from: two together may do what one does not.
    Behind the best come those in which as much is found, but other things: what the checks offer may clear those.

    Args:
        one: The layout, finished and checked.
        finish: Does so with another.
    """
    start = best = eased(one, finish)
    frontier, tried, made = [start], 0, list[Finished]()
    seen, hopeless = {_said(start)}, set[Shape]()
    others = sum(f.check not in MISSHAPEN for f in one.open)
    while frontier and len(best.open) > others and tried < MOST_SHAPES:
        frontier.sort(key=lambda f: f.shape)
        here = frontier.pop(0)
        if not here.misshapen:
            continue
        if not _near(here, best):
            break
        for shape, layout in _shapes(here):
            if shape in hopeless:
                continue
            tried += 1
            found = _tried(layout, here, finish)
            if found is None or len(found.open) > len(here.open) + MOST_WORSE:
                hopeless.add(shape)
            if found is not None and _near(found, best) and _said(found) not in seen:
                seen.add(_said(found))
                frontier.append(found)
                made.append(found)
                if found.rank[:2] < start.rank[:2] and found.shape < best.shape:
                    best = found  # what the checks offer may do more for it as it was than for as much of another kind
                if found.rank[:2] < here.rank[:2]:
                    break
    return (best, *_next_best(best, (start, *made)))


def _next_best(best: Finished, made: Iterable[Finished]) -> Iterator[Finished]:
    """Yield layouts in which as much is found as in the best, but other things, the cheapest of each kind first."""
    kinds, left = {_kinds(best)}, MOST_NEXT if best.open else 0
    for one in sorted(made, key=lambda f: f.shape):
        if left and one.rank[:2] == best.rank[:2] and _kinds(one) not in kinds:
            kinds.add(_kinds(one))
            left -= 1
            yield one


def _kinds(one: Finished) -> tuple[Key, ...]:
    return tuple(sorted(key(f) for f in one.open))


def _near(one: Finished, best: Finished) -> bool:
    """Return whether a shape is gone on from: hardly more is found in it than in the best."""
    return one.rank[:2] <= (best.rank[0], best.rank[1] + MOST_MORE)


def _said(one: Finished) -> tuple[tuple[Key, ...], int]:
    """Return what is found in a layout, and roughly how much its fittings lack and stand beside their points."""
    made = one.design.fabrication
    lack = math.fsum(r.grow_mm for r in rooms(made, one.design.house) if r.lacks)
    beside = math.fsum(abs(f.beside_mm) for f in made.fittings)
    return _kinds(one), round((lack + beside) / ALIKE_MM)


def _tried(layout: Layout, here: Finished, finish: Finish) -> Finished | None:
    """Return a shape finished, and eased where little is found in it; None if no house comes of it."""
    try:
        found = finish(placed(layout, here.layout, here.design.house))
        if misplaced(here, found):
            return None
        if len(found.open) <= len(here.open) + MOST_WORSE:
            return eased(found, finish)
    except (LookupError, ValueError, ZeroDivisionError):
        return None
    return found


def misplaced(before: Finished, after: Finished) -> frozenset[str]:
    """Return what comes to lie in concrete or out of its wall: less found elsewhere does not make up for it."""
    cast = newly_cast(before.design, after.design) | newly_cast_points(before.design, after.design)
    return cast | newly_bared(before.design, after.design)


def _shapes(one: Finished) -> Iterator[tuple[Shape, Layout]]:
    """Yield other shapes of what has no room, and of what stands beside its point; each by its name."""
    shapes = Shapes(one.layout)
    house = one.design.house
    asked, clear = tuple(rooms(one.design.fabrication, house)), out_of_wood(house)
    for room in asked:
        if not room.lacks:
            continue
        for i in dict.fromkeys((*room.runs[:1], *room.runs[-1:])):
            yield from _of("run", i, shapes.of(i))
            yield from _of("apart", i, shapes.apart(i))
            yield from _of("kicked", i, kicked(shapes, i, room.grow_mm + SPARE_MM, clear))
            if i in shapes.runs:
                yield from _of("without", i, _without(one, asked, i))
    for use in one.design.fabrication.fittings:
        if abs(use.beside_mm) > 1.0:
            yield from _of("parted", use.node, shapes.parted(use))
            yield from _of("leant", use.node, shapes.leant(use))
            for i in use.pipes[2:]:
                yield from _of("apart", i, shapes.apart(i))
    for finding in one.open:
        if finding.check == TURNED:
            node = finding.about[-1]
            yield from _of("bevelled", node, shapes.bevelled(node))
            yield from _of("opened", node, _opened(one, shapes, asked, node))
        if finding.check == MEETING:  # a short leg of one of them left out: that one lies elsewhere then
            for i in finding.about:
                if i in shapes.runs and shapes.way(shapes.runs[i]).length <= SHORT_MM:
                    yield from _of("without", i, _without(one, asked, i))


def _without(one: Finished, asked: Sequence[Room], run: str) -> Iterator[Layout]:
    """Yield the layout with the ends of a run moved together, what hangs on them along."""
    house = one.design.house
    moves = Easing(one.layout, house, asked).moves(Limits(), without=run)
    gone = None if moves is None else Shapes(moved(one.layout, house, moves)).without(run)
    if gone is not None:
        yield gone


def _opened(one: Finished, shapes: Shapes, asked: Sequence[Room], node: str) -> Iterator[Layout]:
    """Yield the layout with a cleanout for a turn that had no place for one: as it is, or with a leg made longer."""
    house, book = one.design.house, one.design.book
    legs = [r for r in shapes.meet.get(node, ()) if r.system == "drain" and shapes.level(r) and not r.drawn]
    layouts = [one.layout]
    for leg in legs:
        others = tuple(r for r in asked if leg.id not in r.runs)
        for far in LONGER_MM:
            moves = Easing(one.layout, house, (*others, Room((leg.id,), far, lacks=True))).moves(Limits())
            layouts += [moved(one.layout, house, moves)] if moves else []
    for layout in layouts:
        opened = with_cleanouts(layout, house, book)
        if len(opened.cleanouts) > len(one.layout.cleanouts):
            yield opened


def _of(kind: str, name: str, layouts: Iterable[Layout]) -> Iterator[tuple[Shape, Layout]]:
    """Yield layouts with the shape they have: its kind, the run or point it is of, and its number."""
    for n, layout in enumerate(layouts):
        yield (kind, name, n), layout


def eased(one: Finished, finish: Finish, than: Rank | None = None, vain: Vain | None = None) -> Finished:
    """Return a layout with points moved so that its fittings go, or as it is where that makes nothing better.

    Args:
        one: The layout, finished and checked.
        finish: Does so with another.
        than: A layout that is there already: nothing is moved where more would be left than is found in that, or as
            much at a higher cost.
        vain: What was eased in vain in other layouts of the house, added to; the same again is left as it is.
    """
    vain = set() if vain is None else vain
    if than is not None and rank(len(one.design.blocked), one.left, one.rank[2] * CHEAPER) > than:
        return one
    for _ in range(MOST_ROUNDS):
        if not one.tight:
            break
        better = _once(one, finish, vain)
        if better.rank >= one.rank:
            break
        one = better
    return one


def _once(one: Finished, finish: Finish, vain: Vain) -> Finished:
    """Return the best that comes of easing a layout with the fittings that stand in it now."""
    limits, asked = Limits(), tuple(rooms(one.design.fabrication, one.design.house))
    best = _reckoned(one, asked, limits, finish, vain)
    if best.tight:  # what finds no room is given up: nothing need move for it
        lacking = {p.pipes or (p.pipe,) for p in best.design.fabrication.pieces if not p.fits}
        given_up = tuple(r.given_up if r.lacks and r.runs in lacking else r for r in asked)
        best = min(best, _reckoned(one, given_up, limits, finish, vain), key=lambda f: f.rank)
    return best


def _reckoned(one: Finished, asked: Sequence[Room], limits: Limits, finish: Finish, vain: Vain) -> Finished:
    """Return the best that comes of the moves reckoned, and learn from each what may not be."""
    house, met = one.design.house, tuple(meetings(one.layout, one.open))
    lacking = _lacking(one.layout, asked, met)
    if lacking in vain:
        return one
    easing = Easing(one.layout, house, asked, met)
    known, best, in_vain = Counter(key(f) for f in one.open), one, 0
    for _ in range(MOST_RECKONED):
        moves = easing.moves(limits)
        if not moves:
            break
        tried = finish(moved(one.layout, house, moves))
        wrong = misplaced(one, tried)
        in_vain += 1
        if not wrong and tried.rank < best.rank:
            best, in_vain = tried, 0
        new = Counter(key(f) for f in tried.open) - known
        told = [learn(limits, easing, moves, f) for f in tried.open if new[key(f)]]
        told += [hold(limits, easing, moves, (i,)) for i in sorted(wrong)]
        if not any(told) or in_vain >= MOST_IN_VAIN:
            break
    if best is one and lacking:
        vain.add(lacking)
    return best


def _lacking(layout: Layout, asked: Sequence[Room], met: Sequence[Clear]) -> frozenset[Place]:
    """Return what has no room, by the ends of its runs and by what they lack, and what runs into each other."""
    at, runs = {p.id: p.at for p in layout.points}, {r.id: r for r in layout.runs}

    def ends(ids: Iterable[str]) -> Iterator[tuple[float, ...]]:
        for r in (runs[i] for i in ids if i in runs):
            yield tuple(round(v, 1) for n in (r.start, r.end) for v in (at[n].x, at[n].y, at[n].z))

    tight = [(*ends(r.runs), (round(r.grow_mm, 1),)) for r in asked if r.lacks]
    return frozenset([*tight, *((*ends((c.one, c.two)),) for c in met)])
