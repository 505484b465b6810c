"""WET008 too-much-vented-load-on-wet-vent."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import arms, fixture_load, wet_vents
from stubout.problems import Level


@check("WET008", "too-much-vented-load-on-wet-vent", Level.FIX)
def rule(on: Review) -> Findings:
    """Fixtures with vents of their own drain more into a wet vent than the book allows.

    ## What it checks
    The load of all fixtures that drain into a wet vent but are neither vented by it nor those whose dry vent it goes on
    from.

    ## Why it matters
    Their water takes the room that the wet vent needs for air.

    ## Fails
    A kitchen sink and a laundry tray, 3 fixture units, each vented by itself, on a wet vent where 2 are allowed.

    ## Passes
    The kitchen sink alone, 1.5 fixture units.

    ## Does not check
    Books that set no such load.
    """
    for vent in wet_vents(on):
        wet = {i for ids in vent.through.values() for i in ids}
        heads = {p.start for p in vent.pipes if p.id in wet}
        givers = {a.trap.tag for a in arms(on) if a.pipes[-1].end in heads and a.trap.tag not in vent.through}
        inside = {t for p in vent.pipes if p.id in wet for t in p.tags}
        guests = sorted(inside - givers - set(vent.through))
        most = on.value("wet_vent.extra_load") if guests else None
        load = sum(fixture_load(on, t) or 0.0 for t in guests)
        if most is not None and load - most.number > 1e-6:
            yield on.finding(
                about=(vent.pipes[0].id, *guests),
                found=f"{', '.join(guests)} drain {load:g} {on.book.load_unit} into the wet vent {vent.pipes[0].id}",
                wanted=f"at most {most.number:g} {on.book.load_unit} of fixtures with vents of their own",
                do="join them down stream of the wet vent",
                why="Their water takes the room that the wet vent needs for air.",
                bases=(most,),
                at=vent.pipes[0].a,
            )
