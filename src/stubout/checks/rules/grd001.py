"""GRD001 cover-too-small."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import od_mm
from stubout.checks.surroundings import ground_z, outside_points
from stubout.layout.model import Role
from stubout.network.model import Pipe
from stubout.problems import Level
from stubout.rulebooks.model import Cell


@check("GRD001", "cover-too-small", Level.FIX)
def rule(on: Review) -> Findings:
    """The sewer has too little earth over it.

    ## What it checks
    The cover over every pipe outside the house against the book, and against the depth of the footings where it
    freezes; the ground is taken as a straight line from the house to the connection.

    ## Why it matters
    A spade, a wheel or the frost breaks it.

    ## Fails
    200 mm of earth over the sewer where 305 mm are asked.

    ## Passes
    350 mm. Where it freezes and the pipe lies above the footing's depth the inspector is asked.

    ## Does not check
    Roads and drives; what the local authority asks where the book leaves the depth to it.
    """
    asked = on.book.find("ground.cover")
    frost_mm = on.house.climate.footing_depth_mm if on.house.climate.frost_prone_vents else None
    if asked is None and frost_mm is None:
        on.skip("the book leaves the cover to the local authority and the job gives no frost depth")
        return
    worst: tuple[float, Pipe, str] | None = None
    for pipe in on.net.drains():
        size_mm = od_mm(on, pipe.size_in)
        if size_mm is None or pipe.role == Role.CLEANOUT_EXT:
            continue  # a cleanout rises to the ground on purpose
        for p in outside_points(on, pipe):
            cover_mm = ground_z(on, p) - (p.z + size_mm / 2)
            if worst is None or cover_mm < worst[0]:
                worst = (cover_mm, pipe, f"{p.x:.0f},{p.y:.0f},{p.z:.0f}")
    if worst is None:
        return
    cover_mm, pipe, _ = worst
    short = asked is not None and asked.number - cover_mm > LEVEL_TOL_MM
    shallow = frost_mm is not None and frost_mm - cover_mm > LEVEL_TOL_MM
    if short or shallow:
        want_mm = asked.number if short and asked is not None else (frost_mm or 0.0)
        basis: Cell | None = asked if short else on.book.find("ground.cover_rule")
        yield on.finding(
            about=(pipe.id,),
            found=f"{on.mm(max(cover_mm, 0.0))} of earth over {pipe.id} at the least",
            wanted=f"at least {on.mm(want_mm)}" + ("" if short else ", the frost depth of the footings"),
            do=f"lay it {on.mm(want_mm - cover_mm)} deeper, or insulate over it as the inspector accepts",
            why="A spade, a wheel or the frost breaks it.",
            bases=(basis if basis is not None else trade("sewer above frost depth", "insulated or deeper"),),
            at=pipe.b,
            level=Level.FIX if short else Level.ASK,
            owner="" if short else "inspector",
        )
