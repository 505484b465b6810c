"""STB006 stub-out-at-cabinet-seam."""

from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import hub_mm
from stubout.checks.surroundings import boxes_at
from stubout.problems import Level

SIDE_MM = 19.0  # cabinet side, 3/4 in: common practice, no source


@check("STB006", "stub-out-at-cabinet-seam", Level.STOP)
def rule(on: Review) -> Findings:
    """A stub-out comes out where two cabinet boxes meet, or behind a partition.

    ## What it checks
    The hub of every stub-out against the sides of the box it comes out in and against its partition.

    ## Why it matters
    The sides of the boxes stand in front of the pipe; both are cut or the pipe is moved.

    ## Fails
    A stub-out 30 mm from the seam of two boxes.

    ## Passes
    A stub-out in the clear width of its sink base.

    ## Does not check
    Face frames and hinges; risers that stand clear of the wall, inside a box.
    """
    for mark in on.design.stubs:
        hub = hub_mm(on, mark.size_in)
        if hub is None or mark.place.clear:
            continue
        for box in boxes_at(on, mark.wall_id, mark.side, mark.station_mm):
            if box.floor_z_mm is not None and mark.mark_z_mm < box.box.lo.z:
                continue
            edges = [(box.from_station_mm, SIDE_MM, "seam"), (box.to_station_mm, SIDE_MM, "seam")]
            if box.partition_station_mm is not None:
                top = box.partition_hi_z_mm
                if top is None or mark.mark_z_mm - hub / 2 < top:
                    edges.append((box.partition_station_mm, SIDE_MM / 2, "partition"))
            for station, side, word in edges:
                short_mm = hub / 2 + side - abs(mark.station_mm - station)
                if short_mm > TOUCH_TOL_MM:
                    yield on.finding(
                        about=(mark.tag, box.id),
                        found=f"stub-out of {mark.tag} is {on.mm(abs(mark.station_mm - station))} "
                        f"from the {word} of {box.id}",
                        wanted=f"at least {on.mm(hub / 2 + side)}",
                        do=f"move the stub-out {on.mm(short_mm)} away from the {word}",
                        why=f"The {word} stands in front of the pipe.",
                        bases=(trade("stub-out", "inside the clear width of its box"),),
                    )
                    break
