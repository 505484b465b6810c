"""VAL003 valve-on-wrong-vent."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import incoming
from stubout.layout.model import PointKind, Role, VentMethod
from stubout.network.model import Pipe
from stubout.problems import Level


@check("VAL003", "valve-on-wrong-vent", Level.FIX)
def rule(on: Review) -> Findings:
    """An air admittance valve ends a vent that may not end in one.

    ## What it checks
    What kind of vent every valve ends: individual, common, branch, circuit or stack, against the kinds the book names.

    ## Why it matters
    A valve lets air in and none out; on a stack that others count on, pressure finds its way through their traps.

    ## Fails
    A valve on a stack vent where the book allows individual and common vents only.

    ## Passes
    A valve on the vent of an island sink.

    ## Does not check
    Whether the valve is of the kind made for stacks: that is in its listing.
    """
    for node in on.net.nodes:
        if node.kind is not PointKind.AAV:
            continue
        kinds = on.value("aav.methods")
        vents = incoming(on.net, node, "vent")
        if kinds is None or not vents:
            continue
        have = _kind(on, vents[0])
        if have not in [word.strip() for word in kinds.text.split(",")]:
            yield on.finding(
                about=(node.id, vents[0].id),
                found=f"valve {node.id} ends a {have} vent",
                wanted=kinds.printed,
                do=f"carry {vents[0].id} to the open air",
                why="A valve lets air in and none out.",
                bases=(kinds,),
                at=node.at,
            )


def _kind(on: Review, vent: Pipe) -> str:
    """Return the word of the book for a kind of vent."""
    if any(t.method is VentMethod.CIRCUIT for t in on.net.traps if t.tag in vent.tags):
        return "circuit"
    if vent.role is Role.STACK_VENT:
        return "stack"
    if vent.role in (Role.BRANCH_VENT, Role.HEADER):
        return "branch"
    return "common" if len(vent.tags) > 1 else "individual"
