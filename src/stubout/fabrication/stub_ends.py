"""Where wall stub-outs end: what stands on them, and how far along its run. Lengths [mm]."""

from __future__ import annotations

from itertools import pairwise

from stubout.catalog import queries as catalogue
from stubout.catalog.model import Catalog
from stubout.fabrication.choose_base import Draft, Joint, TakeOff
from stubout.fabrication.pieces import Straight
from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.layout.model import StubMark
from stubout.network.model import Network, PointKind


def stub_ends(
    network: Network,
    house: House,
    joints: dict[str, Joint],
    runs: tuple[Straight, ...],
    *,
    stubs: tuple[StubMark, ...],
    parts: Catalog,
) -> dict[str, Vec]:
    """Let the arms of wall stub-outs end where the stub ends, not at the weir; return the places by node.

    One that is boxed before its wall ends at the weir; one in a cabinet has its trap cemented on, as that of an island.
    """
    by_tag = {s.tag: s for s in stubs}
    out: dict[str, Vec] = {}
    for run in runs:
        for at_head in (True, False):
            pipe, forward = run.pipes[0] if at_head else run.pipes[-1]
            node = network.node(pipe.start if forward is at_head else pipe.end)
            stub = by_tag.get(node.tag or pipe.tag)
            if node.kind is not PointKind.TRAP or stub is None or len(node.inflow) + len(node.outflow) != 1:
                continue
            boxed = stub.place.kind == "before wall"
            if not (boxed or stub.place.pierces):
                continue
            along = 0.0 if boxed else stub_along(run, house, stub, from_head=at_head)
            if along is None:
                continue
            key = run.head if at_head else run.tail
            data = catalogue.fitting("trap adapter", (min(pipe.size_in, 2.0),), parts)
            joints[node.id].take[key] = TakeOff(along, -1, data.status, "arm" if boxed else "stub-out")
            note = "on the end of the arm, at the finish" if boxed else "on the stub-out, at the finish"
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
