"""FLD003 floor-drain-outlet-too-small."""

from stubout.checks.base import Findings, Review, check
from stubout.kinds import FixtureKind
from stubout.problems import Level


@check("FLD003", "floor-drain-outlet-too-small", Level.FIX)
def rule(on: Review) -> Findings:
    """The outlet of a floor drain is smaller than the book's least.

    ## What it checks
    The outlet of every floor drain, as the job gives it.

    ## Why it matters
    Lint and hair close a small outlet under its strainer.

    ## Fails
    A floor drain with a 1-1/2 in outlet where 2 in is asked.

    ## Passes
    2 in.

    ## Does not check
    The strainer itself; the trap (ARM007).
    """
    for body in on.house.fixtures:
        if body.kind is not FixtureKind.FLOOR_DRAIN:
            continue
        least = on.value("floor_drain.outlet_least")
        if least is not None and body.outlet_in < least.number - 1e-6:
            yield on.finding(
                about=(body.tag,),
                found=f"floor drain {body.tag} has a {on.size(body.outlet_in)} outlet",
                wanted=f"at least {on.size(least.number)}",
                do=f"set a floor drain with a {on.size(least.number)} outlet",
                why="Lint and hair close a small outlet under its strainer.",
                bases=(least,),
                at=body.outlet,
                line=body.line,
            )
