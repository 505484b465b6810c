"""MAT001 joint-to-unknown-pipe."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.problems import Level


@check("MAT001", "joint-to-unknown-pipe", Level.ASK)
def rule(on: Review) -> Findings:
    """The drain ties into a pipe whose material the job does not say.

    ## What it checks
    Connections to an existing pipe.

    ## Why it matters
    ABS and PVC are not glued to each other piece by piece; old pipe wants a mechanical coupling of the right size.

    ## Fails
    A drain that ends in an existing pipe.

    ## Passes
    A drain that ends at a sewer or tank whose connection the utility makes.

    ## Does not check
    Joints within the new work, which are all of one material.
    """
    sewer = on.house.sewer
    if sewer.what == "existing pipe":
        yield on.finding(
            about=("sewer",),
            found=f"new {on.house.job.material.upper()} joins an existing pipe of unknown material and diameter",
            wanted="material and outside diameter of the existing pipe",
            do="look at the pipe and order a listed transition coupling for both outside diameters",
            why="A joint of two plastics with one cement comes apart, and couplings fit one size only.",
            bases=(trade("joint of unlike materials", "mechanical coupling or one listed transition joint"),),
            at=sewer.at,
            owner="plumber",
        )
