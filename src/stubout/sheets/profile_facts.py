"""The run of the building drain and sewer as stations, levels and cover."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stubout.design import Design
from stubout.geometry.vec import Box, Vec
from stubout.house.model import HouseLevel
from stubout.layout.model import PointKind, Role
from stubout.network.model import Pipe
from stubout.sheets.pipeware import bore_mm, od_mm
from stubout.sheets.point_words import point_words

LEAVES = "leaves the house"
MAIN = (Role.BUILDING_DRAIN, Role.SEWER)
NOT_MAIN = (Role.FIXTURE_DRAIN, Role.CLEANOUT_EXT)


@dataclass(frozen=True, slots=True)
class Station:
    """One point of the run."""

    number: int
    what: str
    along_mm: float  # plan length from the upstream end
    at: Vec
    invert_z_mm: float
    size_in: float  # of the pipe that leaves it (arrives, at the last)
    surface_z_mm: float  # what is over it: ground outside, slab underside or crawl floor inside
    inside: bool

    @property
    def cover_mm(self) -> float:
        """Return the cover over the outside top of the pipe [mm]; negative where it hangs above the ground."""
        return self.surface_z_mm - (self.invert_z_mm + bore_mm(self.size_in) / 2 + od_mm(self.size_in) / 2)


@dataclass(frozen=True, slots=True)
class Branch:
    """A drain that joins the run."""

    pipe: str
    tags: tuple[str, ...]  # fixtures it carries; the cleanout's id where it only opens the run
    size_in: float
    along_mm: float
    invert_z_mm: float  # of the branch where it enters; of a drop: where it turns into the run
    drop: bool  # it comes down from above
    access: bool = False  # a cleanout's riser: nothing flows in
    opens_z_mm: float | None = None  # of such a riser: the height of its plug, house z


def branches(design: Design, run: tuple[Pipe, ...]) -> tuple[Branch, ...]:
    """Return every drain that enters the run, upstream first."""
    own = {p.id for p in run}
    cos = {c.point: c.id for c in design.cleanouts}
    out: list[Branch] = []
    here = 0.0
    for p in run:
        for i in design.network.node(p.start).inflow:
            q = design.network.pipe(i)
            if q.system != "drain" or q.id in own:
                continue
            invert = p.a.z - bore_mm(p.size_in) / 2 if q.vertical else q.b.z - bore_mm(q.size_in) / 2
            plugs = () if q.tags else tuple(sorted(n for n in _heads(design, q) if n in cos))
            tags = q.tags or tuple(sorted({cos[n] for n in plugs}))
            opens = max((design.network.node(n).at.z for n in plugs), default=None)
            out.append(Branch(q.id, tags, q.size_in, here, invert, q.vertical, not q.tags, opens))
        here += p.plan_mm
    return tuple(out)


def _heads(design: Design, pipe: Pipe) -> set[str]:
    """Return the nodes of everything upstream of a pipe."""
    found = {pipe.start}
    for i in design.network.node(pipe.start).inflow:
        found |= _heads(design, design.network.pipe(i))
    return found


def main_run(design: Design) -> tuple[Pipe, ...]:
    """Return the run to the connection, upstream first: from the connection up along the largest level drain."""
    net = design.network
    ends = [p for p in net.drains() if net.node(p.end).kind is PointKind.SEWER]
    ends = ends or [p for p in net.drains() if p.role in MAIN and not net.node(p.end).outflow]
    if not ends:
        return ()
    run = [max(ends, key=lambda p: (p.size_in, p.load, p.id))]
    while True:
        here = run[0]
        feeds = [
            p
            for p in (net.pipe(i) for i in net.node(here.start).inflow)
            if p.system == "drain" and not p.vertical and _carries(p, here)
        ]
        if not feeds:
            return tuple(run)
        run.insert(0, max(feeds, key=lambda p: (p.role in MAIN, p.size_in, p.load, p.id)))


def _carries(p: Pipe, below: Pipe) -> bool:
    """Return whether a pipe is part of the main run rather than one fixture's own drain."""
    own = p.role in NOT_MAIN or (p.role is Role.TRAP_ARM and len(p.tags) < 2)
    return not own and p.size_in >= min(3.0, below.size_in)


def ground_level(design: Design) -> HouseLevel:
    """Return the lowest level: what lies under it is in the ground."""
    return min(design.house.levels, key=lambda v: v.order)


def surface_z(design: Design, p: Vec, exit_along: float, along: float, total: float, *, outside: bool = False) -> float:
    """Return what is over a point [mm]: slab underside or crawl floor inside, the ground line outside.

    The ground outside is a straight line from the house, where the run leaves it, to its end: that is all the job says.
    """
    if _inside(design.house.footprint, p) and not outside:
        low = ground_level(design)
        return low.subfloor_z_mm - (low.slab_mm if low.kind == "slab" else 0.0)
    ground = design.house.ground
    span = max(total - exit_along, 1.0)
    t = min(1.0, max(0.0, (along - exit_along) / span))
    return ground.at_house_z_mm + (ground.at_sewer_z_mm - ground.at_house_z_mm) * t


def _inside(foot: Box, p: Vec) -> bool:
    return foot.lo.x <= p.x <= foot.hi.x and foot.lo.y <= p.y <= foot.hi.y


def exit_along(design: Design, run: tuple[Pipe, ...]) -> float:
    """Return how far along the run it leaves the footprint [mm]; its whole length if it does not."""
    here = 0.0
    foot = design.house.footprint
    for p in run:
        if _inside(foot, p.a) and not _inside(foot, p.b):
            return here + design.house.leaves(p.a, p.b).minus(p.a).plan_length
        here += p.plan_mm
    return here


def stations(design: Design, run: tuple[Pipe, ...]) -> tuple[Station, ...]:
    """Return the points of the run, from the upstream end to the connection, the wall of the house among them."""
    total = sum(p.plan_mm for p in run)
    out_at = exit_along(design, run)
    rows: list[tuple[float, str, Vec, float, float]] = []  # along, what, centre, invert, size
    here = 0.0
    for i, p in enumerate(run):
        node = design.network.node(p.start)
        words = point_words(design, node) or "end"
        if i == 0 and words == "turn":
            words = "upstream end"
        rows.append((here, words, p.a, p.a.z - bore_mm(p.size_in) / 2, p.size_in))
        if here < out_at < here + p.plan_mm - 1.0:
            t = (out_at - here) / p.plan_mm
            at = p.a.plus(p.b.minus(p.a).times(t))
            rows.append((out_at, LEAVES, at, at.z - bore_mm(p.size_in) / 2, p.size_in))
        here += p.plan_mm
    last = run[-1]
    node = design.network.node(last.end)
    at_sewer = node.kind is PointKind.SEWER
    words = f"connection, {design.house.sewer.what}" if at_sewer else point_words(design, node) or "end"
    rows.append((here, words, last.b, last.b.z - bore_mm(last.size_in) / 2, last.size_in))
    return tuple(
        Station(
            n,
            words,
            along,
            at,
            invert,
            size,
            surface_z(design, at, out_at, along, total, outside=words == LEAVES),
            _inside(design.house.footprint, at) and words != LEAVES,
        )
        for n, (along, words, at, invert, size) in enumerate(rows, 1)
    )


def crossings(run: tuple[Pipe, ...], box: Box) -> tuple[float, float] | None:
    """Return the stretch of the run that lies over or under a box in plan [mm along], None if it misses."""
    here = 0.0
    hits: list[float] = []
    for p in run:
        n = max(1, math.ceil(p.plan_mm / 20.0))
        for k in range(n + 1):
            q = p.a.plus(p.b.minus(p.a).times(k / n))
            if box.lo.x <= q.x <= box.hi.x and box.lo.y <= q.y <= box.hi.y:
                hits.append(here + p.plan_mm * k / n)
        here += p.plan_mm
    return (min(hits), max(hits)) if hits else None
