"""In which order the lengths of a parted run go in, and runs whose lengths come out of one bay both ways. [mm]

An upright run through floor and ceiling of a storey is coupled in its bay: one length goes up through the plate over
it, the other one down through the plate under it. Both have to stand in that bay in line, one after the other: the
first of them is pushed on past its place, as far as its line is open at the far end of the run, until the other one is
in. Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

from stubout.fabrication.parting import EPS_MM, WAYS, Length, Line, Passed, Way

PUSHED_MM = 500.0  # one would rather reach so much farther than push a length on; common practice, no source


@dataclass(frozen=True, slots=True)
class Turns:
    """The lengths of a run in the order they go in, each with the side it comes from; None: from the open side."""

    ways: dict[int, Way | None]
    goes: bool  # whether all of them go in


@dataclass(frozen=True, slots=True)
class _Halves:
    """A run seen as two, on both sides of a coupling in a bay: what goes in first has the bay to itself."""

    low: Line
    high: Line
    high_first: bool


@lru_cache(maxsize=4096)  # fixes and easing part the same runs again and again, most of them untouched
def parted(line: Line) -> tuple[Length, ...]:
    """Return the lengths of a run, the fewest there can be; nothing where it cannot be parted.

    Args:
        line: The run; it does not go in whole.
    """
    found = line.parted()
    if not line.upright or line.goes_whole:
        return found
    fewer = not found or len(found) > max(_least(line), 3)
    best = (len(found), _off(line, found), found) if found else None
    rooms = {r for p in line.passed for r in (p.before_mm, p.after_mm) if r < math.inf}
    ends = [x for r in sorted(rooms) for x in (line.start_mm + r + line.gap_mm / 2, line.end_mm - r - line.gap_mm / 2)]
    for at in line.places(ends):  # a half is no longer than a room; else it hangs on no place whether both go in
        for halves in _halves(line, at):
            one = _whole(halves.low) or (halves.low.parted() if fewer else ())
            two = _whole(halves.high) or (halves.high.parted() if fewer else ())
            if one and two:
                made = (*one, *two)
                rank = (len(made), round(_off(line, made) + PUSHED_MM, 3), made)
                best = rank if best is None else min(best, rank)
    return best[2] if best else found


def _least(line: Line) -> int:
    """Return a number of lengths that a run has at least: none is longer than the widest room beside what it passes."""
    longest = max((r for p in line.passed for r in (p.before_mm, p.after_mm)), default=math.inf)
    return math.ceil((line.end_mm - line.start_mm + line.gap_mm) / (longest + line.gap_mm) - EPS_MM)


def _off(line: Line, lengths: tuple[Length, ...]) -> float:
    """Return how far the couplings of a run stand from where one would like them."""
    return round(sum(line.off((one.end_mm + two.start_mm) / 2) for one, two in pairwise(lengths)), 3)


def turns(line: Line, lengths: list[Length]) -> Turns:
    """Return in which order the lengths of a run go in, and whether all of them do.

    Args:
        line: The run.
        lengths: What it is cut into, in order along it.
    """
    plain = _plain(line, lengths)
    if plain.goes and line.upright and len(lengths) == 1 and None not in plain.ways.values():
        return Turns({0: _indoors(line, lengths[0])}, goes=True)
    if plain.goes or not line.upright:
        return plain
    for k, (one, two) in enumerate(pairwise(lengths)):
        for halves in _halves(line, (one.end_mm + two.start_mm) / 2):
            low, high = _plain(halves.low, lengths[: k + 1]), _plain(halves.high, lengths[k + 1 :])
            if low.goes and high.goes:
                up = {i + k + 1: way for i, way in high.ways.items()}
                return Turns({**up, **low.ways} if halves.high_first else {**low.ways, **up}, goes=True)
    return plain


def _indoors(line: Line, length: Length) -> Way:
    """Return the side a whole length comes in from: through the roof only where it has to, else from the wider room."""
    rooms = {way: line.room_mm(length, way) for way in WAYS if line.lets(length, way)}
    return max(rooms, key=lambda way: (rooms[way] < math.inf, rooms[way]))


def _plain(line: Line, lengths: list[Length]) -> Turns:
    """Return the order in which nothing is pushed on past its place.

    Those that have to come in from before the members go in first, the last of them first; then those that have to
    come in from behind; then those that are slanted in or stand in a bay. What concrete is poured round is there
    before all of them.
    """
    can = [{way for way in WAYS if line.lets(one, way)} for one in lengths]
    threaded = [k for k, one in enumerate(lengths) if line.several(one)]
    ways: dict[int, Way] = {}
    last = max((k for k in threaded if can[k] == {"before"}), default=-1)
    for k in threaded:
        ways[k] = "before" if k <= last or "after" not in can[k] else "after"
    goes = all(ways[k] in can[k] for k in threaded)
    there = [k for k in threaded if line.poured(lengths[k])]
    before = [k for k in reversed(threaded) if ways[k] == "before" and k not in there]
    after = [k for k in threaded if ways[k] == "after" and k not in there]
    rest = [k for k in range(len(lengths)) if k not in ways]
    return Turns({k: ways.get(k) for k in (*there, *before, *after, *rest)}, goes)


def _whole(line: Line) -> tuple[Length, ...]:
    """Return a run as one length where it goes in whole."""
    if any(line.goes(line.start_mm, line.end_mm, way) for way in WAYS):
        return (line.between(line.start_mm, line.end_mm),)
    return ()


def _halves(line: Line, at: float) -> Iterator[_Halves]:
    """Yield a run as two that meet in a coupling, where both come out of the bay it stands in."""
    bay = next((s for s in line.open if s.lo_mm < at < s.hi_mm), None)
    under = [p for p in line.passed if p.at_mm < at]
    over = [p for p in line.passed if p.at_mm > at]
    if bay is None or not under or not over or math.inf in (-bay.lo_mm, bay.hi_mm):
        return
    low_end, high_start = at - line.gap_mm / 2, at + line.gap_mm / 2
    beyond = next((s.hi_mm - line.end_mm for s in line.open if s.lo_mm <= line.end_mm <= s.hi_mm), 0.0)
    before = next((line.start_mm - s.lo_mm for s in line.open if s.lo_mm <= line.start_mm <= s.hi_mm), 0.0)
    play = bay.hi_mm - bay.lo_mm - under[-1].after_mm
    pushed_up = min(bay.hi_mm, high_start + beyond) - bay.lo_mm - play
    pushed_down = bay.hi_mm - max(bay.lo_mm, low_end - before) - play
    for high_first in (True, False):
        low = _roomed(under, -1, pushed_up if high_first else under[-1].after_mm)
        high = _roomed(over, 0, over[0].before_mm if high_first else pushed_down)
        yield _Halves(
            replace(line, end_mm=low_end, last_mm=0.0, passed=low),
            replace(line, start_mm=high_start, passed=high),
            high_first,
        )


def _roomed(passed: list[Passed], k: int, room_mm: float) -> tuple[Passed, ...]:
    """Return what a run passes with another room in the bay next to the first or the last of it."""
    room_mm = max(room_mm, EPS_MM)
    new = replace(passed[k], before_mm=room_mm) if k == 0 else replace(passed[k], after_mm=room_mm)
    return (new, *passed[1:]) if k == 0 else (*passed[:-1], new)
