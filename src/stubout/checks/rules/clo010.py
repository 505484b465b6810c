"""CLO010 cleanout-at-cabinet-seam."""

from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import od_mm
from stubout.checks.surroundings import boxes_at
from stubout.problems import Level

SIDE_MM = 19.0  # cabinet side, 3/4 in: common practice, no source


@check("CLO010", "cleanout-at-cabinet-seam", Level.FIX)
def rule(on: Review) -> Findings:
    """A cleanout opens where two cabinet boxes meet, behind a partition or above a shelf edge.

    ## What it checks
    Cleanouts in a wall behind cabinets, or carried out of it into one: the plug must lie in the clear width of one box.

    ## Why it matters
    The plug cannot be turned out past the cabinet's side.

    ## Fails
    A cleanout 20 mm from the seam of two sink bases.

    ## Passes
    A cleanout in the middle of a sink base.

    ## Does not check
    Boxes that do not open at all (CLO006).
    """
    for plan in on.design.cleanouts:
        p = on.net.node(plan.point).at
        wide = od_mm(on, plan.size_in)
        if wide is None or plan.opens.length == 0.0:
            continue
        for wall in on.house.walls:
            facing = plan.opens.unit().dot(wall.leftward)
            if abs(facing) < 0.7:
                continue
            in_wall = abs(wall.offset(p)) <= wall.depth_mm / 2 + wide
            if not wall.bottom_z_mm <= p.z <= wall.top_z_mm:
                continue
            station = wall.station(p)
            for box in boxes_at(on, wall.id, "left" if facing > 0 else "right", station):
                if not box.box.lo.z <= p.z <= box.box.hi.z or not (in_wall or box.box.contains(p)):
                    continue
                edges = [(box.from_station_mm, SIDE_MM), (box.to_station_mm, SIDE_MM)]
                if box.partition_station_mm is not None:
                    edges.append((box.partition_station_mm, SIDE_MM / 2))
                short_mm = max(wide / 2 + side - abs(station - edge) for edge, side in edges)
                if short_mm > TOUCH_TOL_MM:
                    yield on.finding(
                        about=(plan.id, box.id),
                        found=f"cleanout {plan.id} opens at the side of {box.id}",
                        wanted="the whole plug inside the clear width of one box",
                        do=f"move the cleanout {on.mm(short_mm)} towards the middle of the box",
                        why="The plug cannot be turned out past the cabinet's side.",
                        bases=(trade("cleanout", "inside the clear width of its box"),),
                        at=p,
                    )
