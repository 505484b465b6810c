"""Tiny jogs: pipes so short that no piece can stand between two fittings are taken up in the joint. Lengths [mm]."""

from __future__ import annotations

from dataclasses import dataclass

from stubout.network.model import Network, Node, PointKind

END = 3
JOG_MM = 15.0  # what sockets and a little spring in the pipe take up between two points; common practice, no source


@dataclass(frozen=True, slots=True)
class Joints:
    """Which nodes are one joint, and which pipes are taken up inside one."""

    head: dict[str, str]  # node -> the node that speaks for its joint
    nodes: dict[str, tuple[str, ...]]  # speaking node -> all nodes of the joint
    taken_up: dict[str, str]  # jog pipe -> speaking node


def find(network: Network) -> Joints:
    """Return the joints of a network; a node on its own is a joint of one.

    Two joins that near are one double or side-inlet fitting. Two ends (a trap and its cleanout) are never made one,
    unless the pipe between them has no length to speak of.
    """
    head = {n.id: n.id for n in network.nodes}
    members: dict[str, list[str]] = {n.id: [n.id] for n in network.nodes}
    taken_up: dict[str, str] = {}
    for pipe in network.pipes:
        if pipe.length_mm > JOG_MM:
            continue
        a, b = head[pipe.start], head[pipe.end]
        if _rank(network.node(a)) == _rank(network.node(b)) == END and pipe.length_mm > 1.0:
            continue
        both = {*members[a], *members[b]}
        around = {i for n in both for i in (*network.node(n).inflow, *network.node(n).outflow)}
        if not around - {pipe.id, *taken_up}:
            continue  # nothing else there to take it up
        taken_up[pipe.id] = ""
        if a == b:
            continue
        keep, drop = (a, b) if _rank(network.node(a)) >= _rank(network.node(b)) else (b, a)
        members[keep] += members.pop(drop)
        for n in members[keep]:
            head[n] = keep
    return Joints(
        head=head,
        nodes={k: tuple(v) for k, v in members.items()},
        taken_up={p: head[network.pipe(p).start] for p in taken_up},
    )


def _rank(node: Node) -> int:
    """Return which of two points speaks for the joint: ends before joins, joins before turns."""
    ends = (PointKind.TRAP, PointKind.FLANGE, PointKind.TERMINAL, PointKind.AAV, PointKind.CLEANOUT, PointKind.CAP)
    if node.kind in (*ends, PointKind.SEWER):
        return END
    return 1 if node.kind is PointKind.TURN else 2
