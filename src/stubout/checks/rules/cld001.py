"""CLD001 pipe-in-cold-wall."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.checks.surroundings import freezes
from stubout.layout.model import Role
from stubout.network.standing import walls_of
from stubout.problems import Level


@check("CLD001", "pipe-in-cold-wall", Level.FIX)
def rule(on: Review) -> Findings:
    """A pipe runs in an exterior wall where it freezes.

    ## What it checks
    Every drain and vent in an exterior or insulated wall, where the climate freezes; an upright one in every wall that
    it comes through.

    ## Why it matters
    The trap arm freezes on the cold side of the insulation, or the insulation is cut away for the pipe.

    ## Fails
    A kitchen drain in an exterior wall at a winter design temperature of -8 F.

    ## Passes
    The same drain in an interior wall, or in a climate without frost.

    ## Does not check
    Vent terminals; walls against heated rooms.
    """
    cold = freezes(on)
    for pipe in on.net.pipes:
        outer = [w for w in walls_of(pipe, on.house.walls) if w.exterior or w.insulated]
        if not outer or pipe.role == Role.CLEANOUT_EXT:
            continue
        if cold is None:
            on.skip("the job does not say whether it freezes")
            return
        if not cold:
            return
        for wall in outer:
            yield on.finding(
                about=(pipe.id, wall.id),
                found=f"{pipe.system} {pipe.id} runs in the exterior wall {wall.id}",
                wanted="a warm wall, or protection from freezing that the inspector accepts",
                do="lay the pipe in an interior wall or in a chase on the warm side",
                why="The pipe freezes, or the insulation is cut away for it.",
                bases=(on.book.find("protect.freezing") or trade("pipes", "not where they freeze"),),
                at=pipe.a,
            )
