"""FLG002 flange-off-its-mark."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check, said, trade
from stubout.checks.facts import fixture
from stubout.layout.model import PointKind
from stubout.problems import Level

SET_MM = 13.0  # 1/2 in: what a closet forgives; common practice, no source


@check("FLG002", "flange-off-its-mark", Level.FIX)
def rule(on: Review) -> Findings:
    """A closet flange is not where the rough-in of its closet wants it.

    ## What it checks
    The place of every flange against the fixture's outlet and the distance its sheet asks from the finished wall. A
    closet that may move by so much, as the job says, may be moved by so much.

    ## Why it matters
    The tank meets the wall, or stands a hand's breadth off it.

    ## Fails
    A flange 330 mm from the finished wall for a closet with a rough-in of 305 mm.

    ## Passes
    305 mm.

    ## Does not check
    Closets without an outlet point in the job.
    """
    for node in on.net.nodes:
        body = fixture(on, node.tag) if node.kind == PointKind.FLANGE else None
        if body is None or body.outlet is None:
            continue
        off_mm = node.at.minus(body.outlet).plan_length
        if off_mm - body.may_move_mm > LENGTH_TOL_MM and off_mm > SET_MM:
            yield on.finding(
                about=(body.tag, node.id),
                found=f"flange of {body.tag} is {on.mm(off_mm)} from its outlet point",
                wanted=f"within {on.mm(max(body.may_move_mm, SET_MM))}",
                do=f"move the flange {on.mm(off_mm)} back, or have the closet moved",
                why="The closet does not stand where it is drawn.",
                bases=(said("outlet point", "job file"),),
                at=node.at,
            )
        wall = next((w for w in on.house.walls if w.id == body.wall_id), None)
        if wall is None or body.from_wall_mm <= 0.0:
            continue
        station = wall.station(node.at)
        face_mm = wall.face_offset(body.side, station, body.finished_z_mm + 100.0)
        have_mm = abs(wall.offset(node.at) - face_mm)
        if abs(have_mm - body.from_wall_mm) > max(SET_MM, body.may_move_mm + LENGTH_TOL_MM):
            yield on.finding(
                about=(body.tag, wall.id),
                found=f"flange of {body.tag} is {on.mm(have_mm)} from the finished wall {wall.id}",
                wanted=f"{on.mm(body.from_wall_mm)}, the rough-in of its sheet",
                do=f"move the flange {on.mm(abs(have_mm - body.from_wall_mm))} "
                + ("nearer to" if have_mm > body.from_wall_mm else "away from")
                + " the wall",
                why="The tank meets the wall or stands off it.",
                bases=(on.book.find("closet.rough_in") or trade("rough-in", "fixture sheet"),),
                at=node.at,
            )
