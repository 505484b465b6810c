"""Fixtures that drain in a wall: the bay, the drop in it, its vent above. Lengths [mm], sizes in nominal inches."""

from __future__ import annotations

import math
from functools import partial

from stubout import units
from stubout.geometry.vec import Vec
from stubout.house.model import HouseFixture
from stubout.kinds import FixtureKind
from stubout.layout.arms import ArmCandidate, arm_candidates, meets_arm
from stubout.layout.common_vent import SHARED_BONUS, draw_shared, invites, shared_fitting
from stubout.layout.drain_targets import path_from, path_square
from stubout.layout.drain_zone import MOST_ARM_TRIES, VENT_WEIGHT, DrainZone
from stubout.layout.jogs import dear
from stubout.layout.model import Place, PointKind, Role, VentMethod, box_question
from stubout.layout.needs import SHARERS, Need
from stubout.layout.route import Path
from stubout.layout.space_shapes import XY
from stubout.layout.stack_arms import draw_stack_arm, stack_arm
from stubout.layout.weights import WEIGHTS
from stubout.layout.wet_vents import vent_wet
from stubout.layout.work import COMMON, TrapDraft, Work, spot_key
from stubout.layout.zone_stacks import straight_down, with_stack
from stubout.problems import Question

WALL_FIXTURES = frozenset(
    {
        FixtureKind.LAVATORY,
        FixtureKind.KITCHEN_SINK,
        FixtureKind.BAR_SINK,
        FixtureKind.SINK,
        FixtureKind.LAUNDRY_TRAY,
        FixtureKind.CLOTHES_WASHER,
        FixtureKind.BIDET,
        FixtureKind.DISHWASHER,
    }
)


def wall_fixture(zone: DrainZone, f: HouseFixture, wet_closet: TrapDraft | None, wet_size: float) -> list[int] | None:
    """Draw a fixture that drains in a wall; return its drain beyond the vent, None if no bay takes it."""
    work = zone.work
    need = work.needs[f.tag]
    reach = zone.trap_reach.get(need.arm_in, 100.0)
    if not work.cavity.allowed(work.house.wall(f.wall_id), "drain"):
        _why(zone, f, [f"no drain wanted in {f.wall_id}"])
        return None
    shared = shared_fitting(work, need, reach) if wet_closet is None and not wet_size else None
    if shared is not None and (f.tag, COMMON) not in work.bans:
        draw_shared(work, need, shared)
        zone.router.shy.pop(f.tag, None)
        return []
    cands, why = arm_candidates(work, need, reach)
    size = max(need.branch_in, wet_size)
    vent_in = max(need.vent_in, wet_closet.need.vent_in if wet_closet is not None else 0.0)
    priced: list[tuple[float, ArmCandidate]] = []
    for cand in cands:
        if (f.tag, spot_key(cand.spot)) in work.bans:
            continue
        problem = drop_problem(zone, f, cand, size) or vent_problem(zone, cand, need)
        out = None if problem else zone.outlook.cost(cand.spot, cand.z_takeoff, vent_in)
        if out is None:
            why.append(problem or f"no way out for its vent from the bay of {cand.spot.wall.id}")
            continue
        invited = f.kind in SHARERS and invites(work, need, cand.spot.wall.id, cand.stub_station, cand.spot.station)
        priced.append((cand.cost + out * VENT_WEIGHT - (SHARED_BONUS if invited else 0.0), cand))
    wanted = work.preferred.get(f.tag)
    priced.sort(key=lambda c: (wanted != spot_key(c[1].spot), round(c[0], 1)))
    best: tuple[float, ArmCandidate, Path, bool] | None = None
    for cost, cand in priced[:MOST_ARM_TRIES]:
        xy = drop_xy(zone, f, cand)
        if best is not None and cost + zone.to_tree(xy) >= best[0] - 0.05:
            continue
        path, wet = path_from(zone, xy, size, need, wet_closet)
        if path is None and not cand.front:
            path = straight_down(zone, xy, max(size, 2.0, need.joins_in))
        if path is None:
            along = units.named(cand.spot.station, work.house.job.units)
            why.append(f"no way with fall from the bay at {along} in {cand.spot.wall.id} to the drain")
            continue
        if path.target.ref.startswith("new") and not cand.front:
            path = straight_down(zone, xy, max(size, 2.0, need.joins_in)) or path
        if best is None or cost + path.cost < best[0] - 0.05:
            best = (cost + path.cost, cand, path, wet)
        if not dear(path) and (wanted == spot_key(cand.spot) or not work.order.short):
            break
    crowded = best is None or dear(best[2]) or best[2].target.cost >= WEIGHTS.short_leg
    up = stack_arm(zone, need, reach) if crowded and wet_closet is None and not wet_size else None
    if up is not None and (best is None or up.cost < best[0]):
        draw_stack_arm(zone, need, up)
        return []
    if best is None:
        _why(zone, f, why)
        return None
    _, cand, path, wet = best
    if not path.target.ref.startswith(("s", "new")):
        return _draw_wall(zone, f, need, cand, path, size, wet_closet if wet else None)
    before, room = zone.snapshot(), work.board.short_of_room()
    drawn = _draw_wall(zone, f, need, cand, path, size, wet_closet if wet else None)
    now = work.board.short_of_room()
    if now <= room:
        return drawn
    # its joint finds no room on the stack: rather into another drain that goes there, or square into a side inlet
    kept = zone.snapshot()
    zone.restore(before)
    at = drop_xy(zone, f, cand)
    for way in (
        partial(path_from, zone, at, size, need, stacks=False),
        partial(path_square, zone, at, size, need),
    ):
        found = way()
        other = found[0] if isinstance(found, tuple) else found
        if other is None or other.cost >= path.cost + WEIGHTS.short_leg * 2:
            continue
        again = _draw_wall(zone, f, need, cand, other, size, None)
        if work.board.short_of_room() < now:
            return again
        zone.restore(before)
    zone.restore(kept)
    return drawn


def _why(zone: DrainZone, f: HouseFixture, why: list[str]) -> None:
    """Keep why no bay takes a fixture; blocked by that unless it may still drop through a cabinet."""
    zone.last_why = "; ".join(dict.fromkeys(why)) or "no bay"
    if not (f.cabinet_id or f.kind in (FixtureKind.KITCHEN_SINK, FixtureKind.SINK, FixtureKind.BAR_SINK)):
        zone.work.block(
            (f.tag,),
            f"{f.tag}: no bay takes its drain and vent: {zone.last_why}",
            "move the fixture or the stud, furr the wall, or draw the route by hand",
        )


def drop_xy(zone: DrainZone, f: HouseFixture, cand: ArmCandidate) -> XY:
    """Return where the drop comes down in plan: in the wall, or in a box before it."""
    if not cand.front:
        return cand.spot.xy
    p = cand.spot.wall.point(cand.spot.station, 0.0, cand.front if f.side == "left" else -cand.front)
    return (p.x, p.y)


def drop_problem(zone: DrainZone, f: HouseFixture, cand: ArmCandidate, size: float) -> str:
    """Return why a drain cannot come down at a place in a wall, "" if it can."""
    work = zone.work
    w = cand.spot.wall
    g = work.gauge(size)
    if not cand.front:
        if meets_arm(work, w, cand.spot.station, cand.spot.station, cand.z_takeoff, g):
            return f"the arm of another fixture lies in the bay of {w.id}"
        why = work.cavity.clear(w, cand.spot.station, w.bottom_z_mm, cand.z_takeoff, g, cand.spot.offset)
        if why:
            return why
        if not work.cavity.fits_depth(w, g):
            return f"the hub of a {size:g} in drain is wider than {w.id}"
    frame = zone.layers[0].frame
    if frame is not None:
        return work.cavity.through_frame(frame, drop_xy(zone, f, cand), g)
    return ""


def vent_problem(zone: DrainZone, cand: ArmCandidate, need: Need) -> str:
    """Return why a vent cannot leave the vent fitting upwards, "" if it can reach above the flood rim."""
    work = zone.work
    g = work.gauge(need.vent_in)
    rim = need.fixture.flood_rim_z_mm or cand.z_takeoff + 500
    w = cand.spot.wall
    if not work.cavity.allowed(w, "vent"):
        return f"no vent wanted in {w.id}"
    if w.knee and w.top_z_mm < rim + 200:
        return f"{w.id} ends below the height where a vent may turn"
    if work.cavity.shut_in(w, cand.spot.station, g, work.risers):
        return f"a stack shuts the bay in {w.id} off from every way out for its vent"
    top = w.top_at(cand.spot.station)
    return work.cavity.clear(w, cand.spot.station, cand.z_takeoff, min(rim + 250, top), g, cand.spot.offset)


def _draw_wall(
    zone: DrainZone,
    f: HouseFixture,
    need: Need,
    cand: ArmCandidate,
    path: Path,
    size: float,
    wet: TrapDraft | None,
) -> list[int]:
    """Draw the trap arm, the drop with its vent fitting and the drain on; return the ids of the last."""
    work, board = zone.work, zone.work.board
    w = cand.spot.wall
    place = Place("wall", w.id, cand.spot.bay.index)
    side = 1.0 if f.side == "left" else -1.0
    home = work.house.wall(f.wall_id)
    front = home.point(cand.stub_station, 0, side * cand.trap_out)
    weir = board.node((front.x, front.y), PointKind.TRAP, cand.z_weir, f.tag)
    drop = drop_xy(zone, f, cand)
    if cand.front:
        place = Place("room", f.room_id)
        deep_mm = cand.front - w.depth_mm / 2 + _half_hub(work, size)
        work.questions.append(
            Question(
                box_question(f.tag),
                f"Nothing can go down inside {w.id} below {f.tag}: may its drain drop in a box "
                f"{units.both(deep_mm, work.house.job.units)} deep in front of the wall?",
                "builder",
                f"rough-in of {f.tag}",
                "a boxed drop in front of the wall",
                (f.tag, w.id),
                f.line,
            )
        )
    take = board.node(drop, PointKind.TAKEOFF, cand.z_takeoff, f.tag)
    weir.fixed = True
    trap = TrapDraft(need, weir.id, take.id, method=VentMethod.INDIVIDUAL, spot=cand.spot)
    trap.stub_station = None if f.kind is FixtureKind.CLOTHES_WASHER else cand.stub_station
    trap.stub_z = cand.z_stub
    at = weir
    if f.kind is not FixtureKind.CLOTHES_WASHER:
        board.nodes[weir.id].note = f"stub-out at station {cand.stub_station:.1f}"
    if not cand.front and cand.trap_out > 1 and (cand.corner or abs(cand.stub_station - cand.spot.station) > 1):
        p = home.point(cand.stub_station, 0, 0.0 if cand.corner else cand.spot.offset)
        mid = board.node((p.x, p.y), PointKind.TURN, None, f.tag)
        trap.arm.append(board.edge(at, mid, "drain", Role.TRAP_ARM, place, need.arm_in, tag=f.tag, slope=need.slope).id)
        at = mid
    for xy in cand.corner:
        if math.hypot(at.xy[0] - xy[0], at.xy[1] - xy[1]) > 1:
            mid = board.node(xy, PointKind.TURN, None, f.tag)
            home_place = Place("wall", home.id)
            trap.arm.append(
                board.edge(at, mid, "drain", Role.TRAP_ARM, home_place, need.arm_in, tag=f.tag, slope=need.slope).id
            )
            at = mid
    if math.hypot(at.xy[0] - take.xy[0], at.xy[1] - take.xy[1]) > 1:
        trap.arm.append(
            board.edge(at, take, "drain", Role.TRAP_ARM, place, need.arm_in, tag=f.tag, slope=need.slope).id
        )
    foot = board.node(drop, PointKind.TURN, None, f.tag)
    board.edge(take, foot, "drain", Role.DRAIN, place, size, tag=f.tag, plumb=True)
    if not path.steps:  # straight down onto the tree cannot be: a target is never plumb under a wall bay
        board.nodes[foot.id].kind = PointKind.JUNCTION
    trap.dear = dear(path) and not zone.lowest  # in the ground there is room to ease it
    path = with_stack(zone, path, max(size, 2.0, need.joins_in))
    edges, joint = zone.router.draw(
        path, foot, size_in=size, slope=work.demands.slope(size), role=Role.BRANCH, tag=f.tag
    )
    work.traps[f.tag] = trap
    zone.router.shy.pop(f.tag, None)
    for i in trap.arm:  # other pipes that rise in this wall keep clear of the arm
        a, b = board.nodes[board.edges[i].up].xy, board.nodes[board.edges[i].down].xy
        work.cavity.pipes.append((Vec(*a, cand.z_takeoff), Vec(*b, cand.z_takeoff), work.gauge(need.arm_in).r))
    work.risers.append((cand.spot, work.gauge(size).hub_mm))
    if wet is not None:
        vent_wet(zone, wet, joint)
    return [e.id for e in edges]


def _half_hub(work: Work, size: float) -> float:
    """Return half a hub with room for the box around it [mm]."""
    return work.gauge(size).hub_r + 15.0
