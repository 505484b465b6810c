"""The changes worth trying for a finding, by what it speaks of, with a cost and a sentence in trade words.

A cost is a length [mm] that a plumber would as soon move a pipe by: a plate costs 1, a fitting 20, a size 40 a pipe.
A candidate has either one amount (0, done or not) or a length that is solved: the least that clears the finding.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

from stubout import units
from stubout.design import Design
from stubout.fabrication.model import Fabrication
from stubout.fixes import edits
from stubout.geometry.vec import Vec
from stubout.layout.model import PointKind
from stubout.network.model import Node, Pipe
from stubout.problems import Finding

PLATE, FITTING, TURN, SIZE, MOVE = 1.0, 20.0, 30.0, 40.0, 5.0
SIZES_IN = (1.25, 1.5, 2.0, 3.0, 4.0, 6.0)
MOST_PIPES, MOST_NODES = 4, 6  # a finding that names more is no matter of one change
TO_SEWER = ("SEW001",)  # the drawn end of the sewer is moved only where it does not meet the sewer that is there
# They read sizes, loads and who joins whom: a move leaves those as they are, or only hides them.
NO_MOVES = (
    "ARM007", "CLO007", "CLO008", "DRN001", "DRN002", "DRN003", "DRN004", "DRN005", "DRN006", "DRN009", "DRN010",
    "DRN011", "DRN013", "DRN014", "TRM003", "VNT001", "VNT005", "VNT007", "VNT009", "VNT011", "VNT012", "WET",
)  # fmt: skip
STRETCHED = 0.95  # cosine from which a pipe lies in the direction of a move: it is cut longer or shorter
UP = Vec(0.0, 0.0, 1.0)
WAYS = (UP, Vec(0.0, 0.0, -1.0), Vec(1.0, 0.0), Vec(-1.0, 0.0), Vec(0.0, 1.0), Vec(0.0, -1.0))
COMPASS = ("up", "down", "east", "west", "north", "south")  # of the plan: x goes east, y goes north

Make = Callable[[float], Design]
Say = Callable[[float], str]


@dataclass(frozen=True, slots=True)
class Candidate:
    """One change: how it is made, how it is said, what it costs."""

    make: Make  # of an amount [mm]; of 0 where there is none
    say: Say
    cost: float  # without the amount
    by_length: bool = False
    lists_only: bool = False  # only puts on the list what the pipes ask for: tried first


def candidates(design: Design, finding: Finding, anew: Fabrication) -> Iterator[Candidate]:
    """Yield the changes worth trying for a finding; which of them help only the checks can tell.

    Args:
        design: The design as it stands.
        finding: What was found in it.
        anew: Fittings, plates and supports as the pipes of the design ask for them.
    """
    yield from _lists(design, finding, anew)
    pipes = pipes_of(design, finding)[:MOST_PIPES]
    yield from _openings(design, finding)
    yield from _sizes(design, pipes)
    if not finding.check.startswith(NO_MOVES):
        yield from _moves(design, finding, pipes)


def pipes_of(design: Design, finding: Finding) -> tuple[Pipe, ...]:
    """Return the pipes a finding speaks of: named, bored through a named hole, or the arm of a named fixture."""
    net = design.network
    named = set(finding.about)
    named |= {b.pipe for b in design.fabrication.bores if b.id in named}
    named |= {i for t in net.traps if t.tag in named for i in (*t.arm_runs, *t.vent_runs[:1])}
    return tuple(p for p in net.pipes if p.id in named)


def _lists(design: Design, finding: Finding, anew: Fabrication) -> Iterator[Candidate]:
    fab = design.fabrication
    if anew.plates != fab.plates:
        have = {p.bore for p in fab.plates}
        what = ", ".join(f"{p.kind} at {p.bore}" for p in anew.plates if p.bore not in have)
        yield _once(lambda: edits.plated(design, anew), f"Put on: {what}.", PLATE, lists=True)
    if anew.hangers != fab.hangers:
        where = {h.pipe for h in anew.hangers} & set(finding.about)
        text = f"Support {', '.join(sorted(where)) or 'the pipe'} as the hanger list says for its length."
        yield _once(lambda: edits.hung(design, anew), text, PLATE, lists=True)
    if anew.bores != fab.bores:
        text = f"Bore and protect as the pipes ask for: {_holes(fab, anew, design.house.job.units)}."
        yield _once(lambda: edits.bored(design, anew), text, PLATE, lists=True)
    for node in sorted(_nodes_named(design, finding)):
        old = [f.pattern for f in fab.fittings if f.node == node]
        new = [f.pattern for f in anew.fittings if f.node == node]
        if new and old != new:
            text = f"At {node} use {' + '.join(new)} instead of {' + '.join(old) or 'none'}."
            yield _once(partial(edits.refitted, design, node, anew), text, FITTING, lists=True)


def _holes(fab: Fabrication, anew: Fabrication, system: units.Units) -> str:
    """Return the holes and straps that differ from those listed, in words."""
    old = {(b.pipe, b.member): b for b in fab.bores}
    said = []
    for b in anew.bores:
        was = old.get((b.pipe, b.member))
        if was is None or abs(was.hole_mm - b.hole_mm) > 0.5 or abs(was.edge_mm - b.edge_mm) > 0.5:
            size, edge = units.both(b.hole_mm, system), units.both(b.edge_mm, system)
            said.append(f"hole {size} for {b.pipe} in {b.member}, {edge} from its edge")
        elif was.verdict != b.verdict:
            said.append(f"hole {was.id} listed as: {b.verdict}")
    said += [f"{p.kind} at {p.bore}" for p in anew.plates if p not in fab.plates]
    return "; ".join(said) or "the holes as listed anew"


def _nodes_named(design: Design, finding: Finding) -> set[str]:
    net = design.network
    named = {n.id for n in net.nodes if n.id in finding.about}
    named |= {f.node for f in design.fabrication.fittings if f.id in finding.about}
    return named | {n for p in pipes_of(design, finding) for n in (p.start, p.end)}


def _once(make: Callable[[], Design], text: str, cost: float, *, lists: bool = False) -> Candidate:
    return Candidate(lambda _mm: make(), lambda _mm: text, cost, lists_only=lists)


def _openings(design: Design, finding: Finding) -> Iterator[Candidate]:
    for c in design.cleanouts:
        if c.id not in finding.about and c.point not in finding.about:
            continue
        for step, size in enumerate(s for s in SIZES_IN if s > c.size_in):
            text = f"Make cleanout {c.id} {units.size(size)} in."
            yield _once(partial(edits.opened, design, c.id, size), text, SIZE * (1 + step))
        for way, word in zip(WAYS, COMPASS, strict=True):
            if way.dot(c.opens) < 0.9 and _lets_out(design, c.point, way):
                turn = f"Turn cleanout {c.id} so that it opens {word}."
                yield _once(partial(edits.turned, design, c.id, way), turn, TURN)


def _lets_out(design: Design, point: str, way: Vec) -> bool:
    """Return whether a plug can face a way without another bend: on from the end of its pipe, or square off a run."""
    node = design.network.node(point)
    away = [design.network.pipe(i).a.minus(design.network.pipe(i).b).unit() for i in node.outflow]
    if not node.inflow:
        return any(u.dot(way) > STRETCHED for u in away)
    towards = [design.network.pipe(i).a.minus(design.network.pipe(i).b).unit() for i in node.inflow]
    return all(abs(u.dot(way)) < 0.1 for u in (*away, *towards))


def _sizes(design: Design, pipes: tuple[Pipe, ...]) -> Iterator[Candidate]:
    seen: set[tuple[tuple[str, ...], float]] = set()
    every = tuple(p.id for p in pipes)
    for size in SIZES_IN:
        sets: list[tuple[str, ...]] = [(every)] if len(every) > 1 else []
        for p in pipes:
            sets.append((p.id,))
            sets.append(edits.smaller_downstream(design, p, size))
            sets.append(edits.legs_of(design, (p.id,)))
            sets.append(edits.legs_of(design, edits.smaller_downstream(design, p, size)))
        for ids in sets:
            key = (tuple(sorted(set(ids))), size)
            changed = [i for i in key[0] if design.network.pipe(i).size_in != size]
            smallest = max(_step(design.network.pipe(i).size_in) for i in changed) - 1 if changed else 0
            if key in seen or not changed or SIZES_IN.index(size) < smallest:
                continue
            seen.add(key)
            shown = ", ".join(changed)
            steps = sum(abs(SIZES_IN.index(size) - _step(design.network.pipe(i).size_in)) for i in changed)
            text = f"Lay {shown} in {units.size(size)} in."
            yield _once(partial(edits.resized, design, key[0], size), text, SIZE * steps)


def _step(size_in: float) -> int:
    return min(range(len(SIZES_IN)), key=lambda i: abs(SIZES_IN[i] - size_in))


def _moves(design: Design, finding: Finding, pipes: tuple[Pipe, ...]) -> Iterator[Candidate]:
    net = design.network
    ends = [n for p in pipes for n in (p.start, p.end)]
    ends += [n.id for n in net.nodes if n.id in finding.about]
    ends += [c.point for c in design.cleanouts if c.id in finding.about]
    seen: set[tuple[frozenset[str], Vec]] = set()
    for node in list(dict.fromkeys(ends))[:MOST_NODES]:
        for way, word in zip(WAYS, COMPASS, strict=True):
            for group in _groups(design, node, way):
                fixed = finding.check not in TO_SEWER and any(net.node(i).kind is PointKind.SEWER for i in group)
                if fixed or (group, way) in seen:
                    continue
                seen.add((group, way))
                yield Candidate(
                    partial(_shift, design, group, way),
                    partial(_said, design, net.node(node), group, word),
                    MOVE * len(group),
                    by_length=True,
                )


def _shift(design: Design, group: frozenset[str], way: Vec, amount_mm: float) -> Design:
    return edits.moved(design, group, way.times(amount_mm))


def _said(design: Design, node: Node, group: frozenset[str], word: str, amount_mm: float) -> str:
    verb = {"up": "Raise", "down": "Lower"}.get(word, "Move")
    tail = f" {word}" if verb == "Move" else ""
    beside = sorted((*node.inflow, *node.outflow))
    with_it = f" with {len(group) - 1} more points that hang on it" if len(group) > 1 else ""
    what = f"{node.kind.value} {node.id} ({', '.join(beside)})"
    return f"{verb} the {what}{with_it}{tail} by {units.both(amount_mm, design.house.job.units)}."


def _groups(design: Design, node: str, way: Vec) -> Iterator[frozenset[str]]:
    """Yield what is moved at once: the node alone, with what hangs on it, with what does not stretch."""
    yield frozenset({node})


def _spread(design: Design, node: str, goes: Callable[[Pipe, str], bool]) -> frozenset[str]:
    net = design.network
    found, front = {node}, [node]
    while front:
        here = net.node(front.pop())
        for pipe in (net.pipe(i) for i in (*here.inflow, *here.outflow)):
            far = pipe.end if pipe.start == here.id else pipe.start
            if far not in found and goes(pipe, here.id):
                found.add(far)
                front.append(far)
    return frozenset(found)
