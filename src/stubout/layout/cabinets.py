"""Sinks that drop through the floor of their cabinet: islands, and walls that cannot take a drain. Lengths [mm]."""

from __future__ import annotations

from stubout.house.model import HouseFixture
from stubout.layout.drain_targets import path_from
from stubout.layout.drain_zone import DrainZone
from stubout.layout.methods import island_method
from stubout.layout.model import Place, PointKind, Role, VentMethod
from stubout.layout.route import Path
from stubout.layout.space_shapes import XY, inside
from stubout.layout.stub_limits import box_of
from stubout.layout.vent_loops import returns_in_box
from stubout.layout.work import TrapDraft
from stubout.layout.zone_stacks import with_stack


def cabinet_drop(zone: DrainZone, f: HouseFixture) -> list[int]:
    """Drop through the cabinet floor; the vent is a loop or an air admittance valve, by book and wish."""
    work, board = zone.work, zone.work.board
    need = work.needs[f.tag]
    method = _cabinet_method(zone, f)
    if method is None:
        return []
    xy0 = work.xy(f)
    reach = zone.trap_reach.get(need.arm_in, 100.0)
    arm = max(need.arm_min, 130.0)
    size = max(need.branch_in, 2.0 if method is VentMethod.LOOP else need.branch_in)
    g = work.gauge(size)
    frame = zone.layers[0].frame
    box = box_of(work.house, f)
    ways: list[tuple[bool, float, int, int, XY, Path]] = []  # the way the trap swings that costs least drain
    for ux, uy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
        xy = (xy0[0] + ux * (reach + arm), xy0[1] + uy * (reach + arm))
        if box is not None and not inside(box.box, xy, g.hub_r):
            continue
        if frame is not None and work.cavity.through_frame(frame, xy, g):
            continue
        path, _ = path_from(zone, xy, size, need)
        if path is None:
            continue
        first = next((s for s in path.steps if s.place is not None), None)
        seen = method is VentMethod.LOOP and (
            first is None or not returns_in_box((first.a, first.b), box.box if box else None, g.hub_r)
        )
        ways.append((seen, round(path.cost, 3), ux, uy, xy, path))
    if ways:
        _, _, ux, uy, xy, path = min(ways, key=lambda way: way[:4])
        z_out = (f.outlet_z_mm or f.finished_z_mm + 500) - 50.8
        floor = box.floor_z_mm if box is not None and box.floor_z_mm is not None else f.finished_z_mm
        z_weir = min(z_out, max(floor + 190.0, z_out - 60.0))
        place = Place("cabinet", f.cabinet_id)
        wx = (xy0[0] + ux * reach, xy0[1] + uy * reach)
        weir = board.node(wx, PointKind.TRAP, z_weir, f.tag)
        weir.fixed = True
        take = board.node(xy, PointKind.TAKEOFF, None, f.tag)
        e = board.edge(weir, take, "drain", Role.TRAP_ARM, place, need.arm_in, tag=f.tag, slope=need.slope)
        foot = board.node(xy, PointKind.TURN, None, f.tag)
        board.edge(take, foot, "drain", Role.DRAIN, place, size, tag=f.tag, plumb=True)
        edges, _ = zone.router.draw(
            with_stack(zone, path, max(size, 2.0)),
            foot,
            size_in=size,
            slope=work.demands.slope(size),
            role=Role.BRANCH,
            tag=f.tag,
        )
        work.traps[f.tag] = TrapDraft(need, weir.id, take.id, [e.id], method)
        return [d.id for d in edges]
    why = f" ({zone.last_why})" if zone.last_why else ""
    work.block(
        (f.tag,),
        f"{f.tag}: no place in its cabinet for a drop that reaches the drain{why}",
        "move the cabinet or draw the route by hand",
    )
    return []


def _cabinet_method(zone: DrainZone, f: HouseFixture) -> VentMethod | None:
    """Return how a drop in a cabinet is vented, None with what blocks it or is to be asked."""
    method, why, ask_text = island_method(zone.work.book, zone.work.house.wishes, f, zone.last_why)
    if method is None:
        zone.work.block(
            (f.tag,), why, "permission for an air admittance valve or a loop, or a place within reach of a wall"
        )
    if ask_text is not None:
        zone.work.questions.append(ask_text)
    return method
