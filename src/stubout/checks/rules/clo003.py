"""CLO003 turn-without-cleanout."""

from stubout.checks.base import ANGLE_TOL_DEG, Findings, Review, check
from stubout.checks.facts import FIXTURE_PIPES, incoming
from stubout.checks.openings import down_from, lying, nearest_mm, up_from
from stubout.geometry.vec import angle_deg
from stubout.layout.model import Role
from stubout.network.model import Pipe
from stubout.problems import Level
from stubout.rulebooks import queries

AT_MM = 1524.0  # 5 ft along the pipe: what a cleanout serves where the book is silent; common practice, no source


@check("CLO003", "turn-without-cleanout", Level.FIX)
def rule(on: Review) -> Findings:
    """A lying drain turns by more than the book allows without a cleanout.

    ## What it checks
    The turns of every lying drain down stream of its upper end: each by itself, or added up since the last cleanout, as
    the book counts. A rod goes down stream: one cleanout that is large enough for the drain serves the turns as far
    down stream of it along the pipe as the book gives; where turns are added up, one that opens into the drain begins
    the count anew below it, one of a branch that joins there does not. A two-way one serves a turn close above it too.

    ## Why it matters
    A rod does not pass so many turns.

    ## Fails
    A building drain with a quarter turn and no cleanout, where each turn over 45 degrees needs one.

    ## Passes
    Two eighth bends far apart, or a cleanout at the turn.

    ## Does not check
    Turns between upright and lying pipe; trap arms (ARM006); the turn of a branch into the drain it joins, be it the
    drain of a larger stack at its foot or of a fixture whose arm goes straight on.
    """
    limit = on.ask(queries.cleanout_turn, on.book)
    if limit is None:
        return
    total = (c := on.book.find("cleanout.turn_rule")) is not None and c.text == "total"
    serves = on.book.find("cleanout.turn_serves")
    serves_mm = 0.0 if total else serves.number if serves is not None else AT_MM
    told: set[str] = set()
    for head in on.net.drains():
        if not lying(head) or not _begins(on, head):
            continue
        sum_deg = 0.0
        last = head
        for pipe in on.net.downstream(head):
            if not lying(pipe) or _joins(on, last, pipe):
                break
            if not _long(pipe):
                continue
            turn = angle_deg(last.b.minus(last.a).at_z(0.0), pipe.b.minus(pipe.a).at_z(0.0)) if _long(last) else 0.0
            last = pipe
            opened = _opened(on, pipe, serves_mm, AT_MM if turn > ANGLE_TOL_DEG else 0.0)
            sum_deg = 0.0 if opened else (sum_deg + turn if total else turn)
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


def _opened(on: Review, pipe: Pipe, up_mm: float, two_way_mm: float) -> bool:
    """Return whether a cleanout opens into the drain so far up stream of a pipe, or a two-way one so far below."""
    if nearest_mm(on, pipe.size_in, up_from(on, pipe.start, up_mm)) is not None:
        return True
    both = {c.point for c in on.design.cleanouts if "two-way" in c.serves}
    down = {node: mm for node, mm in down_from(on, pipe, two_way_mm).items() if node in both}
    return nearest_mm(on, pipe.size_in, down) is not None


def _begins(on: Review, pipe: Pipe) -> bool:
    """Return whether a lying drain begins with a pipe: all that lies above it joins a stack's foot or a fixture's arm.

    The stack is larger; the arm is no smaller and goes straighter on.
    """
    into = [p for p in incoming(on.net, on.net.node(pipe.start), "drain") if p.role is not Role.CLEANOUT_EXT]
    lies = [p for p in into if lying(p)]
    widest = max((p.size_in for p in lies), default=0.0)
    if any(p.vertical and p.size_in > widest for p in into):
        return True
    way = pipe.b.minus(pipe.a)
    bent = min((angle_deg(p.b.minus(p.a), way) for p in lies if _long(p) and _long(pipe)), default=0.0)
    arms = (p for p in into if p.role in FIXTURE_PIPES and p.size_in >= widest and _long(p) and not p.vertical)
    return not lies or any(angle_deg(p.b.minus(p.a), way) < bent - ANGLE_TOL_DEG for p in arms)


def _joins(on: Review, last: Pipe, pipe: Pipe) -> bool:
    """Return whether the pipe down stream belongs to another drain: a stack's, or one that goes straighter on."""
    if not (_long(pipe) and _long(last)):
        return False
    if _begins(on, pipe):
        return True
    others = [p for p in incoming(on.net, on.net.node(pipe.start), "drain") if p.id != last.id and lying(p)]
    way = pipe.b.minus(pipe.a)
    own = angle_deg(last.b.minus(last.a), way)
    return any(_long(p) and angle_deg(p.b.minus(p.a), way) < own - ANGLE_TOL_DEG for p in others)


def _long(pipe: Pipe) -> bool:
    """Return whether a pipe is long enough to have a direction."""
    return pipe.length_mm > 1.0
