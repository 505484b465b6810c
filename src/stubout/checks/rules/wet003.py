"""WET003 stranger-on-wet-vent."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import fixture, wet_vents
from stubout.problems import Level


@check("WET003", "stranger-on-wet-vent", Level.FIX)
def rule(on: Review) -> Findings:
    """A fixture outside the bathroom group, or too many groups, share a wet vent.

    ## What it checks
    Everyone who drains into a wet vent or is vented by it, where the book limits it to bathroom groups.

    ## Why it matters
    Long, soapy or pumped discharges keep the pipe full while the others need air.

    ## Fails
    A kitchen sink on the wet vent of a bathroom.

    ## Passes
    Lavatory, tub and closet of one bathroom.

    ## Does not check
    Books that let any fixture on a wet vent; fixtures that join down stream and have a vent of their own.
    """
    vents = wet_vents(on)
    most = on.value("wet_vent.groups") if vents else None
    if most is None:
        return
    for vent in vents:
        bodies = [b for b in (fixture(on, t) for t in vent.tags) if b is not None]
        for body in bodies:
            if not body.group:
                yield on.finding(
                    about=(body.tag, vent.pipes[0].id),
                    found=f"{body.title or body.kind.value} {body.tag} is on a wet vent and in no bathroom group",
                    wanted=f"only the fixtures of at most {most.number:g} bathroom group(s)",
                    do=f"take {body.tag} off the wet vent and vent it by itself",
                    why="Its discharge keeps the pipe full while the others need air.",
                    bases=(most, on.book.find("wet_vent.members")),
                    at=vent.pipes[0].a,
                )
        groups = sorted({b.group for b in bodies if b.group})
        if len(groups) > most.number:
            yield on.finding(
                about=(*groups, vent.pipes[0].id),
                found=f"{len(groups)} bathrooms share a wet vent: {', '.join(groups)}",
                wanted=f"at most {most.number:g}",
                do="give one of the bathrooms its own vent",
                why="Too many fixtures fill the pipe at once.",
                bases=(most,),
                at=vent.pipes[0].a,
            )
