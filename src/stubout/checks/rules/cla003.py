"""CLA003 pipe-in-header."""

from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check, trade
from stubout.checks.surroundings import around, meets, room_of
from stubout.geometry.vec import Box
from stubout.house.framing import Opening, Wall
from stubout.problems import Level

JACK_MM = 38.0  # the header bears on a jack stud at each side


@check("CLA003", "pipe-in-header", Level.STOP)
def rule(on: Review) -> Findings:
    """A pipe runs through the header of an opening.

    ## What it checks
    Every pipe and hub against the header between head and header top, one jack stud wider at each side.

    ## Why it matters
    A header carries what stands above; bored, it is no header.

    ## Fails
    A vent rising through the built-up beam over a wide opening.

    ## Passes
    A vent in the bay beside the king stud.

    ## Does not check
    Openings without a header height in the job.
    """
    headers = [
        (o, _header(w, o)) for w in on.house.walls for o in w.openings if o.header_top_z_mm > o.head_z_mm + TOUCH_TOL_MM
    ]
    for pipe in on.net.pipes:
        room = room_of(on, pipe)
        for opening, box in headers if room is not None else ():
            hit = meets(on, pipe, box, room)
            if hit is not None:
                yield on.finding(
                    about=(pipe.id, opening.id),
                    found=f"{pipe.system} {pipe.id} runs {on.mm(hit[0])} into the header of {opening.id}",
                    wanted="no pipe in a header",
                    do="bring the pipe up in another bay",
                    why="A bored header no longer carries what stands above.",
                    bases=(on.framing.find("member.engineered") or trade("header", "not bored"),),
                    at=hit[1],
                )


def _header(wall: Wall, opening: Opening) -> Box:
    """Return the header of an opening as a box, one jack stud wider at each side."""
    half = wall.depth_mm / 2
    return around(
        [
            wall.point(s, z, o)
            for s in (opening.station_mm - JACK_MM, opening.station_mm + opening.width_mm + JACK_MM)
            for z in (opening.head_z_mm, opening.header_top_z_mm)
            for o in (-half, half)
        ]
    )
