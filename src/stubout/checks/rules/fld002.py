"""FLD002 floor-drain-dries-out."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.kinds import FixtureKind
from stubout.problems import Level


@check("FLD002", "floor-drain-dries-out", Level.ASK)
def rule(on: Review) -> Findings:
    """A floor drain has nothing that keeps its trap full.

    ## What it checks
    Every floor drain for a primer in the job file.

    ## Why it matters
    A seldom used trap dries out within weeks and lets sewer gas into the house.

    ## Fails
    A floor drain without `primer: yes`.

    ## Passes
    A floor drain with a primer.

    ## Does not check
    The kind of primer, and its water supply.
    """
    for body in on.house.fixtures:
        if body.kind != FixtureKind.FLOOR_DRAIN or body.primer:
            continue
        cell = on.book.find("floor_drain.seal_kept")
        yield on.finding(
            about=(body.tag,),
            found=f"{body.tag} has no trap primer",
            wanted="a primer or an equal device that keeps the seal",
            do="say `primer: yes` and plan its supply, or have the inspector accept another device",
            why="The trap dries out and sewer gas enters.",
            bases=(cell if cell is not None else trade("trap primer on a floor drain", "asked"),),
            at=body.outlet,
            owner="plumber",
            line=body.line,
        )
