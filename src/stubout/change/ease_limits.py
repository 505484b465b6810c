"""What the checks say of moved points, made into limits of where they may not go. [mm].

A finding names pipes. Two pipes that run into each other are kept apart as they were; a trap arm that is too long may
not become longer; of any other pipe the end that went farthest may only go half as far, and in the end not at all.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass

from stubout.change.easing import MOVED_MM, NOWHERE, Apart, Cap, Clear, Easing, Limits, Moves
from stubout.geometry.distance import nearest_of_segments
from stubout.geometry.vec import Vec
from stubout.layout.model import Layout
from stubout.problems import Finding

HALVED_MM = 20.0  # a move shorter than this is not halved but undone
CLEAR_MM = 10.0  # so far apart two pipes were in a direction, or they are not kept apart in it
SPARE_MM = 1.0
PAIR = 2
TOUCH_MM = 1e-3
INTO = re.compile(r"(\d+(?:\.\d+)?) mm")  # how far, in a job of either unit
LISTED = re.compile(r"[FB]\d+")  # ids of fittings and bores: given anew each time
OF_ARMS = "ARM"
MEETING = "CLA005"
AXES = (Vec(1.0, 0.0, 0.0), Vec(0.0, 1.0, 0.0), Vec(0.0, 0.0, 1.0))

Key = tuple[str, tuple[str, ...]]


def key(f: Finding) -> Key:
    """Return what a finding is known by however fittings and bores are numbered."""
    return f.check, tuple(i for i in f.about if not LISTED.fullmatch(i))


def meetings(layout: Layout, findings: Iterable[Finding]) -> Iterator[Clear]:
    """Yield the pairs of runs that are found to run into each other, as far as they have to part."""
    runs, at = {r.id: r for r in layout.runs}, {p.id: p.at for p in layout.points}
    for finding in findings:
        pair = [runs[i] for i in finding.about if i in runs]
        into = INTO.search(finding.found)
        if finding.check != MEETING or len(pair) != PAIR or into is None:
            continue
        (a, b), (c, d) = ((at[r.start], at[r.end]) for r in pair)
        here, there = nearest_of_segments(a, b, c, d)
        way = there.minus(here)
        if way.length < TOUCH_MM:  # one through the other: across both
            way = b.minus(a).cross(d.minus(c))
        if way.length < TOUCH_MM:
            continue
        lack = float(into.group(1)) + SPARE_MM
        yield Clear(pair[0].id, _share(a, b, here), pair[1].id, _share(c, d, there), way.unit(), lack)


def _share(a: Vec, b: Vec, p: Vec) -> float:
    return min(a.to(p) / max(a.to(b), TOUCH_MM), 1.0)


@dataclass(frozen=True, slots=True)
class _Move:
    """One end of a pipe that moved, in one direction."""

    point: str
    way: Vec
    far_mm: float


def learn(limits: Limits, easing: Easing, moves: Moves, finding: Finding) -> bool:
    """Add to the limits what a new finding tells; return whether it told anything."""
    if finding.check.startswith(OF_ARMS) and _no_longer(limits, easing, finding):
        return True
    if finding.check == MEETING and _apart(limits, easing, moves, finding):
        return True
    return hold(limits, easing, moves, finding.about)


def hold(limits: Limits, easing: Easing, moves: Moves, about: Collection[str]) -> bool:
    """Let the ends of some pipes that went farthest go only half as far; return whether one of them went at all."""
    farthest = list(_farthest(easing, moves, about))
    for m in farthest:
        limits.caps.append(Cap(m.point, m.way, m.far_mm / 2 if m.far_mm > HALVED_MM else 0.0))
    return bool(farthest)


def _no_longer(limits: Limits, easing: Easing, finding: Finding) -> bool:
    new = [t.arm_runs for t in easing.layout.traps if t.tag in finding.about and t.arm_runs not in limits.no_longer]
    limits.no_longer += new
    return bool(new)


def _apart(limits: Limits, easing: Easing, moves: Moves, finding: Finding) -> bool:
    """Keep two pipes apart in the direction in which they were farthest from each other."""
    pair = [i for i in finding.about if i in easing.runs]
    into = INTO.search(finding.found)
    if len(pair) != PAIR or into is None:
        return False
    one, two = pair
    was, way, beyond, run = max(
        (_beyond(easing, a, b, way, {}), way, a, b) for a, b in ((one, two), (two, one)) for way in AXES
    )
    if was < CLEAR_MM:
        return False
    now = _beyond(easing, beyond, run, way, moves)
    least = min(was, now + float(into.group(1)) + SPARE_MM)
    limits.apart.append(Apart(beyond, run, way, least))
    return least > now + SPARE_MM / 2


def _beyond(easing: Easing, beyond: str, run: str, way: Vec, moves: Moves) -> float:
    """Return how far one run lies beyond another in a direction, once points have moved."""

    def ends(i: str) -> list[float]:
        r = easing.runs[i]
        return [way.dot(easing.at[n].plus(moves.get(n, NOWHERE))) for n in (r.start, r.end)]

    return min(ends(beyond)) - max(ends(run))


def _farthest(easing: Easing, moves: Moves, about: Collection[str]) -> Iterator[_Move]:
    """Yield the ends of the pipes spoken of that went farthest; of a point, where no pipe is."""
    runs = [i for i in about if i in easing.runs]
    found: list[_Move] = []
    for i in runs:
        r = easing.runs[i]
        found += [m for n in (r.start, r.end) for m in _moves(n, _ways(easing, i), moves)]
    if not runs:
        found = [m for n in about if n in easing.at for m in _moves(n, AXES, moves)]
    most = max((m.far_mm for m in found), default=0.0)
    yield from (m for m in found if m.far_mm > most - SPARE_MM)


def _ways(easing: Easing, run: str) -> tuple[Vec, ...]:
    """Return the directions along, across and above a pipe that lies; of a plumb one, those of the house."""
    r = easing.runs[run]
    way = easing.at[r.end].minus(easing.at[r.start])
    plan = way.plan_length
    if plan < SPARE_MM:
        return AXES
    return Vec(way.x / plan, way.y / plan), Vec(-way.y / plan, way.x / plan), AXES[2]


def _moves(point: str, ways: tuple[Vec, ...], moves: Moves) -> Iterator[_Move]:
    by = moves.get(point, NOWHERE)
    for way in ways:
        far = way.dot(by)
        if abs(far) > MOVED_MM:
            yield _Move(point, way if far > 0.0 else way.times(-1.0), abs(far))
