"""WET011 wet-vent-offset-too-long."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import fixture, wet_vents
from stubout.problems import Level


@check("WET011", "wet-vent-offset-too-long", Level.FIX)
def rule(on: Review) -> Findings:
    """A wet vent of several storeys is offset farther than the book allows.

    ## What it checks
    The lying pieces of every wet vent that serves fixtures of several storeys, against the limit for their size.

    ## Why it matters
    In the offset the water runs full and the storey below is without air.

    ## Fails
    An offset of 1.5 m in a 2 in wet vent where 1.2 m are allowed.

    ## Passes
    1.1 m.

    ## Does not check
    Wet vents of one storey; books that keep a wet vent to one storey (WET004).
    """
    for vent in wet_vents(on):
        storeys = {b.level_id for b in (fixture(on, t) for t in vent.tags) if b is not None}
        if len(storeys) < 2:
            continue
        lying = [p for p in vent.pipes if not p.vertical]
        run_mm = sum(p.length_mm for p in lying)
        if not lying:
            continue
        small = max(p.size_in for p in lying) <= 2.0
        most = on.value("wet_vent.offset_small" if small else "wet_vent.offset_large")
        if most is not None and run_mm - most.number > LENGTH_TOL_MM:
            yield on.finding(
                about=tuple(p.id for p in lying),
                found=f"the wet vent of {len(storeys)} storeys lies for {on.mm(run_mm)} at {lying[0].id}",
                wanted=f"an offset of at most {on.mm(most.number)}",
                do=f"shorten the offset by {on.mm(run_mm - most.number)}, or vent the lower storey by itself",
                why="In the offset the water runs full and the storey below is without air.",
                bases=(most,),
                at=lying[0].a,
            )
