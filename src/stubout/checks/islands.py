"""Island loops as they lie: up from the trap arm, down again into the drain, and the foot vent that rises elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stubout.checks.base import Review
from stubout.checks.facts import arms, outgoing
from stubout.house.model import HouseFixture
from stubout.layout.model import Role, VentMethod
from stubout.network.model import Pipe


@dataclass(frozen=True, slots=True)
class Loop:
    """One island loop."""

    fixture: HouseFixture
    weir_z_mm: float
    top: Pipe  # the highest vent before it turns down
    foot: tuple[Pipe, ...]  # lying vents below the floor, from the loop away
    riser: tuple[Pipe, ...]  # vents from the end of the foot vent to the next joint of vents
    drain: tuple[Pipe, ...]  # from the trap arm to the joint of the return
    joint: str  # node where the return joins; "" if it does not


def loops(on: Review) -> Iterator[Loop]:
    """Yield every island loop that has pipes, in the order of the traps."""
    for arm in arms(on):
        if arm.trap.method is not VentMethod.LOOP:
            continue
        vents = _vents(on, arm.pipes[-1].end)
        if not vents:
            continue
        down = next((i for i, v in enumerate(vents) if v.b.z < v.a.z - 1.0), len(vents))
        top = max(vents[: max(down, 1)], key=lambda v: max(v.a.z, v.b.z))
        floor_z = arm.fixture.finished_z_mm
        foot = tuple(v for v in vents[down:] if not v.vertical and max(v.a.z, v.b.z) < floor_z)
        after = vents[vents.index(foot[-1]) + 1 :] if foot else ()
        riser: list[Pipe] = []
        for v in after:
            if len(on.net.node(v.start).inflow) > 1:
                break
            riser.append(v)
        joint = _joint(on, vents)
        drain: list[Pipe] = []
        first = outgoing(on.net, on.net.node(arm.pipes[-1].end), "drain")
        for p in (*first[:1], *(on.net.downstream(first[0]) if first else ())):
            if p.start == joint:
                break
            drain.append(p)
        yield Loop(arm.fixture, arm.trap.weir_z_mm, top, foot, tuple(riser), tuple(drain) if joint else (), joint)


def _vents(on: Review, node: str) -> tuple[Pipe, ...]:
    """Return the vents from a node on to the open air: at a split the way to the air, which comes first."""
    out: list[Pipe] = []
    while nxt := [v for v in outgoing(on.net, on.net.node(node), "vent") if v not in out]:
        nxt.sort(key=lambda v: v.role is not Role.FOOT_VENT)
        out.append(nxt[0])
        node = nxt[0].end
    return tuple(out)


def _joint(on: Review, vents: tuple[Pipe, ...]) -> str:
    """Return where the loop comes down into the drain: the end of a dry drain that goes on from one of its nodes."""
    for v in vents:
        for d in on.net.drains():
            if d.start == v.end and not d.tags:
                return next((p.end for p in reversed((d, *on.net.downstream(d))) if not p.tags), d.end)
        for other in on.net.vents():
            if other.start == v.end and other not in vents and other.b.z < other.a.z:
                return other.end
    return ""
