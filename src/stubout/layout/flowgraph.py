"""Runs as a small graph: who flows into what, where a trap meets its vent, which pipe vents it.

Read by the hand-drawn routes and by the network; knows no rule book.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from stubout.geometry.vec import Vec
from stubout.layout.model import Run, VentMethod

Named = TypeVar("Named", bound=Hashable)


@dataclass(frozen=True, slots=True)
class Flow:
    """Runs by node: ids in the order of the runs given."""

    runs: Mapping[str, Run]
    at: Mapping[str, Vec]  # point id -> position
    drains_in: Mapping[str, tuple[str, ...]]
    drains_out: Mapping[str, tuple[str, ...]]
    vents_in: Mapping[str, tuple[str, ...]]
    vents_out: Mapping[str, tuple[str, ...]]

    def vertical(self, run_id: str) -> bool:
        """Return whether a run is within 45 degrees of plumb."""
        r = self.runs[run_id]
        d = self.at[r.end].minus(self.at[r.start])
        return abs(d.z) >= d.plan_length - 1e-9

    def length_mm(self, run_id: str) -> float:
        """Return the length of a run [mm]."""
        r = self.runs[run_id]
        return self.at[r.start].to(self.at[r.end])


def flow_of(runs: Iterable[Run], at: Mapping[str, Vec]) -> Flow:
    """Return the graph of the runs.

    Args:
        runs: The runs, each from its start to its end in flow order (drain) or towards the air (vent).
        at: Position of every point [mm].
    """
    by_id: dict[str, Run] = {}
    tables: dict[tuple[str, str], dict[str, list[str]]] = {
        (system, way): {} for system in ("drain", "vent") for way in ("in", "out")
    }
    for r in runs:
        by_id[r.id] = r
        tables[r.system, "in"].setdefault(r.end, []).append(r.id)
        tables[r.system, "out"].setdefault(r.start, []).append(r.id)
    for ids in tables["vent", "out"].values():
        if len(ids) > 1:  # an island loop: the way to the air first, the return into the drain last
            ids.sort(key=lambda i: _ends_in_drain(i, by_id, tables))
    frozen = {key: {n: tuple(ids) for n, ids in table.items()} for key, table in tables.items()}
    return Flow(by_id, at, frozen["drain", "in"], frozen["drain", "out"], frozen["vent", "in"], frozen["vent", "out"])


def _ends_in_drain(
    run_id: str, runs: Mapping[str, Run], tables: Mapping[tuple[str, str], Mapping[str, list[str]]]
) -> bool:
    """Return whether a vent, followed by its first way on, comes down to a drain."""
    seen: set[str] = set()
    while run_id not in seen:
        seen.add(run_id)
        node = runs[run_id].end
        if tables["drain", "out"].get(node) or tables["drain", "in"].get(node):
            return True
        onward = tables["vent", "out"].get(node)
        if not onward:
            return False
        run_id = onward[0]
    return False


@dataclass(frozen=True, slots=True)
class Reach:
    """How a trap comes to its vent, walking downstream from the weir."""

    arm: tuple[str, ...]  # runs from the weir to the take-off (to the end of the line if there is none)
    takeoff: str  # node; "" if no vent is reached
    own: tuple[str, ...] = ()  # vent runs from the take-off up to the first tie-in
    through: tuple[str, ...] = ()  # drain runs of others between the take-off and a dry vent: a wet vent


def reach_of(flow: Flow, weir: str) -> Reach:
    """Return where a trap meets its vent: a vent at the node, or a drain of others that leads up to one.

    Without a vent the arm is what lies before the first drain of others.
    """
    node, came, arm = weir, "", list[str]()
    alone: int | None = None  # runs before the first drain of others
    seen: set[str] = set()
    while node not in seen:
        seen.add(node)
        way = vents_by(flow, node) if came else None
        if way is not None and flow.runs[came].vents_by is not way:
            return _reach_along(flow, tuple(arm), node, way)
        if flow.vents_out.get(node) and came:
            return Reach(tuple(arm), node, own_vent(flow, node))
        others = [i for i in flow.drains_in.get(node, ()) if i != came] if came else []
        if others:
            through = vented_through(flow, others)
            if through:
                return Reach(tuple(arm), node, (), through)
            alone = len(arm) if alone is None else alone
        outs = flow.drains_out.get(node, ())
        if not outs:
            break
        came = outs[0]
        arm.append(came)
        node = flow.runs[came].end
    return Reach(tuple(arm[:alone]), "")


def vents_by(flow: Flow, node: str) -> VentMethod | None:
    """Return how the drain that goes on from a node vents what joins it, if the job file says so."""
    return next((flow.runs[i].vents_by for i in flow.drains_out.get(node, ())), None)


def _reach_along(flow: Flow, arm: tuple[str, ...], node: str, way: VentMethod) -> Reach:
    """Return the reach of an arm that ends on a drain of a said method: along that drain, either way, to a vent."""
    if flow.vents_out.get(node):
        return Reach(arm, node, own_vent(flow, node))
    front: list[tuple[str, tuple[str, ...]]] = [(node, ())]
    seen = {node}
    while front:
        nxt: list[tuple[str, tuple[str, ...]]] = []
        for here, path in front:
            steps = [(i, flow.runs[i].start) for i in flow.drains_in.get(here, ())]
            steps += [(i, flow.runs[i].end) for i in flow.drains_out.get(here, ())]
            for i, far in steps:
                if flow.runs[i].vents_by is not way or far in seen:
                    continue
                if flow.vents_out.get(far):
                    return Reach(arm, node, (), (*path, i))
                seen.add(far)
                nxt.append((far, (*path, i)))
        front = nxt
    return Reach(arm, "")


def own_vent(flow: Flow, node: str) -> tuple[str, ...]:
    """Return the vent runs from a node up to where another vent joins, or to the end."""
    out: list[str] = []
    seen: set[str] = set()
    while node not in seen:
        seen.add(node)
        nxt = flow.vents_out.get(node, ())
        if not nxt or (out and len(flow.vents_in.get(node, ())) > 1):
            break
        out.append(nxt[0])
        node = flow.runs[nxt[0]].end
    return tuple(out)


def vented_through(flow: Flow, into: Iterable[str]) -> tuple[str, ...]:
    """Return the drain runs from a junction up to the nearest node with a vent, downstream first; empty if none.

    The fewest runs win; among equals the first drawn.
    """
    front: list[tuple[str, ...]] = [(i,) for i in into]
    seen = set(into)
    while front:
        nxt: list[tuple[str, ...]] = []
        for path in front:
            node = flow.runs[path[-1]].start
            if flow.vents_out.get(node):
                return path
            for i in flow.drains_in.get(node, ()):
                if i not in seen:
                    seen.add(i)
                    nxt.append((*path, i))
        front = nxt
    return ()


def upstream_first(ends: Mapping[Named, tuple[Hashable, Hashable]]) -> tuple[list[Named], list[Named]]:
    """Return drains each after everything that flows into it, and those left over: they go in a ring.

    Args:
        ends: Where each begins and where it ends, in the order in which equals follow each other.
    """
    feeds = Counter(down for _, down in ends.values())
    left = dict.fromkeys(ends)
    ready = [i for i, (up, _) in ends.items() if not feeds[up]]
    out: list[Named] = []
    while ready:
        i = ready.pop(0)
        del left[i]
        out.append(i)
        node = ends[i][1]
        feeds[node] -= 1
        if not feeds[node]:
            ready = [k for k in left if ends[k][0] == node] + ready
    return out, list(left)


def chain_down(flow: Flow, run_id: str) -> tuple[str, ...]:
    """Return the runs of the same system a run flows into, nearest first, to the end."""
    table = flow.drains_out if flow.runs[run_id].system == "drain" else flow.vents_out
    out: list[str] = []
    seen = {run_id}
    node = flow.runs[run_id].end
    while True:
        nxt = [i for i in table.get(node, ()) if i not in seen]
        if not nxt:
            return tuple(out)
        out.append(nxt[0])
        seen.add(nxt[0])
        node = flow.runs[nxt[0]].end


@dataclass(slots=True)
class Upstream:
    """What lies upstream of every run, reckoned once."""

    flow: Flow
    _found: dict[str, frozenset[str]] = field(default_factory=dict)

    def runs(self, run_id: str) -> frozenset[str]:
        """Return the ids of all runs upstream of a run of the same system, itself included."""
        if run_id in self._found:
            return self._found[run_id]
        table = self.flow.drains_in if self.flow.runs[run_id].system == "drain" else self.flow.vents_in
        seen: set[str] = set()
        front = [run_id]
        while front:
            i = front.pop()
            if i in seen:
                continue
            seen.add(i)
            front.extend(table.get(self.flow.runs[i].start, ()))
        self._found[run_id] = frozenset(seen)
        return self._found[run_id]
