"""VNT014 common-vent-overloaded."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import closets, common_at_two_levels, fixture_load, wet_vents
from stubout.problems import Level
from stubout.rulebooks import queries


@check("VNT014", "common-vent-overloaded", Level.FIX)
def rule(on: Review) -> Findings:
    """The upper of two fixtures on a common vent drains too much past the lower, or is a closet.

    ## What it checks
    Two fixtures on one upright drain at two levels, where the book takes that for a common vent: the load of the upper
    one against the size of the drain between them.

    ## Why it matters
    The lower trap breathes through the water of the upper.

    ## Fails
    A tub, 2 fixture units, above a lavatory on 1-1/2 in where 1 is allowed.

    ## Passes
    The tub on 2 in.

    ## Does not check
    Fixtures of one bathroom, which may share a wet vent (WET001); two fixtures at one level.
    """
    for vent in (v for v in wet_vents(on) if common_at_two_levels(on, v)):
        upper = next(t for t in vent.tags if t not in vent.through)
        load = fixture_load(on, upper) or 0.0
        pipe = min(vent.pipes, key=lambda p: (p.size_in, p.id))
        most = on.ask(queries.common_vent_capacity, on.book, pipe.size_in)
        over = most is not None and load - most.number > 1e-6
        if most is None or over or closets(on, (upper,)):
            limit = f"at most {most.number:g} {on.book.load_unit}" if most is not None else "a size of the book's table"
            yield on.finding(
                about=(pipe.id, upper, *vent.through),
                found=f"{upper} drains {load:g} {on.book.load_unit} down the {on.size(pipe.size_in)} common vent "
                f"{pipe.id} of {', '.join(vent.through)}",
                wanted=f"{limit} above, and no closet",
                do=f"vent {', '.join(vent.through)} by itself, or lay {pipe.id} one size larger",
                why="The lower trap breathes through the water of the upper.",
                bases=(most, on.book.find("common_vent.rule")),
                at=pipe.a,
            )
