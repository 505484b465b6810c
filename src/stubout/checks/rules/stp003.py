"""STP003 standpipe-below-washer-rim."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.kinds import FixtureKind
from stubout.problems import Level


@check("STP003", "standpipe-below-washer-rim", Level.FIX)
def rule(on: Review) -> Findings:
    """The top of a washer standpipe lies below the flood rim of the washer.

    ## What it checks
    The top of every standpipe against the rim of its washer, where the job gives the rim and the book asks for it.

    ## Why it matters
    The washer siphons itself empty, or takes back what stands in the pipe.

    ## Fails
    A standpipe that ends 20 mm below the rim of the washer.

    ## Passes
    One that ends 20 mm above it.

    ## Does not check
    Washers whose rim is not in the job.
    """
    for body in on.house.fixtures:
        if body.kind is not FixtureKind.CLOTHES_WASHER or body.standpipe_top_z_mm is None:
            continue
        asked = on.value("standpipe.above_washer_rim")
        if asked is None or asked.value is not True:
            return
        rim_z = body.flood_rim_z_mm
        if rim_z is None or rim_z == body.standpipe_top_z_mm:  # unsaid, the top of the pipe stands for its rim
            on.skip(f"{body.tag}: the rim of the washer is not known")
            continue
        low_mm = rim_z - body.standpipe_top_z_mm
        if low_mm > LEVEL_TOL_MM:
            yield on.finding(
                about=(body.tag,),
                found=f"the standpipe of {body.tag} ends {on.mm(low_mm)} below the rim of the washer",
                wanted="a top above the rim of the washer",
                do=f"make the standpipe {on.mm(low_mm)} longer",
                why="The washer siphons itself empty, or takes back what stands in the pipe.",
                bases=(asked,),
                at=body.outlet,
                line=body.line,
            )
