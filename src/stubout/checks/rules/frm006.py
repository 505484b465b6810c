"""FRM006 outlet-on-joist."""

from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import arms, hub_mm
from stubout.geometry.vec import Vec
from stubout.layout.model import PointKind
from stubout.problems import Level


@check("FRM006", "outlet-on-joist", Level.STOP)
def rule(on: Review) -> Findings:
    """A floor outlet comes down on a joist.

    ## What it checks
    The hub below every closet flange and every other floor outlet against the joists of its floor.

    ## Why it matters
    The joist is cut to make room, and then it is no joist.

    ## Fails
    A closet flange 38 mm from the centre line of a joist: the pipe overlaps it by 26 mm.

    ## Passes
    A flange 99 mm from the joist.

    ## Does not check
    Headed-off joists, unless the job lists them as they stand.
    """
    for arm in arms(on):
        body = arm.fixture
        if not body.floor_outlet:
            continue
        frame = on.house.frame_carrying(body.level_id)
        hub = hub_mm(on, arm.pipes[0].size_in)
        spot = _spot(on, arm.trap.weir, body.outlet)
        if frame is None or hub is None or spot is None:
            continue
        along, across = (spot.x, spot.y) if frame.runs == "x" else (spot.y, spot.x)
        if not frame.along_lo_mm <= along <= frame.along_hi_mm:
            continue
        for centre in frame.centres_mm:
            clear_mm = abs(across - centre) - frame.width_mm / 2 - hub / 2
            if clear_mm < -TOUCH_TOL_MM:
                yield on.finding(
                    about=(body.tag, frame.id),
                    found=f"the hub under {body.tag} overlaps the joist at {on.mm(centre)} of {frame.id} "
                    f"by {on.mm(-clear_mm)}",
                    wanted="pipe and hub clear of the joist",
                    do=f"move the outlet {on.mm(-clear_mm)} away from the joist, or have the joist headed off",
                    why="The joist is cut to make room for the pipe.",
                    bases=(on.framing.find("joist_bore.edge") or trade("joists", "not cut for an outlet"),),
                    at=spot,
                )
                break


def _spot(on: Review, weir: str, outlet: Vec | None) -> Vec | None:
    """Return where the pipe goes down: the flange if there is one, else the outlet of the fixture."""
    node = on.net.node(weir)
    return node.at if node.kind == PointKind.FLANGE else outlet
