"""TRP002 outlet-too-high-above-trap."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import arms, id_mm
from stubout.kinds import FixtureKind
from stubout.problems import Level
from stubout.rulebooks import queries

DEVELOPED = "trap.outlet_pipe_max"  # books that limit the whole outlet pipe and not only its drop


@check("TRP002", "outlet-too-high-above-trap", Level.FIX)
def rule(on: Review) -> Findings:
    """The drop from a fixture's outlet to its trap weir is longer than the book allows.

    ## What it checks
    The height from the outlet of the fixture down to the water level of its trap; where the book limits the whole
    outlet pipe, the distance in plan is added.

    ## Why it matters
    Water that falls far gains speed, carries the seal over the weir, and the wall of the tailpiece stays foul.

    ## Fails
    A sink outlet 700 mm above the weir where 24 in (610 mm) are allowed.

    ## Passes
    600 mm.

    ## Does not check
    Standpipes (STP001) and closets; fixtures whose outlet height is not known.
    """
    for arm in arms(on):
        body = arm.fixture
        outlet_mm = body.outlet_z_mm if body.outlet is None or body.outlet_z_mm is not None else body.outlet.z
        if arm.closet or body.kind == FixtureKind.CLOTHES_WASHER or outlet_mm is None:
            continue
        limit = on.ask(queries.tailpiece_max, on.book)
        bore_mm = id_mm(on, arm.pipes[0].size_in)
        if limit is None or bore_mm is None:
            continue
        drop_mm = outlet_mm - (arm.start.z - bore_mm / 2)
        if limit.id == DEVELOPED and body.outlet is not None:
            drop_mm += arm.start.minus(body.outlet).plan_length
        if drop_mm - limit.number > LEVEL_TOL_MM:
            yield on.finding(
                about=(body.tag, arm.pipes[0].id),
                found=f"outlet of {body.tag} is {on.mm(drop_mm)} above its trap weir",
                wanted=f"at most {on.mm(limit.number)}",
                do=f"raise the trap and its stub-out by {on.mm(drop_mm - limit.number)}",
                why="Falling water gains speed and carries the seal over the weir.",
                bases=(limit,),
                at=arm.start,
            )
