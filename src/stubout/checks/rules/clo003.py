"""CLO003 turn-without-cleanout."""

import math

from stubout.checks.base import ANGLE_TOL_DEG, LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import FIXTURE_PIPES, incoming, openings_for
from stubout.geometry.vec import angle_deg
from stubout.layout.model import Role
from stubout.network.model import Pipe
from stubout.problems import Level
from stubout.rulebooks import queries

AT_MM = 1524.0  # a cleanout within 5 ft along the pipe counts as being at the turn: common practice, no source


@check("CLO003", "turn-without-cleanout", Level.FIX)
def rule(on: Review) -> Findings:
    """A lying drain turns by more than the book allows without a cleanout.

    ## What it checks
    The turns of every lying drain down stream of its upper end: each by itself, or added up since the last cleanout, as
    the book counts. One cleanout that is large enough for the drain serves the turns as far down stream of it along the
    pipe as the book gives, and the turn that it stands at; where turns are added up, one that opens into the drain
    between two turns begins the count anew, one of a branch that joins there does not.

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
    told: set[str] = set()
    for head in on.net.drains():
        if not _lying(head) or any(_lying(p) for p in incoming(on.net, on.net.node(head.start), "drain")):
            continue
        sum_deg = 0.0
        last = head
        for pipe in on.net.downstream(head):
            if not _lying(pipe) or _joins(on, last, pipe):
                break
            if not _long(pipe):
                continue
            turn = angle_deg(last.b.minus(last.a).at_z(0.0), pipe.b.minus(pipe.a).at_z(0.0)) if _long(last) else 0.0
            last = pipe
            at_mm = AT_MM if turn > ANGLE_TOL_DEG else 0.0
            up_mm = at_mm if total or serves is None else max(serves.number, at_mm)
            sum_deg = 0.0 if _opened(on, pipe, up_mm, at_mm) else (sum_deg + turn if total else turn)
            if sum_deg - limit.number <= ANGLE_TOL_DEG:
                continue
            if pipe.start not in told:
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
                    at=pipe.a,
                )
            sum_deg = 0.0


def _opened(on: Review, pipe: Pipe, up_mm: float, down_mm: float) -> bool:
    """Return whether a cleanout opens into the drain within some lengths along it, from the upper end of a pipe."""
    spots = {n.id for n in openings_for(on, pipe.size_in)}
    return bool(spots & (_above(on, pipe.start, up_mm) | _below(on, pipe, down_mm)))


def _above(on: Review, node_id: str, reach_mm: float) -> set[str]:
    """Return the nodes up stream within a length along the pipes; the way in through a cleanout's extension is free."""
    reached = {node_id: 0.0}
    front = [node_id]
    while front:
        here = front.pop()
        for p in incoming(on.net, on.net.node(here), "drain"):
            far_mm = reached[here] + (0.0 if p.role is Role.CLEANOUT_EXT else p.length_mm)
            if far_mm <= reach_mm + LENGTH_TOL_MM and far_mm < reached.get(p.start, math.inf):
                reached[p.start] = far_mm
                front.append(p.start)
    return set(reached)


def _below(on: Review, pipe: Pipe, reach_mm: float) -> set[str]:
    """Return the nodes down stream within a length along a lying drain, with what opens into them."""
    out: set[str] = set()
    far_mm = 0.0
    for p in (pipe, *on.net.downstream(pipe)):
        far_mm += p.length_mm
        if p.vertical or far_mm > reach_mm + LENGTH_TOL_MM:
            break
        out |= _above(on, p.end, 0.0)
    return out


def _joins(on: Review, last: Pipe, pipe: Pipe) -> bool:
    """Return whether the pipe down stream belongs to another drain that goes straighter on through this node."""
    if not (_long(pipe) and _long(last)):
        return False
    others = [p for p in incoming(on.net, on.net.node(pipe.start), "drain") if p.id != last.id and _lying(p)]
    way = pipe.b.minus(pipe.a)
    own = angle_deg(last.b.minus(last.a), way)
    return any(_long(p) and angle_deg(p.b.minus(p.a), way) < own - ANGLE_TOL_DEG for p in others)


def _long(pipe: Pipe) -> bool:
    """Return whether a pipe is long enough to have a direction."""
    return pipe.length_mm > 1.0


def _lying(pipe: Pipe) -> bool:
    """Return whether a pipe is a lying drain that is rodded."""
    return not pipe.vertical and pipe.role not in FIXTURE_PIPES and pipe.role != Role.CLEANOUT_EXT
