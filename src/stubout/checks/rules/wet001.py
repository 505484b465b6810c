"""WET001 wet-vent-too-small."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import closets, fixture_load, wet_vents
from stubout.problems import Level
from stubout.rulebooks import queries


@check("WET001", "wet-vent-too-small", Level.FIX)
def rule(on: Review) -> Findings:
    """A wet vent carries more than its size allows while it must also give air.

    ## What it checks
    Every wet pipe by the load that drains through it and the closets that get their air through it.

    ## Why it matters
    A pipe that is too full of water brings no air to the fixtures that count on it.

    ## Fails
    A 2 in wet vent with 4.5 fixture units where 4 are allowed.

    ## Passes
    4 fixture units, or the same pipe in 3 in.

    ## Does not check
    The part of the pipe down stream of the last fixture that is vented through it: that is a plain drain.
    """
    for vent in wet_vents(on):
        for pipe in vent.pipes:
            through = [t for t, ids in vent.through.items() if pipe.id in ids]
            served = closets(on, through)
            closet_load = sum(fixture_load(on, t) or 0.0 for t in closets(on, pipe.tags))
            least = on.ask(
                queries.wet_vent_size,
                on.book,
                load=pipe.load,
                closets=len(served),
                other_load=max(pipe.load - closet_load, 0.0),
            )
            if least is not None and pipe.size_in < least.number - 1e-6:
                yield on.finding(
                    about=(pipe.id, *through),
                    found=f"{on.size(pipe.size_in)} wet vent {pipe.id} carries {pipe.load:g} {on.book.load_unit} "
                    f"and vents {', '.join(through)}",
                    wanted=f"at least {on.size(least.number)}",
                    do=f"lay {pipe.id} in {on.size(least.number)}, or vent {through[-1]} by itself",
                    why="A pipe full of water brings no air to the fixtures that count on it.",
                    bases=(least,),
                    at=pipe.a,
                )
