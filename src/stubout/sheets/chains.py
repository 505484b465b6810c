"""Pipes that one label can speak for: same system, size and slope, end to end."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from stubout.network.model import Pipe

SLOPE_TOL = 0.0004  # m/m: what 1/16 in over 4 m makes


@dataclass(frozen=True, slots=True)
class Chain:
    """Connected pipes of one size (drains: and one slope), in flow order."""

    pipes: tuple[Pipe, ...]

    @property
    def longest(self) -> Pipe:
        """Return the pipe the label stands at."""
        return max(self.pipes, key=lambda p: (round(p.length_mm, 3), p.id))

    @property
    def size_in(self) -> float:
        """Return the nominal size [in]."""
        return self.pipes[0].size_in

    @property
    def vertical(self) -> bool:
        """Return whether its pipes stand."""
        return self.pipes[0].vertical

    def stretches(self) -> tuple[Chain, ...]:
        """Return the pieces of one load each: what comes in between them makes the load grow."""
        return tuple(Chain(tuple(some)) for _, some in groupby(self.pipes, key=lambda p: p.load))


def _like(a: Pipe, b: Pipe) -> bool:
    """Return whether one label can speak for two pipes: a vent's size is enough, a drain's slope matters too."""
    if a.system != b.system or a.size_in != b.size_in or a.wet != b.wet:
        return False
    if a.system == "vent":
        return True
    return a.role == b.role and a.vertical == b.vertical and abs(a.slope - b.slope) < SLOPE_TOL


def chains(pipes: Iterable[Pipe]) -> tuple[Chain, ...]:
    """Return the pipes grouped for labelling, in the order of their first pipe."""
    left = list(pipes)
    by_start: dict[str, list[Pipe]] = {}
    for p in left:
        by_start.setdefault(p.start, []).append(p)
    done: set[str] = set()
    out: list[Chain] = []
    # Heads first: a chain is followed down from where nothing like it flows in.
    heads = [p for p in left if not any(_like(q, p) for q in left if q.end == p.start)]
    for head in [*heads, *left]:
        if head.id in done:
            continue
        run = [head]
        done.add(head.id)
        while True:
            nxt = next((q for q in by_start.get(run[-1].end, []) if q.id not in done and _like(q, run[-1])), None)
            if nxt is None:
                break
            run.append(nxt)
            done.add(nxt.id)
        out.append(Chain(tuple(run)))
    rank = {p.id: i for i, p in enumerate(left)}
    return tuple(sorted(out, key=lambda c: rank[c.pipes[0].id]))


def lines_of(pipes: Iterable[str], width: int = 24) -> list[str]:
    """Return pipe ids in lines of at most so many letters."""
    lines: list[str] = []
    for name in pipes:
        if lines and len(lines[-1]) + len(name) + 2 <= width:
            lines[-1] += f", {name}"
        else:
            if lines:
                lines[-1] += ","
            lines.append(name)
    return lines
