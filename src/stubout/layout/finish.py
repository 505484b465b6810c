"""The last word on drawn routes: their own names, and what each run, point and trap is in the whole system."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import count

from stubout.layout.adopted import Adopted
from stubout.layout.complete import dead_ends, drawn_cleanouts, drawn_marks, faults_of_drawing, routes_told
from stubout.layout.draft import DEdge
from stubout.layout.drawn import kinds_of, trap_of
from stubout.layout.flowgraph import Flow, Upstream, flow_of, reach_of
from stubout.layout.model import Layout, PointKind, Role, TrapPlan
from stubout.layout.roles import roles_of
from stubout.layout.work import Work

OPEN_ENDS = frozenset({PointKind.TERMINAL, PointKind.AAV, PointKind.CLEANOUT, PointKind.CAP})


def drawn_names(work: Work) -> dict[int, str]:
    """Return the ids of drawn runs: the route's own, numbered in flow order where it has several pieces."""
    legs: dict[str, list[DEdge]] = {}
    for e in work.board.edges.values():
        if e.drawn:
            legs.setdefault(e.leg, []).append(e)
    out: dict[int, str] = {}
    for leg, edges in legs.items():
        ordered = _in_flow(edges)
        for k, e in enumerate(ordered, start=1):
            out[e.id] = leg if len(ordered) == 1 else f"{leg}.{k}"
    return out


def _in_flow(edges: list[DEdge]) -> list[DEdge]:
    """Return the pieces of one route from its first point to its last."""
    starts = {e.up: e for e in edges}
    ends = {e.down for e in edges}
    out: list[DEdge] = []
    at = next((e.up for e in edges if e.up not in ends), edges[0].up)
    while at in starts and len(out) < len(edges):
        out.append(starts[at])
        at = starts[at].down
    return [*out, *(e for e in edges if e not in out)]


def free_names(work: Work, letter: str) -> Iterator[str]:
    """Yield ids for runs of the engine, those that a drawn route bears left out."""
    taken = {leg.id.split(".")[0] for leg in work.house.routes}
    return (name for k in count(1) if (name := f"{letter}{k}") not in taken)


def finish(work: Work, layout: Layout) -> Layout:
    """Return the layout with drawn runs, points, traps and marks told by the whole system.

    Args:
        work: The engine's desk.
        layout: What was assembled from the board.
    """
    got = work.adopted
    if got is None:
        return layout
    house, drawing = work.house, got.drawing
    exact = {p.id: p.at for p in drawing.points}  # drawn points are not rounded
    layout = replace(layout, points=tuple(replace(p, at=exact.get(p.id, p.at)) for p in layout.points))
    at = {p.id: p.at for p in layout.points}
    flow = flow_of(layout.runs, at)
    ends = {p.id: p.kind for p in layout.points if p.kind in OPEN_ENDS}
    weirs = {t.tag: t.weir for t in layout.traps}
    weirs.update({t.tag: t.weir for t in drawing.traps if t.weir in at})
    reaches = {tag: reach_of(flow, node) for tag, node in weirs.items()}
    ours = {t.tag for t in drawing.traps if t.weir in at}
    engine = tuple(t for t in layout.traps if t.tag not in ours)
    by_hand = tuple(trap_of(house, flow, tag, weirs, reaches, ends) for tag in weirs if tag in ours)
    traps = tuple(sorted((*engine, *by_hand), key=lambda t: t.tag))
    access = {p.id for p in layout.points if p.kind is PointKind.CLEANOUT}
    roles = roles_of(house, flow, {t.tag: t for t in traps}, access)
    arms = {i: t.tag for t in by_hand for i in t.arm_runs if roles[i] is Role.TRAP_ARM}
    vents = {i: t.tag for t in by_hand for i in t.vent_runs}
    runs = tuple(
        replace(r, role=roles[r.id], tag=arms.get(r.id) or vents.get(r.id) or r.tag) if r.drawn else r
        for r in layout.runs
    )
    kinds = kinds_of(house, flow, drawing.sewer, traps, {r.id: r for r in runs}, ends)
    drawn_points = _points_of(got)
    whose = tags_of_points(flow, traps) if any(leg.said for leg in house.routes) else {}
    points = tuple(
        replace(p, kind=kinds[p.id], tag=p.tag or whose.get(p.id, "")) if p.id in drawn_points else p
        for p in layout.points
    )
    marks = drawn_marks(house, layout.stubs, by_hand, points, runs)
    taken = {c.point for c in layout.cleanouts}
    return replace(
        layout,
        points=points,
        runs=runs,
        traps=traps,
        stubs=marks,
        cleanouts=(*layout.cleanouts, *drawn_cleanouts(house, work.book, points, runs, taken)),
        blocked=(
            *faults_of_drawing(house, drawing),
            *dead_ends(house, points, runs, traps, {leg.id: leg.line for leg in house.routes}),
            *layout.blocked,
        ),
        notes=(*layout.notes, _said(work, got)),
    )


def tags_of_points(flow: Flow, traps: Iterable[TrapPlan]) -> dict[str, str]:
    """Return the fixture of every point that serves one fixture only: its vent fitting, the turns of its own pipes."""
    above, up = {t.weir: t.tag for t in traps}, Upstream(flow)
    vented = {t.takeoff: t.tag for t in traps if t.takeoff and t.vent_runs}
    out = {node: tag for node, tag in vented.items() if len(flow.drains_in.get(node, ())) == 1}
    for node in flow.at:
        for into, on, tags in ((flow.drains_in, flow.drains_out, above), (flow.vents_in, flow.vents_out, vented)):
            come = into.get(node, ())
            if len(come) == 1 and len(on.get(node, ())) == 1 and node not in vented:
                mine = {tags[n] for i in up.runs(come[0]) if (n := flow.runs[i].start) in tags}
                if len(mine) == 1:
                    out.setdefault(node, mine.pop())
    return out


def _points_of(got: Adopted) -> frozenset[str]:
    return frozenset(p.id for p in got.drawing.points)


def _said(work: Work, got: Adopted) -> str:
    """Return in words what of the system is drawn by hand."""
    whole = [tag for tag, what in got.open.items() if what == "all"]
    vents = [tag for tag, what in got.open.items() if what == "vent"]
    added = [f"drain and vent of {', '.join(whole)}"] if whole else []
    added += [f"vent of {', '.join(vents)}"] if vents else []
    return f"{routes_told(work.house)} Laid out to complete it: {'; '.join(added)}."
