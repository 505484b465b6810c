"""Vents led over at another height: straight up first, or over the plates in the attic. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterator

from stubout.fixes.graph import leg_of
from stubout.fixes.model import VENT, Candidate, Case, once
from stubout.fixes.redraw import Anchor, Line, On, Redraw
from stubout.fixes.vents import RISE, height, targets
from stubout.network.model import Pipe

ATTIC_MM = (150.0, 300.0)  # of a vent that lies in an attic above plates and ceiling


def upright_first(case: Case) -> Iterator[Candidate]:
    """Yield vents that leave lying or turn flat too low, led straight up first and over at the height of the tie-in."""
    net = case.net
    for p in case.pipes:
        if p.system != "vent":
            continue
        way = _own_way(case, p)
        if len(way) < 2:
            continue
        start, end = net.node(way[0].start), net.node(way[-1].end)
        far = end.at.minus(start.at).plan_length
        corner = start.at.at_z(end.at.z - far * RISE)
        if corner.z < start.at.z + 60.0:
            continue
        line = Line(
            p.id.rpartition(".")[0] or p.id, "vent", p.size_in, start.id, end.id, (corner,) if far > 1.0 else (), p.tag
        )
        ids = tuple(q.id for q in way)
        told = f"Lead the vent {', '.join(ids)} straight up from its vent fitting and over at {height(case, corner.z)}"
        yield once(Redraw("route", ids, "as drawn", "up first", told, gone=ids, lines=(line,)), cost=VENT / 2 + far)


def over_plates(case: Case) -> Iterator[Candidate]:
    """Yield vents that lie through studs under an attic led straight up through the plates and over there."""
    net, house = case.net, case.design.house
    attics = {v.id: v.ceiling_z_mm for v in house.levels if v.attic_above}
    for p in case.pipes:
        wall = next((w for w in house.walls if w.id == p.place.ref and w.level_id in attics), None)
        if p.system != "vent" or p.vertical or p.place.kind != "wall" or wall is None:
            continue
        way = _own_way(case, p)
        start = net.node(way[0].start)
        ids = tuple(q.id for q in way)
        for above in ATTIC_MM:
            low = max(wall.top_z_mm, attics[wall.level_id] or wall.top_z_mm) + above
            for target, ways, far in targets(case, start.at, low):
                if not ways or (isinstance(target, On) and target.run in ids):
                    continue
                line = Line(leg_of(p.id), "vent", max(q.size_in for q in way), start.id, target, ways, p.tag)
                told = (
                    f"Lead the vent {', '.join(ids)} straight up into the attic and over there into {target_id(target)}"
                )
                edit = Redraw("route", ids, "through studs", "in the attic", told, gone=ids, lines=(line,))
                yield once(edit, cost=VENT + above + far + low - p.a.z)


def target_id(target: Anchor) -> str:
    """Return the pipe or point that a line ends on."""
    return target.run if isinstance(target, On) else str(target)


def _own_way(case: Case, p: Pipe) -> tuple[Pipe, ...]:
    """Return a vent from where it leaves a drain or another vent joins, to where the next one joins."""
    net = case.net
    way = [p]
    while True:
        node = net.node(way[0].start)
        come = [net.pipe(i) for i in node.inflow if net.pipe(i).system == "vent"]
        if len(come) != 1 or len(node.inflow) + len(node.outflow) != 2:
            break
        way.insert(0, come[0])
    while True:
        node = net.node(way[-1].end)
        on = [net.pipe(i) for i in node.outflow if net.pipe(i).system == "vent"]
        if len(on) != 1 or len(node.inflow) + len(node.outflow) != 2:
            break
        way.append(on[0])
    return tuple(way)
