"""CIR008 circuit-relief-missing."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import incoming, outgoing
from stubout.checks.methods import SaidDrain, load_from_above, place_of, said_drains
from stubout.layout.model import VentMethod
from stubout.network.model import Node
from stubout.problems import Level


@check("CIR008", "circuit-relief-missing", Level.FIX)
def rule(on: Review) -> Findings:
    """A circuit-vented branch has no relief vent below its last fixture.

    ## What it checks
    Where the book asks for it, always or below the load of upper storeys: that a vent leaves the branch at or below its
    last fixture, or a small drain joins there whose fixture has a vent of its own.

    ## Why it matters
    What comes down the stack presses the air of the branch back through its traps.

    ## Fails
    Four closets on a branch that joins a stack from upstairs, without a relief vent.

    ## Passes
    The same branch with a lavatory, vented by itself, that joins below the last closet.

    ## Does not check
    The size of the relief vent (VNT005); relief vents shared by several branches.
    """
    for drain in said_drains(on, VentMethod.CIRCUIT):
        when = on.value("circuit_vent.relief")
        if when is None or not drain.arms:
            continue
        count = on.book.find("circuit_vent.relief_closets")
        if when.text == "below upper load":
            closets = sum(1 for a in drain.arms if a.closet)
            if count is None or closets < count.number or not load_from_above(on, drain):
                continue
        most = on.book.find("circuit_vent.relief_load")
        if any(_relieves(on, n, drain, most.number if most is not None else 0.0) for n in _below_last(on, drain)):
            continue
        yield on.finding(
            about=(drain.trunk[-1].id, *drain.tags),
            found=f"no relief vent below the last fixture of the circuit-vented branch {drain.trunk[-1].id}",
            wanted=when.printed,
            do="set a relief vent below the last fixture, or let a small vented drain join there",
            why="What comes down the stack presses the air of the branch back through its traps.",
            bases=(when, count, most),
            at=drain.trunk[-1].b,
        )


def _below_last(on: Review, drain: SaidDrain) -> tuple[Node, ...]:
    """Return the nodes from the last fixture of a branch to where it meets a drain with a way of its own."""
    nodes = [drain.trunk[0].start, *(p.end for p in drain.trunk)]
    joints = [i for i in (place_of(on, drain, a.pipes[-1].end) for a in drain.arms) if i is not None]
    if not joints:
        return ()
    return tuple(on.net.node(i) for i in nodes[max(joints) :])


def _relieves(on: Review, node: Node, drain: SaidDrain, most: float) -> bool:
    """Return whether a vent leaves a node, or a small drain joins it that has a vent of its own."""
    if outgoing(on.net, node, "vent"):
        return True
    vented = {t.tag for t in on.net.traps if t.vent_runs}
    own = {p.id for p in drain.pipes} | {p.id for a in drain.arms for p in a.pipes}
    return any(
        0.0 < p.load <= most + 1e-6 and p.id not in own and set(p.tags) <= vented
        for p in incoming(on.net, node, "drain")
    )
