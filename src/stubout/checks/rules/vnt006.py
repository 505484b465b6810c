"""VNT006 vent-too-long-for-load."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import arms
from stubout.layout.model import Role
from stubout.network.model import Pipe
from stubout.problems import Level
from stubout.rulebooks import queries


@check("VNT006", "vent-too-long-for-load", Level.FIX)
def rule(on: Review) -> Findings:
    """A vent is too small for the fixture units it serves over its developed length.

    ## What it checks
    Every vent, by its load and its developed length as the book measures it, against the book's table; stack vents by
    the size of the stack.

    ## Why it matters
    Air loses pressure along the pipe; a long thin vent starves the traps.

    ## Fails
    A 1-1/2 in branch vent with 8 fixture units over 35 m where 30 m are allowed.

    ## Passes
    The same vent over 29 m.

    ## Does not check
    Individual and common vents where the book ignores their length; vents without load or length in the design.
    """
    ignored = on.book.find("vent.individual_length")
    free = ignored is not None and ignored.text == "ignored"
    lift = on.book.find("vent.horizontal_lift")
    sizes = {a.trap.tag: a.size_in for a in arms(on)}
    for vent in on.net.vents():
        if vent.load <= 0.0 or vent.vent_length_mm <= 0.0 or (free and vent.role == Role.VENT):
            continue
        if lift is not None and _larger_than_load(on, vent):
            continue
        stack = vent.role == Role.STACK_VENT
        stack_in = _stack_in(on, vent.start) if stack else 0.0
        least = on.ask(
            queries.vent_capacity,
            on.book,
            load=vent.load,
            length_mm=vent.vent_length_mm,
            stack=stack and stack_in > 0.0,
            stack_in=stack_in if stack_in > 0.0 else max((sizes.get(t, 0.0) for t in vent.tags), default=0.0),
        )
        if least is not None and vent.size_in < least.number - 1e-6:
            yield on.finding(
                about=(vent.id,),
                found=f"{vent.id} is {on.size(vent.size_in)} for {vent.load:g} {on.book.load_unit} "
                f"over {on.mm(vent.vent_length_mm)}",
                wanted=f"at least {on.size(least.number)} for this load and length",
                do=f"lay the vent in {on.size(least.number)} over its whole length, or shorten it",
                why="Air loses pressure along the pipe and the traps are starved.",
                bases=(least,),
                at=vent.a,
            )


def _larger_than_load(on: Review, vent: Pipe) -> bool:
    """Return whether a vent is larger than its load alone asks, which lifts the length in books that say so."""
    least = on.maybe(queries.vent_capacity, on.book, load=vent.load, length_mm=0.0, stack=False, stack_in=0.0)
    return least is not None and vent.size_in > least.number + 1e-6


def _stack_in(on: Review, node_id: str) -> float:
    """Return the size of the stack below a stack vent, following the vent down; 0 if none is found."""
    seen: set[str] = set()
    here = node_id
    while here not in seen:
        seen.add(here)
        node = on.net.node(here)
        below = [on.net.pipe(i) for i in node.outflow]
        stacks = [p.size_in for p in below if p.system == "drain" and p.vertical]
        if stacks:
            return stacks[0]  # one drain goes on below
        up = [on.net.pipe(i) for i in node.inflow if on.net.pipe(i).role == Role.STACK_VENT]
        if not up:
            return 0.0
        here = up[0].start
    return 0.0
