"""DRN005 too-many-closets."""

from typing import Literal

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import closets
from stubout.problems import Level
from stubout.rulebooks import queries


@check("DRN005", "too-many-closets", Level.FIX)
def rule(on: Review) -> Findings:
    """More closets drain through a pipe than the book allows for its size.

    ## What it checks
    The closets up stream of every drain, upright and lying, future ones included.

    ## Why it matters
    Two flushes at once fill the pipe and push the water of the third closet up.

    ## Fails
    A third closet on a lying 3 in drain where the book allows two.

    ## Passes
    The drain enlarged to 4 in where the third closet joins.

    ## Does not check
    Books that set no number.
    """
    for pipe in on.net.drains():
        tags = closets(on, pipe.tags)
        if not tags:
            continue
        way: Literal["horizontal", "vertical"] = "vertical" if pipe.vertical else "horizontal"
        limit = on.ask(queries.max_closets, on.book, pipe.size_in, way)
        if limit is not None and len(tags) > limit.number + 1e-6:
            yield on.finding(
                about=(pipe.id, *tags),
                found=f"{len(tags)} closets on {on.size(pipe.size_in)} {pipe.role.value} {pipe.id}",
                wanted=f"at most {limit.number:g} on {'an upright' if pipe.vertical else 'a lying'} "
                f"{on.size(pipe.size_in)} pipe",
                do=f"lay {pipe.id} and what follows one size larger, or part the closets",
                why="Flushes at once fill the pipe and rise in the next closet.",
                bases=(limit,),
                at=pipe.a,
            )
