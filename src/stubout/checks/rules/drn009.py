"""DRN009 dead-end."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check, trade
from stubout.layout.model import PointKind, Role
from stubout.problems import Level


@check("DRN009", "dead-end", Level.FIX)
def rule(on: Review) -> Findings:
    """A piece of drain has nothing draining into it.

    ## What it checks
    Every drain without a fixture up stream, unless it carries a cleanout or a capped provision.

    ## Why it matters
    Waste washes back into it and lies there.

    ## Fails
    A stub of 600 mm left from an earlier plan.

    ## Passes
    The extension of a cleanout, or the capped drain of a future bath.

    ## Does not check
    Existing pipes the job does not describe.
    """
    for pipe in on.net.drains():
        if pipe.tags or pipe.load > 0.0 or pipe.role == Role.CLEANOUT_EXT or pipe.length_mm <= LENGTH_TOL_MM:
            continue
        start = on.net.node(pipe.start)
        if start.kind in (PointKind.CLEANOUT, PointKind.CAP) or start.inflow:
            continue
        yield on.finding(
            about=(pipe.id,),
            found=f"nothing drains into {pipe.id}, {on.mm(pipe.length_mm)} long",
            wanted="no dead end, cleanout extensions and capped provisions excepted",
            do="take the pipe out, or end it in a cleanout",
            why="Waste washes back into it and lies there.",
            bases=(trade("dead ends", "not allowed"),),
            at=pipe.a,
        )
