"""What goes along with a handle: points of the network, and the things of the house that change. Lengths [mm]."""

from __future__ import annotations

from stubout.design import Design
from stubout.fixes.moves import sliding
from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.layout.model import PointKind
from stubout.live.given import SAME_MM
from stubout.live.model import Handle
from stubout.live.walls import Joined
from stubout.network.model import Network
from stubout.windows.looks import Thing
from stubout.windows.moves import carried


def seeds_of(design: Design, handle: Handle) -> frozenset[str]:
    """Return the points of the network that a handle stands for; none if it is drawn and not in the network."""
    net = design.network
    match handle.kind:
        case "point":
            near = (n for n in net.nodes if n.at.to(handle.at) < SAME_MM and n.kind is not PointKind.SEWER)
            return frozenset(n.id for n in near)
        case "stub" | "fixture":
            kinds = (PointKind.TRAP, PointKind.FLANGE)
            return frozenset(n.id for n in net.nodes if n.tag == handle.of and n.kind in kinds)
        case "wall":
            of = {f.tag for f in design.house.fixtures if f.wall_id == handle.of}
            inside = {
                i for p in net.pipes if p.place.kind == "wall" and p.place.ref == handle.of for i in (p.start, p.end)
            }
            ends = (PointKind.TRAP, PointKind.FLANGE)
            return frozenset(
                n.id
                for n in net.nodes
                if (n.id in inside or (n.tag in of and n.kind in ends)) and n.kind is not PointKind.SEWER
            )
    return frozenset()


def goes_along(design: Design, handle: Handle, seeds: frozenset[str], way: Vec) -> frozenset[str]:
    """Return the points that go along when a handle is dragged in a direction; a drawn point goes alone."""
    if handle.kind == "point":
        return seeds
    return carried(design.network, seeds, way) or seeds


def slide_of(net: Network, node_id: str, group: frozenset[str], way: Vec) -> Vec:
    """Return how far a point goes for 1 mm of a drag: along a falling pipe it falls with it, but a flange stays up."""
    return way if net.node(node_id).kind is PointKind.FLANGE else sliding(net, node_id, group, way)


def things_of(house: House, handle: Handle, walls: Joined | None) -> frozenset[Thing]:
    """Return the things of a house that a drag of a handle can change.

    Args:
        house: The house.
        handle: What is dragged.
        walls: Of a wall: what goes along with it.
    """
    of = handle.of
    if walls is not None:
        return _with_walls(house, walls)
    match handle.kind:
        case "opening" | "obstacle":
            return frozenset(((handle.kind, of),))
        case "cabinet" | "box":
            boxes = {b.id: b for b in house.cabinets if b.run_id == of}
            beside = {b.wall_id for b in boxes.values()}
            near = [f.tag for f in house.fixtures if f.wall_id in beside or f.cabinet_id in boxes]
            return frozenset((*(("box", i) for i in boxes), *((k, t) for t in near for k in ("cabinet", "height"))))
        case "point":
            return frozenset()
    return frozenset((k, of) for k in ("place", "cabinet", "height"))


def _with_walls(house: House, j: Joined) -> frozenset[Thing]:
    """Return the things that change with a dragged wall and those that go along: all that is measured from them."""
    tags = [f.tag for f in house.fixtures if f.wall_id in j.walls]
    return frozenset(
        (
            *(("wall", i) for i in j.walls),
            *(("room", i) for i in j.rooms),
            *((k, t) for t in tags for k in ("place", "cabinet", "height")),
            *(("box", b.id) for b in house.cabinets if b.wall_id in j.walls),
            *(("obstacle", o.id) for o in house.obstacles if o.wall_id in j.walls),
            *(("opening", o.id) for w in house.walls if w.id in j.walls for o in w.openings),
        )
    )
