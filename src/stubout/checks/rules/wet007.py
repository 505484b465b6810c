"""WET007 storey-overloads-wet-vent."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import fixture, fixture_load, wet_vents
from stubout.problems import Level


@check("WET007", "storey-overloads-wet-vent", Level.FIX)
def rule(on: Review) -> Findings:
    """An upper storey drains more into a wet vent than the book allows.

    ## What it checks
    Where a wet vent passes more than one storey and the book limits it: the load from each storey above the lowest.

    ## Why it matters
    Water from above fills the pipe just where the storey below takes its air.

    ## Fails
    A bath of 6 fixture units draining into the stack that vents the floor drain below it, where 4 are allowed.

    ## Passes
    A kitchen sink of 1.5 fixture units on each storey.

    ## Does not check
    Books that allow one storey only (WET004).
    """
    vents = wet_vents(on)
    most = on.value("wet_vent.storey_load") if vents else None
    if most is None:
        return
    heights = {v.id: v.subfloor_z_mm for v in on.house.levels}
    for vent in vents:
        sums: dict[str, float] = {}
        for tag in vent.tags:
            body = fixture(on, tag)
            if body is not None:
                sums[body.level_id] = sums.get(body.level_id, 0.0) + (fixture_load(on, tag) or 0.0)
        storeys = sorted(sums, key=lambda v: (heights[v], v))
        for level_id in storeys[1:]:
            if sums[level_id] - most.number > 1e-6:
                yield on.finding(
                    about=(level_id, vent.pipes[0].id, *vent.through),
                    found=f"{level_id} drains {sums[level_id]:g} {on.book.load_unit} "
                    "into a wet vent of the storey below",
                    wanted=f"at most {most.number:g} {on.book.load_unit} from a storey above the first",
                    do=f"vent {', '.join(vent.through)} by itself",
                    why="Water from above fills the pipe where the storey below takes its air.",
                    bases=(most,),
                    at=vent.pipes[0].a,
                )
