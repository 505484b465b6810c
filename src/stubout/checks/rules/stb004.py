"""STB004 stub-out-off-centre."""

from stubout.catalog import queries as catalog
from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import fixture
from stubout.problems import Level


@check("STB004", "stub-out-off-centre", Level.FIX)
def rule(on: Review) -> Findings:
    """A stub-out is so far off its fixture's centre that the trap cannot swing to it.

    ## What it checks
    The station of every stub-out against the station of its fixture; a trap swings by its own reach.

    ## Why it matters
    The trap is strained or an offset is patched in with slip joints.

    ## Fails
    A 1-1/2 in stub-out 120 mm off the centre of the bowl.

    ## Passes
    A stub-out on the centre, or 60 mm off to clear a stud.

    ## Does not check
    Fixtures without a place along a wall; arms whose riser stands clear of the wall: the trap turns to them.
    """
    for mark in on.design.stubs:
        body = fixture(on, mark.tag)
        if body is None or body.station_mm is None or body.wall_id != mark.wall_id or mark.place.clear:
            continue
        reach = on.ask(catalog.trap_reach_mm, mark.size_in)
        off_mm = abs(mark.station_mm - body.station_mm)
        if reach is not None and off_mm - reach > LENGTH_TOL_MM:
            yield on.finding(
                about=(mark.tag, mark.wall_id),
                found=f"stub-out of {mark.tag} is {on.mm(off_mm)} off the centre of its fixture",
                wanted=f"within {on.mm(reach)}, the swing of its trap",
                do=f"move the stub-out {on.mm(off_mm - reach)} towards the centre",
                why="The trap does not reach the pipe without being strained.",
                bases=(trade("swing of a trap", on.mm(reach)),),
            )
