"""Where a pipe may lie: joist bays, the space below a frame, under a slab, an attic - asked leg by leg. Lengths [mm].

What a leg of each kind may be is told in `space_bays.py`, `space_below.py`, `space_ground.py` and `space_attic.py`.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import Any, Literal

from stubout.geometry.vec import Box
from stubout.house.framing import Wall
from stubout.house.model import Frame, HouseLevel
from stubout.layout.premises import Premises, lowest_hung_mm
from stubout.layout.space_attic import attic_leg
from stubout.layout.space_bays import bay_leg
from stubout.layout.space_below import below_leg, leg_in_wall, plumb_clear
from stubout.layout.space_ground import under_leg
from stubout.layout.space_shapes import DEEP, XY, Gauge, Layer, Leg, Region
from stubout.layout.weights import CEILING_BOARD_MM, HEADROOM_MM, ROOM_TO_WALL_MM

IN_WALL_MM = 500.0  # so far below its plates a branch of an upper storey lies in a wall at the most; an estimate
WAY_IN_MM = (1200.0, 1800.0)  # how wide along its wall and how far inside a building drain may come down; an estimate
FINISH_MM = 60.0  # a bulkhead that ends so near the studs of a wall stands at it

_UNASKED: Any = object()


class Memory:
    """What has been asked of one floor zone, with the answers: lattices, and paths searched on them.

    Typed loosely, because what is stored is made further up: see `zone_router.ZoneRouter`.
    """

    def __init__(self) -> None:
        self.lattices: dict[tuple[object, ...], Any] = {}
        self.paths: dict[tuple[object, ...], Any] = {}
        self.answers: dict[tuple[object, ...], Any] = {}
        self.traffic: dict[tuple[object, ...], Any] = {}
        self.meetings: dict[tuple[XY, XY, float], Any] = {}

    def __deepcopy__(self, memo: dict[int, object]) -> Memory:
        """Return itself: the same question always has the same answer."""
        return self


class Space(Premises):
    """A house asked for the room it leaves to pipes."""

    effort = 0  # steps of path search spent on this house: a measure of work that is no clock

    @cached_property
    def _legs(self) -> dict[tuple[str, float], dict[tuple[XY, XY], Leg | None]]:
        return {}

    @cached_property
    def _clear(self) -> dict[tuple[str, XY, float], bool]:
        return {}

    @cached_property
    def _memories(self) -> dict[str, Memory]:
        return {}

    def memory(self, zone: str) -> Memory:
        """Return what is remembered of a floor zone."""
        return self._memories.setdefault(zone, Memory())

    @cached_property
    def layers(self) -> dict[str, Layer]:
        """Return all layers by key: `bay:LEVEL`, `below:LEVEL`, `walls:LEVEL`, `under:LEVEL`, `attic:LEVEL`."""
        out: dict[str, Layer] = {}
        for level in self.levels:
            if level.kind == "slab" and level is not self.undrained:
                out[f"under:{level.id}"] = Layer(f"under:{level.id}", "under", level, None, lowest=True)
            frame = self.house.frame_carrying(level.id)
            if level.kind == "frame" and frame is not None:
                below = self.level_below(level)
                lowest = below is None or below.kind == "ground" or below is self.undrained
                out[f"bay:{level.id}"] = Layer(f"bay:{level.id}", "bay", level, frame)
                regions = self._regions(frame, below)
                if regions:
                    out[f"below:{level.id}"] = Layer(f"below:{level.id}", "below", level, frame, regions, lowest=lowest)
                closed = not any(r.whole for r in regions)  # else a pipe goes in and out of walls as it lies
                if below is not None and closed and (walls := self._in_walls(below)):
                    out[f"walls:{level.id}"] = Layer(f"walls:{level.id}", "walls", level, frame, walls)
            if level.attic_above:
                out[f"attic:{level.id}"] = Layer(f"attic:{level.id}", "attic", level, None)
        return out

    def floor_layers(self, level: HouseLevel) -> tuple[Layer, ...]:
        """Return the layers a drain of this level may use, best first."""
        keys = [f"bay:{level.id}", f"below:{level.id}", f"under:{level.id}"]
        below = self.layers.get(keys[1])
        if below is not None and any(r.whole for r in below.regions):
            keys.pop(0)  # open below everywhere: pipes hang under the joists, where they can meet
        return tuple(self.layers[k] for k in keys if k in self.layers)

    def wall_layers(self, level: HouseLevel) -> tuple[Layer, ...]:
        """Return the layer of the walls below a level whose ceiling is closed, none where there is none."""
        layer = self.layers.get(f"walls:{level.id}")
        return () if layer is None else (layer,)

    @cached_property
    def lowest_layer(self) -> Layer:
        """Return the layer from which the building drain leaves."""
        return next(layer for layer in self.layers.values() if layer.lowest)

    def _regions(self, frame: Frame, below: HouseLevel | None) -> tuple[Region, ...]:
        fp = self.house.footprint
        top = frame.bottom_z_mm
        if below is None or below.kind == "ground":
            lo = DEEP
            return (Region(fp.lo.x, fp.lo.y, fp.hi.x, fp.hi.y, lo, top, "crawl", whole=True),)
        out: list[Region] = []
        if below is self.undrained:
            out.append(self._way_in(below, top))
        if below.ceiling_open or self.basement(below):
            lo = lowest_hung_mm(below) if below is self.undrained else below.subfloor_z_mm + HEADROOM_MM
            out.append(Region(fp.lo.x, fp.lo.y, fp.hi.x, fp.hi.y, lo, top, "below frame", whole=True))
        g = ROOM_TO_WALL_MM
        for room in self.house.rooms:
            if room.level_id != below.id or (room.drop_ceiling_z_mm is None and not room.ceiling_open):
                continue
            drop = room.drop_ceiling_z_mm
            lo = below.subfloor_z_mm + HEADROOM_MM if drop is None else drop + CEILING_BOARD_MM
            out.append(Region(room.x0_mm - g, room.y0_mm - g, room.x1_mm + g, room.y1_mm + g, lo, top, "below frame"))
        for o in self.house.obstacles:
            if o.kind == "soffit" and below.subfloor_z_mm < o.box.lo.z < top:
                b = o.box
                lo = b.lo.z + CEILING_BOARD_MM
                x0, x1 = b.lo.x + self._side(below, b, "x", -1), b.hi.x + self._side(below, b, "x", 1)
                y0, y1 = b.lo.y + self._side(below, b, "y", -1), b.hi.y + self._side(below, b, "y", 1)
                out.append(Region(x0, y0, x1, y1, lo, top, "soffit"))
        return tuple(out)

    def _way_in(self, below: HouseLevel, top: float) -> Region:
        """Return where a building drain that hangs over a basement comes down beside the wall it leaves through."""
        sewer, fp = self.house.sewer, self.house.footprint
        x, y = min(max(sewer.at.x, fp.lo.x), fp.hi.x), min(max(sewer.at.y, fp.lo.y), fp.hi.y)
        wide, deep = WAY_IN_MM
        half_x, half_y = (wide / 2, deep) if sewer.runs in ("north", "south") else (deep, wide / 2)
        return Region(x - half_x, y - half_y, x + half_x, y + half_y, below.subfloor_z_mm, top, "below frame")

    def _in_walls(self, below: HouseLevel) -> tuple[Region, ...]:
        """Return the cavities of walls under a closed ceiling, below their plates: a drop may run on through studs."""
        unwanted = self.house.wishes.no_drain_in_walls
        out: list[Region] = []
        for w in self.walls_of(below):
            if w.knee or w.against_concrete or w.exterior or w.id in unwanted or not _square(w):
                continue
            half, hi = w.depth_mm / 2, w.top_z_mm - w.top_plate_mm
            a, b = w.start, w.end
            x0, x1, y0, y1 = min(a.x, b.x), max(a.x, b.x), min(a.y, b.y), max(a.y, b.y)
            if x1 - x0 < y1 - y0:
                x0, x1 = x0 - half, x1 + half
            else:
                y0, y1 = y0 - half, y1 + half
            out.append(Region(x0, y0, x1, y1, hi - IN_WALL_MM, hi, "wall", ref=w.id))
        return tuple(out)

    def _side(self, level: HouseLevel, box: Box, axis: Literal["x", "y"], sign: int) -> float:
        """Return how far the inside of a bulkhead goes past its outside: into the wall beside it, or less its board."""
        for w in self.house.walls:
            if w.level_id != level.id or abs(getattr(w.along, axis)) > 0.5:
                continue
            face = getattr(w.start, axis) - sign * w.depth_mm / 2
            end = getattr(box.hi if sign > 0 else box.lo, axis)
            if abs(face - end) < FINISH_MM:
                return sign * ROOM_TO_WALL_MM
        return -sign * CEILING_BOARD_MM

    def leg(self, layer: Layer, p: XY, q: XY, g: Gauge) -> Leg | None:
        """Return what a leg may be, None where it cannot be at all."""
        return self.legs(layer, g)(p, q)

    def legs(self, layer: Layer, g: Gauge) -> Callable[[XY, XY], Leg | None]:
        """Return what answers for legs of one size in one layer, as `leg` does."""
        known = self._legs.setdefault((layer.key, g.size_in), {})

        def ask(p: XY, q: XY) -> Leg | None:
            ends = (p, q) if p < q else (q, p)
            found: Leg | None = known.get(ends, _UNASKED)  # looked up once: most have been asked before
            if found is _UNASKED:
                found = known[ends] = self._ask(layer, p, q, g)
            return found

        return ask

    def _ask(self, layer: Layer, p: XY, q: XY, g: Gauge) -> Leg | None:
        if layer.kind == "bay":
            return bay_leg(self, layer, p, q, g)
        if layer.kind == "below":
            return below_leg(self, layer, p, q, g)
        if layer.kind == "walls":
            return leg_in_wall(self, layer, p, q, g)
        if layer.kind == "under":
            return under_leg(self, layer, p, q, g)
        return attic_leg(self, layer, p, q, g)

    def plumb_clear(self, layer: Layer, p: XY, g: Gauge) -> bool:
        """Return whether a pipe may come down here out of a joist bay: not onto a stud of a wall below, nor a duct."""
        key = (layer.key, p, g.size_in)
        if key not in self._clear:
            self._clear[key] = plumb_clear(self, layer, p, g)
        return self._clear[key]


def _square(w: Wall) -> bool:
    """Return whether a wall runs along one of the axes of the house."""
    return min(abs(w.along.x), abs(w.along.y)) < 1e-6
