"""WET002 closet-upstream-in-wet-vent."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import closets, wet_vents
from stubout.problems import Level


@check("WET002", "closet-upstream-in-wet-vent", Level.FIX)
def rule(on: Review) -> Findings:
    """A closet drains into a wet vent above a fixture that gets its air through it.

    ## What it checks
    Where the book asks for an order: no closet drains through a pipe that vents another kind of fixture; through an
    upright one, where the book orders only those.

    ## Why it matters
    A flush fills the pipe and cuts off the air of everything down stream.

    ## Fails
    Lavatory, closet, tub in this order along a wet vent.

    ## Passes
    Lavatory, tub, closet.

    ## Does not check
    Books that set no order.
    """
    vents = wet_vents(on)
    order = on.value("wet_vent.order") if vents else None
    if order is None:
        return
    everywhere = any(w in order.text for w in ("downstream", "last"))
    if not everywhere and "(vertical)" not in order.text:
        return
    everyone = set(closets(on, [f.tag for f in on.house.fixtures]))
    for vent in vents:
        for tag, ids in vent.through.items():
            if tag in everyone:
                continue
            for pipe in vent.pipes:
                above = closets(on, pipe.tags) if pipe.id in ids and (everywhere or pipe.vertical) else ()
                if not above:
                    continue
                yield on.finding(
                    about=(tag, *above, pipe.id),
                    found=f"{', '.join(above)} drains through {pipe.id}, which vents {tag}",
                    wanted=f"order of a wet vent: {order.text}",
                    do=f"bring {tag} in above {above[0]}, or vent it by itself",
                    why="A flush fills the pipe and cuts off the air of what lies down stream.",
                    bases=(order,),
                    at=pipe.b,
                )
                break
