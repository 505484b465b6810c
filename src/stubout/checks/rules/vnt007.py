"""VNT007 vent-reduced."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.checks.facts import incoming, outgoing
from stubout.problems import Level


@check("VNT007", "vent-reduced", Level.FIX)
def rule(on: Review) -> Findings:
    """A vent gets smaller on its way to the open air.

    ## What it checks
    Every place where vents meet or go on: the pipe going on is not smaller than any vent that comes in.

    ## Why it matters
    The narrowest place decides how much air comes through.

    ## Fails
    A 2 in vent that goes on as 1-1/2 in.

    ## Passes
    A 1-1/2 in vent that goes on as 2 in.

    ## Does not check
    The join of a vent with its drain, and where one vent splits into two: each is sized on its own.
    """
    for node in on.net.nodes:
        into = incoming(on.net, node, "vent")
        out = outgoing(on.net, node, "vent")
        if len(out) != 1 or not into:
            continue
        big = max(into, key=lambda p: (p.size_in, p.id))
        if out[0].size_in < big.size_in - 1e-6:
            yield on.finding(
                about=(out[0].id, big.id),
                found=f"{on.size(big.size_in)} vent {big.id} goes on as {on.size(out[0].size_in)} {out[0].id}",
                wanted=f"at least {on.size(big.size_in)} on to the open air",
                do=f"lay {out[0].id} and what follows in {on.size(big.size_in)}",
                why="The narrowest place decides how much air comes through.",
                bases=(on.book.find("vent.not_reduced") or trade("vent", "not reduced towards the open air"),),
                at=node.at,
            )
