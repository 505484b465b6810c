"""A system in work, and the names by which the tables call its points and pipes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from seeding.systems import Made
from stubout.design import Design
from stubout.house.model import House
from stubout.layout.model import Layout, PointKind
from stubout.network.model import Network

Edit = dict[str, Any]


@dataclass
class Bench:
    """A system in work: the parts an edit may change."""

    clean: Made
    house: House
    layout: Layout
    network: Network
    design: Design


def point(on: Bench, name: str) -> str:
    """Return the id of a point: `A-KS@1`, `LV1 weir`, `LV1 takeoff`, `terminal`, or an id."""
    layout = on.clean.layout
    if "@" in name:
        leg_id, _, number = name.partition("@")
        leg = next(g for g in on.clean.house.routes if g.id == leg_id)
        spot = leg.points[int(number) - 1 if int(number) > 0 else int(number)]
        return min(layout.points, key=lambda p: (p.at.to(spot), p.id)).id
    if name == "terminal":
        return terminal(on)
    tag, _, what = name.partition(" ")
    trap = next((t for t in layout.traps if t.tag == tag), None)
    if trap is not None and what in ("weir", "takeoff"):
        return trap.weir if what == "weir" else trap.takeoff
    return next(p.id for p in layout.points if p.id == name)


def terminal(on: Bench) -> str:
    """Return the id of the first terminal."""
    return next(p.id for p in on.clean.layout.points if p.kind is PointKind.TERMINAL)


def pipes(on: Bench, names: str | list[str]) -> set[str]:
    """Return pipe ids: of a route (all its pieces), a single piece, or `arm LV1`, `drop LV1`, `vent LV1`, `role X`."""
    out: set[str] = set()
    for name in many(names):
        word, _, rest = name.partition(" ")
        trap = next((t for t in on.network.traps if t.tag == rest), None)
        if word == "role":
            hit = {p.id for p in on.network.pipes if p.role.value == rest}
        elif word == "arm" and trap is not None:
            hit = set(trap.arm_runs)
        elif word == "vent" and trap is not None:
            hit = set(trap.vent_runs[:1])
        elif word == "drop" and trap is not None:
            hit = {i for i in on.network.node(trap.takeoff).outflow if on.network.pipe(i).system == "drain"}
        else:
            hit = {p.id for p in on.network.pipes if p.id == name or p.id.rpartition(".")[0] == name}
        if not hit:
            raise KeyError(f"no pipe is called {name}")
        out |= hit
    return out


def many(said: str | list[str]) -> list[str]:
    """Return one name or several as a list."""
    return [said] if isinstance(said, str) else list(said)
