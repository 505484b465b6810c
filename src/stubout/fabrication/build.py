"""From the sized network to everything that is cut, bored, fixed and bought.

Works on the network's pipes and nodes alone, so that a hand-drawn system is fabricated like a designed one.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Literal

from stubout.catalog import queries as catalogue
from stubout.catalog.model import Catalog
from stubout.catalog.shipped import SHIPPED
from stubout.fabrication.bores import bores
from stubout.fabrication.choose import choose
from stubout.fabrication.choose_base import Allowed, Draft, Joint, TakeOff
from stubout.fabrication.close_bends import moved
from stubout.fabrication.drops import closet_rings, drops
from stubout.fabrication.ends import ask, ends_at
from stubout.fabrication.insert import put_in, wall_orders
from stubout.fabrication.jogs import Joints, find
from stubout.fabrication.joining import Streets
from stubout.fabrication.materials import materials, pipe_lines
from stubout.fabrication.measure import measure_first
from stubout.fabrication.model import CutPiece, Fabrication, FittingUse
from stubout.fabrication.pieces import EndOfPiece, Straight, cut, end_nodes, straights, street_piece
from stubout.fabrication.protect import plates
from stubout.fabrication.stock import improved, plan, sums
from stubout.fabrication.stock_exact import solve
from stubout.fabrication.street import exchange
from stubout.fabrication.supports import hangers
from stubout.fabrication.testing import closures
from stubout.fabrication.tolerance import run_tolerances
from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.layout.model import CleanoutPlan, Layout, StubMark
from stubout.network.model import Network, PointKind, Role
from stubout.rulebooks import queries
from stubout.rulebooks.model import RuleBook

AT_THE_END = ("trap adapter", "closet flange")  # fittings that stand where the pipe comes out, not at its node
TURNS: dict[str, Literal["h-v", "v-h", "h-h"]] = {"h-v": "h-v", "v-h": "v-h", "h-h": "h-h"}


def fabricate(
    network: Network,
    layout: Layout,
    house: House,
    book: RuleBook,
    framing: RuleBook,
    *,
    catalog: Catalog = SHIPPED,
) -> Fabrication:
    """Return what a network asks of saw, drill and yard; of the layout only stub-outs and cleanouts are read.

    Args:
        network: The sized network.
        layout: Where stub-outs end and cleanouts open.
        house: The house.
        book: The plumbing rule book.
        framing: The framing rules.
        catalog: The catalogue without the job's measurements.
    """
    return fabricate_network(network, house, book, framing, layout.stubs, cleanouts=layout.cleanouts, catalog=catalog)


def fabricate_network(
    network: Network,
    house: House,
    book: RuleBook,
    framing: RuleBook,
    stubs: tuple[StubMark, ...] = (),
    *,
    cleanouts: tuple[CleanoutPlan, ...] = (),
    catalog: Catalog = SHIPPED,
) -> Fabrication:
    """Return fittings, cut pieces, bores, plates, supports, test closures, stock plan and material list.

    Args:
        network: The sized network.
        house: The house; its own measurements of fittings overrule the catalogue.
        book: The plumbing rule book.
        framing: The framing rules.
        stubs: Where each wall stub-out ends.
        cleanouts: Access openings planned on nodes of the network.
        catalog: The catalogue without the job's measurements.
    """
    parts = catalog.with_measured(house.measured)
    made = cut_and_bored(network, house, book, framing, stubs, cleanouts=cleanouts, catalog=catalog)
    caps = closures(network, made.fittings, house, book)
    kerf_mm = parts.figure("saw kerf").value
    sticks = plan(made.pieces, house.job.stock_mm, kerf_mm)
    needed = materials(
        house,
        network,
        fittings=made.fittings,
        pieces=made.pieces,
        plates=made.plates,
        hangers=made.hangers,
        caps=caps,
        sticks=sticks,
        catalog=parts,
    )
    stock = sums(made.pieces, sticks, house.job.stock_mm, kerf_mm)
    return replace(
        made,
        caps=caps,
        sticks=sticks,
        materials=needed,
        stock=stock,
        measure_first=measure_first(made.pieces, made.fittings, parts),
        tolerances=run_tolerances(made.pieces, made.fittings, parts),
        put_in=put_in(made.pieces, made.bores, network, house),
        orders=wall_orders(made.pieces, network, house),
    )


def cut_and_bored(
    network: Network,
    house: House,
    book: RuleBook,
    framing: RuleBook,
    stubs: tuple[StubMark, ...] = (),
    *,
    cleanouts: tuple[CleanoutPlan, ...] = (),
    catalog: Catalog = SHIPPED,
) -> Fabrication:
    """Return what `fabricate_network` does without test closures, stock plan and material list."""
    parts = catalog.with_measured(house.measured)
    runs, fittings, pieces = joined(network, house, book, stubs, cleanouts=cleanouts, catalog=catalog)
    holes = bores(runs, house, framing, parts)
    return Fabrication(
        fittings=fittings,
        pieces=pieces,
        bores=holes,
        plates=plates(holes, network, house, book, parts),
        hangers=hangers(runs, holes, house, book, parts),
        caps=(),
        sticks=(),
        materials=(),
    )


def joined(
    network: Network,
    house: House,
    book: RuleBook,
    stubs: tuple[StubMark, ...] = (),
    *,
    cleanouts: tuple[CleanoutPlan, ...] = (),
    catalog: Catalog = SHIPPED,
) -> tuple[tuple[Straight, ...], tuple[FittingUse, ...], tuple[CutPiece, ...]]:
    """Return the straight runs of a network, its fittings and its cut pieces; arguments as of `fabricate_network`."""
    parts = catalog.with_measured(house.measured)
    clusters = find(network)
    joints = _joints(network, clusters, book, cleanouts, parts)
    runs = straights(network, joints, clusters)
    stub_ends = _stub_ends(network, house, joints, runs, stubs=stubs, parts=parts)
    streets = exchange(network, joints, runs, clusters=clusters, catalog=parts, allowed=rule_of(book))
    rings = closet_rings(network, house)
    fittings, ids = _number(network, joints, {**stub_ends, **rings})
    pieces, couplings = _pieces(
        house, joints, runs, clusters=clusters, streets=streets, ids=ids, parts=parts, n_fittings=len(fittings)
    )
    pieces = (*pieces, *drops(network, house, fittings, rings, parts))
    return runs, (*fittings, *couplings), pieces


def with_solver(fabrication: Fabrication, house: House, *, catalog: Catalog = SHIPPED) -> Fabrication:
    """Return a fabrication in which the exact solver, where it is installed, has planned the sticks anew.

    Sizes whose plan is at its proven least stay as they are; where all are, the fabrication comes back as it is.

    Args:
        fabrication: What was made by `fabricate`, or by this.
        house: The house it was made for.
        catalog: The catalogue without the job's measurements.
    """
    if all(s.proven or s.by == "solver" for s in fabrication.stock):
        return fabrication
    kerf_mm = catalog.figure("saw kerf").value
    pieces, stock_mm = fabrication.pieces, house.job.stock_mm
    sticks, stock = improved(pieces, fabrication.sticks, fabrication.stock, stock_mm, kerf_mm, solve)
    rest = tuple(m for m in fabrication.materials if m.group != "pipe")
    return replace(fabrication, sticks=sticks, stock=stock, materials=(*pipe_lines(house, pieces, sticks), *rest))


def rule_of(book: RuleBook) -> Allowed:
    """Return the book's word on a pattern for a turn; a book that is silent forbids nothing."""

    def allowed(pattern: str, turn: str, size_in: float, fixture_drain: bool) -> bool:
        if turn not in TURNS:
            return True
        cell = ask(queries.fitting_allowed, book, pattern, TURNS[turn], size_in=size_in, fixture_drain=fixture_drain)
        return cell is None or cell.value is True

    return allowed


def _joints(
    network: Network, clusters: Joints, book: RuleBook, cleanouts: tuple[CleanoutPlan, ...], parts: Catalog
) -> dict[str, Joint]:
    allowed = rule_of(book)
    openings = {clusters.head[c.point]: c.size_in for c in cleanouts if c.point in clusters.head}
    both_ways = {clusters.head[n] for c in cleanouts if "two-way" in c.serves for n in _below(network, c.point)}
    out: dict[str, Joint] = {}
    for node in network.nodes:
        if clusters.head[node.id] != node.id:
            continue
        ends = ends_at(network, tuple(network.node(n) for n in clusters.nodes[node.id]), clusters.taken_up)
        joint = choose(node, ends, parts, allowed, openings.get(node.id, 0.0), node.id in both_ways)
        if node.id in openings and len(ends) > 2 and not any(d.pattern == "cleanout adapter" for d in joint.drafts):
            data = catalogue.fitting("cleanout adapter", (openings[node.id],), parts)
            note = "opening planned on this fitting: it needs a port of its own"
            joint.drafts.append(Draft("cleanout adapter", (openings[node.id],), (), data.status, note))
        for e in ends:  # a pipe may end a little off the point where its joint stands
            at = e.pipe.a if e.at_start else e.pipe.b
            if e.key in joint.take and at != node.at:
                moved(joint, e.key, node.at.minus(at).dot(e.away))
        out[node.id] = joint
    return out


def _below(network: Network, point: str) -> tuple[str, ...]:
    """Return the joint where the extension of a cleanout enters its drain; nothing if it has none."""
    known = {n.id for n in network.nodes}
    node = point
    while node in known:
        down = [p for p in (network.pipe(i) for i in network.node(node).outflow) if p.role is Role.CLEANOUT_EXT]
        if not down:
            return () if node == point else (node,)
        node = down[0].end
    return ()


def _stub_ends(
    network: Network,
    house: House,
    joints: dict[str, Joint],
    runs: tuple[Straight, ...],
    *,
    stubs: tuple[StubMark, ...],
    parts: Catalog,
) -> dict[str, Vec]:
    """Let the arms of wall stub-outs end where the stub ends, not at the weir; return the places by node."""
    by_tag = {s.tag: s for s in stubs}
    out: dict[str, Vec] = {}
    for run in runs:
        for at_head in (True, False):
            pipe, forward = run.pipes[0] if at_head else run.pipes[-1]
            node = network.node(pipe.start if forward is at_head else pipe.end)
            stub = by_tag.get(node.tag or pipe.tag)
            if node.kind is not PointKind.TRAP or stub is None or len(node.inflow) + len(node.outflow) != 1:
                continue
            along = stub_along(run, house, stub, from_head=at_head)
            if along is None:
                continue
            key = run.head if at_head else run.tail
            data = catalogue.fitting("trap adapter", (min(pipe.size_in, 2.0),), parts)
            joints[node.id].take[key] = TakeOff(along, -1, data.status, "stub-out")
            note = "on the stub-out, at the finish"
            joints[node.id].drafts = [Draft("trap adapter", data.sizes_in, (pipe.id,), data.status, note)]
            out[node.id] = run.point(along if at_head else run.length_mm - along)
    return out


def stub_along(run: Straight, house: House, stub: StubMark, *, from_head: bool) -> float | None:
    """Return how far along a run, from its trap, the stub-out ends [mm]; None if it never comes out of that wall.

    The stub ends `projection_mm` before the finished face on its side of the wall.
    """
    wall = next((w for w in house.walls if w.id == stub.wall_id), None)
    if wall is None:
        return None
    sign = 1.0 if stub.side == "left" else -1.0
    face = abs(wall.face_offset(stub.side, stub.station_mm, stub.mark_z_mm)) + stub.projection_mm
    points = [run.point(0.0)]
    at = 0.0
    for p, _ in run.pipes:
        at += p.length_mm
        points.append(run.point(at))
    if not from_head:
        points.reverse()
    walked = 0.0
    for a, b in pairwise(points):
        oa, ob = sign * wall.offset(a), sign * wall.offset(b)
        if oa >= face > ob:
            return walked + a.to(b) * (oa - face) / (oa - ob)
        walked += a.to(b)
    inside = sign * wall.offset(points[0])
    return 0.0 if wall.depth_mm / 2 < inside < face else None


def _number(
    network: Network, joints: dict[str, Joint], ends: dict[str, Vec]
) -> tuple[tuple[FittingUse, ...], dict[tuple[str, int], str]]:
    out: list[FittingUse] = []
    ids: dict[tuple[str, int], str] = {}
    for node in network.nodes:
        for k, draft in enumerate(joints[node.id].drafts if node.id in joints else ()):
            use = FittingUse(
                id=f"F{len(out) + 1}",
                node=node.id,
                pattern=draft.pattern,
                sizes_in=draft.sizes_in,
                at=ends.get(node.id, node.at) if draft.pattern in AT_THE_END else node.at,
                pipes=draft.pipes,
                status=draft.status,
                note=draft.note,
                off_deg=draft.off_deg,
                beside_mm=draft.beside_mm,
            )
            ids[(node.id, k)] = use.id
            out.append(use)
    return tuple(out), ids


def _pieces(
    house: House,
    joints: dict[str, Joint],
    runs: tuple[Straight, ...],
    *,
    clusters: Joints,
    streets: Streets,
    ids: dict[tuple[str, int], str],
    parts: Catalog,
    n_fittings: int,
) -> tuple[tuple[CutPiece, ...], tuple[FittingUse, ...]]:
    pieces: list[CutPiece] = []
    couplings: list[FittingUse] = []
    for run in runs:
        head, tail = end_nodes(run, clusters)
        start = _end_of(joints, head, run.head, ids)
        end = _end_of(joints, tail, run.tail, ids)
        if run.head in streets.joined:
            pieces.append(street_piece(run, start, end, streets.joined[run.head], house.job.units))
            continue
        number = n_fittings + len(couplings) + 1
        made, joined = cut(
            run,
            start,
            end,
            stock_mm=house.job.stock_mm,
            catalog=parts,
            next_fitting=number,
            unit=house.job.units,
            reach=streets.reach.get(run.head),
        )
        pieces += made
        couplings += joined
    return tuple(pieces), tuple(couplings)


def _end_of(
    joints: dict[str, Joint], node_id: str, key: tuple[str, bool], ids: dict[tuple[str, int], str]
) -> EndOfPiece:
    take = joints[node_id].take[key]
    return EndOfPiece(take, ids.get((node_id, take.draft), ""))
