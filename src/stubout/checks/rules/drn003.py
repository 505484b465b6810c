"""DRN003 drain-reduced."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.checks.facts import incoming, outgoing
from stubout.layout.model import PointKind, Role
from stubout.problems import Level


@check("DRN003", "drain-reduced", Level.STOP)
def rule(on: Review) -> Findings:
    """A drain gets smaller in flow direction.

    ## What it checks
    Every place where drains meet or go on: the pipe going on is not smaller than any that comes in, and the sewer it is
    connected to is not smaller than the last of them.

    ## Why it matters
    What fits through the larger pipe stops at the smaller one.

    ## Fails
    A 3 in drain that goes on as 2 in.

    ## Passes
    A 2 in drain that joins a 3 in drain.

    ## Does not check
    The 4 x 3 closet flange or bend, which the books do not call a reduction; cleanout extensions.
    """
    asked = on.book.find("drain.no_reduction") or trade("drain", "not reduced in flow direction")
    for node in on.net.nodes:
        into = [p for p in incoming(on.net, node, "drain") if p.role != Role.CLEANOUT_EXT]
        out = outgoing(on.net, node, "drain")
        if not into or not out or node.kind == PointKind.FLANGE:
            continue
        big = max(into, key=lambda p: (p.size_in, p.id))
        small = min(out, key=lambda p: (p.size_in, p.id))
        if small.size_in < big.size_in - 1e-6:
            yield on.finding(
                about=(small.id, big.id),
                found=f"{on.size(big.size_in)} drain {big.id} goes on as {on.size(small.size_in)} {small.id}",
                wanted=f"at least {on.size(big.size_in)} from here to the sewer",
                do=f"lay {small.id} and what follows in {on.size(big.size_in)}",
                why="What fits through the larger pipe stops at the smaller one.",
                bases=(asked,),
                at=node.at,
            )
    sewer_in = on.house.sewer.size_in
    for last in on.net.drains():
        if on.net.node(last.end).kind is PointKind.SEWER and sewer_in < last.size_in - 1e-6:
            yield on.finding(
                about=(last.id, "sewer"),
                found=f"{on.size(last.size_in)} drain {last.id} is connected to a sewer of {on.size(sewer_in)}",
                wanted=f"a sewer of at least {on.size(last.size_in)}",
                do="look the size of the sewer up in the job file, or have a larger one laid",
                why="What fits through the larger pipe stops at the smaller one.",
                bases=(asked,),
                at=last.b,
            )
