"""ISL004 island-drain-shared-upstream."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import incoming
from stubout.checks.islands import loops
from stubout.layout.model import Role
from stubout.problems import Level


@check("ISL004", "island-drain-shared-upstream", Level.FIX)
def rule(on: Review) -> Findings:
    """Another fixture drains into an island's drain up stream of where its loop comes back.

    ## What it checks
    Every drain between the trap arm of an island fixture and the joint of its loop, where the book keeps it for the
    island alone.

    ## Why it matters
    The other discharge fills the drain and closes both ends of the loop.

    ## Fails
    A bar sink that joins the island's drain before the loop comes back.

    ## Passes
    The bar sink joined below that joint.

    ## Does not check
    Books that do not keep that drain for the island.
    """
    for loop in loops(on):
        alone = on.value("island.shared_upstream")
        if alone is None:
            continue
        mine = {lp.fixture.tag for lp in loops(on) if lp.joint == loop.joint}
        for pipe in loop.drain:
            guests = [
                p
                for p in incoming(on.net, on.net.node(pipe.start), "drain")
                if set(p.tags) - mine and p.role is not Role.CLEANOUT_EXT
            ]
            for guest in guests:
                yield on.finding(
                    about=(guest.id, loop.fixture.tag),
                    found=f"{guest.id} joins the drain of {loop.fixture.tag} before its loop comes back",
                    wanted=alone.printed,
                    do=f"join {guest.id} down stream of the loop",
                    why="The other discharge fills the drain and closes both ends of the loop.",
                    bases=(alone,),
                    at=guest.b,
                )
