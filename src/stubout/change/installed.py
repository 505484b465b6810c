"""What of a layout is in place: the pipes that an `installed:` entry of the job file means. Heights [mm]."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stubout.fixes.graph import leg_of
from stubout.house.facts import Installed
from stubout.house.model import House
from stubout.layout.model import Role
from stubout.network.model import Network, Pipe
from stubout.network.standing import in_wall
from stubout.problems import Question

NOT_UNDER = frozenset({"wall", "cabinet", "room", "attic", "roof"})  # places that lie under no floor


def said_since(said: Installed) -> str:
    """Return since when and by whom something is in place, as a route says it."""
    return ", ".join(w for w in (said.date, said.by) if w)


def in_place(house: House, net: Network, said: Installed) -> frozenset[str]:
    """Return the ids of the pipes that an entry says are in place.

    Args:
        house: The house they were laid out in.
        net: The pipes.
        said: The entry.
    """
    walls = {*said.walls, *(w.id for w in house.walls if w.level_id in said.levels)}
    under = {*said.under, *said.levels}
    named = {r for r in said.runs if r}
    arms = {i for t in net.traps if t.takeoff and _walls_at(net, t.takeoff) & walls for i in t.arm_runs}
    return frozenset(
        p.id
        for p in net.pipes
        if any(w.id in walls and in_wall(p, w) for w in house.walls)
        or p.id in arms
        or p.id in named
        or leg_of(p.id) in named
        or any(_lies_under(house, p, level) for level in under)
    )


def unknown_runs(net: Network, said: Installed) -> tuple[str, ...]:
    """Return the runs an entry names that are none of the layout."""
    known = {i for p in net.pipes for i in (p.id, leg_of(p.id))}
    return tuple(r for r in said.runs if r not in known)


def _walls_at(net: Network, node: str) -> set[str]:
    n = net.node(node)
    pipes = (net.pipe(i) for i in (*n.inflow, *n.outflow))
    return {p.place.ref for p in pipes if p.place.kind == "wall" and p.role is not Role.TRAP_ARM}


def _lies_under(house: House, p: Pipe, level_id: str) -> bool:
    """Return whether a pipe lies under the floor of a level and above what is below that."""
    level = house.level(level_id)
    lower = [v for v in house.levels if v.subfloor_z_mm < level.subfloor_z_mm - 1.0 and v.kind != "ground"]
    low = max((v.subfloor_z_mm for v in lower), default=-math.inf)
    middle = (p.a.z + p.b.z) / 2
    return p.place.kind not in NOT_UNDER and low < middle < level.subfloor_z_mm


def unheld(house: House, net: Network) -> Iterator[Question]:
    """Yield a question for every entry some of whose pipes the job file does not hold: the next plan may move them.

    And one for every entry that names runs, walls or floors of which this layout has no pipe.
    """
    for number, said in enumerate(house.installed, 1):
        there = in_place(house, net, said)
        loose = [p for p in net.pipes if p.id in there and p.said != "installed"]
        what = ", ".join((*said.walls, *(f"under {v}" for v in said.under), *said.levels, *said.runs))
        unknown = unknown_runs(net, said)
        if unknown or not there:
            none = f"called {' or '.join(unknown)}" if unknown else "there"
            yield Question(
                f"installed-{number}-unknown",
                f"{what}: said to be installed since {said_since(said)}, but this layout has no pipe {none}. "
                "Which is meant?",
                "plumber",
                blocks="what may still move",
                assumed="nothing is in place there",
                about=tuple(dict.fromkeys((*unknown, *said.walls, *said.under, *said.levels))) or said.runs,
                line=said.line,
            )
        if loose:
            yield Question(
                f"installed-{number}",
                f"{what}: said to be installed since {said_since(said)}, but the job does not hold "
                f"{', '.join(p.id for p in loose)} there. In place, or still to be laid?",
                "plumber",
                blocks="what may still move",
                assumed="still to be laid; `stubout keep` holds what is in place",
                about=tuple(p.id for p in loose),
                line=said.line,
            )
