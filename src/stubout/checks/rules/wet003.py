"""WET003 stranger-on-wet-vent."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import WetVent, common_at_two_levels, fixture, fixture_load, wet_vents
from stubout.problems import Level, several


@check("WET003", "stranger-on-wet-vent", Level.FIX)
def rule(on: Review) -> Findings:
    """A fixture outside the bathroom group, or too many groups, share a wet vent.

    ## What it checks
    Everyone who drains into a wet vent or is vented by it, where the book limits it to bathroom groups. An upright wet
    vent, where the book has rules of its own for it: the load of each fixture that drains into it, how many there are
    in all, and its length.

    ## Why it matters
    Long, soapy or pumped discharges keep the pipe full while the others need air.

    ## Fails
    A kitchen sink on the wet vent of a bathroom.

    ## Passes
    Lavatory, tub and closet of one bathroom.

    ## Does not check
    Books that let any fixture on a wet vent; two fixtures on an upright drain that the book takes for a common vent
    (VNT014); fixtures that join down stream and have a vent of their own.
    """
    vents = wet_vents(on)
    most = on.value("wet_vent.groups") if vents else None
    if most is None:
        return
    for vent in vents:
        if on.book.find("wet_vent.vertical_load") is not None and all(p.vertical for p in vent.pipes):
            yield from _upright(on, vent)
            continue
        if common_at_two_levels(on, vent):
            continue
        bodies = [b for b in (fixture(on, t) for t in vent.tags) if b is not None]
        for body in bodies:
            if not body.group:
                yield on.finding(
                    about=(body.tag, vent.pipes[0].id),
                    found=f"{body.title or body.kind.value} {body.tag} is on a wet vent and in no bathroom group",
                    wanted=f"only the fixtures of at most {several(int(most.number), 'bathroom group')}",
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


def _upright(on: Review, vent: WetVent) -> Findings:
    """Yield what an upright wet vent has too much of: load from one fixture, fixtures, length."""
    top = vent.pipes[0]
    each, count = on.book.find("wet_vent.vertical_load"), on.book.find("wet_vent.vertical_fixtures")
    longest = on.book.find("wet_vent.vertical_length")
    for tag in sorted({t for p in vent.pipes for t in p.tags}):
        load = fixture_load(on, tag)
        if each is not None and load is not None and load > each.number + 1e-6:
            yield on.finding(
                about=(tag, top.id),
                found=f"{tag} drains {load:g} {on.book.load_unit} into the upright wet vent {top.id}",
                wanted=f"only fixtures of at most {each.number:g} {on.book.load_unit}",
                do=f"take {tag} off the wet vent and vent it by itself",
                why="Its discharge fills the pipe while the others need air.",
                bases=(each,),
                at=top.a,
            )
    if count is not None and len(vent.tags) > count.number:
        yield on.finding(
            about=(*vent.tags, top.id),
            found=f"{len(vent.tags)} fixtures on the upright wet vent {top.id}",
            wanted=f"at most {count.number:g}",
            do="give one of them a vent of its own",
            why="Too many fixtures fill the pipe at once.",
            bases=(count,),
            at=top.a,
        )
    length_mm = sum(p.length_mm for p in vent.pipes)
    if longest is not None and length_mm - longest.number > LENGTH_TOL_MM:
        yield on.finding(
            about=(top.id,),
            found=f"the upright wet vent {top.id} is {on.mm(length_mm)} long",
            wanted=f"at most {on.mm(longest.number)}",
            do=f"bring its fixtures {on.mm(length_mm - longest.number)} closer together, or vent the lower by itself",
            why="The longer the wet part, the more water stands between the traps and the air.",
            bases=(longest,),
            at=top.a,
        )
