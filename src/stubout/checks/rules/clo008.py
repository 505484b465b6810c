"""CLO008 cleanout-points-upstream."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.checks.facts import outgoing
from stubout.problems import Level


@check("CLO008", "cleanout-points-upstream", Level.FIX)
def rule(on: Review) -> Findings:
    """A cleanout lets the rod in against the flow.

    ## What it checks
    The direction one looks out of every cleanout on a lying drain: the rod must go in down stream or square
    to the flow.

    ## Why it matters
    The rod runs up the branch instead of down to the stoppage.

    ## Fails
    A wye cleanout turned so that one looks down stream out of it.

    ## Passes
    An opening at the upper end of the drain, or square to it.

    ## Does not check
    Two-way cleanouts, which are said to be so in what they serve.
    """
    for plan in on.design.cleanouts:
        node = on.net.node(plan.point)
        outs = outgoing(on.net, node, "drain")
        while outs and outs[0].role.value == "cleanout extension":
            outs = outgoing(on.net, on.net.node(outs[0].end), "drain")
        if (
            not outs
            or outs[0].vertical
            or outs[0].length_mm <= 1.0
            or plan.opens.length == 0.0
            or "two-way" in plan.serves
        ):
            continue
        with_flow = plan.opens.unit().dot(outs[0].b.minus(outs[0].a).unit())
        if with_flow > 0.5:
            yield on.finding(
                about=(plan.id, outs[0].id),
                found=f"one looks down stream out of cleanout {plan.id}",
                wanted="an opening that lets the rod in down stream or square to the flow",
                do="turn the wye of the cleanout round",
                why="The rod runs up the branch instead of down to the stoppage.",
                bases=(on.book.find("cleanout.opens") or trade("cleanout", "opens with the flow or square to it"),),
                at=node.at,
            )
