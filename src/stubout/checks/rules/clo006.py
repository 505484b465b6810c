"""CLO006 cleanout-blocked."""

from stubout.checks.base import LEVEL_TOL_MM, TOUCH_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import od_mm
from stubout.checks.space import boxes_meet
from stubout.checks.surroundings import around
from stubout.geometry.vec import Box, Vec
from stubout.house.model import Frame
from stubout.layout.model import CleanoutPlan
from stubout.problems import Level
from stubout.rulebooks import queries

CLOSED = ("drawers", "dishwasher", "range", "refrigerator", "tall", "filler", "panel")
IGNORED = ("zone", "line", "header", "skylight", "soffit")


@check("CLO006", "cleanout-blocked", Level.FIX)
def rule(on: Review) -> Findings:
    """Something stands in front of a cleanout.

    ## What it checks
    The free space in front of every cleanout, as deep as the book asks and as wide as the plug, against cabinets that
    do not open there, fixtures, obstacles and walls. In a crawl space also the height between the ground and what
    hangs over the cleanout, where the book names one.

    ## Why it matters
    A cleanout that cannot be opened when the drain is full is none.

    ## Fails
    A cleanout that faces a drawer bank; one with 200 mm to a wall where 450 mm are asked.

    ## Passes
    A cleanout in the wall behind the doors of a sink base, or facing an open floor.

    ## Does not check
    What is put there later.
    """
    yield from _too_low_to_crawl(on)
    for plan in on.design.cleanouts:
        asked = on.maybe(queries.cleanout_clearance, on.book, plan.size_in)
        depth_mm = asked.number if asked is not None else plan.clearance_mm
        space = _space(on, plan, depth_mm)
        if depth_mm <= 0.0:
            on.skip(f"the book gives no space in front of a cleanout, and neither does the plan of {plan.id}")
        if space is None:
            continue
        for name, what, box in _things(on, plan, space):
            if boxes_meet(space, box, TOUCH_TOL_MM):
                yield on.finding(
                    about=(plan.id, name),
                    found=f"{what} stands in front of cleanout {plan.id}",
                    wanted=f"{on.mm(depth_mm)} free in front of it",
                    do="turn the cleanout, extend it to a free place, or move what stands there",
                    why="A cleanout that cannot be opened is none.",
                    bases=(asked if asked is not None else trade("clearance of a cleanout", on.mm(depth_mm)),),
                    at=on.net.node(plan.point).at,
                )


def _too_low_to_crawl(on: Review) -> Findings:
    """Yield the cleanouts in a crawl space over which there is less height than the book asks."""
    asked = on.book.find("cleanout.crawl_height") or on.book.find("cleanout.underfloor_vertical")
    ground = next((v for v in on.house.levels if v.kind == "ground"), None)
    if asked is None or ground is None:
        return
    for plan in on.design.cleanouts:
        node = on.net.node(plan.point)
        if not any(on.net.pipe(i).place.kind == "crawl" for i in (*node.inflow, *node.outflow)):
            continue
        over = [(f.bottom_z_mm, f"the joists of {f.id}", f.id) for f in on.house.frames if _over(f, node.at)]
        over += [
            (o.box.lo.z, o.what or o.kind, o.id)
            for o in on.house.obstacles
            if o.kind not in IGNORED
            and o.box.lo.z > ground.subfloor_z_mm
            and o.box.lo.x <= node.at.x <= o.box.hi.x
            and o.box.lo.y <= node.at.y <= o.box.hi.y
        ]
        if not over:
            continue
        z_mm, words, thing = min(over)
        short_mm = asked.number - (z_mm - ground.subfloor_z_mm)
        if short_mm > LEVEL_TOL_MM:
            yield on.finding(
                about=(plan.id, thing),
                found=f"cleanout {plan.id} lies where the crawl space is {on.mm(z_mm - ground.subfloor_z_mm)} high, "
                f"under {words}",
                wanted=f"at least {on.mm(asked.number)} of height",
                do="bring the cleanout out from under it, or up through the floor or out of the house",
                why="Nobody can work a rod where there is no height to lie and turn.",
                bases=(asked,),
                at=node.at,
                with_clause=False,  # the clause of this check is the one on the space in front
            )


def _over(frame: Frame, p: Vec) -> bool:
    """Return whether a frame hangs over a place."""
    along, across = (p.x, p.y) if frame.runs == "x" else (p.y, p.x)
    inside = frame.along_lo_mm <= along <= frame.along_hi_mm and frame.across_lo_mm <= across <= frame.across_hi_mm
    return inside and frame.bottom_z_mm > p.z


def _space(on: Review, plan: CleanoutPlan, depth_mm: float) -> Box | None:
    """Return the free space a cleanout needs: its own width, as deep as the book asks."""
    wide = od_mm(on, plan.size_in)
    if wide is None or plan.opens.length == 0.0 or depth_mm <= 0.0:
        return None
    p = on.net.node(plan.point).at
    u = plan.opens.unit()
    start = p.plus(u.times(wide))
    box = around([start, p.plus(u.times(depth_mm))])
    pad = [wide / 2 * (1.0 - abs(c)) for c in u]
    return Box(
        box.lo.minus(type(p)(*pad)),
        box.hi.plus(type(p)(*pad)),
    )


def _things(on: Review, plan: CleanoutPlan, space: Box) -> list[tuple[str, str, Box]]:
    """Return what may stand in front of a cleanout: id, words, box."""
    p = on.net.node(plan.point).at
    out = [(c.id, f"the {c.label or c.kind} of {c.run_id}", c.box) for c in on.house.cabinets if c.kind in CLOSED]
    out += [(o.id, o.what or o.kind, o.box) for o in on.house.obstacles if o.kind not in IGNORED]
    out += [(f.tag, f.title or f.kind.value, f.extent) for f in on.house.fixtures if f.extent is not None]
    for wall in on.house.walls:
        half = wall.depth_mm / 2
        box = around(
            [
                wall.point(s, z, o)
                for s in (0.0, wall.length_mm)
                for z in (wall.bottom_z_mm, wall.top_z_mm)
                for o in (-half, half)
            ]
        )
        inside = box.contains(p, 1.0) or any(
            o.station_mm <= wall.station(space.centre) <= o.station_mm + o.width_mm
            and o.sill_z_mm <= p.z <= o.head_z_mm
            for o in wall.openings
        )
        if not inside:
            out.append((wall.id, f"wall {wall.id}", box))
    holds = {c.id for c in on.house.cabinets if c.kind in CLOSED}  # a plug inside such a box is shut in by it
    return [(name, what, box) for name, what, box in out if name in holds or not box.contains(p, 1.0)]
