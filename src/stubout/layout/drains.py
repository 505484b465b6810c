"""Drains level by level: closets and stacks first, then the baths around them, then the rest. Lengths [mm]."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import partial
from typing import Any, TypedDict

from stubout.geometry.vec import Vec
from stubout.house.model import FixtureKind, HouseFixture, HouseLevel
from stubout.layout.adopt import point_targets, zone_of
from stubout.layout.adopt_vents import vent_at_drawn_point
from stubout.layout.arms import ArmCandidate, arm_candidates
from stubout.layout.cavity import Spot
from stubout.layout.common_vent import SHARED_BONUS, SHARERS, draw_shared, invites, shared_fitting
from stubout.layout.draft import DEdge, DNode, DStack
from stubout.layout.methods import island_method
from stubout.layout.model import Place, PointKind, Role, VentMethod
from stubout.layout.needs import Need
from stubout.layout.outlook import Outlook
from stubout.layout.route import JOG_MM, Ask, Lattice, Part, Path, Post, Target, direction_index, turn_between
from stubout.layout.space import XY, Gauge, Layer, crossing_station
from stubout.layout.stacks import StackSpot, stack_spots
from stubout.layout.trunk import ZoneRouter
from stubout.layout.weights import WEIGHTS
from stubout.layout.work import BY_WET, COMMON, STACK, TrapDraft, Work, spot_key, stack_key
from stubout.problems import NotInBook, Question
from stubout.rulebooks import queries as ask

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
MOST_ARM_TRIES = 6
MOST_WALL_TRIES = 4  # of them in one wall
MOST_WET_IN = 2.0  # a bath whose wet vent needs more is vented another way: nobody runs a lavatory in 3 in
MOST_STACK_SPOTS = 10
MOST_STEPS = 60  # pipes between a trap and its stack: more would be going round in a ring
SHY_HALF_MM = 300.0  # so far to either side of a fixture its drop may want to come down
VENT_WEIGHT = 0.5  # the way out of a vent is shared with others that tie into it
MOST_SWING_MM = 55.0  # a floor trap is swung no further into line with its arm; common practice, no source
OUT_OF_REACH = "no arm within reach"
UNVENTED_COST = 6_000.0  # a closet that its stack does not vent still needs a vent of its own
MAIN_VENT_COST = 12_000.0  # no stack can carry the one full-size vent the book asks for
TRAP_ASIDE_MM = 600.0  # a trap may stand so far from its floor outlet; the outlet pipe's own limit is the book's


class LevelDrains:
    """Draws the drains of one level's floor zone."""

    def __init__(self, work: Work, level: HouseLevel, trap_reach: dict[float, float]) -> None:
        self.work, self.level, self.trap_reach = work, level, trap_reach
        self.fits = work.board.fits
        self.outlook = Outlook(work)
        layers = work.space.floor_layers(level)
        self.layers: tuple[Layer, ...] = layers
        self.router = ZoneRouter(work.space, work.board, layers, work.demands.gauges)
        work.routers[level.id] = self.router
        zone_of(work, level.id, self.router)
        self.lowest = any(layer.lowest for layer in layers)
        self.start_layers = tuple(layer.key for layer in layers)
        self.spots: list[StackSpot] = []
        try:
            self.foot_clear = ask.stack_foot_clear(work.book, 3.0).number
        except NotInBook:
            self.foot_clear = 0.0
        main = ask.building_vent_least(work.book, work.trunk_in)
        self.main_vent_in = main.number if main is not None else 0.0
        self.tree: list[int] = []  # horizontal edge ids of this zone

    def _bends(self, size_in: float, start: float | None = None) -> Room:
        """Return the room bends of a size take; at the asked position that of a long turn, if nothing else is said."""
        fits = self.fits
        return Room(
            swivel=True,
            half_45=fits.eighth(size_in),
            half_90=fits.sweep(size_in),
            half_start=fits.sweep(size_in) if start is None else start,
            drop=fits.drop(size_in),
        )

    # --- targets ----------------------------------------------------------------------------------------------

    def _edges(self, ids: Iterable[int] | None = None) -> list[DEdge]:
        board = self.work.board
        if ids is None:
            return [
                e
                for e in board.edges.values()
                if e.id in self.router.edge_layer and e.system == "drain" and not e.apart
            ]
        return [board.edges[i] for i in ids if i in board.edges]

    def _stack_targets(self, new: bool, size_in: float) -> list[Target]:
        out: list[Target] = []
        board = self.work.board
        for i, s in enumerate(board.stacks):
            if not self._passes(s):
                continue
            rooms = (self.fits.tee(s.size_in, size_in),) * 8
            out += [Target(s.xy, layer.key, None, frozenset(), 0.0, f"s{i}", rooms) for layer in self.layers]
        if new:
            for spot in self.spots:
                if any(_near(spot.xy, s.xy, 200) for s in board.stacks):
                    continue
                cost = WEIGHTS.new_stack + (0.0 if spot.vent_in > 0 else 3000.0)
                rooms = (self.fits.tee(3.0, size_in),) * 8
                out += [
                    Target(spot.xy, layer.key, None, frozenset(), cost, f"new{self.spots.index(spot)}", rooms)
                    for layer in self.layers
                ]
        return out

    def _passes(self, s: DStack) -> bool:
        frame = self.layers[0].frame
        if frame is None:
            return False
        return any(
            lo - 1 <= frame.bottom_z_mm <= hi + 1 or lo - 1 <= frame.bottom_z_mm - 50 <= hi + 1
            for lo, hi, _ in s.places
        )

    def _wet_edges(self, group: str) -> set[int]:
        """Return the drains that vent another bath: nothing from outside that bath may join them."""
        board = self.work.board
        out: set[int] = set()
        traps = self.work.traps.values()
        ends = {t.takeoff for t in traps if t.method is VentMethod.WET}
        for t in traps:
            if t.method is not VentMethod.INDIVIDUAL or t.need.fixture.group in ("", group):
                continue
            at, run, last = t.takeoff, [], 0
            for _ in range(40):
                nxt = board.out(at)
                if not nxt:
                    break
                run.append(nxt[0].id)
                at = nxt[0].down
                if at in ends:
                    last = len(run)
            out |= set(run[:last])
        return out

    def _tree_targets(self, lat: Lattice, size_in: float, group: str = "") -> list[Target]:
        wet = self._wet_edges(group)
        edges = [e for e in self._edges() if e.role is not Role.TRAP_ARM and e.id not in wet]
        out = self.router.targets(lat, edges, size_in=size_in)
        out += point_targets(self.work, self._edges(), self.router.edge_layer)
        if self.lowest:
            out = [t for t in out if not self._near_foot(t)]
        else:
            out += self._stack_targets(False, size_in)
        return out

    def _near_foot(self, t: Target) -> bool:
        return any(
            _near(t.xy, s.xy, self.foot_clear) and not _near(t.xy, s.xy, 0.0)
            for s in self.work.board.stacks
            if self.work.board.nodes[s.foot].z is not None and t.z is not None and self._downstream_of(t, s)
        )

    def _downstream_of(self, t: Target, s: DStack) -> bool:
        board = self.work.board
        at = s.foot
        walked = 0.0
        for _ in range(50):
            outs = board.out(at)
            if not outs or walked > self.foot_clear + 100.0:
                return False
            e = outs[0]
            if t.ref == f"e{e.id}":
                a = board.nodes[e.up].xy
                return walked + math.hypot(t.xy[0] - a[0], t.xy[1] - a[1]) < self.foot_clear
            walked += board.plan(e)
            at = e.down
        return False

    # --- zones ------------------------------------------------------------------------------------------------

    def run(self) -> None:
        """Draw everything this level drains."""
        fixtures = self.work.of_level(self.level)
        if not fixtures and not (self.lowest and self.work.board.stacks):
            return
        if not self.layers:
            if fixtures:
                self.work.block(
                    tuple(f.tag for f in fixtures),
                    f"level {self.level.id} has no floor frame or slab to drain into",
                    "describe the frame under it in the job file",
                )
            return
        for f in fixtures:
            self.router.keys.add(self.work.xy(f))
            if f.kind in WALL_FIXTURES and f.wall_id and not f.in_island and f.tag not in self.work.traps:
                w, s = self.work.house.wall(f.wall_id), f.station_mm or 0.0
                ends = [w.point(min(max(v, 0.0), w.length_mm), 0.0) for v in (s - SHY_HALF_MM, s + SHY_HALF_MM)]
                self.router.shy[f.tag] = ((ends[0].x, ends[0].y), (ends[1].x, ends[1].y))
            if f.floor_outlet:
                size = self.work.needs[f.tag].arm_in
                self.router.planned.append(Post(self.work.xy(f), None, self.work.gauge(size).r))
                closet = f.kind is FixtureKind.WATER_CLOSET
                for aside, _ in self._trap_places(f, self.work.gauge(size), closet)[1:]:
                    self.router.planned.append(Post(aside, None, self.work.gauge(size).r))
        for stack in self.work.board.stacks:
            self.router.keys.add(stack.xy)
        closets = [f for f in fixtures if f.kind is FixtureKind.WATER_CLOSET]
        if self.lowest:
            self._trunk(closets)
        else:
            self._find_spots(fixtures, closets)
            self._closets_to_stacks([c for c in closets if c.tag not in self.work.traps])
        done = set(self.work.traps)
        groups: dict[str, list[HouseFixture]] = {}
        for f in fixtures:
            if f.tag not in done and f.group:
                groups.setdefault(f.group, []).append(f)
        for members in groups.values():
            self._bath(members)
        for f in fixtures:
            if f.tag not in self.work.traps:
                self._single(f)

    def _find_spots(self, fixtures: Sequence[HouseFixture], closets: Sequence[HouseFixture]) -> None:
        work = self.work
        size = 3.0 if closets else 2.0
        anchors = [work.xy(f) for f in (closets or fixtures)]
        spots = list(stack_spots(work, self.level, work.gauge(size), (3.0, 2.0, 1.5), anchors))
        spots = [s for s in spots if (STACK, stack_key(s.xy)) not in work.bans]
        anchors = [work.xy(f) for f in (closets or fixtures)]
        spots.sort(
            key=lambda s: (
                -s.vent_in if self.main_vent_in else -min(s.vent_in, 2.0),
                min(_manhattan(s.xy, a) for a in anchors),
                s.xy,
            )
        )
        near = sorted(spots, key=lambda s: (min(_manhattan(s.xy, a) for a in anchors), s.xy))
        self.spots = list(dict.fromkeys([*spots[: MOST_STACK_SPOTS // 2], *near]))[:MOST_STACK_SPOTS]
        for s in self.spots:
            self.router.keys.add(s.xy)

    # --- the trunk of the lowest zone -------------------------------------------------------------------------

    def _trunk(self, closets: Sequence[HouseFixture]) -> None:
        work = self.work
        board = work.board
        sewer = work.house.sewer
        g = work.gauge(work.trunk_in)
        z_root = sewer.at.z + g.id_mm / 2 + sewer.valve_drop_mm
        root = board.node((sewer.at.x, sewer.at.y), PointKind.SEWER, z_root)
        root.fixed = True
        if work.adopted is not None and work.adopted.root:
            root = board.nodes[work.adopted.root]
        flow = {"south": 6, "north": 2, "west": 4, "east": 0}[sewer.runs]
        up = (flow + 4) % 8
        blocked = frozenset(k for k in range(8) if min(abs(k - up), 8 - abs(k - up)) > 1)
        layer = work.space.lowest_layer
        rooms = (self.fits.room("coupling", (g.size_in, g.size_in), "inlet"),) * 8
        first = Target(root.xy, layer.key, z_root, blocked, 0.0, f"n{root.id}", rooms)
        sources: list[tuple[float, str, XY, DStack | HouseFixture]] = []
        sources += [(-10_000.0 - _manhattan(s.xy, root.xy), "", s.xy, s) for s in board.stacks if not s.drawn]
        sources += [
            (-_manhattan(work.xy(f), root.xy), f.tag, work.xy(f), f) for f in closets if f.tag not in work.traps
        ]
        if not sources:
            far = list(work.of_level(self.level))
            far.sort(key=lambda f: -_manhattan(work.xy(f), root.xy))
            self.first_target = first
            return
        sources.sort(key=lambda s: (s[0], s[1]))
        self.first_target = None
        for _, tag, xy, what in sources:
            lat = self.router.lattice((xy,))
            targets = [first] if first.ref and not self._edges() else self._tree_targets(lat, g.size_in)
            is_first = not self._edges()
            if isinstance(what, DStack):
                slope = work.trunk_slope
                clear = self.foot_clear
                path = None
                for least in dict.fromkeys((clear, 0.0)):
                    path = path or self.router.search(
                        Ask(xy, (layer.key,), None, least_length=least, **self._bends(g.size_in)),
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
                edges, _ = self.router.draw(
                    path,
                    foot,
                    size_in=work.trunk_in,
                    slope=slope,
                    role=Role.BUILDING_DRAIN if is_first else Role.BRANCH,
                )
                what.size_in = max(what.size_in, 3.0)
                foot.kind = PointKind.STACK_FOOT
                self.tree += [e.id for e in edges]
            else:
                self._closet_lowest(what, lat, targets, is_first)

    def _closet_start_cap(self, f: HouseFixture) -> float:
        g = self.work.gauge(3.0)
        return f.finished_z_mm - 40.0 - g.hub_mm - g.r * 0.2

    def _closet_lowest(self, f: HouseFixture, lat: Lattice, targets: list[Target], is_first: bool) -> None:
        work, board = self.work, self.work.board
        need = work.needs[f.tag]
        xy = work.xy(f)
        size = work.trunk_in if is_first else need.arm_in
        g = work.gauge(size)
        slope = work.trunk_slope if is_first else max(work.demands.slope(size), work.trunk_slope if size >= 3 else 0)
        cap = self._closet_start_cap(f)
        path = self.router.search(
            Ask(xy, self.start_layers, cap, **self._bends(g.size_in, self.fits.closet(g.size_in))),
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
        edges, _ = self.router.draw(
            path, weir, size_in=size, slope=slope, role=Role.BUILDING_DRAIN if is_first else Role.BRANCH, tag=f.tag
        )
        trap = TrapDraft(need, weir.id, 0)
        trap.closet_tail = [e.id for e in edges]
        work.traps[f.tag] = trap
        self.tree += [e.id for e in edges]

    # --- closets over stacks ----------------------------------------------------------------------------------

    def _closets_to_stacks(self, closets: Sequence[HouseFixture]) -> None:
        if not closets:
            return
        orders = list(itertools.permutations(closets)) if len(closets) <= 3 else [tuple(closets)]
        self._best_of([partial(self._closets_in_order, order, main) for order in orders for main in (True, False)])

    def _closets_in_order(self, order: Sequence[HouseFixture], main_first: bool) -> float:
        spots = self.spots
        cost = 0.0
        for i, f in enumerate(order):
            self.spots = [s for s in spots if s.vent_in >= self.main_vent_in] if main_first and i == 0 else spots
            cost += self._closet_to_stack(f)
        self.spots = spots
        if self.main_vent_in and not any(s.vent_in >= self.main_vent_in for s in self.work.board.stacks):
            cost += MAIN_VENT_COST
        return cost

    # --- trying -----------------------------------------------------------------------------------------------

    def _snap(self) -> tuple[Any, ...]:
        w = self.work
        return (
            w.board.mark(),
            {
                k: replace(t, arm=list(t.arm), wet=list(t.wet), closet_tail=list(t.closet_tail))
                for k, t in w.traps.items()
            },
            list(w.blocked),
            list(w.questions),
            list(w.notes),
            list(w.risers),
            dict(self.router.edge_layer),
            list(self.tree),
            list(self.router.planned),
            set(self.router.keys),
            list(w.cavity.pipes),
            dict(self.router.shy),
        )

    def _back(self, snap: tuple[Any, ...]) -> None:
        w = self.work
        w.board.undo(snap[0])
        w.traps = {
            k: replace(t, arm=list(t.arm), wet=list(t.wet), closet_tail=list(t.closet_tail)) for k, t in snap[1].items()
        }
        w.blocked[:], w.questions[:], w.notes[:], w.risers[:] = snap[2], snap[3], snap[4], snap[5]
        self.router.edge_layer = dict(snap[6])
        self.tree = list(snap[7])
        self.router.planned[:] = snap[8]
        self.router.keys = set(snap[9])
        w.cavity.pipes[:] = snap[10]
        self.router.shy = dict(snap[11])

    def _best_of(self, ways: Sequence[Callable[[], float]]) -> None:
        """Try several ways of drawing the same thing and keep the one that blocks least and then costs least."""
        if len(ways) == 1:
            ways[0]()
            return
        before = self._snap()
        best: tuple[tuple[float, float, float], tuple[Any, ...]] | None = None
        for way in ways:
            base = len(self.work.blocked)
            n_questions = len(self.work.questions)
            cost = way()
            short, tight = self.work.board.short_of_room()
            rank = (
                float(len(self.work.blocked) - base) + 1.5 * short,
                float(len(self.work.questions) - n_questions),
                round(cost + tight * WEIGHTS.short_leg, 1),
            )
            if best is None or rank < best[0]:
                best = (rank, self._snap())
            self._back(before)
        assert best is not None
        self._back(best[1])

    def _weight(self) -> float:
        """Return what stands on the board so far: pipe and bends, for comparing two ways."""
        board = self.work.board
        return sum(board.plan(e) + 150.0 for e in board.edges.values())

    def _closet_to_stack(self, f: HouseFixture) -> float:
        work, board = self.work, self.work.board
        need = work.needs[f.tag]
        g = work.gauge(need.arm_in)
        xy = self._flange_xy(f, g)
        if xy is None:
            work.block(
                (f.tag,),
                f"a joist stands under the flange of {f.tag} and it may move {f.may_move_mm:.0f} mm only",
                "move the closet, or head off the joist with the builder",
            )
            return 1.0e6
        self.router.keys.add(xy)
        lat = self.router.lattice(self._corners(xy))
        slope = work.demands.slope(need.arm_in)
        for reach in (need.arm_max, None):
            targets = self._stack_targets(True, need.arm_in)
            path = self.router.search(
                Ask(
                    xy,
                    self.start_layers,
                    None,
                    max_length=reach,
                    **self._bends(need.arm_in, self.fits.closet(need.arm_in)),
                ),
                g,
                slope,
                targets,
                lat,
            )
            if path is not None:
                break
        if path is None:
            work.block(
                (f.tag,),
                f"no stack can be reached from {f.tag}: a {need.arm_in:g} in pipe cannot cross the joists and no "
                "space below them is free",
                "a dropped ceiling, a soffit, or a stack in the closet's own joist bay",
            )
            return 1.0e6
        node = board.node(xy, PointKind.FLANGE, None, f.tag)
        node.cap = self._closet_start_cap(f)
        path = self._with_stack(path, need.arm_in)
        within = reach is not None
        role = Role.TRAP_ARM if within else Role.BRANCH
        edges, joint = self.router.draw(path, node, size_in=need.arm_in, slope=slope, role=role, tag=f.tag)
        trap = TrapDraft(need, node.id, joint.id if within else 0)
        stack = board.stacks[joint.stack] if joint.stack >= 0 else None
        if within and stack is not None and stack.vent_ok and self._airs(stack):
            trap.method = VentMethod.STACK
            trap.arm = [e.id for e in edges]
        else:
            trap.takeoff = 0
            for e in edges:
                e.role = Role.BRANCH
        trap.closet_tail = [e.id for e in edges]
        work.traps[f.tag] = trap
        self.tree += [e.id for e in edges]
        return path.cost + (0.0 if trap.method is VentMethod.STACK else UNVENTED_COST)

    def _corners(self, xy: XY) -> list[XY]:
        """Return the plan points where a 45 degree jog from a place to a stack would start and end."""
        out: list[XY] = []
        for p in [*(s.xy for s in self.spots), *(s.xy for s in self.work.board.stacks)]:
            if abs(p[0] - xy[0]) + abs(p[1] - xy[1]) < 6000.0:
                out += _jog(
                    xy,
                    p,
                    self.fits.closet(3.0) + self.fits.eighth(3.0) + 5.0,
                    self.fits.eighth(3.0) + self.fits.sweep(3.0),
                )
        return out

    def _with_stack(self, path: Path, size_in: float) -> Path:
        """Make the stack a path ends at, if it is a new one."""
        ref = path.target.ref
        if not ref.startswith("new"):
            return path
        work, board = self.work, self.work.board
        spot = self.spots[int(ref[3:])]
        foot = board.node(spot.xy, PointKind.STACK_FOOT)
        stack = DStack(
            spot.xy, foot.id, size_in, self.level.id, spot.pieces, vent_ok=spot.vent_in > 0, vent_in=spot.vent_in
        )
        board.stacks.append(stack)
        g = work.gauge(size_in)
        wall = work.house.wall(spot.wall_id)
        bay = next((b for b in wall.bays if b.lo_mm <= wall.station(_vec(spot.xy)) <= b.hi_mm), wall.bays[0])
        work.risers.append((Spot(wall, bay, wall.station(_vec(spot.xy)), wall.offset(_vec(spot.xy))), g.hub_mm))
        if spot.above is not None:
            work.risers.append((spot.above, work.gauge(min(3.0, spot.vent_in)).hub_mm))
        for router in work.routers.values():
            router.keys.add(spot.xy)
        t = path.target
        return Path(
            path.steps,
            path.cost,
            path.length,
            Target(t.xy, t.layer, t.z, t.blocked, t.cost, f"s{len(board.stacks) - 1}"),
            path.turn_deg,
        )

    def _flange_xy(self, f: HouseFixture, g: Gauge) -> XY | None:
        """Return the flange's place, moved as far as it may where a joist stands under it."""
        xy = self.work.xy(f)
        frame = self.layers[0].frame
        if frame is None or self.work.space.bay_of(frame, xy, g) is not None:
            return xy
        step = 1.0
        moved = step
        while moved <= f.may_move_mm:
            for dx, dy in ((moved, 0.0), (-moved, 0.0), (0.0, moved), (0.0, -moved)):
                p = (xy[0] + dx, xy[1] + dy)
                if self.work.space.bay_of(frame, p, g) is not None:
                    self.work.notes.append(
                        f"{f.tag}: flange moved {moved:.0f} mm to x {p[0]:.0f}, y {p[1]:.0f} to clear the joist "
                        f"with its hub; the closet may move {f.may_move_mm:.0f} mm"
                    )
                    return p
            moved += step
        return None

    # --- baths ------------------------------------------------------------------------------------------------

    def _bath(self, members: Sequence[HouseFixture]) -> None:
        wet_ok = "wet" not in self.work.house.wishes.methods_not_wanted
        lavs = [f for f in members if f.kind is FixtureKind.LAVATORY]
        wets = [f for f in members if f.kind in (FixtureKind.SHOWER, FixtureKind.BATHTUB)]
        ways: list[Callable[[], float]] = []
        if wet_ok and lavs and wets:
            open_closets = (True, False) if self._wettable(members) else (False,)
            ways += [
                partial(self._bath_spine, members, first, wet)
                for first in wets
                for wet in open_closets
                if self._wet_size((lavs[0], first)) <= MOST_WET_IN
            ]
        if wet_ok and lavs:
            ways.append(partial(self._bath_lavatory_first, members, True))
        if wet_ok and lavs and wets:
            for order in itertools.islice(itertools.permutations(wets), 2):
                ways.append(partial(self._bath_lavatory_first, [*order, *members], True, True))
        ways.append(partial(self._bath_lavatory_first, members, False))
        if len(wets) > 1:
            ways += [partial(self._bath_floor_first, members, tuple(order)) for order in itertools.permutations(wets)][
                :4
            ]
        self._best_of(ways)

    def _open_closets(self, members: Sequence[HouseFixture]) -> list[TrapDraft]:
        return [
            t
            for t in self.work.traps.values()
            if t.need.closet
            and t.need.fixture.group == members[0].group
            and t.method is VentMethod.NONE
            and not t.drawn
        ]

    def _wettable(self, members: Sequence[HouseFixture]) -> list[TrapDraft]:
        """Return the closets of a bath that may yet be vented through another's drain."""
        return [t for t in self._open_closets(members) if (t.tag, BY_WET) not in self.work.bans]

    def _bath_lavatory_first(self, members: Sequence[HouseFixture], wet_ok: bool, collect: bool = False) -> float:
        """Draw the lavatories first: onto the closet's drain near enough to vent it, where that can be.

        With `collect` the first lavatory's drain is laid large enough to vent the tubs and showers along its way.
        """
        lavs = [f for f in members if f.kind is FixtureKind.LAVATORY]
        closets = self._wettable(members)
        wets = [f for f in members if f.kind in (FixtureKind.SHOWER, FixtureKind.BATHTUB)]
        first: HouseFixture | None = None
        for lav in lavs:
            want = closets[0] if closets and wet_ok else None
            size = self._wet_size((lav,)) if want is not None else 0.0
            if collect and first is None:
                size = max(size, min(MOST_WET_IN, self._wet_size((lav, *wets))))
            tail = self._single(lav, wet_closet=want, wet_size=size)
            if tail and first is None:
                first = lav
            if want is not None and want.method is VentMethod.WET:
                closets = closets[1:]
        for f in members:
            if f.kind is not FixtureKind.LAVATORY:
                self._single(f, wet_from=first if wet_ok else None)
        for t in self._open_closets(members):
            self._closet_own_vent(t)
        return self._weight()

    def _bath_floor_first(self, members: Sequence[HouseFixture], wets: Sequence[HouseFixture]) -> float:
        """Draw the tubs and showers first, whose arms have the least choice, then what drops down a wall."""
        for f in (*wets, *members):
            self._single(f)
        for t in self._open_closets(members):
            self._closet_own_vent(t)
        return self._weight()

    def _bath_spine(self, members: Sequence[HouseFixture], first: HouseFixture, closet_wet: bool) -> float:
        """Draw a tub's or shower's drain first, let the lavatory join it within the trap arm, the closet after both."""
        lavs = [f for f in members if f.kind is FixtureKind.LAVATORY]
        closets = self._wettable(members)
        lav = lavs[0]
        size = max(self._wet_size((lav, first)), self.work.needs[first.tag].arm_in)
        closet = closets[0] if closets and closet_wet else None
        before = self._snap()
        if not self._spine(first, closet, lav, size):
            self._back(before)
            self._single(first)
        for f in (*lavs, *members):
            if f.kind is not FixtureKind.WATER_CLOSET:
                self._single(f)
        for t in self._open_closets(members):
            self._closet_own_vent(t)
        return self._weight()

    def _spine(self, f: HouseFixture, closet: TrapDraft | None, lav: HouseFixture, size: float) -> bool:
        """Draw one fixture's drain and the lavatory's onto it; return whether both are vented by that."""
        work = self.work
        need = work.needs[f.tag]
        if (f.tag, BY_WET) in work.bans:
            return False
        g = work.gauge(size)
        xy = work.xy(f)
        cap = self._floor_cap(f, work.gauge(need.arm_in))
        lat = self.router.lattice((xy, work.xy(lav)))
        slope = work.demands.slope(size)
        targets = self._wet_targets(lat, closet, size) if closet is not None else self._tree_targets(lat, size)
        if closet is None and not self.lowest:
            targets += [t for t in self._stack_targets(True, size) if t.ref.startswith("new")]
        path = (
            self.router.search(
                Ask(xy, self.start_layers, cap, **self._bends(g.size_in, self.fits.closet(g.size_in))),
                g,
                slope,
                targets,
                lat,
            )
            if targets
            else None
        )
        if path is None or not path.steps:
            return False
        path = _past_trap(path, self.trap_reach.get(need.arm_in, 100.0))
        weir = self._floor_trap(f, cap, path)
        path = self._with_stack(path, max(size, 2.0))
        edges, joint = self.router.draw(path, weir, size_in=size, slope=slope, role=Role.BRANCH, tag=f.tag)
        trap = TrapDraft(need, weir.id, 0, [])
        trap.closet_tail = [e.id for e in edges]
        work.traps[f.tag] = trap
        probe = TrapDraft(need, weir.id, 0, closet_tail=list(trap.closet_tail))
        tail = self._wall_fixture(lav, probe, self._wet_size((lav,)))
        if tail is None or probe.method is not VentMethod.WET:
            work.traps.pop(f.tag, None)
            return False
        trap.arm, trap.takeoff, trap.method = probe.arm, probe.takeoff, VentMethod.WET
        if closet is not None:
            self._vent_wet(closet, joint)
        return True

    def _wet_size(self, members: Sequence[HouseFixture]) -> float:
        load = sum(self.work.needs[f.tag].load for f in members if f.kind is not FixtureKind.WATER_CLOSET)
        try:
            return ask.wet_vent_size(self.work.book, load=load, closets=0, other_load=load).number
        except LookupError:
            return 2.0

    # --- one fixture ------------------------------------------------------------------------------------------

    def _single(
        self,
        f: HouseFixture,
        *,
        wet_closet: TrapDraft | None = None,
        wet_size: float = 0.0,
        wet_from: HouseFixture | None = None,
    ) -> list[int]:
        """Trap, vent and drain one fixture; return the edges of its own drain beyond the vent."""
        if f.tag in self.work.traps:
            return []
        if f.kind is FixtureKind.WATER_CLOSET:
            self._late_closet(f)
            return []
        if f.kind in WALL_FIXTURES and f.wall_id and not f.in_island:
            got = self._wall_fixture(f, wet_closet, wet_size)
            if got is not None:
                return got
            if f.cabinet_id or f.kind in (FixtureKind.KITCHEN_SINK, FixtureKind.SINK, FixtureKind.BAR_SINK):
                return self._cabinet_drop(f)
            return []
        if f.in_island:
            return self._cabinet_drop(f)
        return self._floor_fixture(f, wet_from)

    def _late_closet(self, f: HouseFixture) -> None:
        lat = self.router.lattice()
        self._closet_lowest(f, lat, self._tree_targets(lat, self.work.needs[f.tag].arm_in), False)

    def _wall_fixture(self, f: HouseFixture, wet_closet: TrapDraft | None, wet_size: float) -> list[int] | None:
        work, _board = self.work, self.work.board
        need = work.needs[f.tag]
        reach = self.trap_reach.get(need.arm_in, 100.0)
        if not work.cavity.allowed(work.house.wall(f.wall_id), "drain"):
            self._why(f, [f"no drain wanted in {f.wall_id}"])
            return None
        shared = shared_fitting(work, need, reach) if wet_closet is None and not wet_size else None
        if shared is not None and (f.tag, COMMON) not in work.bans:
            draw_shared(work, need, shared)
            self.router.shy.pop(f.tag, None)
            return []
        cands, why = arm_candidates(work, need, reach)
        size = max(need.branch_in, wet_size)
        vent_in = max(need.vent_in, wet_closet.need.vent_in if wet_closet is not None else 0.0)
        priced: list[tuple[float, ArmCandidate]] = []
        for cand in cands:
            if (f.tag, spot_key(cand.spot)) in work.bans:
                continue
            problem = self._drop_problem(f, cand, size) or self._vent_problem(cand, need)
            out = None if problem else self.outlook.cost(cand.spot, cand.z_takeoff, vent_in)
            if out is None:
                why.append(problem or f"no way out for its vent from the bay of {cand.spot.wall.id}")
                continue
            invited = f.kind in SHARERS and invites(work, need, cand.spot.wall.id, cand.stub_station, cand.spot.station)
            priced.append((cand.cost + out * VENT_WEIGHT - (SHARED_BONUS if invited else 0.0), cand))
        priced.sort(key=lambda c: round(c[0], 1))
        best: tuple[float, ArmCandidate, Path, bool] | None = None
        for cost, cand in priced[:MOST_ARM_TRIES]:
            xy = self._drop_xy(f, cand)
            path, wet = self._path_from(xy, size, wet_closet, group=f.group)
            if path is None:
                why.append(f"no way with fall from the bay at {xy[0]:.0f}, {xy[1]:.0f} to the drain")
                continue
            if best is None or cost + path.cost < best[0] - 0.05:
                best = (cost + path.cost, cand, path, wet)
            if not _dear(path):
                break
        if best is None:
            self._why(f, why)
            return None
        _, cand, path, wet = best
        before, room = self._snap(), work.board.short_of_room()
        drawn = self._draw_wall(f, need, cand, path, size, wet_closet if wet else None)
        now = work.board.short_of_room()
        if now <= room or not path.target.ref.startswith(("s", "new")):
            return drawn
        # its joint finds no room on the stack: rather into another drain that goes there
        kept = self._snap()
        self._back(before)
        other, _ = self._path_from(self._drop_xy(f, cand), size, None, group=f.group, stacks=False)
        if other is not None and other.cost < path.cost + WEIGHTS.short_leg * 2:
            again = self._draw_wall(f, need, cand, other, size, None)
            if work.board.short_of_room() < now:
                return again
        self._back(kept)
        return drawn

    def _why(self, f: HouseFixture, why: list[str]) -> None:
        self._last_why = "; ".join(dict.fromkeys(why)) or "no bay"
        if not (f.cabinet_id or f.kind in (FixtureKind.KITCHEN_SINK, FixtureKind.SINK, FixtureKind.BAR_SINK)):
            self.work.block(
                (f.tag,),
                f"{f.tag}: no bay takes its drain and vent: {self._last_why}",
                "move the fixture or the stud, furr the wall, or draw the route by hand",
            )

    _last_why = ""

    def _path_from(
        self,
        xy: XY,
        size: float,
        wet_closet: TrapDraft | None,
        start: tuple[str, ...] = (),
        group: str = "",
        vent_in: float = 0.0,
        stacks: bool = True,
    ) -> tuple[Path | None, bool]:
        """Return the way on from the foot of a drop, or (with the size of its vent) from a vent fitting in the drain.

        The second says whether the way vents the closet it was to vent.
        """
        work = self.work
        start = start or self.start_layers
        g = work.gauge(size)
        slope = work.demands.slope(size)
        lat = self.router.lattice((xy, *self._corners(xy)))
        if wet_closet is not None:
            targets = self._wet_targets(lat, wet_closet, size)
            path = (
                self.router.search(Ask(xy, start, None, **self._bends(g.size_in)), g, slope, targets, lat)
                if targets
                else None
            )
            if path is not None:
                return path, True
        if self.lowest and not self._edges() and self.first_target is not None:
            g = work.gauge(work.trunk_in)
            return self.router.search(
                Ask(xy, start, None, **self._bends(g.size_in)),
                g,
                work.trunk_slope,
                [self.first_target],
                lat,
            ), False
        targets = [t for t in self._tree_targets(lat, size, group) if stacks or not t.ref.startswith("s")]
        limits = Ask(xy, start, None, jog=JOG_MM, **self._bends(g.size_in))
        if vent_in:  # the fitting's own outlet, and nothing in it turns
            room = self.fits.room("combination", (size, size, min(size, vent_in)), "outlet")
            limits = replace(limits, half_start=room, swivel=False)
        path = self.router.search(limits, g, slope, targets, lat)
        if path is None and stacks and not self.lowest:  # a stack of its own only where none that stands can be reached
            fresh = [t for t in self._stack_targets(True, size) if t.ref.startswith("new")]
            path = self.router.search(limits, g, slope, fresh, lat)
        return path, False

    first_target: Target | None = None

    def _wet_targets(self, lat: Lattice, closet: TrapDraft, size_in: float) -> list[Target]:
        """Return the places on a closet's own drain near enough to its flange to vent it."""
        board = self.work.board
        out: list[Target] = []
        walked = 0.0
        at = closet.weir
        reach = closet.need.arm_max
        for _ in range(40):
            nxt = [e for e in board.out(at) if e.role is not Role.VENT]
            if not nxt:
                break
            e = nxt[0]
            if e.id not in self.router.edge_layer or e.tag != closet.tag:
                break
            a = board.nodes[e.up].xy
            for t in self.router.targets(lat, [e], size_in=size_in):
                d = walked + math.hypot(t.xy[0] - a[0], t.xy[1] - a[1])
                if d <= reach:
                    out.append(t)
            walked += board.plan(e)
            at = e.down
            if walked > reach or len(board.into(at)) > 1:
                break
        return out

    def _drop_xy(self, f: HouseFixture, cand: ArmCandidate) -> XY:
        if not cand.front:
            return cand.spot.xy
        p = cand.spot.wall.point(cand.spot.station, 0.0, cand.front if f.side == "left" else -cand.front)
        return (p.x, p.y)

    def _drop_problem(self, f: HouseFixture, cand: ArmCandidate, size: float) -> str:
        work = self.work
        w = cand.spot.wall
        g = work.gauge(size)
        if not cand.front:
            why = work.cavity.clear(w, cand.spot.station, w.bottom_z_mm, cand.z_takeoff, g, cand.spot.offset)
            if why:
                return why
            if not work.cavity.fits_depth(w, g):
                return f"the hub of a {size:g} in drain is wider than {w.id}"
        frame = self.layers[0].frame
        if frame is not None:
            return work.cavity.through_frame(frame, self._drop_xy(f, cand), g)
        return ""

    def _vent_problem(self, cand: ArmCandidate, need: Need) -> str:
        """Return why a vent cannot leave the vent fitting upwards, "" if it can reach above the flood rim."""
        work = self.work
        g = work.gauge(need.vent_in)
        rim = need.fixture.flood_rim_z_mm or cand.z_takeoff + 500
        w = cand.spot.wall
        if not work.cavity.allowed(w, "vent"):
            return f"no vent wanted in {w.id}"
        if w.knee and w.top_z_mm < rim + 200:
            return f"{w.id} ends below the height where a vent may turn"
        if work.cavity.shut_in(w, cand.spot.station, g, work.risers):
            return f"a stack shuts the bay in {w.id} off from every way out for its vent"
        return work.cavity.clear(w, cand.spot.station, cand.z_takeoff, min(rim + 250, w.top_z_mm), g, cand.spot.offset)

    def _draw_wall(
        self,
        f: HouseFixture,
        need: Need,
        cand: ArmCandidate,
        path: Path,
        size: float,
        wet: TrapDraft | None,
    ) -> list[int]:
        work, board = self.work, self.work.board
        w = cand.spot.wall
        place = Place("wall", w.id, cand.spot.bay.index)
        side = 1.0 if f.side == "left" else -1.0
        home = work.house.wall(f.wall_id)
        front = home.point(cand.stub_station, 0, side * cand.trap_out)
        weir = board.node((front.x, front.y), PointKind.TRAP, cand.z_weir, f.tag)
        drop = self._drop_xy(f, cand)
        if cand.front:
            place = Place("room", f.room_id)
            work.questions.append(
                Question(
                    f"Q-{f.tag}-box",
                    f"Nothing can go down inside {w.id} below {f.tag}: may its drain drop in a box "
                    f"{cand.front - w.depth_mm / 2 + g_hub(work, size):.0f} mm deep in front of the wall?",
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
        at = weir
        if f.kind is not FixtureKind.CLOTHES_WASHER:
            board.nodes[weir.id].note = f"stub-out at station {cand.stub_station:.1f}"
        if not cand.front and cand.trap_out > 1 and (cand.corner or abs(cand.stub_station - cand.spot.station) > 1):
            p = home.point(cand.stub_station, 0, 0.0 if cand.corner else cand.spot.offset)
            mid = board.node((p.x, p.y), PointKind.TURN, None, f.tag)
            trap.arm.append(
                board.edge(at, mid, "drain", Role.TRAP_ARM, place, need.arm_in, tag=f.tag, slope=need.slope).id
            )
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
        path = self._with_stack(path, max(size, 2.0))
        edges, joint = self.router.draw(
            path, foot, size_in=size, slope=work.demands.slope(size), role=Role.BRANCH, tag=f.tag
        )
        self.tree += [e.id for e in edges]
        work.traps[f.tag] = trap
        self.router.shy.pop(f.tag, None)
        for i in trap.arm:  # other pipes that rise in this wall keep clear of the arm
            a, b = board.nodes[board.edges[i].up].xy, board.nodes[board.edges[i].down].xy
            work.cavity.pipes.append((Vec(*a, cand.z_takeoff), Vec(*b, cand.z_takeoff), work.gauge(need.arm_in).r))
        work.risers.append((cand.spot, work.gauge(size).hub_mm))
        if wet is not None:
            self._vent_wet(wet, joint)
        return [e.id for e in edges]

    def _vent_wet(self, closet: TrapDraft, joint: DNode) -> None:
        """Name the closet's drain down to a joint its arm, vented through what joins there."""
        board = self.work.board
        at, arm = closet.weir, []
        while at != joint.id:
            e = board.out(at)[0]
            arm.append(e.id)
            e.role = Role.TRAP_ARM
            at = e.down
        closet.arm, closet.takeoff, closet.method = arm, joint.id, VentMethod.WET
        joint.kind = PointKind.TAKEOFF

    # --- fixtures that drain through the floor ----------------------------------------------------------------

    def _floor_fixture(self, f: HouseFixture, wet_from: HouseFixture | None) -> list[int]:
        work = self.work
        need = work.needs[f.tag]
        self.router.keys.add(work.xy(f))
        cap = self._floor_cap(f, work.gauge(need.arm_in))
        if wet_from is not None and self._join_wet(f, need, cap, wet_from):
            return []
        if f.kind is FixtureKind.FLOOR_DRAIN and self._unvented_floor_drain(f, need, cap):
            return []
        self._floor_own_vent(f, need, cap)
        return []

    def _join_wet(self, f: HouseFixture, need: Need, cap: float, lav: HouseFixture) -> bool:
        """Run an arm into the drain of a lavatory that is vented, and so be vented through it."""
        work = self.work
        spine = self._spine_of(lav)
        if (f.tag, BY_WET) in work.bans:
            return False
        g = work.gauge(need.arm_in)
        reach = self.trap_reach.get(need.arm_in, 100.0)
        best: tuple[float, Path, XY] | None = None
        for xy, layers in self._trap_places(f, g, False):
            lat = self.router.lattice((xy,))
            path = self.router.search(
                Ask(
                    xy,
                    layers,
                    cap,
                    max_length=need.arm_max + reach,
                    max_turn_deg=need.arm_turn,
                    least_length=need.arm_min + reach,
                    flat=True,
                    jog=min(0.7 * reach, MOST_SWING_MM),
                    **self._bends(need.arm_in, reach + self.fits.trap(need.arm_in)),
                ),
                g,
                need.slope,
                list(self.router.targets(lat, self._edges(spine), size_in=need.arm_in)),
                lat,
            )
            if path is None or not path.steps or (best is not None and path.cost >= best[0]):
                continue
            if self._collected(lav, spine, f, path.target) <= MOST_WET_IN:
                best = (path.cost, path, xy)
        if best is None:
            return False
        _, path, xy = best
        path = _past_trap(path, reach)
        weir = self._floor_trap(f, cap, path)
        edges, joint = self.router.draw(
            path, weir, size_in=need.arm_in, slope=need.slope, role=Role.TRAP_ARM, tag=f.tag
        )
        joint.kind = PointKind.TAKEOFF
        if not _near(xy, work.xy(f), 5.0):
            self._outlet_pipe(f, weir, xy, g)
        work.traps[f.tag] = TrapDraft(need, weir.id, joint.id, [e.id for e in edges], VentMethod.WET)
        return True

    def _collected(self, lav: HouseFixture, spine: Sequence[int], f: HouseFixture, at: Target) -> float:
        """Return the size of the wet vent if a fixture joins a lavatory's drain at a place, by what then drains there.

        The fixture farthest down stream counts or not, as the book has it.
        """
        board = self.work.board
        joins = {t.takeoff: t.need.fixture for t in self.work.traps.values() if t.method is VentMethod.WET}
        order: list[tuple[float, HouseFixture]] = []
        walked = 0.0
        for i in spine:
            e = board.edges[i]
            if at.ref == f"e{i}":
                a = board.nodes[e.up].xy
                order.append((walked + math.hypot(at.xy[0] - a[0], at.xy[1] - a[1]), f))
            walked += board.plan(e)
            if e.down in joins:
                order.append((walked, joins[e.down]))
        order.sort(key=lambda o: o[0])
        last = self.work.book.find("wet_vent.last_left_out")
        if last is not None and last.value is True:
            order = order[:-1]
        return self._wet_size((lav, *(o for _, o in order)))

    def _spine_of(self, lav: HouseFixture) -> list[int]:
        """Return the drains of a lavatory below its vent as far as they are its own, in flow order."""
        board = self.work.board
        trap = self.work.traps.get(lav.tag)
        edges: list[int] = []
        at = trap.takeoff if trap is not None and trap.method is VentMethod.INDIVIDUAL else 0
        while at and len(edges) < MOST_STEPS:
            out = next((e for e in board.out(at) if e.tag == lav.tag), None)
            if out is None:
                break
            edges.append(out.id)
            at = out.down
        return edges

    def _floor_cap(self, f: HouseFixture, g: Gauge) -> float:
        if f.trap_weir_z_mm is not None:
            return f.trap_weir_z_mm + g.id_mm / 2
        return f.subfloor_z_mm - 60.0 - g.hub_mm / 2

    def _floor_trap(self, f: HouseFixture, cap: float, path: Path) -> DNode:
        weir = self.work.board.node(path.steps[0].a if path.steps else self.work.xy(f), PointKind.TRAP, None, f.tag)
        weir.cap = cap
        return weir

    def _unvented_floor_drain(self, f: HouseFixture, need: Need, cap: float) -> bool:
        work = self.work
        least = ask.floor_drain_unvented_min(work.book)
        if least is None:
            return False
        size = max(3.0, need.arm_in)
        g = work.gauge(size)
        xy = work.xy(f)
        reach = self.trap_reach.get(size, 100.0)
        lat = self.router.lattice((xy,))
        targets = self._tree_targets(lat, size)
        path = self.router.search(
            Ask(
                xy,
                self.start_layers,
                cap,
                least_length=least.number,
                jog=min(0.7 * reach, MOST_SWING_MM),
                **self._bends(size, reach + self.fits.trap(size)),
            ),
            g,
            work.demands.slope(size),
            targets,
            lat,
        )
        if path is None:
            return False
        path = _past_trap(path, reach)
        weir = self._floor_trap(f, cap, path)
        edges, _joint = self.router.draw(
            path, weir, size_in=size, slope=work.demands.slope(size), role=Role.TRAP_ARM, tag=f.tag
        )
        work.traps[f.tag] = TrapDraft(need, weir.id, 0, [e.id for e in edges], VentMethod.NONE)
        self.tree += [e.id for e in edges]
        return True

    def _trap_places(self, f: HouseFixture, g: Gauge, closet: bool) -> list[tuple[XY, tuple[str, ...]]]:
        """Return where the trap may stand: under the outlet, or a short way along the bay where there is room below."""
        xy = self.work.xy(f)
        out: list[tuple[XY, tuple[str, ...]]] = [(xy, self.start_layers)]
        if closet or f.trap_weir_z_mm is not None or len(self.layers) < 2:
            return out
        bay, below = self.layers[0], self.layers[1]
        if bay.frame is None or below.kind != "below":
            return out
        a = 0 if bay.frame.runs == "x" else 1
        margin = g.hub_r + 1.0
        for r in below.regions:
            lo, hi = ((r.x0, r.x1), (r.y0, r.y1))[a]
            olo, ohi = ((r.y0, r.y1), (r.x0, r.x1))[a]
            if not olo < xy[1 - a] < ohi or lo + margin <= xy[a] <= hi - margin:
                continue
            v = min(max(xy[a], lo + margin), hi - margin)
            p = (v, xy[1]) if a == 0 else (xy[0], v)
            if not self.work.space.plumb_clear(below, p, g):
                continue
            if abs(v - xy[a]) <= TRAP_ASIDE_MM and self.work.space.leg(bay, xy, p, g) is not None:
                out.append((p, (below.key,)))
        return out

    def _floor_own_vent(self, f: HouseFixture, need: Need, cap: float, closet: bool = False) -> None:
        """Run the arm to a point under a wall bay where a vent can rise, and the drain on from there."""
        work = self.work
        g = work.gauge(need.arm_in)
        reach = 0.0 if closet else self.trap_reach.get(need.arm_in, 100.0)
        why: list[str] = []
        tried: dict[str, int] = {}
        best: tuple[float, tuple[Any, ...]] | None = None
        for xy, layers in self._trap_places(f, g, closet):
            spots = self._vent_spots(xy, need, need.arm_max + reach)
            if not spots:
                why.append("no wall with a free bay within reach of the trap arm")
            for spot in spots:
                if tried.get(spot.wall.id, 0) >= MOST_WALL_TRIES or sum(tried.values()) >= MOST_ARM_TRIES:
                    continue
                if (f.tag, spot_key(spot)) in work.bans:
                    continue
                out = self.outlook.cost(spot, spot.wall.bottom_z_mm, need.vent_in)
                if out is None:
                    why.append(f"no way out for its vent from {spot.wall.id}")
                    continue
                before = self._snap()
                short, tight = work.board.short_of_room()
                cost = self._arm_to(f, need, cap, closet, xy, layers, spot, why)
                now = work.board.short_of_room()
                if cost is not None and now[0] > short:
                    self._back(before)
                    why.append(f"by way of {spot.wall.id} there is not height enough to the stack")
                    cost = None
                if cost is not None:
                    crowded = now[1] - tight
                    total = cost[0] + out * VENT_WEIGHT + crowded * WEIGHTS.short_leg
                    if best is None or total < best[0] - 0.05:
                        best = (total, self._snap())
                    if not cost[1] and crowded <= 0:
                        self._back(best[1])
                        return
                    self._back(before)
                if cost is not None or not why[-1].startswith(OUT_OF_REACH):
                    tried[spot.wall.id] = tried.get(spot.wall.id, 0) + 1
        if best is not None:
            self._back(best[1])
            return
        work.block(
            (f.tag,),
            f"{f.tag}: no vented trap arm: " + "; ".join(dict.fromkeys(why)),
            "a wall nearer to the drain, another vent method, or a route drawn by hand",
        )

    def _arm_to(
        self,
        f: HouseFixture,
        need: Need,
        cap: float,
        closet: bool,
        xy: XY,
        layers: tuple[str, ...],
        spot: Spot,
        why: list[str],
    ) -> tuple[float, bool] | None:
        """Draw one arm and the drain on from it; return what they cost and whether something of it is dear."""
        work, board = self.work, self.work.board
        g = work.gauge(need.arm_in)
        reach = 0.0 if closet else self.trap_reach.get(need.arm_in, 100.0)
        size = max(need.branch_in, need.arm_in)
        aside = not closet and not _near(xy, work.xy(f), 5.0)
        start = (
            self.start_layers
            if spot.wall.level_id == self.level.id
            else tuple(k for k in self.start_layers if k.startswith("below"))
        )
        limits = Ask(
            xy,
            layers,
            cap,
            max_length=need.arm_max + reach,
            max_turn_deg=need.arm_turn,
            least_length=need.arm_min + reach,
            flat=not closet,
            jog=0.0 if closet else min(0.7 * reach, MOST_SWING_MM),
            **self._bends(
                need.arm_in, self.fits.closet(need.arm_in) if closet else reach + self.fits.trap(need.arm_in)
            ),
        )
        eighth = self.fits.eighth(need.arm_in)
        jogs = _jog(
            xy, spot.xy, reach + self.fits.trap(need.arm_in) + eighth + 5.0, eighth + self.fits.sweep(need.arm_in)
        )
        lat = self.router.lattice((xy, spot.xy, *jogs))
        start = tuple(
            k for k in start if self.router.search(limits, g, need.slope, [Target(spot.xy, k, None)], lat) is not None
        )
        if not start:
            why.append(f"{OUT_OF_REACH} to {spot.wall.id}")
            return None
        path, _ = self._path_from(spot.xy, size, None, start, f.group, vent_in=need.vent_in)
        if path is None or not path.steps:
            why.append(f"no way with fall on from {spot.wall.id}")
            return None
        z = path.steps[0].z_a if path.steps else None
        blocked: frozenset[int] = frozenset()
        rooms: tuple[float, ...] = ()
        s = next(
            (v for v in path.steps if v.place is not None and math.hypot(v.b[0] - v.a[0], v.b[1] - v.a[1]) > JOG_MM),
            None,
        )
        if s is not None:
            out_k = direction_index(s.b[0] - s.a[0], s.b[1] - s.a[1])
            if out_k is not None:
                blocked = frozenset((out_k + d) % 8 for d in (-1, 0, 1))
                ways = (min(2, turn_between(k, (out_k + 4) % 8)) for k in range(8))
                rooms = tuple(self.fits.take_off(need.arm_in, need.vent_in, turn) for turn in ways)
        layer_key = path.steps[0].layer_a if path.steps else start[0]
        targets = [Target(spot.xy, layer_key, z, blocked, 0.0, "n0", rooms)]
        before = self._snap()
        take = board.node(spot.xy, PointKind.TAKEOFF, z, f.tag)
        path = self._with_stack(path, max(size, 2.0))
        tail, _ = self.router.draw(
            path, take, size_in=size, slope=work.demands.slope(size), role=Role.BRANCH, tag=f.tag
        )
        arm = self.router.search(limits, g, need.slope, targets, lat)
        if arm is None:
            self._back(before)
            why.append(f"the arm to {spot.wall.id} does not meet its drain with fall")
            return None
        if closet:
            weir = board.node(xy, PointKind.FLANGE, None, f.tag)
            weir.cap = cap
        else:
            arm = _past_trap(arm, reach)
            weir = self._floor_trap(f, cap, arm)
        t = arm.target
        arm = Path(
            arm.steps, arm.cost, arm.length, Target(t.xy, t.layer, t.z, t.blocked, t.cost, f"n{take.id}"), arm.turn_deg
        )
        edges, _ = self.router.draw(arm, weir, size_in=need.arm_in, slope=need.slope, role=Role.TRAP_ARM, tag=f.tag)
        if aside:
            self._outlet_pipe(f, weir, xy, g)
        work.traps[f.tag] = TrapDraft(need, weir.id, take.id, [e.id for e in edges], VentMethod.INDIVIDUAL, spot)
        work.risers.append((spot, work.gauge(need.vent_in).hub_mm))
        self.router.planned.append(Post(spot.xy, take.z, work.gauge(need.vent_in).r))
        self.tree += [e.id for e in tail]
        return arm.cost + path.cost, _dear(arm) or _dear(path)

    def _outlet_pipe(self, f: HouseFixture, weir: DNode, inlet: XY, g: Gauge) -> None:
        """Draw the pipe from a floor outlet to a trap that stands aside of it."""
        work, board = self.work, self.work.board
        xy = work.xy(f)
        if not self.layers[0].frame:
            return
        leg = work.space.leg(self.layers[0], xy, inlet, g)
        if leg is None:
            return
        out = board.node(xy, PointKind.TURN, None, f.tag, "fixture outlet")
        turn = board.node(inlet, PointKind.TURN, None, f.tag)
        span = leg.spans[0]
        length = math.hypot(xy[0] - inlet[0], xy[1] - inlet[1])
        board.edge(
            out,
            turn,
            "drain",
            Role.FIXTURE_DRAIN,
            leg.place,
            g.size_in,
            tag=f.tag,
            slope=work.demands.slope(g.size_in),
            parts=(Part(0.0, length, span.lo, span.hi - 40.0),),
        )
        mouth = board.node(inlet, PointKind.TURN, None, f.tag, "trap inlet")
        board.edge(turn, mouth, "drain", Role.FIXTURE_DRAIN, leg.place, g.size_in, tag=f.tag, plumb=True)
        board.edge(
            mouth,
            weir,
            "drain",
            Role.FIXTURE_DRAIN,
            leg.place,
            g.size_in,
            tag=f.tag,
            slope=work.demands.slope(g.size_in),
        )

    def _vent_spots(self, xy: XY, need: Need, reach: float) -> list[Spot]:
        """Return bays near a floor outlet whose cavity lets a vent rise to the roof, nearest first."""
        work = self.work
        g = work.gauge(max(need.vent_in, 1.5))
        frame = self.layers[0].frame
        found: list[tuple[float, Spot]] = []
        arm_g = work.gauge(max(need.arm_in, need.branch_in))
        walls = list(work.cavity.walls_of(self.level))
        below = work.space.level_below(self.level)
        if below is not None and any(k.startswith("below") for k in self.start_layers) and not self.lowest:
            walls += work.cavity.walls_of(below)
        for w in walls:
            if w.knee or w.against_concrete or not work.cavity.allowed(w, "vent") or w.exterior:
                continue
            under = w.level_id != self.level.id
            lo_z = w.top_z_mm - 300.0 if under else w.bottom_z_mm
            foot = w.station(_vec(xy))
            if under and not work.cavity.fits_depth(w, arm_g):
                continue
            half = max(g.hub_r, arm_g.hub_r) if under else g.hub_r
            for bay in w.bays:
                lo, hi = bay.lo_mm + half, bay.hi_mm - half
                if lo > hi:
                    continue
                for s in dict.fromkeys((min(max(foot, lo), hi), bay.middle_mm, lo, hi)):
                    spot = Spot(w, bay, s, 0.0)
                    d = _manhattan(spot.xy, xy)
                    if d > reach + 1 or d < need.arm_min or work.taken(spot, g):
                        continue
                    if work.cavity.shut_in(w, s, g, work.risers):
                        continue
                    if under and self._over_drain(spot.xy, g):
                        continue
                    if under:
                        layer = next(v for v in self.layers if v.kind == "below")
                        if not any(r.holds(spot.xy) for r in layer.regions):
                            continue
                        if work.cavity.rise(spot, lo_z, g).ends == "blocked":
                            continue
                    elif work.cavity.clear(w, s, w.bottom_z_mm, min(w.bottom_z_mm + 1200, w.top_z_mm), g) or (
                        frame is not None and work.cavity.through_frame(frame, spot.xy, work.gauge(need.arm_in))
                    ):
                        continue
                    crowd = any(  # leave the bays of other fixtures on this wall to them
                        o.wall_id == w.id
                        and o.station_mm is not None
                        and abs(o.station_mm - s) < 200.0
                        and o.tag != need.fixture.tag
                        and o.tag not in work.traps
                        for o in work.house.fixtures
                    )
                    found.append((d + (500.0 if under else 0.0) + (2500.0 if crowd else 0.0), spot))
        found.sort(key=lambda t: (round(t[0], 1), t[1].wall.id, t[1].station))
        return [s for _, s in found]

    def _stack_wet(self, trap: TrapDraft) -> bool:
        """Return whether the lavatory enters the closet's stack over it: then the stack between them vents it."""
        board = self.work.board
        tail = [board.edges[i] for i in trap.closet_tail if i in board.edges]
        if (trap.tag, BY_WET) in self.work.bans:
            return False
        if not tail or board.nodes[tail[-1].down].stack < 0:
            return False
        stack = board.stacks[board.nodes[tail[-1].down].stack]
        if not self._airs(stack):
            return False
        if any(board.nodes[i].tag for i in stack.nodes if i != tail[-1].down and board.nodes[i].tag):
            return False
        for t in self.work.traps.values():
            if t.method is not VentMethod.INDIVIDUAL or t.need.fixture.group != trap.need.fixture.group:
                continue
            if t.need.fixture.kind is not FixtureKind.LAVATORY:
                continue
            at = t.takeoff
            for _ in range(20):
                nxt = board.out(at)
                if not nxt:
                    break
                at = nxt[0].down
            if at in stack.nodes and at != tail[-1].down:
                trap.arm, trap.takeoff, trap.method = [e.id for e in tail], tail[-1].down, VentMethod.WET
                for e in tail:
                    e.role = Role.TRAP_ARM
                return True
        return False

    def _airs(self, stack: DStack) -> bool:
        """Return whether a stack may vent a fixture of this level: by what upper levels drain into it, and the book."""
        work, board = self.work, self.work.board
        above = 0.0
        for t in work.traps.values():
            if t.need.fixture.level_id == self.level.id:
                continue
            at = t.weir
            for _ in range(MOST_STEPS):
                nxt = board.out(at)
                if board.nodes[at].stack >= 0 or not nxt:
                    break
                at = nxt[0].down
            if at in stack.nodes:
                above += t.need.load
        if above <= 0.0:
            return True
        limit = work.book.find("wet_vent.storey_load")
        if limit is None or above > limit.number + 1e-6:
            return False
        try:
            return ask.wet_vent_size(work.book, load=above, closets=1, other_load=above).number <= stack.size_in
        except LookupError:
            return False

    def _over_drain(self, xy: XY, g: Gauge) -> bool:
        """Return whether a plumb pipe through the joist bays would meet a drain that lies in them."""
        board = self.work.board
        for i, key in self.router.edge_layer.items():
            e = board.edges.get(i)
            if e is None or not key.startswith("bay"):
                continue
            a, b = board.nodes[e.up].xy, board.nodes[e.down].xy
            length = max(1.0, math.hypot(b[0] - a[0], b[1] - a[1]))
            t = max(0.0, min(1.0, ((xy[0] - a[0]) * (b[0] - a[0]) + (xy[1] - a[1]) * (b[1] - a[1])) / length**2))
            p = (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)
            if math.hypot(p[0] - xy[0], p[1] - xy[1]) < g.r + self.work.gauge(e.size_in).r + 3.0:
                return True
        return False

    def _closet_own_vent(self, trap: TrapDraft) -> None:
        """Give a closet whose drain no wet vent reaches a vent of its own: redraw its drain under a wall bay."""
        work, board = self.work, self.work.board
        f = trap.need.fixture
        if trap.method is not VentMethod.NONE or self._stack_wet(trap) or vent_at_drawn_point(work, trap):
            return
        tail = [board.edges[i] for i in trap.closet_tail if i in board.edges]
        others = any(len(board.into(e.down)) > 1 for e in tail[:-1]) or any(e.role is Role.BUILDING_DRAIN for e in tail)
        if others:
            self._closet_wye_vent(trap)
            return
        mark = board.mark()
        kept_layers = dict(self.router.edge_layer)
        for e in tail:
            board.edges.pop(e.id, None)
            self.router.edge_layer.pop(e.id, None)
        del work.traps[f.tag]
        n_blocked = len(work.blocked)
        self._floor_own_vent(f, trap.need, self._closet_start_cap(f), closet=True)
        if f.tag not in work.traps:
            board.undo(mark)
            self.router.edge_layer = kept_layers
            del work.blocked[n_blocked:]
            work.traps[f.tag] = trap
            self._closet_wye_vent(trap)

    def _closet_wye_vent(self, trap: TrapDraft) -> None:
        """Vent a closet from a point of its drain that passes under a wall bay."""
        work, board = self.work, self.work.board
        g = work.gauge(max(trap.need.vent_in, 2.0))
        walked, at = 0.0, trap.weir
        for _ in range(40):
            outs = board.out(at)
            if not outs:
                break
            e = outs[0]
            a, b = board.nodes[e.up].xy, board.nodes[e.down].xy
            length = board.plan(e)
            for w in work.cavity.walls_of(self.level):
                if w.knee or w.exterior or not work.cavity.allowed(w, "vent"):
                    continue
                s = crossing_station(w, a, b)
                for bay in w.bays if s is not None else ():
                    if s is not None and bay.lo_mm + g.hub_r <= s <= bay.hi_mm - g.hub_r:
                        spot = Spot(w, bay, s, 0.0)
                        x, y = spot.xy
                        t = math.hypot(x - a[0], y - a[1])
                        if not 150 < t < length - 150 or walked + t > trap.need.arm_max:
                            continue
                        if work.taken(spot, g) or work.cavity.clear(w, s, w.bottom_z_mm, w.bottom_z_mm + 1200, g):
                            continue
                        if (trap.tag, spot_key(spot)) in work.bans:
                            continue
                        if self.outlook.cost(spot, w.bottom_z_mm, trap.need.vent_in) is None:
                            continue
                        on = spot.xy
                        layer = self.router.edge_layer.get(e.id)
                        joint = board.split(e, on, PointKind.TAKEOFF)
                        low = board.out(joint.id)[0]
                        if layer is not None:
                            self.router.edge_layer[low.id] = layer
                        trap.takeoff, trap.method = joint.id, VentMethod.INDIVIDUAL
                        trap.spot = spot
                        work.risers.append((spot, g.hub_mm))
                        self._name_arm(trap)
                        return
            walked += length
            at = e.down
            if walked > trap.need.arm_max:
                break
        work.block(
            (trap.tag,),
            f"{trap.tag}: no vent within reach of its drain",
            "a wet vent through the lavatory, a wall bay over the drain, or a route drawn by hand",
        )

    def _name_arm(self, trap: TrapDraft) -> None:
        board = self.work.board
        at = trap.weir
        trap.arm = []
        while at != trap.takeoff:
            e = board.out(at)[0]
            if e.role is Role.BRANCH:
                e.role = Role.TRAP_ARM
            trap.arm.append(e.id)
            at = e.down

    # --- islands and cabinets ---------------------------------------------------------------------------------

    def _cabinet_drop(self, f: HouseFixture) -> list[int]:
        """Drop through the cabinet floor; the vent is a loop or an air admittance valve, by book and wish."""
        work, board = self.work, self.work.board
        need = work.needs[f.tag]
        method = self._cabinet_method(f)
        if method is None:
            return []
        xy0 = work.xy(f)
        reach = self.trap_reach.get(need.arm_in, 100.0)
        arm = max(need.arm_min, 130.0)
        size = max(need.branch_in, 2.0 if method is VentMethod.LOOP else need.branch_in)
        g = work.gauge(size)
        frame = self.layers[0].frame
        box = next((b for b in work.house.cabinets if b.id == f.cabinet_id), None)
        ways: list[tuple[float, int, int, XY, Path]] = []  # the way the trap swings that costs least drain
        for ux, uy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            xy = (xy0[0] + ux * (reach + arm), xy0[1] + uy * (reach + arm))
            if box is not None and not (
                box.box.lo.x + g.hub_r < xy[0] < box.box.hi.x - g.hub_r
                and box.box.lo.y + g.hub_r < xy[1] < box.box.hi.y - g.hub_r
            ):
                continue
            if frame is not None and work.cavity.through_frame(frame, xy, g):
                continue
            path, _ = self._path_from(xy, size, None, group=f.group)
            if path is None:
                continue
            ways.append((round(path.cost, 3), ux, uy, xy, path))
        if ways:
            _, ux, uy, xy, path = min(ways, key=lambda way: (way[0], way[1], way[2]))
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
            edges, _ = self.router.draw(
                self._with_stack(path, max(size, 2.0)),
                foot,
                size_in=size,
                slope=work.demands.slope(size),
                role=Role.BRANCH,
                tag=f.tag,
            )
            work.traps[f.tag] = TrapDraft(need, weir.id, take.id, [e.id], method)
            self.tree += [d.id for d in edges]
            return [d.id for d in edges]
        work.block(
            (f.tag,),
            f"{f.tag}: no place in its cabinet for a drop that reaches the drain ({self._last_why})",
            "move the cabinet or draw the route by hand",
        )
        return []

    def _cabinet_method(self, f: HouseFixture) -> VentMethod | None:
        method, why, ask_text = island_method(self.work.book, self.work.house.wishes, f, self._last_why)
        if method is None:
            self.work.block(
                (f.tag,), why, "permission for an air admittance valve or a loop, or a place within reach of a wall"
            )
        if ask_text is not None:
            self.work.questions.append(ask_text)
        return method


class Room(TypedDict):
    """The room that bends take beside their centres [mm]; keywords of `Ask`."""

    swivel: bool
    half_45: float
    half_90: float
    half_start: float
    drop: float


def _jog(a: XY, b: XY, lo: float, hi: float) -> list[XY]:
    """Return the corners of the 45 degree jogs from one point to another: at the end, at the start, short of it."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    d = min(abs(dx), abs(dy))
    if not 20.0 < d < 700.0:
        return []
    sx, sy = math.copysign(1.0, dx), math.copysign(1.0, dy)
    if abs(dx) < abs(dy):
        at = (abs(dy) - d, lo, abs(dy) - d - hi, 0.0)
        return [p for t in at if 0 <= t < abs(dy) - d + 1 for p in ((a[0], a[1] + sy * t), (b[0], a[1] + sy * (t + d)))]
    at = (abs(dx) - d, lo, abs(dx) - d - hi, 0.0)
    return [p for t in at if 0 <= t < abs(dx) - d + 1 for p in ((a[0] + sx * t, a[1]), (a[0] + sx * (t + d), b[1]))]


def _dear(path: Path) -> bool:
    """Return whether a path has something a plumber would rather go elsewhere for: fittings too close, a crossing."""
    return path.cost - path.length - path.target.cost >= WEIGHTS.short_leg


def _past_trap(path: Path, reach: float) -> Path:
    """Begin a path at the trap weir instead of under the outlet: the trap itself takes the first stretch.

    A short jog right at the outlet is the trap's as well: it is swung sideways into line with what follows.
    """
    if not path.steps or path.steps[0].place is None:
        return path
    s = path.steps[0]
    run = math.hypot(s.b[0] - s.a[0], s.b[1] - s.a[1])
    if run < min(0.7 * reach, MOST_SWING_MM) and len(path.steps) > 1 and path.steps[1].place is not None:
        return _past_trap(replace(path, steps=path.steps[1:], length=path.length - run), reach)
    cut = min(reach, run - 30.0)
    if cut <= 0:
        return path
    t = cut / run
    a = (s.a[0] + (s.b[0] - s.a[0]) * t, s.a[1] + (s.b[1] - s.a[1]) * t)
    z_a = None if s.z_a is None or s.z_b is None else s.z_a + (s.z_b - s.z_a) * t
    parts = tuple(replace(q, far=min(q.far, run - cut)) for q in s.parts if q.near < run - cut)
    return replace(path, steps=(replace(s, a=a, z_a=z_a, parts=parts), *path.steps[1:]), length=path.length - cut)


def g_hub(work: Work, size: float) -> float:
    """Return half a hub with room for the box around it [mm]."""
    return work.gauge(size).hub_r + 15.0


def _near(a: XY, b: XY, d: float) -> bool:
    return math.hypot(a[0] - b[0], a[1] - b[1]) <= d


def _manhattan(a: XY, b: XY) -> float:
    return abs(a[0] - b[0]) + abs(a[1] - b[1])


def _vec(p: XY) -> Vec:
    return Vec(p[0], p[1], 0.0)
