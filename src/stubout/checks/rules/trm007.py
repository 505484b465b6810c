"""TRM007 frost-size-begins-too-high."""

from collections.abc import Iterator

from stubout.catalog import queries as catalog
from stubout.catalog.shipped import SHIPPED
from stubout.checks.base import BORE_TOL_MM, LEVEL_TOL_MM, TOUCH_TOL_MM, Findings, Review, check
from stubout.checks.facts import hub_mm, incoming, terminals
from stubout.geometry.vec import Vec
from stubout.house.framing import Wall
from stubout.network.model import Node, Pipe
from stubout.network.standing import walls_of
from stubout.problems import Level
from stubout.rulebooks import queries


@check("TRM007", "frost-size-begins-too-high", Level.FIX)
def rule(on: Review) -> Findings:
    """A vent enlarged against frost grows too near to the roof, where it is cold already.

    ## What it checks
    Where vents may freeze shut: how far every enlargement on the way to a terminal lies below the top of the warm part
    of the house, against the book. The warm part ends at a sloped ceiling, at the ceiling under an attic that the job
    calls cold, else at the roof. Where the larger vent would come down into a wall whose studs do not hold its hubs, or
    take no hole for it where it lies, what to do names that wall.

    ## Why it matters
    The small pipe under the enlargement freezes shut first, and the large one above it keeps nothing open.

    ## Fails
    A 1-1/2 in vent that becomes 3 in 150 mm below the roof, where 1 ft inside the warm part is asked.

    ## Passes
    The same vent enlarged 310 mm below the sloped ceiling; a vent that is 3 in all the way.

    ## Does not check
    The size itself (TRM003). Attics that the job calls neither warm nor cold, where an enlargement lies in one.
    """
    if not on.house.climate.frost_prone_vents:
        return
    for node in terminals(on):
        for top in incoming(on.net, node, "vent"):
            change = _enlarged_at(on, top)
            if change is None:
                continue
            inside = on.value("terminal.frost_inside")
            if inside is None:
                return
            warm = _warm_top(on, change.at)
            if warm is None:
                continue
            low_mm, words = warm[0] - change.at.z, warm[1]
            short_mm = inside.number - low_mm
            if short_mm > LEVEL_TOL_MM:
                where = f"{on.mm(low_mm)} below" if low_mm >= 0.0 else f"{on.mm(-low_mm)} above"
                yield on.finding(
                    about=(node.id, change.id, top.id),
                    found=f"the vent to {node.id} becomes {on.size(top.size_in)} at {change.id}, {where} {words}",
                    wanted=f"enlarged at least {inside.printed} below it, where it is warm",
                    do=f"set the enlargement {on.mm(short_mm)} lower{_in_thin_wall(on, change, top.size_in, short_mm)}",
                    why="The small pipe in the cold freezes shut below the large one.",
                    bases=(inside,),
                    at=change.at,
                )


def _enlarged_at(on: Review, top: Pipe) -> Node | None:
    """Return the highest place where a vent grows on its way to the terminal, None if it never does."""
    pipe, seen = top, {top.id}
    while True:
        node = on.net.node(pipe.start)
        widest = _widest_below(on, node, seen)
        if widest is None:
            return None
        if widest.size_in < pipe.size_in - 1e-6:
            return node
        seen.add(widest.id)
        pipe = widest


def _widest_below(on: Review, node: Node, seen: set[str]) -> Pipe | None:
    """Return the widest vent that comes up to a node, those already seen left out; None if there is none."""
    below = [p for p in incoming(on.net, node, "vent") if p.id not in seen]
    return max(below, key=lambda p: (p.size_in, p.id), default=None)


def _in_thin_wall(on: Review, change: Node, size_in: float, lower_mm: float) -> str:
    """Return what the wall has to be that the larger vent would come down into; nothing where it fits."""
    hub = hub_mm(on, size_in)
    if hub is None:
        return ""
    low_z = change.at.z - lower_mm
    for pipe in _down_to(on, change, low_z):
        p = pipe.a if pipe.a.z >= low_z or not pipe.vertical else _at_height(pipe, low_z)
        for wall in walls_of(pipe, on.house.walls):
            if not wall.bottom_z_mm < p.z < wall.top_at(wall.station(p)):
                continue
            if hub - wall.depth_mm > TOUCH_TOL_MM:
                fits = next((v.name for v in SHIPPED.lumber if v.depth_mm >= hub), "")
                studs = f"built of {fits} studs or " if fits else ""
                return (
                    f", and have {wall.id} {studs}furred out to {on.mm(hub)}: the hubs of a {on.size(size_in)} vent "
                    f"stand out of its {on.mm(wall.depth_mm)} studs"
                )
            if _hole_too_large(on, wall, pipe, size_in):
                return (
                    f", and have {wall.id} built of deeper studs: its {on.mm(wall.depth_mm)} studs take no hole for a "
                    f"{on.size(size_in)} vent that lies in it"
                )
    return ""


def _down_to(on: Review, change: Node, low_z: float) -> Iterator[Pipe]:
    """Yield the vents from an enlargement down to a height, the widest where several come up [house z, mm]."""
    node, seen = change, set[str]()
    while node.at.z > low_z:
        pipe = _widest_below(on, node, seen)
        if pipe is None:
            return
        seen.add(pipe.id)
        yield pipe
        node = on.net.node(pipe.start)


def _at_height(pipe: Pipe, z_mm: float) -> Vec:
    """Return the point of a rising pipe at a height [house z, mm]."""
    part = (z_mm - pipe.a.z) / (pipe.b.z - pipe.a.z)
    return pipe.a.plus(pipe.b.minus(pipe.a).times(part))


def _hole_too_large(on: Review, wall: Wall, pipe: Pipe, size_in: float) -> bool:
    """Return whether a vent that lies in a wall would pass a stud which takes no hole of its size."""
    lo, hi = sorted((wall.station(pipe.a), wall.station(pipe.b)))
    if pipe.vertical or not any(lo < stud.station_mm < hi for stud in wall.studs):
        return False
    hole = on.maybe(catalog.tight_hole_mm, size_in)
    limit = on.maybe(queries.stud_bore_limit, on.framing, wall.depth_mm, bearing=wall.bearing, exterior=wall.exterior)
    return hole is not None and limit is not None and hole > limit.number + BORE_TOL_MM


def _warm_top(on: Review, p: Vec) -> tuple[float, str] | None:
    """Return where the warm part ends above a place, house z [mm], in words too; None, with the reason, if unknown."""
    roof = on.house.roof_over(p)
    if roof is None:
        on.skip("no roof is known above an enlarged vent")
        return None
    surface = roof.z_at(p.x, p.y)
    if roof.ceiling_below_mm is not None:
        return surface - roof.ceiling_below_mm, "the sloped ceiling"
    ceilings = [
        v.ceiling_z_mm
        for v in on.house.levels
        if v.attic_above and v.ceiling_z_mm is not None and v.ceiling_z_mm < surface
    ]
    ceiling = max(ceilings, default=None)
    if ceiling is not None and "attic" in on.house.wishes.cold_spaces:
        return ceiling, "the ceiling under the cold attic"
    if ceiling is not None and p.z > ceiling:
        on.skip("an enlarged vent lies in an attic that the job does not call cold or warm; judged from the roof only")
    return surface, "the roof"
