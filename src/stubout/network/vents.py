"""Which traps a vent serves, and how long it is by the book's measure."""

from __future__ import annotations

from collections.abc import Mapping

from stubout.layout.flowgraph import Flow, chain_down, reach_of
from stubout.layout.model import Role, TrapPlan, VentMethod
from stubout.network.measure import Measure


def anchor_of(flow: Flow, trap: TrapPlan) -> str:
    """Return the node where the dry vent of a trap begins; "" if none is reached.

    For a wet-vented trap that is the upper end of the wet vent.
    """
    if trap.method is VentMethod.NONE:
        return ""
    if trap.takeoff and flow.vents_out.get(trap.takeoff):
        return trap.takeoff
    for i in trap.wet_through:
        if i in flow.runs and flow.vents_out.get(flow.runs[i].start):
            return flow.runs[i].start
    reach = reach_of(flow, trap.weir)
    if reach.own:
        return reach.takeoff
    return flow.runs[reach.through[-1]].start if reach.through else ""


def served_by(flow: Flow, traps: tuple[TrapPlan, ...]) -> dict[str, frozenset[str]]:
    """Return the fixtures each vent pipe serves: every trap whose air comes down through it."""
    out: dict[str, set[str]] = {i: set() for i, r in flow.runs.items() if r.system == "vent"}
    for trap in traps:
        node = anchor_of(flow, trap)
        front, seen = [node], set[str]()
        while front:
            n = front.pop()
            for i in flow.vents_out.get(n, ()):
                if i not in seen:
                    seen.add(i)
                    out[i].add(trap.tag)
                    front.append(flow.runs[i].end)
    return {i: frozenset(tags) for i, tags in out.items()}


def developed_lengths(flow: Flow, roles: Mapping[str, Role], measure: Measure) -> dict[str, float]:
    """Return the developed length of every vent pipe by the book's measure [mm].

    It is the way from the most distant drain connection through this pipe to where the measure ends: one vent has one
    length, so pieces of the same vent get the same.
    """
    down: dict[str, float] = {}
    up: dict[str, float] = {}
    vents = [i for i, r in flow.runs.items() if r.system == "vent"]
    roles = {i: _real_role(flow, roles, i) for i in flow.runs}
    for i in vents:
        own = roles[i]
        total = flow.length_mm(i)
        for j in chain_down(flow, i):
            if own not in measure.always_to_air and roles[j] in measure.stops_at:
                break
            total += flow.length_mm(j)
        down[i] = total
    for i in vents:
        up[i] = _longest_up(flow, roles, measure, i, set())
    return {i: up[i] + down[i] for i in vents}


def _real_role(flow: Flow, roles: Mapping[str, Role], run_id: str) -> Role:
    """Return the role of a run; a "stack vent" that stands on no drain (a common outlet to the roof) is a header."""
    if roles[run_id] is not Role.STACK_VENT:
        return roles[run_id]
    low, seen = run_id, {run_id}
    while True:
        below = [j for j in flow.vents_in.get(flow.runs[low].start, ()) if roles[j] is Role.STACK_VENT]
        if not below or below[0] in seen:
            break
        low = below[0]
        seen.add(low)
    return Role.STACK_VENT if flow.drains_out.get(flow.runs[low].start) else Role.HEADER


def _longest_up(flow: Flow, roles: Mapping[str, Role], measure: Measure, run_id: str, seen: set[str]) -> float:
    """Return the longest way from a drain connection up to the start of a vent pipe [mm]."""
    if run_id in seen:
        return 0.0
    feeders = flow.vents_in.get(flow.runs[run_id].start, ())
    if roles[run_id] in measure.own_start:
        feeders = tuple(j for j in feeders if roles[j] is roles[run_id])
    return max(
        (flow.length_mm(j) + _longest_up(flow, roles, measure, j, seen | {run_id}) for j in feeders), default=0.0
    )


def horizontal_share_mm(flow: Flow, run_id: str) -> float:
    """Return the horizontal part of the way from a vent pipe's farthest drain connection to the open air [mm]."""
    path = [run_id, *chain_down(flow, run_id)]
    below = run_id
    seen = {run_id}
    while True:
        feeders = [j for j in flow.vents_in.get(flow.runs[below].start, ()) if j not in seen]
        if not feeders:
            break
        below = max(feeders, key=lambda j: (_plain_up(flow, j, set()) + flow.length_mm(j), j))
        seen.add(below)
        path.append(below)
    return sum(flow.length_mm(j) for j in path if not flow.vertical(j))


def _plain_up(flow: Flow, run_id: str, seen: set[str]) -> float:
    if run_id in seen:
        return 0.0
    return max(
        (
            flow.length_mm(j) + _plain_up(flow, j, seen | {run_id})
            for j in flow.vents_in.get(flow.runs[run_id].start, ())
        ),
        default=0.0,
    )
