"""VNT002 vent-below-weir."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import arms, id_mm
from stubout.layout.model import VentMethod
from stubout.problems import Level


@check("VNT002", "vent-below-weir", Level.FIX)
def rule(on: Review) -> Findings:
    """The vent opening lies below the weir of the trap it serves.

    ## What it checks
    The top of the bore at the vent fitting against the water level of the trap: the opening must not be drowned when
    the arm runs. Arms with an upright piece are TRP001.

    ## Why it matters
    Water stands over the opening before it leaves the trap, and the arm works as a siphon.

    ## Fails
    A 1-1/2 in arm (bore 41 mm) whose vent fitting lies 60 mm below the weir.

    ## Passes
    The same fitting 36 mm below the weir.

    ## Does not check
    Closets and the like, which every book excepts; combination drains, whose vent opens elsewhere.
    """
    for arm in arms(on):
        if arm.closet or arm.plumb or not arm.trap.takeoff or arm.trap.method is VentMethod.COMBINATION:
            continue
        first_mm, last_mm = id_mm(on, arm.pipes[0].size_in), id_mm(on, arm.pipes[-1].size_in)
        if first_mm is None or last_mm is None:
            continue
        below_mm = (arm.start.z - first_mm / 2) - (arm.end.z + last_mm / 2)
        if below_mm > LEVEL_TOL_MM:
            yield on.finding(
                about=(arm.trap.tag, arm.pipes[-1].id),
                found=f"the vent of {arm.trap.tag} opens {on.mm(below_mm)} below the trap weir",
                wanted="a vent opening not below the weir",
                do=f"raise the vent fitting by {on.mm(below_mm)}",
                why="The opening is drowned and the arm siphons the trap.",
                bases=(on.book.find("trap_arm.vent_not_below_weir") or trade("vent opening", "not below the weir"),),
                at=arm.end,
            )
