"""CMB005 combination-vent-too-small."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.methods import place_of, said_drains
from stubout.layout.model import VentMethod
from stubout.problems import Level


@check("CMB005", "combination-vent-too-small", Level.FIX)
def rule(on: Review) -> Findings:
    """The vent of a combination drain is too small for the drain, or leaves it above all fixtures.

    ## What it checks
    The area of the largest vent that leaves every combination drain against the part of the drain's own area that the
    book asks for; and that it leaves down stream of the uppermost fixture.

    ## Why it matters
    One vent breathes for the whole drain; a dry end above the fixtures fouls and closes.

    ## Fails
    A 1-1/2 in vent on a 3 in combination drain where half its area is asked.

    ## Passes
    A 2-1/2 in vent.

    ## Does not check
    Books that size this vent like any other (VNT005, VNT006).
    """
    for drain in said_drains(on, VentMethod.COMBINATION):
        part = on.value("combination.vent_area_fraction")
        place = on.book.find("combination.vent_rule")
        if part is None or not drain.vents:
            continue
        vent = max(drain.vents, key=lambda v: (v.size_in, v.id))
        drain_in = max(p.size_in for p in drain.pipes)
        if vent.size_in**2 < part.number * drain_in**2 - 1e-6:
            yield on.finding(
                about=(vent.id, *drain.tags),
                found=f"{on.size(vent.size_in)} vent {vent.id} on a {on.size(drain_in)} combination drain",
                wanted=part.printed,
                do=f"make {vent.id} larger",
                why="One vent breathes for the whole drain.",
                bases=(part,),
                at=vent.a,
            )
        joints = [i for i in (place_of(on, drain, a.pipes[-1].end) for a in drain.arms) if i is not None]
        at = place_of(on, drain, vent.start)
        if joints and at is not None and at < min(joints):
            yield on.finding(
                about=(vent.id, drain.tags[0]),
                found=f"{vent.id} leaves the combination drain up stream of all its fixtures",
                wanted=place.printed if place is not None else "down stream of the uppermost fixture",
                do="let the vent leave down stream of the uppermost fixture",
                why="A dry end above the fixtures fouls and closes.",
                bases=(place or part,),
                at=vent.a,
            )
