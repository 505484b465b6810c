"""VNT009 vent-ends-indoors."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.checks.facts import drains_at, ends_of, incoming, outgoing
from stubout.checks.waiting import behind_blocked
from stubout.layout.model import PointKind
from stubout.network.model import Node, Pipe
from stubout.problems import Level


@check("VNT009", "vent-ends-indoors", Level.STOP)
def rule(on: Review) -> Findings:
    """A vent does not come out in the open air or at a valve.

    ## What it checks
    The way of every vent to its end: a terminal, an air admittance valve, or a capped provision.

    ## Why it matters
    Sewer gas leaves through the open end into the wall or attic, or the vent brings no air at all.

    ## Fails
    A vent whose last pipe ends in the attic.

    ## Passes
    A vent that ends at a terminal above the roof.

    ## Does not check
    Where the terminal stands (TRM001 to TRM005) and whether a valve is allowed (VAL001); the return of
    an island loop, which comes down into its drain.
    """
    good = (PointKind.TERMINAL, PointKind.AAV, PointKind.CAP)
    told: set[str] = set()
    for vent in on.net.vents():
        end = ends_of(on.net, vent)
        if end.kind in good or end.id in told or _returns(on, vent, end):
            continue
        told.add(end.id)
        yield on.finding(
            about=(end.id, vent.id),
            found=f"the vent ends at {end.id}, a {end.kind.value}",
            wanted="an end in the open air",
            do=behind_blocked(on, "carry the vent on to a terminal, or tie it into a vent that has one"),
            why="The vent brings no air, or lets sewer gas into the building.",
            bases=(trade("vents", "carried to the open air"),),
            at=end.at,
        )


def _returns(on: Review, vent: Pipe, end: Node) -> bool:
    """Return whether a vent is the return of an island loop: it comes down into a drain where the air goes on."""
    if not drains_at(on.net, end) or (vent.b.z >= vent.a.z and vent.end == end.id):
        return False
    head, seen = vent, {vent.id}
    while len(outgoing(on.net, on.net.node(head.start), "vent")) < 2:
        before = [v for v in incoming(on.net, on.net.node(head.start), "vent") if v.id not in seen]
        if not before:
            return False
        head = before[0]
        seen.add(head.id)
    return True
