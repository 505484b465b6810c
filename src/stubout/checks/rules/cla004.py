"""CLA004 hub-wider-than-wall."""

from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import hub_mm, od_mm
from stubout.checks.surroundings import fitted, wall_of
from stubout.fabrication.hubs import couplings_on
from stubout.problems import Level


@check("CLA004", "hub-wider-than-wall", Level.FIX)
def rule(on: Review) -> Findings:
    """A pipe or a hub stands out of the framing of its wall.

    ## What it checks
    Every pipe in a wall, at its ends that lie in the wall and at its couplings: pipe and hub must lie between the stud
    faces.

    ## Why it matters
    The board does not go on flat. A 3 in pipe is as thick as a 2x4 is deep; its hub is thicker.

    ## Fails
    A 3 in stack with a fitting in a 2x4 wall: the hub of 102 mm in 89 mm of stud.

    ## Passes
    The same stack in a 2x6 wall.

    ## Does not check
    Furred walls, unless the job gives the furred depth as the stud depth.
    """
    told: set[str] = set()
    for pipe in on.net.pipes:
        wall = wall_of(on, pipe)
        size_mm, hub = od_mm(on, pipe.size_in), hub_mm(on, pipe.size_in)
        if wall is None or size_mm is None or hub is None:
            continue
        half = wall.depth_mm / 2
        if any(abs(wall.offset(p)) > half for p in (pipe.a, pipe.b)):
            continue
        ends = [(end, p, fitted(on.net.node(end))) for end, p in ((pipe.start, pipe.a), (pipe.end, pipe.b))]
        ends += [(use.id, use.at, True) for use in couplings_on(on.design.fabrication, pipe)]
        for end, p, has_hub in ends:
            if not wall.bottom_z_mm < p.z < wall.top_at(wall.station(p)) or end in told:
                continue
            r = hub / 2 if has_hub else size_mm / 2
            out_mm = abs(wall.offset(p)) + r - half
            if out_mm > TOUCH_TOL_MM:
                told.add(end)
                yield on.finding(
                    about=(pipe.id, end, wall.id),
                    found=f"{on.size(pipe.size_in)} {'hub' if has_hub else 'pipe'} at {end} stands "
                    f"{on.mm(out_mm)} out of the {on.mm(wall.depth_mm)} studs of {wall.id}",
                    wanted="pipe and hub between the stud faces",
                    do=f"use a deeper wall, fur it out by {on.mm(out_mm)}, or move the fitting out of the wall",
                    why="The board does not go on flat.",
                    bases=(trade("hub diameter", on.mm(hub)),),
                    at=p,
                )
