"""TRP002 outlet-too-high-above-trap."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import arms, id_mm
from stubout.house.model import HouseFixture
from stubout.house.outlet_drops import outlet_drop_mm
from stubout.kinds import FixtureKind
from stubout.problems import Level
from stubout.rulebooks import queries


@check("TRP002", "outlet-too-high-above-trap", Level.FIX)
def rule(on: Review) -> Findings:
    """The drop from a fixture's outlet to its trap weir is longer than the book allows.

    ## What it checks
    The height from the outlet of the fixture down to the water level of its trap; where the book limits the whole
    outlet pipe, the distance in plan is added. Of a tub or shower whose sheet is not at hand the outlet is taken as
    high as it may stand; where the drop is too long for that alone, it is a question.

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
        if arm.closet or body.kind == FixtureKind.CLOTHES_WASHER:
            continue
        limit = on.ask(queries.tailpiece_max, on.book)
        bore_mm = id_mm(on, arm.pipes[0].size_in)
        if limit is None or bore_mm is None:
            continue
        drop_mm = outlet_drop_mm(body, arm.start, bore_mm, limit)
        if drop_mm is None or body.drop_from_z_mm is None:
            continue
        over_mm = drop_mm - limit.number
        if over_mm > LEVEL_TOL_MM:
            asked = over_mm - body.outlet_doubt_mm <= LEVEL_TOL_MM
            raised = f"raise the trap and its stub-out by {on.mm(over_mm)}"
            said = f"write the `outlet height` of {body.tag} as its sheet has it, or {raised}"
            taken = queries.tub_outlet_height(body.kind, on.house.job.units) if body.outlet_doubt_mm else None
            where = _where(on, body, body.drop_from_z_mm)
            yield on.finding(
                about=(body.tag, arm.pipes[0].id),
                found=f"outlet of {body.tag}, {where}, is {on.mm(drop_mm)} above its trap weir",
                wanted=f"at most {on.mm(limit.number)}",
                do=said if asked else raised,
                why="Falling water gains speed and carries the seal over the weir.",
                bases=(limit, taken.basis if taken else None),
                at=arm.start,
                level=Level.ASK if asked else None,
                owner="owner" if asked else "",
            )


def _where(on: Review, body: HouseFixture, outlet_z_mm: float) -> str:
    """Return how high an outlet lies above both floors, and whether that is only taken."""
    heights = on.above_floor(outlet_z_mm, body.finished_z_mm, body.subfloor_z_mm)
    return f"{'taken as ' if body.outlet_doubt_mm else ''}{heights}"
