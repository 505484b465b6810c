"""CLO005 cleanouts-too-far-apart."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import FIXTURE_PIPES, cleanouts_for, incoming
from stubout.geometry.vec import Vec
from stubout.layout.model import Role
from stubout.network.model import Pipe
from stubout.problems import Level
from stubout.rulebooks import queries
from stubout.rulebooks.model import Cell

AT_PIPE_MM = 300.0  # a cleanout this near to the line of a pipe opens this pipe: common practice, no source


@check("CLO005", "cleanouts-too-far-apart", Level.FIX)
def rule(on: Review) -> Findings:
    """A lying drain runs farther than a cleanout reaches.

    ## What it checks
    The length of every lying drain, from its upper end or its last cleanout on to the sewer, by size. A cleanout too
    small for the drain opens none of it.

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
        if not _lying(head) or any(_lying(p) for p in incoming(on.net, on.net.node(head.start), "drain")):
            continue
        run_mm = 0.0
        for pipe in (head, *on.net.downstream(head)):
            if not _lying(pipe):
                break
            if pipe.id not in known:
                known[pipe.id] = _last_mm(on, pipe), _limit(on, pipe)
            from_mm, limit = known[pipe.id]
            run_mm = run_mm + pipe.length_mm if from_mm is None else pipe.length_mm - from_mm
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


def _last_mm(on: Review, pipe: Pipe) -> float | None:
    """Return how far along a pipe its last cleanout stands [mm], None if it has none."""
    passed = (_pass_mm(pipe, p) for p in cleanouts_for(on, pipe.size_in))
    return max((t for t in passed if t is not None), default=None)


def _pass_mm(pipe: Pipe, spot: Vec) -> float | None:
    """Return how far along a pipe a cleanout stands [mm], None if it is not at this pipe."""
    if pipe.length_mm <= 1.0:
        return None
    d = pipe.b.minus(pipe.a).unit()
    t = min(max(spot.minus(pipe.a).dot(d), 0.0), pipe.length_mm)
    return t if pipe.a.plus(d.times(t)).minus(spot).plan_length <= AT_PIPE_MM else None


def _lying(pipe: Pipe) -> bool:
    """Return whether a pipe is a lying drain that is rodded."""
    return not pipe.vertical and pipe.role not in FIXTURE_PIPES and pipe.role != Role.CLEANOUT_EXT
