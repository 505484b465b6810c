"""CLO003 turn-without-cleanout."""

from stubout.checks.base import ANGLE_TOL_DEG, Findings, Review, check
from stubout.checks.facts import FIXTURE_PIPES, cleanouts_for, incoming
from stubout.geometry.vec import angle_deg
from stubout.layout.model import Role
from stubout.network.model import Pipe
from stubout.problems import Level
from stubout.rulebooks import queries

AT_MM = 1524.0  # a cleanout within 5 ft counts as being at the turn: common practice, no source


@check("CLO003", "turn-without-cleanout", Level.FIX)
def rule(on: Review) -> Findings:
    """A lying drain turns by more than the book allows without a cleanout.

    ## What it checks
    The turns of every lying drain down stream of its upper end: each by itself, or added up since the last cleanout, as
    the book counts. One cleanout that is large enough for the drain serves the turns within the distance the book
    gives.

    ## Why it matters
    A rod does not pass so many turns.

    ## Fails
    A building drain with a quarter turn and no cleanout, where each turn over 45 degrees needs one.

    ## Passes
    Two eighth bends far apart, or a cleanout at the turn.

    ## Does not check
    Turns between upright and lying pipe; trap arms (ARM006); the turn of a branch into the drain it joins.
    """
    limit = on.ask(queries.cleanout_turn, on.book)
    if limit is None:
        return
    total = (c := on.book.find("cleanout.turn_rule")) is not None and c.text == "total"
    serves = on.book.find("cleanout.turn_serves")
    reach_mm = serves.number if serves is not None else AT_MM
    told: set[str] = set()
    for head in on.net.drains():
        if not _lying(head) or any(_lying(p) for p in incoming(on.net, on.net.node(head.start), "drain")):
            continue
        sum_deg = 0.0
        last = head
        for pipe in on.net.downstream(head):
            if not _lying(pipe):
                break
            if _joins(on, last, pipe):
                break
            here = on.net.node(pipe.start).at
            if pipe.length_mm <= 1.0 or last.length_mm <= 1.0:
                continue
            turn = angle_deg(last.b.minus(last.a).at_z(0.0), pipe.b.minus(pipe.a).at_z(0.0))
            spots = cleanouts_for(on, pipe.size_in)
            covered = any(here.to(p) <= (AT_MM if total else reach_mm) for p in spots)
            sum_deg = 0.0 if covered else (sum_deg + turn if total else turn)
            last = pipe
            if sum_deg - limit.number > ANGLE_TOL_DEG and pipe.start not in told:
                told.add(pipe.start)
                yield on.finding(
                    about=(pipe.id, head.id, pipe.start),
                    found=f"the drain has turned {sum_deg:.0f} degrees by {pipe.start}, counted from {head.start} or "
                    "the last cleanout"
                    if total
                    else f"the drain turns {sum_deg:.0f} degrees at {pipe.start} with no cleanout",
                    wanted=f"a cleanout for {'every ' if total else 'each turn over '}{limit.number:.0f} degrees"
                    + (" of turn in all" if total else ""),
                    do="set a cleanout at the turn, or take the turn out",
                    why="A rod does not pass so many turns.",
                    bases=(limit, serves),
                    at=here,
                )
                sum_deg = 0.0


def _joins(on: Review, last: Pipe, pipe: Pipe) -> bool:
    """Return whether the pipe down stream belongs to another drain that goes straighter on through this node."""
    others = [p for p in incoming(on.net, on.net.node(pipe.start), "drain") if p.id != last.id and _lying(p)]
    way = pipe.b.minus(pipe.a)
    if pipe.length_mm <= 1.0 or last.length_mm <= 1.0:
        return False
    own = angle_deg(last.b.minus(last.a), way)
    return any(p.length_mm > 1.0 and angle_deg(p.b.minus(p.a), way) < own - ANGLE_TOL_DEG for p in others)


def _lying(pipe: Pipe) -> bool:
    """Return whether a pipe is a lying drain that is rodded."""
    return not pipe.vertical and pipe.role not in FIXTURE_PIPES and pipe.role != Role.CLEANOUT_EXT
