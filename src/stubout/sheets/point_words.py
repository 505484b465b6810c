"""What a point of the network is called on a sheet."""

from __future__ import annotations

from stubout.design import Design
from stubout.geometry.vec import angle_deg
from stubout.layout.model import PointKind, Role
from stubout.network.model import Node, Pipe

STRAIGHT_DEG = 1.0  # less than this is no turn: no fitting stands there
STRAIGHT_ON = "straight on"
INTO = {
    "wall": "into the wall",
    "buried": "into the ground",
    "under slab": "under the slab",
    "crawl": "into the crawl space",
    "joist bay": "into the joist bay",
    "soffit": "into the bulkhead",
    "below frame": "below the frame",
    "attic": "into the attic",
}
KINDS = {
    PointKind.STACK_FOOT: "stack foot",
    PointKind.JUNCTION: "junction",
    PointKind.TURN: "turn",
    PointKind.REDUCER: "size change",
    PointKind.CAP: "cap",
    PointKind.TRAP: "trap",
    PointKind.TAKEOFF: "vent fitting",
    PointKind.CLEANOUT: "cleanout",
}


def point_words(design: Design, node: Node) -> str:
    """Return what a point is: `junction`, `turn`, `cleanout CO2`, `straight on, into the ground`; "" for the others."""
    here = next((c.id for c in design.cleanouts if c.point == node.id), None)
    if here is not None:
        return f"cleanout {here}"
    above = cleanout_above(design, node)
    if above:
        return f"junction under {above}"
    if node.kind in (PointKind.JUNCTION, PointKind.TURN) and (pair := _straight(design, node)):
        kinds = (pair[0].place.kind, pair[1].place.kind)
        into = INTO.get(kinds[1], "") if kinds[0] != kinds[1] else ""
        if kinds == ("room", "buried"):
            into = f"through the wall, {into}"
        return f"{STRAIGHT_ON}, {into}" if into else STRAIGHT_ON
    words = f"connection to {design.house.sewer.what}" if node.kind is PointKind.SEWER else KINDS.get(node.kind, "")
    tagged = node.kind in (PointKind.TRAP, PointKind.TAKEOFF)
    return f"{words} {node.tag}".strip() if tagged else words


def cleanout_above(design: Design, node: Node) -> str:
    """Return the cleanout whose riser comes down to a point, "" if none does."""
    net = design.network
    openings = {c.point: c.id for c in design.cleanouts}
    for start in (net.pipe(i) for i in node.inflow):
        pipe: Pipe | None = start
        while pipe is not None and pipe.role is Role.CLEANOUT_EXT:
            if pipe.start in openings:
                return openings[pipe.start]
            pipe = next((net.pipe(i) for i in net.node(pipe.start).inflow), None)
    return ""


def _straight(design: Design, node: Node) -> tuple[Pipe, Pipe] | None:
    """Return the two pipes of a point that is none in the pipe: one comes in, one goes on, same size and way."""
    if len(node.inflow) != 1 or len(node.outflow) != 1:
        return None
    a, b = design.network.pipe(node.inflow[0]), design.network.pipe(node.outflow[0])
    same = a.system == b.system and a.size_in == b.size_in
    return (a, b) if same and angle_deg(a.b.minus(a.a), b.b.minus(b.a)) < STRAIGHT_DEG else None
