"""CLA002 pipe-in-opening."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.checks.surroundings import meets, opening_box, room_of
from stubout.problems import Level


@check("CLA002", "pipe-in-opening", Level.STOP)
def rule(on: Review) -> Findings:
    """A pipe runs through a window or a door.

    ## What it checks
    Every pipe and hub against the clear opening of every window, door and cased opening.

    ## Why it matters
    The window goes in first.

    ## Fails
    A vent rising behind a sink that stands under a window.

    ## Passes
    A vent that rises beside the window, jack and king left whole.

    ## Does not check
    The header above (CLA003).
    """
    openings = [(o, opening_box(w, o)) for w in on.house.walls for o in w.openings]
    for pipe in on.net.pipes:
        room = room_of(on, pipe)
        for opening, box in openings if room is not None else ():
            hit = meets(on, pipe, box, room)
            if hit is not None:
                yield on.finding(
                    about=(pipe.id, opening.id),
                    found=f"{pipe.system} {pipe.id} runs {on.mm(hit[0])} into {opening.what or 'opening'} {opening.id}",
                    wanted="pipe and hub outside the opening",
                    do="bring the pipe up beside the opening, clear of its jack and king studs",
                    why="The opening is wanted for the window or the door.",
                    bases=(trade("opening", "clear"),),
                    at=hit[1],
                )
