"""STB003 stub-out-on-stud."""

from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import od_mm
from stubout.problems import Level


@check("STB003", "stub-out-on-stud", Level.STOP)
def rule(on: Review) -> Findings:
    """A stub-out comes out of the wall where a stud stands.

    ## What it checks
    The pipe of every stub-out against the studs, posts, jacks and cripples of its wall at its height.

    ## Why it matters
    The stud is cut away on the wall's face, or the stub-out moves and the trap no longer meets it.

    ## Fails
    A 1-1/2 in stub-out 18 mm from the centre of a stud.

    ## Passes
    The same stub-out 45 mm from it.

    ## Does not check
    Bores through studs along the wall (FRM001); arms whose riser stands clear of the wall, which pass no wall.
    """
    for mark in on.design.stubs:
        wall = next((w for w in on.house.walls if w.id == mark.wall_id), None)
        size_mm = od_mm(on, mark.size_in)
        if wall is None or size_mm is None or mark.place.clear:
            continue
        for stud in wall.studs:
            spans = stud.hi_z_mm <= stud.lo_z_mm or stud.lo_z_mm <= mark.mark_z_mm <= stud.hi_z_mm
            need_mm = stud.width_mm / 2 + size_mm / 2
            have_mm = abs(mark.station_mm - stud.station_mm)
            if spans and need_mm - have_mm > TOUCH_TOL_MM:
                side = "away from" if mark.station_mm >= stud.station_mm else "towards"
                yield on.finding(
                    about=(mark.tag, wall.id),
                    found=f"stub-out of {mark.tag} is {on.mm(have_mm)} from the centre of the {stud.kind} at "
                    f"{on.mm(stud.station_mm)} on {wall.id}",
                    wanted=f"at least {on.mm(need_mm)}",
                    do=f"move the stub-out {on.mm(need_mm - have_mm)} {side} the wall's start, or move the stud",
                    why="The stud is cut away, or the trap no longer meets the pipe.",
                    bases=(trade("stub-out", "clear of studs"),),
                    at=wall.point(mark.station_mm, mark.mark_z_mm),
                )
                break
