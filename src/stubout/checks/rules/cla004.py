"""CLA004 hub-wider-than-wall."""

from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import hub_mm, od_mm
from stubout.checks.surroundings import fitted
from stubout.fabrication.hubs import couplings_on
from stubout.geometry.vec import Vec
from stubout.house.framing import Wall
from stubout.network.model import Pipe
from stubout.network.standing import walls_of
from stubout.problems import Level


@check("CLA004", "hub-wider-than-wall", Level.FIX)
def rule(on: Review) -> Findings:
    """A pipe or a hub stands out of the framing of its wall.

    ## What it checks
    Every pipe in a wall, at its ends that lie in the wall and at its couplings: pipe and hub must lie between the stud
    faces. An upright pipe in every wall that it comes through.

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
        size_mm, hub = od_mm(on, pipe.size_in), hub_mm(on, pipe.size_in)
        if size_mm is None or hub is None:
            continue
        for wall in walls_of(pipe, on.house.walls):
            half = wall.depth_mm / 2
            if any(abs(wall.offset(p)) > half for p in (pipe.a, pipe.b)):
                continue
            for end, p, has_hub in _held(on, pipe, wall):
                r = hub / 2 if has_hub else size_mm / 2
                out_mm = abs(wall.offset(p)) + r - half
                if end in told or out_mm <= TOUCH_TOL_MM:
                    continue
                told.add(end)
                yield on.finding(
                    about=tuple(dict.fromkeys((pipe.id, end, wall.id))),
                    found=f"{on.size(pipe.size_in)} {'hub' if has_hub else 'pipe'} at {end} stands "
                    f"{on.mm(out_mm)} out of the {on.mm(wall.depth_mm)} studs of {wall.id}",
                    wanted="pipe and hub between the stud faces",
                    do=f"use a deeper wall, fur it out by {on.mm(out_mm)}, or move the fitting out of the wall",
                    why="The board does not go on flat.",
                    bases=(trade("hub diameter", on.mm(hub)),),
                    at=p,
                )


def _held(on: Review, pipe: Pipe, wall: Wall) -> list[tuple[str, Vec, bool]]:
    """Return where a pipe is held against a wall: at its ends there, its couplings, or on its way through.

    Each with the id of what stands there and whether that has a hub.
    """
    ends = [(end, p, fitted(on.net.node(end))) for end, p in ((pipe.start, pipe.a), (pipe.end, pipe.b))]
    ends += [(use.id, use.at, True) for use in couplings_on(on.design.fabrication, pipe)]
    here = [(end, p, hub) for end, p, hub in ends if wall.bottom_z_mm < p.z < wall.top_at(wall.station(p))]
    if here or not wall.stands_in(pipe.a, pipe.b):
        return here
    middle = (wall.bottom_z_mm + wall.top_at(wall.station(pipe.a))) / 2
    return [(pipe.id, pipe.a.at_z(middle), False)]
