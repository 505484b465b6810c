"""What each run does, judged by geometry alone: arm, branch, stack, building drain, sewer, kinds of vent."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.kinds import FixtureKind
from stubout.layout.flowgraph import Flow, Upstream, chain_down
from stubout.layout.model import Role, TrapPlan, VentMethod
from stubout.layout.places import TOUCH_MM

STOREY_MM = 2000.0  # a vertical pipe through a floor and longer than this passes a storey: a stack


def roles_of(
    house: House, flow: Flow, traps: Mapping[str, TrapPlan], cleanouts: Collection[str] = ()
) -> dict[str, Role]:
    """Return the role of every run.

    Args:
        house: The house, for floors and footprint.
        flow: The runs as a graph.
        traps: Trap plans by tag.
        cleanouts: Points that are access openings.
    """
    up = Upstream(flow)
    roles: dict[str, Role] = {}
    arms: dict[str, str] = {}
    for tag, trap in traps.items():
        for i in trap.arm_runs:
            arms[i] = "" if i in arms else tag  # shared before the take-off: no arm
    stacks = _stacks(house, flow)
    weirs = {t.weir for t in traps.values()}
    closets = {f.tag for f in house.fixtures if f.kind is FixtureKind.WATER_CLOSET}
    soil = {t.weir for t in traps.values() if t.tag in closets}
    for i, run in flow.runs.items():
        if run.system != "drain":
            continue
        if arms.get(i):
            roles[i] = Role.TRAP_ARM
        elif _only_access(flow, up, i, weirs, cleanouts):
            roles[i] = Role.CLEANOUT_EXT
        elif i in stacks:
            roles[i] = Role.STACK
        elif _before_trap(flow, up, i, weirs):
            roles[i] = Role.FIXTURE_DRAIN
        elif flow.vertical(i):
            roles[i] = Role.DRAIN
        else:
            roles[i] = Role.BRANCH
    for i in _building_drain(flow, roles, up, weirs, soil, stacks):
        roles[i] = Role.SEWER if _outside(house, flow.at[flow.runs[i].start]) else Role.BUILDING_DRAIN
    roles.update(_vent_roles(house, flow, traps, stacks, up))
    return roles


def _only_access(flow: Flow, up: Upstream, run_id: str, weirs: Collection[str], cleanouts: Collection[str]) -> bool:
    """Return whether a run carries nothing and leads to an access opening."""
    starts = {flow.runs[j].start for j in up.runs(run_id)}
    return not starts & set(weirs) and bool(starts & set(cleanouts))


def _before_trap(flow: Flow, up: Upstream, run_id: str, weirs: Collection[str]) -> bool:
    """Return whether a run leads to a trap and none lies before it: from an outlet in the floor, in all its pieces."""
    before = {flow.runs[j].start for j in up.runs(run_id)}
    return not before & set(weirs) and bool(set(weirs) & {flow.runs[j].start for j in chain_down(flow, run_id)})


def _stacks(house: House, flow: Flow) -> set[str]:
    """Return the vertical runs that belong to a stack: a vertical line through a floor, at least a storey long."""
    found: set[str] = set()
    for i, run in flow.runs.items():
        if run.system != "drain" or not flow.vertical(i):
            continue
        if any(flow.vertical(j) for j in flow.drains_in.get(run.start, ())):
            continue  # not the top of its line
        line = [i]
        for j in chain_down(flow, i):
            if not flow.vertical(j):
                break
            line.append(j)
        top, foot = flow.at[run.start].z, flow.at[flow.runs[line[-1]].end].z
        floors = [v for v in house.levels if foot + TOUCH_MM < v.subfloor_z_mm < top - TOUCH_MM]
        if floors and top - foot >= STOREY_MM:
            found.update(line)
    return found


def _building_drain(
    flow: Flow, roles: Mapping[str, Role], up: Upstream, weirs: set[str], soil: set[str], stacks: set[str]
) -> list[str]:
    """Return the lowest horizontal piping from the most upstream stack (or main branching) down to the end.

    Walking up from the end of the line, the way from the farthest stack belongs to it, other stacks come in by
    branches; where no way carries a stack, the one with most fixtures upstream, as far as a closet joins: what drains
    only waste into its head is a branch (common practice, no source).
    """
    ends = [
        i
        for i, r in flow.runs.items()
        if r.system == "drain" and not flow.drains_out.get(r.end) and roles[i] is not Role.TRAP_ARM
    ]
    out: list[str] = []
    front = ends
    while front:
        nxt: list[str] = []
        for i in front:
            if roles[i] not in (Role.BRANCH, Role.DRAIN):
                continue
            if i not in out:
                out.append(i)
            come = [j for j in flow.drains_in.get(flow.runs[i].start, ()) if roles[j] in (Role.BRANCH, Role.DRAIN)]
            stacks_here = [j for j in flow.drains_in.get(flow.runs[i].start, ()) if roles[j] is Role.STACK]
            carrying = [j for j in come if up.runs(j) & stacks]
            if carrying:
                nxt.append(max(carrying, key=lambda j: _far_mm(flow, up, j, stacks)))
            elif come and not stacks_here:
                nxt += _main_way(flow, up, i, come, weirs, soil)
        front = [j for j in nxt if not flow.vertical(j) or flow.length_mm(j) < STOREY_MM / 4]
    flat = {flow.runs[i].end for i in out if not flow.vertical(i)}
    return [i for i in out if not flow.vertical(i) or flow.runs[i].start in flat]  # a drop at its head is none of it


def _far_mm(flow: Flow, up: Upstream, run_id: str, stacks: Collection[str]) -> float:
    """Return how far off, along the pipe, the farthest stack stands that a run carries [mm]."""
    ways = [chain_down(flow, k) for k in up.runs(run_id) if k in stacks]
    lying = ([i for i in way[: way.index(run_id) + 1] if i not in stacks] for way in ways)
    return max((sum(map(flow.length_mm, way)) for way in lying), default=0.0)


def _main_way(
    flow: Flow, up: Upstream, run_id: str, come: list[str], weirs: set[str], soil: set[str]
) -> Collection[str]:
    """Return which way the building drain goes on upwards where no stack lies above: at most one."""

    def above(j: str, some: set[str]) -> int:
        return len(some & {flow.runs[k].start for k in up.runs(j)})

    if above(run_id, soil):
        come = [j for j in come if above(j, soil)]
    best = max((above(j, weirs) for j in come), default=0)
    return [j for j in come if above(j, weirs) == best][:1] if best >= 2 else []


def _outside(house: House, p: Vec) -> bool:
    """Return whether a plan position lies outside the framing."""
    lo, hi = house.footprint.lo, house.footprint.hi
    return not (lo.x - TOUCH_MM <= p.x <= hi.x + TOUCH_MM and lo.y - TOUCH_MM <= p.y <= hi.y + TOUCH_MM)


def _vent_roles(
    house: House, flow: Flow, traps: Mapping[str, TrapPlan], stacks: set[str], up: Upstream
) -> dict[str, Role]:
    """Return the roles of the vents: stack vent, header, branch vent, foot vent, else individual or common."""
    looped = {t.tag for t in traps.values() if t.method is VentMethod.LOOP}
    floors = {f.tag: f.finished_z_mm for f in house.fixtures if f.in_island or f.tag in looped}
    loops = [(i, floors[t.tag]) for t in traps.values() if t.tag in floors for i in t.vent_runs]
    # below the floor as a whole: what comes down to it, and what rises from it, are vents like others
    foot = {i for i, floor in loops if max(flow.at[n].z for n in (flow.runs[i].start, flow.runs[i].end)) < floor}
    starts = {t.takeoff for t in traps.values() if t.takeoff and t.vent_runs}
    stack_vents: set[str] = set()
    for i, run in flow.runs.items():
        if run.system == "vent" and flow.vertical(i) and any(j in stacks for j in flow.drains_out.get(run.start, ())):
            stack_vents.add(i)
            for j in chain_down(flow, i):
                if not flow.vertical(j):
                    break
                stack_vents.add(j)
    roles: dict[str, Role] = {}
    for i, run in flow.runs.items():
        if run.system != "vent":
            continue
        served = {flow.runs[j].start for j in up.runs(i)} & starts
        carries_stack = bool(up.runs(i) & stack_vents)
        if i in foot:
            roles[i] = Role.FOOT_VENT
        elif i in stack_vents:
            roles[i] = Role.STACK_VENT
        elif carries_stack and len(served) > 1:
            roles[i] = Role.HEADER
        elif len(served) > 1:
            roles[i] = Role.BRANCH_VENT
        else:
            roles[i] = Role.VENT
    return roles
