"""Street fittings: where no piece of pipe goes between two fittings, an elbow's spigot may go straight into the hub.

The spigot must reach the seat, so such a joint has a length of its own: the make-up of the hub and the spigot, as it
comes or cut back until a socket depth of straight is left. Between that and the shortest piece of pipe nothing goes,
and tees and wyes do not come with a spigot here. Lengths [mm].
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from stubout.catalog import queries as catalogue
from stubout.catalog.model import Catalog
from stubout.fabrication.choose_base import STREET, Allowed, Joint, TakeOff
from stubout.fabrication.ends import FIXTURE_ROLES, EndKey, turn_word
from stubout.fabrication.jogs import Joints
from stubout.fabrication.joining import SEAT_TOL_MM, Reach, Street, Streets
from stubout.fabrication.pieces import Straight, end_nodes
from stubout.network.model import Network
from stubout.problems import Status, weakest

TURNS = ("h-v", "v-h", "h-h")


@dataclass(frozen=True, slots=True)
class _Try:
    """One elbow exchanged for a street pattern."""

    at_head: bool
    pattern: str
    replaces: str  # key of the elbow
    hub_less_mm: float  # how much shorter its hub leg is than that of the elbow it replaces
    extra_mm: float  # from the node to its own centre, in a turn made of two bends
    least_mm: float
    full_mm: float
    status: Status
    built: bool  # its spigot leg is no figure of a table


def exchange(
    network: Network,
    joints: Mapping[str, Joint],
    runs: tuple[Straight, ...],
    *,
    clusters: Joints,
    catalog: Catalog,
    allowed: Allowed,
) -> Streets:
    """Put street patterns in place of elbows where no piece of pipe goes, and return where.

    The elbow upstream is taken first, then the one downstream, each as the street pattern of its own kind; then as a
    short street quarter bend, where the book allows a short quarter bend for that turn. An elbow has one spigot.

    Args:
        network: The network.
        joints: What stands at every joint; drafts and take-offs are changed in place.
        runs: The straight runs, in network order.
        clusters: Which nodes are one joint.
        catalog: The catalogue, measurements laid over it.
        allowed: Whether the book allows a pattern for a turn.
    """
    taken: set[tuple[str, int]] = set()  # joint and draft whose spigot is used
    fixed: set[EndKey] = set()  # ends of runs that are joined by a street fitting
    joined: dict[EndKey, Street] = {}
    reach: dict[EndKey, Reach] = {}
    for run in runs:
        nodes = end_nodes(run, clusters)
        takes = tuple(joints[n].take[k] for n, k in zip(nodes, (run.head, run.tail), strict=True))
        size = run.pipes[0][0].size_in
        socket = catalog.socket_mm(size)
        net = run.length_mm - takes[0].mm - takes[1].mm
        if any(t.draft < 0 for t in takes) or net >= 2 * socket - SEAT_TOL_MM:
            continue
        order = (True, False) if run.pipes[0][1] else (False, True)
        tries = [
            t
            for same in (True, False)
            for at_head in order
            for t in _tries(network, joints, run, nodes, at_head=at_head, same=same, catalog=catalog, allowed=allowed)
            if (nodes[not at_head], takes[not at_head].draft) not in taken
        ]
        for t in tries:
            other = takes[1 if t.at_head else 0].mm
            spigot = run.length_mm - other - t.extra_mm
            if not t.least_mm - 0.05 <= spigot <= t.full_mm + SEAT_TOL_MM:
                continue
            if not _place(joints, nodes[not t.at_head], run.head if t.at_head else run.tail, t, spigot, fixed):
                continue
            taken.add((nodes[not t.at_head], takes[not t.at_head].draft))
            fixed |= {run.head, run.tail}
            joined[run.head] = Street(t.at_head, t.pattern, spigot, t.full_mm)
            break
        else:
            near = [(t, takes[1 if t.at_head else 0].mm + t.extra_mm) for t in tries]
            windows = [Reach(t.least_mm + mm, t.full_mm + mm) for t, mm in near]
            if windows:
                d = run.length_mm
                reach[run.head] = min(windows, key=lambda w: max(w.least_mm - d, d - w.most_mm))
    return Streets(joined, reach)


def _tries(
    network: Network,
    joints: Mapping[str, Joint],
    run: Straight,
    nodes: tuple[str, str],
    *,
    at_head: bool,
    same: bool,
    catalog: Catalog,
    allowed: Allowed,
) -> list[_Try]:
    """Return the street pattern an end's elbow may be exchanged for: of its own kind, or the short one for a long."""
    joint = joints[nodes[not at_head]]
    take = joint.take[run.head if at_head else run.tail]
    draft = joint.drafts[take.draft]
    size = run.pipes[0][0].size_in
    if draft.pattern not in STREET or set(draft.sizes_in) != {size}:
        return []
    pattern = STREET[draft.pattern]
    if same and draft.pattern == "closet bend":  # it comes as no street pattern of its own kind
        return []
    if not same:
        if draft.pattern not in ("long-turn 1/4 bend", "closet bend"):
            return []
        pattern = STREET["1/4 bend"]
        if not _short_allowed(network, draft.pipes, size, allowed):
            return []
    old = catalogue.fitting(draft.pattern, draft.sizes_in, catalog)
    new = catalogue.fitting(pattern, (size, size), catalog)
    least, full = catalogue.street_spigot_mm(pattern, size, catalog)
    return [
        _Try(
            at_head=at_head,
            pattern=pattern,
            replaces=old.key,
            hub_less_mm=old.ports["inlet"] - new.ports["hub"],
            extra_mm=max(take.mm - old.ports["outlet"], 0.0),
            least_mm=least,
            full_mm=full,
            status=weakest((new.statuses["hub"], new.statuses["spigot"])),
            built=bool(catalog.pattern(pattern).like) and new.statuses["spigot"] is not Status.JOB,
        )
    ]


def _short_allowed(network: Network, pipes: tuple[str, ...], size: float, allowed: Allowed) -> bool:
    """Return whether the book lets a short quarter bend make this turn; a foot vent keeps its long turn."""
    into, out = network.pipe(pipes[0]), network.pipe(pipes[-1])
    if len(pipes) == 1:  # the bend under a flange: its drop is no pipe of the network
        return allowed("1/4 bend", "v-h", size, True)
    if into.system != "drain" or out.system != "drain":
        return False
    turn = turn_word(into, out)
    return turn in TURNS and allowed("1/4 bend", turn, size, into.role in FIXTURE_ROLES)


def _place(joints: Mapping[str, Joint], node: str, key: EndKey, t: _Try, spigot_mm: float, fixed: set[EndKey]) -> bool:
    """Exchange the elbow; False where that would shift an end that a street fitting already holds."""
    joint = joints[node]
    index = joint.take[key].draft
    others = [k for k, take in joint.take.items() if k != key and index in (take.draft, take.bushed)]
    if abs(t.hub_less_mm) > 0.05 and fixed & set(others):
        return False
    draft = joint.drafts[index]
    cut_back = t.full_mm - spigot_mm > SEAT_TOL_MM  # how far it may be is an estimate
    status = weakest((t.status, Status.ESTIMATE)) if cut_back else t.status
    said = "spigot leg is an estimate: measure" if cut_back or t.built else ""
    note = "; ".join(x for x in (draft.note, f"spigot in place of pipe {key[0]}", said) if x)
    joint.drafts[index] = replace(draft, pattern=t.pattern, status=weakest((draft.status, status)), note=note)
    joint.take[key] = TakeOff(spigot_mm + t.extra_mm, index, status)
    for k in others:
        was = joint.take[k]
        key_of = catalogue.fitting(t.pattern, draft.sizes_in).key
        hub = tuple((key_of, "hub") if m[0] == t.replaces else m for m in was.make_ups)
        status = weakest((was.status, t.status))
        joint.take[k] = replace(was, mm=was.mm - t.hub_less_mm, status=status, make_ups=hub)
    return True
