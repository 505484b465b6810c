"""GRD003 pipe-in-footing."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.checks.surroundings import meets
from stubout.problems import Level


@check("GRD003", "pipe-in-footing", Level.ASK)
def rule(on: Review) -> Findings:
    """A pipe goes through a footing or a pad.

    ## What it checks
    Every pipe in three dimensions against the footings and pads of the job.

    ## Why it matters
    Concrete set round a pipe breaks it; a sleeve weakens the footing, and only the engineer can say whether it may.

    ## Fails
    A building drain that leaves the house half in the edge footing.

    ## Passes
    A drain that passes below the footing.

    ## Does not check
    The steel in the footing.
    """
    clear = on.book.find("protect.sleeve_clear")
    for pipe in on.net.pipes:
        for thing in on.house.obstacles:
            if thing.kind not in ("footing", "pad"):
                continue
            hit = meets(on, pipe, thing.box)
            if hit is None:
                continue
            yield on.finding(
                about=(pipe.id, thing.id),
                found=f"{pipe.id} lies {on.mm(hit[0])} in {thing.what or thing.kind} {thing.id}",
                wanted="a pipe below the footing, or a sleeve that the engineer allows",
                do="ask the engineer; set a sleeve before the pour"
                + (f" with {on.mm(clear.number)} all round" if clear is not None and clear.unit == "mm" else ""),
                why="Concrete set round a pipe breaks it.",
                bases=(clear or on.book.find("protect.concrete") or trade("pipe through a footing", "in a sleeve"),),
                at=hit[1],
                owner="engineer",
            )
