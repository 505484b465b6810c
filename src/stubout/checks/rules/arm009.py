"""ARM009 drain-joins-trap-arm."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.checks.facts import arms, incoming
from stubout.layout.model import Role
from stubout.problems import Level


@check("ARM009", "drain-joins-trap-arm", Level.FIX)
def rule(on: Review) -> Findings:
    """Another drain joins a trap arm before its vent.

    ## What it checks
    Every point of a trap arm between the weir and the vent fitting: no other drain comes in there.

    ## Why it matters
    The other discharge fills the arm while the trap needs air, and pulls its seal.

    ## Fails
    A branch that joins the arm of a closet 300 mm before the closet's vent.

    ## Passes
    The branch joined below the vent fitting.

    ## Does not check
    Drains that join at the vent fitting itself: that is a common or wet vent.
    """
    for arm in arms(on):
        if not arm.trap.takeoff:
            continue
        for pipe in arm.pipes[:-1]:
            node = on.net.node(pipe.end)
            guests = [
                p.id
                for p in incoming(on.net, node, "drain")
                if p.id != pipe.id and p.role != Role.CLEANOUT_EXT and p.tags
            ]
            if guests:
                yield on.finding(
                    about=(arm.trap.tag, *sorted(guests)),
                    found=f"{' and '.join(sorted(guests))} joins the trap arm of {arm.trap.tag} before its vent",
                    wanted="nothing else in a trap arm",
                    do="join it down stream of the vent fitting, or move the vent fitting up to the joint",
                    why="The other discharge fills the arm while the trap needs air.",
                    bases=(
                        (on.book.find("closet.branch_of_stub_free") if arm.closet else None)
                        or on.book.find("trap.one_per_fixture")
                        or trade("trap arm", "one trap and no other drain"),
                    ),
                    at=node.at,
                )
