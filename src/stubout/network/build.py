"""Layout to network: nodes, pipes in flow order, loads, vent reach. Faults of the graph are values."""

from __future__ import annotations

from collections.abc import Mapping

from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.layout.flowgraph import Flow, chain_down, flow_of
from stubout.layout.model import Blocked, Layout, PointKind, Role, Run, TrapPlan
from stubout.network.loads import load_of
from stubout.network.measure import measure_of
from stubout.network.model import Network, Node, Pipe
from stubout.network.vents import developed_lengths, served_by
from stubout.rulebooks.model import RuleBook


def build(layout: Layout, house: House, book: RuleBook) -> Network:
    """Return the network of a layout: sizes as reckoned by the layout, loads and vent lengths by the book.

    A run whose point is missing, a loop or a loose piece does not stop it; `faults_of` lists them.

    Args:
        layout: Points, runs and traps.
        house: The house, for the fixtures behind the tags.
        book: The rule book, amendments applied.
    """
    at = {p.id: p.at for p in layout.points}
    runs = tuple(r for r in layout.runs if r.start in at and r.end in at)
    flow = flow_of(runs, at)
    roles = {r.id: r.role for r in runs}
    upstream = tags_upstream(flow, layout.traps)
    served = served_by(flow, layout.traps)
    lengths = developed_lengths(flow, roles, measure_of(book.family))
    wet = {i for t in layout.traps for i in t.wet_through}
    fixtures = {f.tag: f for f in house.fixtures}
    traps_in = {t.tag: t.trap_in for t in layout.traps}
    pipes = []
    for run_id in flow_order(flow):
        run = flow.runs[run_id]
        tags = upstream[run_id] if run.system == "drain" else served[run_id]
        known = [fixtures[t] for t in sorted(tags) if t in fixtures]
        pipes.append(
            Pipe(
                id=run.id,
                system=run.system,
                role=run.role,
                start=run.start,
                end=run.end,
                a=at[run.start],
                b=at[run.end],
                place=run.place,
                tag=run.tag,
                size_in=run.size_in,
                load=load_of(book, known, traps_in).value,
                tags=tuple(sorted(tags)),
                wet=run.system == "drain" and run.id in wet,
                vent_length_mm=lengths.get(run.id, 0.0),
                drawn=run.drawn,
                vents_by=run.vents_by,
                said=run.said,
                material=run.material,
            )
        )
    nodes = tuple(
        Node(
            p.id,
            p.at,
            p.kind,
            p.tag,
            (*flow.drains_in.get(p.id, ()), *flow.vents_in.get(p.id, ())),
            (*flow.drains_out.get(p.id, ()), *flow.vents_out.get(p.id, ())),
        )
        for p in layout.points
    )
    return Network(nodes, tuple(pipes), layout.traps)


def flow_order(flow: Flow) -> tuple[str, ...]:
    """Return the run ids in flow order: drains upstream first, then vents from the take-offs up.

    Among equals the layout's order holds; runs on a loop come last of their system.
    """
    out: list[str] = []
    for system, ins, outs in (
        ("drain", flow.drains_in, flow.drains_out),
        ("vent", flow.vents_in, flow.vents_out),
    ):
        ids = [i for i, r in flow.runs.items() if r.system == system]
        rank = {i: n for n, i in enumerate(ids)}
        waiting = {i: len(ins.get(flow.runs[i].start, ())) for i in ids}
        ready = [i for i in ids if waiting[i] == 0]
        done: list[str] = []
        while ready:
            i = min(ready, key=rank.__getitem__)
            ready.remove(i)
            done.append(i)
            for j in outs.get(flow.runs[i].end, ()):
                waiting[j] -= 1
                if waiting[j] == 0:
                    ready.append(j)
        taken = set(done)
        out += done + [i for i in ids if i not in taken]
    return tuple(out)


def tags_upstream(flow: Flow, traps: tuple[TrapPlan, ...]) -> dict[str, frozenset[str]]:
    """Return the fixtures that drain through each pipe: every trap whose weir lies upstream, and tailpiece pieces."""
    out: dict[str, set[str]] = {i: set() for i, r in flow.runs.items() if r.system == "drain"}
    for trap in traps:
        front, seen = [trap.weir], set[str]()
        while front:
            node = front.pop()
            for i in flow.drains_out.get(node, ()):
                if i not in seen:
                    seen.add(i)
                    out[i].add(trap.tag)
                    front.append(flow.runs[i].end)
    for i, r in flow.runs.items():
        if r.system == "drain" and r.role is Role.FIXTURE_DRAIN and r.tag:
            out[i].add(r.tag)
    return {i: frozenset(tags) for i, tags in out.items()}


def faults_of(layout: Layout) -> tuple[Blocked, ...]:
    """Return what is wrong with the graph itself: missing points, loops, splits, pieces that reach no end."""
    at: Mapping[str, Vec] = {p.id: p.at for p in layout.points}
    kinds = {p.id: p.kind for p in layout.points}
    faults = [
        Blocked((r.id,), f"run {r.id} goes to a point that does not exist", "draw both its ends")
        for r in layout.runs
        if r.start not in at or r.end not in at
    ]
    flow = flow_of([r for r in layout.runs if r.start in at and r.end in at], at)
    faults += _loops(flow)
    for node in at:
        outs = flow.drains_out.get(node, ())
        if len(outs) > 1:
            faults.append(Blocked(tuple(outs), f"the drain splits at {node}", "let one pipe go on"))
        ways = [i for i in flow.vents_out.get(node, ()) if not _returns(flow, i)]
        if len(ways) > 1:
            faults.append(Blocked(tuple(ways), f"the vent splits at {node}", "let one pipe go on to the air"))
    faults += _ends(flow, kinds)
    for trap in layout.traps:
        if trap.weir not in at or not flow.drains_out.get(trap.weir):
            faults.append(Blocked((trap.tag,), f"the trap of {trap.tag} drains into nothing", "draw its trap arm"))
    return tuple(faults)


def _returns(flow: Flow, run_id: str) -> bool:
    """Return whether a vent comes down into a drain again: the return of an island loop."""
    last = (run_id, *chain_down(flow, run_id))[-1]
    node = flow.runs[last].end
    return bool(flow.drains_out.get(node) or flow.drains_in.get(node))


def _loops(flow: Flow) -> list[Blocked]:
    """Return one fault for each closed loop."""
    done: set[str] = set()
    faults: list[Blocked] = []
    for i in flow.runs:
        path: list[str] = []
        j: str | None = i
        while j is not None and j not in done and j not in path:
            path.append(j)
            r: Run = flow.runs[j]
            table = flow.drains_out if r.system == "drain" else flow.vents_out
            j = next(iter(table.get(r.end, ())), None)
        if j is not None and j in path:
            ring = tuple(path[path.index(j) :])
            faults.append(Blocked(ring, f"{', '.join(ring)} run in a circle", "open the circle"))
        done.update(path)
    return faults


def _ends(flow: Flow, kinds: Mapping[str, PointKind]) -> list[Blocked]:
    """Return a fault for every drain that does not come to the sewer and every vent that does not come to the air."""
    faults: list[Blocked] = []
    good_drain = {PointKind.SEWER}
    good_vent = {PointKind.TERMINAL, PointKind.AAV}
    for i, r in flow.runs.items():
        if r.role is Role.CLEANOUT_EXT:
            continue
        outs = flow.drains_out if r.system == "drain" else flow.vents_out
        if outs.get(r.end):
            continue
        if r.system == "drain" and kinds[r.end] not in good_drain:
            faults.append(
                Blocked((i,), f"drain {i} ends at {r.end} and not at the sewer", "join it to the drain below")
            )
        if r.system == "vent" and kinds[r.end] not in good_vent:
            if _returns(flow, i):
                continue
            faults.append(
                Blocked((i,), f"vent {i} ends at {r.end}, neither a terminal nor a valve", "carry it to the open air")
            )
    return faults
