"""From the sized network to fittings and cut pieces: what stands at every node, and what is cut between.

Works on the network's pipes and nodes alone, so that a hand-drawn system is fabricated like a designed one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stubout.catalog import queries as catalogue
from stubout.catalog.model import Catalog
from stubout.catalog.shipped import SHIPPED
from stubout.fabrication.bores import framed
from stubout.fabrication.choose import choose
from stubout.fabrication.choose_base import Allowed, Draft, Joint
from stubout.fabrication.close_bends import moved
from stubout.fabrication.drops import closet_rings, drops
from stubout.fabrication.ends import End, ask, ends_at
from stubout.fabrication.jogs import Joints, find
from stubout.fabrication.joining import Streets
from stubout.fabrication.members import Member
from stubout.fabrication.model import CutPiece, FittingUse
from stubout.fabrication.pieces import EndOfPiece, Straight, cut, end_nodes, straights, street_piece
from stubout.fabrication.set_in import SetIn, end_to_end, ports_of, set_in_pieces
from stubout.fabrication.street import exchange
from stubout.fabrication.stub_ends import stub_ends
from stubout.fabrication.threads import Framing
from stubout.geometry.vec import Box, Vec
from stubout.house.model import House
from stubout.layout.model import CleanoutPlan, StubMark
from stubout.network.model import Network, Role
from stubout.rulebooks import queries
from stubout.rulebooks.model import RuleBook

AT_THE_END = ("trap adapter", "closet flange")  # fittings that stand where the pipe comes out, not at its node
TURNS: dict[str, Literal["h-v", "v-h", "h-h"]] = {"h-v": "h-v", "v-h": "v-h", "h-h": "h-h"}


@dataclass(frozen=True, slots=True)
class Joined:
    """The straight runs of a network, its fittings and its cut pieces."""

    runs: tuple[Straight, ...]
    fittings: tuple[FittingUse, ...]
    pieces: tuple[CutPiece, ...]
    framing: Framing  # what the runs go through


def joined(
    network: Network,
    house: House,
    book: RuleBook,
    stubs: tuple[StubMark, ...] = (),
    *,
    cleanouts: tuple[CleanoutPlan, ...] = (),
    catalog: Catalog = SHIPPED,
    frame: tuple[tuple[Member, Box], ...] | None = None,
) -> Joined:
    """Return the straight runs of a network, its fittings and its cut pieces.

    Args:
        network: The sized network.
        house: The house; its own measurements of fittings overrule the catalogue.
        book: The plumbing rule book.
        stubs: Where each wall stub-out ends.
        cleanouts: Access openings planned on nodes of the network.
        catalog: The catalogue without the job's measurements.
        frame: The members of the house (`bores.framed`), where they are known already.
    """
    parts = catalog.with_measured(house.measured)
    framing = Framing(house, network, framed(house) if frame is None else frame, parts)
    clusters = find(network)
    joints, meeting = _joints(network, house, clusters, book, cleanouts, parts)
    runs = straights(network, joints, clusters)
    stubbed = stub_ends(network, house, joints, runs, stubs=stubs, parts=parts)
    streets = exchange(network, joints, runs, clusters=clusters, catalog=parts, allowed=rule_of(book))
    rings = closet_rings(network, house)
    fittings, ids = _number(network, joints, {**stubbed, **rings})
    pieces, couplings = _pieces(
        framing, joints, runs, clusters=clusters, streets=streets, ids=ids, n_fittings=len(fittings)
    )
    pieces = (*pieces, *drops(network, house, fittings, rings, parts))
    into_old = SetIn(network, house, parts, len(fittings) + len(couplings))
    into_old.around(ports_of(network, joints, clusters, ids, house, meeting))
    fittings = (*fittings, *couplings, *into_old.couplings)
    return Joined(runs, fittings, set_in_pieces(into_old, pieces), framing)


def rule_of(book: RuleBook) -> Allowed:
    """Return the book's word on a pattern for a turn; a book that is silent forbids nothing."""

    def allowed(pattern: str, turn: str, size_in: float, fixture_drain: bool, *, barrel_in: float = 0.0) -> bool:
        if turn not in TURNS:
            return True
        if barrel_in and pattern == "double sanitary tee":
            least = ask(queries.double_tee_barrel, book, size_in)
            if least is not None and barrel_in < least.number - 1e-6:
                return False
        cell = ask(queries.fitting_allowed, book, pattern, TURNS[turn], size_in=size_in, fixture_drain=fixture_drain)
        return cell is None or cell.value is True

    return allowed


def _joints(
    network: Network,
    house: House,
    clusters: Joints,
    book: RuleBook,
    cleanouts: tuple[CleanoutPlan, ...],
    parts: Catalog,
) -> tuple[dict[str, Joint], dict[str, tuple[End, ...]]]:
    """Return what stands at every joint, and the pipe ends that meet there."""
    allowed = rule_of(book)
    openings = {clusters.head[c.point]: c.size_in for c in cleanouts if c.point in clusters.head}
    both_ways = {clusters.head[n] for c in cleanouts if "two-way" in c.serves for n in _below(network, c.point)}
    out: dict[str, Joint] = {}
    meeting: dict[str, tuple[End, ...]] = {}
    for node in network.nodes:
        if clusters.head[node.id] != node.id:
            continue
        ends = ends_at(network, tuple(network.node(n) for n in clusters.nodes[node.id]), clusters.taken_up)
        joint = choose(node, ends, parts, allowed, openings.get(node.id, 0.0), node.id in both_ways)
        end_to_end(node, ends, joint, house, parts)
        if node.id in openings and len(ends) > 2 and not any(d.pattern == "cleanout adapter" for d in joint.drafts):
            data = catalogue.fitting("cleanout adapter", (openings[node.id],), parts)
            note = "opening planned on this fitting: it needs a port of its own"
            joint.drafts.append(Draft("cleanout adapter", (openings[node.id],), (), data.status, note))
        for e in ends:  # a pipe may end a little off the point where its joint stands
            at = e.pipe.a if e.at_start else e.pipe.b
            if e.key in joint.take and at != node.at:
                moved(joint, e.key, node.at.minus(at).dot(e.away))
        out[node.id], meeting[node.id] = joint, ends
    return out, meeting


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
                onto=draft.onto,
            )
            ids[(node.id, k)] = use.id
            out.append(use)
    return tuple(out), ids


def _pieces(
    framing: Framing,
    joints: dict[str, Joint],
    runs: tuple[Straight, ...],
    *,
    clusters: Joints,
    streets: Streets,
    ids: dict[tuple[str, int], str],
    n_fittings: int,
) -> tuple[tuple[CutPiece, ...], tuple[FittingUse, ...]]:
    pieces: list[CutPiece] = []
    couplings: list[FittingUse] = []
    unit = framing.house.job.units
    longest_mm = max(framing.house.job.stock_mm, default=0.0)
    for run in runs:
        head, tail = end_nodes(run, clusters)
        start = _end_of(joints, head, run.head, ids)
        end = _end_of(joints, tail, run.tail, ids)
        if run.head in streets.joined:
            pieces.append(street_piece(run, start, end, streets.joined[run.head], unit))
            continue
        number = n_fittings + len(couplings) + 1
        made, between = cut(
            run,
            start,
            end,
            framing.lengths(run, start, end, longest_mm),
            catalog=framing.catalog,
            next_fitting=number,
            unit=unit,
            reach=streets.reach.get(run.head),
        )
        pieces += made
        couplings += between
    return tuple(pieces), tuple(couplings)


def _end_of(
    joints: dict[str, Joint], node_id: str, key: tuple[str, bool], ids: dict[tuple[str, int], str]
) -> EndOfPiece:
    take = joints[node_id].take[key]
    return EndOfPiece(take, ids.get((node_id, take.draft), ""))
