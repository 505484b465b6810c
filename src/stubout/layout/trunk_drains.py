"""The building drain of the lowest zone, with the stacks and closets it is drawn from.

Lengths [mm], slopes [m/m], sizes in nominal inches.
"""

from __future__ import annotations

from collections.abc import Sequence

from stubout.house.model import HouseFixture
from stubout.layout.closets import closet_start_cap
from stubout.layout.draft import DStack
from stubout.layout.drain_targets import tree_targets
from stubout.layout.drain_zone import DrainZone
from stubout.layout.jogs import manhattan
from stubout.layout.lattice import Lattice
from stubout.layout.model import Place, PointKind, Role
from stubout.layout.route import Ask, Target
from stubout.layout.space_shapes import XY
from stubout.layout.work import TrapDraft


def draw_trunk(zone: DrainZone, closets: Sequence[HouseFixture]) -> None:
    """Draw the building drain of the lowest zone: the farthest stacks and closets first, the rest onto it."""
    work = zone.work
    board = work.board
    sewer = work.house.sewer
    g = work.gauge(work.trunk_in)
    z_root = sewer.at.z + g.id_mm / 2 + sewer.valve_drop_mm
    root = board.node((sewer.at.x, sewer.at.y), PointKind.SEWER, z_root)
    root.fixed = True
    if work.adopted is not None and work.adopted.root:
        root = board.nodes[work.adopted.root]
    elif work.lift_mm:  # the connection lies so deep that traps would sink with it: drop down to it there
        top = board.node(root.xy, PointKind.TURN, z_root + work.lift_mm)
        top.fixed = True
        buried = Place("buried", zone.level.id)
        board.edge(top, root, "drain", Role.BUILDING_DRAIN, buried, work.trunk_in, plumb=True)
        root, z_root = top, z_root + work.lift_mm
    flow = {"south": 6, "north": 2, "west": 4, "east": 0}[sewer.runs]
    up = (flow + 4) % 8
    blocked = frozenset(k for k in range(8) if min(abs(k - up), 8 - abs(k - up)) > 1)
    layer = work.space.lowest_layer
    rooms = (zone.fits.room("coupling", (g.size_in, g.size_in), "inlet"),) * 8
    first = Target(root.xy, layer.key, z_root, blocked, 0.0, f"n{root.id}", rooms)
    zone.trunk_target = first
    sources: list[tuple[float, str, XY, DStack | HouseFixture]] = []
    sources += [(-10_000.0 - manhattan(s.xy, root.xy), "", s.xy, s) for s in board.stacks if not s.drawn]
    sources += [(-manhattan(work.xy(f), root.xy), f.tag, work.xy(f), f) for f in closets if f.tag not in work.traps]
    if not sources:
        far = list(work.of_level(zone.level))
        far.sort(key=lambda f: -manhattan(work.xy(f), root.xy))
        zone.first_target = first
        return
    sources.sort(key=lambda s: (s[0], s[1]))
    zone.first_target = None
    for _, tag, xy, what in sources:
        lat = zone.router.lattice((xy,))
        targets = [first] if first.ref and not zone.edges() else tree_targets(zone, lat, g.size_in)
        is_first = not zone.edges()
        if isinstance(what, DStack):
            slope = work.trunk_slope
            clear = zone.foot_clear
            path = None
            for least in dict.fromkeys((clear, 0.0)):
                path = path or zone.router.search(
                    Ask(xy, (layer.key,), None, least_length=least, **zone.bends(g.size_in)),
                    g,
                    slope,
                    targets,
                    lat,
                )
            if path is None:
                work.block(
                    (tag or "stack",),
                    f"no way with fall for the building drain from the stack at "
                    f"x {xy[0]:.0f}, y {xy[1]:.0f} to the sewer",
                    "more fall, another stack place, or a flatter slope the book allows",
                )
                continue
            foot = board.nodes[what.foot]
            zone.router.draw(
                path,
                foot,
                size_in=work.trunk_in,
                slope=slope,
                role=Role.BUILDING_DRAIN if is_first else Role.BRANCH,
            )
            what.size_in = max(what.size_in, 3.0)
            foot.kind = PointKind.STACK_FOOT
        else:
            closet_to_drain(zone, what, lat, targets, is_first)


def closet_to_drain(zone: DrainZone, f: HouseFixture, lat: Lattice, targets: list[Target], is_first: bool) -> None:
    """Draw a closet's drain onto the tree; the first of the zone is the building drain itself."""
    work, board = zone.work, zone.work.board
    need = work.needs[f.tag]
    xy = work.xy(f)
    size = work.trunk_in if is_first else need.arm_in
    g = work.gauge(size)
    slope = work.trunk_slope if is_first else max(work.demands.slope(size), work.trunk_slope if size >= 3 else 0)
    cap = closet_start_cap(zone, f)
    path = zone.router.search(
        Ask(xy, zone.start_layers, cap, **zone.bends(g.size_in, zone.fits.closet(g.size_in))),
        g,
        slope,
        targets,
        lat,
    )
    if path is None:
        work.block(
            (f.tag,),
            f"no way with fall from {f.tag} to the building drain in {size:g} in at {slope * 100:.2f} %",
            "move the closet, lower the connection, or allow a flatter slope",
        )
        return
    weir = board.node(xy, PointKind.FLANGE, None, f.tag)
    weir.cap = cap
    edges, _ = zone.router.draw(
        path, weir, size_in=size, slope=slope, role=Role.BUILDING_DRAIN if is_first else Role.BRANCH, tag=f.tag
    )
    trap = TrapDraft(need, weir.id, 0)
    trap.closet_tail = [e.id for e in edges]
    work.traps[f.tag] = trap


def late_closet(zone: DrainZone, f: HouseFixture) -> None:
    """Draw a closet that has no drain yet onto what is there."""
    lat = zone.router.lattice()
    closet_to_drain(zone, f, lat, tree_targets(zone, lat, zone.work.needs[f.tag].arm_in), False)
