"""SUP001 support-missing."""

import itertools

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.layout.model import Role
from stubout.problems import Level
from stubout.rulebooks import queries

HUNG = ("joist bay", "below frame", "soffit", "crawl", "attic", "room")


@check("SUP001", "support-missing", Level.FIX)
def rule(on: Review) -> Findings:
    """A hung pipe has a longer free span than the book allows.

    ## What it checks
    The hangers on every lying pipe that hangs in or under the frame: the longest gap between them and to the ends.
    A bored joist carries the pipe as a hanger does.

    ## Why it matters
    The pipe sags, the fall is lost and water stands in it.

    ## Fails
    3 m of ABS with one hanger in the middle where 1.2 m are allowed.

    ## Passes
    The same pipe with hangers every 1.2 m.

    ## Does not check
    Pipes in walls, where the studs carry them, and buried pipes, where the bed does; upright pipes.
    """
    hangers = on.design.fabrication.hangers
    if not hangers and not on.design.fabrication.pieces:
        on.skip("the design has no list of supports")
        return
    for pipe in on.net.pipes:
        if pipe.vertical or pipe.place.kind not in HUNG or pipe.role == Role.TRAP_ARM:
            continue
        limit = on.ask(queries.hanger_spacing, on.book, on.house.job.material, "horizontal", pipe.size_in)
        if limit is None or pipe.length_mm - limit.number <= LENGTH_TOL_MM:
            continue
        bored = [b.centre for b in on.design.fabrication.bores if b.pipe == pipe.id]
        spots = sorted(p.to(pipe.a) for p in (*(h.at for h in hangers if h.pipe == pipe.id), *bored))
        marks = [0.0, *spots, pipe.length_mm]
        gap_mm = max(b - a for a, b in itertools.pairwise(marks))
        if gap_mm - limit.number > LENGTH_TOL_MM:
            yield on.finding(
                about=(pipe.id,),
                found=f"{on.mm(gap_mm)} of {pipe.id} without a support",
                wanted=f"a support every {on.mm(limit.number)}",
                do=f"set {max(1, int((gap_mm - LENGTH_TOL_MM) // limit.number))} more on this span",
                why="The pipe sags and water stands in it.",
                bases=(limit,),
                at=pipe.a,
            )
