"""CLO005 cleanouts-too-far-apart."""

import math

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import incoming
from stubout.checks.openings import lying, nearest_mm, up_from
from stubout.layout.model import Role
from stubout.network.model import Pipe
from stubout.problems import Level
from stubout.rulebooks import queries
from stubout.rulebooks.model import Cell


@check("CLO005", "cleanouts-too-far-apart", Level.FIX)
def rule(on: Review) -> Findings:
    """A lying drain runs farther than a cleanout reaches.

    ## What it checks
    The length of every lying drain, from its upper end or its last cleanout on to the sewer, by size. A cleanout too
    small for the drain opens none of it, nor does one that opens into a branch or into another drain.

    ## Why it matters
    A rod and a cable reach only so far.

    ## Fails
    20 m of 3 in drain without a cleanout where 15 m are allowed.

    ## Passes
    A cleanout half way.

    ## Does not check
    Upright pipes between lying ones: the length starts anew below them.
    """
    told: set[str] = set()
    known: dict[str, tuple[float | None, Cell | None]] = {}  # many drains share the pipes down stream
    for head in on.net.drains():
        if not lying(head) or any(lying(p) for p in incoming(on.net, on.net.node(head.start), "drain")):
            continue
        run_mm = 0.0
        for pipe in (head, *on.net.downstream(head)):
            if not lying(pipe):
                break
            if pipe.id not in known:
                known[pipe.id] = _back_mm(on, pipe), _limit(on, pipe)
            back_mm, limit = known[pipe.id]
            run_mm = pipe.length_mm + (run_mm if back_mm is None else min(run_mm, back_mm))
            if limit is None or run_mm - limit.number <= LENGTH_TOL_MM or pipe.id in told:
                continue
            told.add(pipe.id)
            yield on.finding(
                about=(pipe.id, head.id),
                found=f"{on.mm(run_mm)} of {on.size(pipe.size_in)} drain to the end of {pipe.id} without a cleanout",
                wanted=f"a cleanout every {on.mm(limit.number)}",
                do="set a cleanout on the way, where a person can still reach it",
                why="A rod reaches only so far.",
                bases=(limit,),
                at=pipe.b,
            )
            break


def _limit(on: Review, pipe: Pipe) -> Cell | None:
    """Return how far apart cleanouts may be in a pipe [mm]; None where the book is silent."""
    sewer = on.book.find("cleanout.sewer_spacing") if pipe.role is Role.SEWER else None
    return sewer or on.ask(queries.cleanout_spacing, on.book, pipe.size_in)


def _back_mm(on: Review, pipe: Pipe) -> float | None:
    """Return how far up stream of a pipe a cleanout opens into the drain there [mm], None if none does.

    One in a stack that comes down there opens it too; one in a branch that joins does not.
    """
    return nearest_mm(on, pipe.size_in, up_from(on, pipe.start, math.inf, plumb=True))
