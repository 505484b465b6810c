"""Where cleanouts open into a drain, and how far along the pipe they stand. Lengths [mm].

A rod goes the way of the pipe: a plug in the next bay that opens into another drain is no way in. The extension by
which a plug is brought to where a person reaches it is not counted: the joint is where the rod enters.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from stubout.checks.base import LENGTH_TOL_MM, Review
from stubout.checks.facts import FIXTURE_PIPES, incoming, openings_for
from stubout.layout.model import Role
from stubout.network.model import Pipe


def lying(pipe: Pipe) -> bool:
    """Return whether a pipe is a lying drain that is rodded."""
    return not pipe.vertical and pipe.role not in FIXTURE_PIPES and pipe.role != Role.CLEANOUT_EXT


def up_from(on: Review, node_id: str, reach_mm: float, *, plumb: bool = False) -> dict[str, float]:
    """Return the nodes up stream within a length along the pipes, each with how far it is [mm].

    Args:
        on: The design.
        node_id: Where to begin.
        reach_mm: How far to go.
        plumb: Whether only upright pipes are followed, and extensions of cleanouts.
    """
    reached = {node_id: 0.0}
    front = [node_id]
    while front:
        here = front.pop()
        for p in incoming(on.net, on.net.node(here), "drain"):
            extends = p.role is Role.CLEANOUT_EXT
            if plumb and not (p.vertical or extends):
                continue
            far_mm = reached[here] + (0.0 if extends else p.length_mm)
            if far_mm <= reach_mm + LENGTH_TOL_MM and far_mm < reached.get(p.start, math.inf):
                reached[p.start] = far_mm
                front.append(p.start)
    return reached


def down_from(on: Review, pipe: Pipe, reach_mm: float, from_mm: float = 0.0) -> dict[str, float]:
    """Return the nodes down stream within a length along a lying drain, with what opens into them [mm].

    Args:
        on: The design.
        pipe: The drain to begin in.
        reach_mm: How far to go.
        from_mm: Where to begin, from the upper end of that drain.
    """
    out: dict[str, float] = {}
    far_mm = -from_mm
    for p in (pipe, *on.net.downstream(pipe)):
        far_mm += p.length_mm
        if p.vertical or far_mm > reach_mm + LENGTH_TOL_MM:
            break
        for node in up_from(on, p.end, 0.0):
            out.setdefault(node, far_mm)
    return out


def nearest_mm(on: Review, size_in: float, *ways: Mapping[str, float]) -> float | None:
    """Return how far along the pipe the nearest cleanout is that is large enough for a drain of a size, if any is."""
    spots = {n.id for n in openings_for(on, size_in)}
    return min((mm for way in ways for node, mm in way.items() if node in spots), default=None)
