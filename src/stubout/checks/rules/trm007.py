"""TRM007 frost-size-begins-too-high."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import incoming, terminals
from stubout.checks.surroundings import roof_under
from stubout.geometry.vec import Vec
from stubout.network.model import Node, Pipe
from stubout.problems import Level


@check("TRM007", "frost-size-begins-too-high", Level.FIX)
def rule(on: Review) -> Findings:
    """A vent enlarged against frost grows too near to the roof, where it is cold already.

    ## What it checks
    Where vents may freeze shut: how far every enlargement on the way to a terminal lies below the top of the warm part
    of the house, against the book. The warm part ends at a sloped ceiling, at the ceiling under an attic that the job
    calls cold, else at the roof.

    ## Why it matters
    The small pipe under the enlargement freezes shut first, and the large one above it keeps nothing open.

    ## Fails
    A 1-1/2 in vent that becomes 3 in 150 mm below the roof, where 1 ft inside the warm part is asked.

    ## Passes
    The same vent enlarged 310 mm below the sloped ceiling; a vent that is 3 in all the way.

    ## Does not check
    The size itself (TRM003). Attics that the job calls neither warm nor cold, where an enlargement lies in one.
    """
    if not on.house.climate.frost_prone_vents:
        return
    for node in terminals(on):
        for top in incoming(on.net, node, "vent"):
            change = _enlarged_at(on, top)
            if change is None:
                continue
            inside = on.value("terminal.frost_inside")
            if inside is None:
                return
            warm = _warm_top(on, change.at)
            if warm is None:
                continue
            low_mm, words = warm[0] - change.at.z, warm[1]
            short_mm = inside.number - low_mm
            if short_mm > LEVEL_TOL_MM:
                where = f"{on.mm(low_mm)} below" if low_mm >= 0.0 else f"{on.mm(-low_mm)} above"
                yield on.finding(
                    about=(node.id, change.id, top.id),
                    found=f"the vent to {node.id} becomes {on.size(top.size_in)} at {change.id}, {where} {words}",
                    wanted=f"enlarged at least {inside.printed} below it, where it is warm",
                    do=f"set the enlargement {on.mm(short_mm)} lower",
                    why="The small pipe in the cold freezes shut below the large one.",
                    bases=(inside,),
                    at=change.at,
                )


def _enlarged_at(on: Review, top: Pipe) -> Node | None:
    """Return the highest place where a vent grows on its way to the terminal, None if it never does."""
    pipe, seen = top, {top.id}
    while True:
        node = on.net.node(pipe.start)
        below = [p for p in incoming(on.net, node, "vent") if p.id not in seen]
        if not below:
            return None
        widest = max(below, key=lambda p: (p.size_in, p.id))
        if widest.size_in < pipe.size_in - 1e-6:
            return node
        seen.add(widest.id)
        pipe = widest


def _warm_top(on: Review, p: Vec) -> tuple[float, str] | None:
    """Return where the warm part ends above a place, house z [mm], in words too; None, with the reason, if unknown."""
    roof = roof_under(on, p)
    if roof is None:
        on.skip("no roof is known above an enlarged vent")
        return None
    surface = roof.z_at(p.x, p.y)
    if roof.ceiling_below_mm is not None:
        return surface - roof.ceiling_below_mm, "the sloped ceiling"
    ceilings = [
        v.ceiling_z_mm
        for v in on.house.levels
        if v.attic_above and v.ceiling_z_mm is not None and v.ceiling_z_mm < surface
    ]
    ceiling = max(ceilings, default=None)
    if ceiling is not None and "attic" in on.house.wishes.cold_spaces:
        return ceiling, "the ceiling under the cold attic"
    if ceiling is not None and p.z > ceiling:
        on.skip("an enlarged vent lies in an attic that the job does not call cold or warm; judged from the roof only")
    return surface, "the roof"
