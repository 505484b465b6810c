"""SEW002 fall-smaller-than-doubt."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check, said
from stubout.checks.facts import arms
from stubout.layout.model import PointKind
from stubout.network.model import Pipe
from stubout.problems import Level
from stubout.rulebooks import queries


@check("SEW002", "fall-smaller-than-doubt", Level.ASK)
def rule(on: Review) -> Findings:
    """The fall to spare is less than what the sewer's level may be off by.

    ## What it checks
    Where the job says that the invert may be off: the fall to spare on the tightest way from a trap to the sewer,
    upright drops and slope above the least slope together.

    ## Why it matters
    If the sewer lies higher than the map says, the trench or the slab is already there when one finds out.

    ## Fails
    33 mm to spare where the lateral may be off by 51 mm.

    ## Passes
    60 mm to spare, or a level that has been shot and recorded.

    ## Does not check
    Connections whose level the job calls certain.
    """
    doubt_mm = on.house.sewer.invert_uncertainty_mm
    if doubt_mm <= 0.0:
        return
    tightest: tuple[float, str] | None = None
    for arm in arms(on):
        way = on.net.downstream(arm.pipes[-1])
        if not way or on.net.node(way[-1].end).kind is not PointKind.SEWER:
            continue  # DRN010 says that it does not get there
        spare_mm = 0.0
        for pipe in way:
            part = _spare(on, pipe)
            if part is None:
                return
            spare_mm += part
        if tightest is None or spare_mm < tightest[0]:
            tightest = (spare_mm, arm.trap.tag)
    if tightest is not None and tightest[0] < doubt_mm:
        yield on.finding(
            about=("sewer", tightest[1]),
            found=f"{on.mm(tightest[0]) if tightest[0] > LEVEL_TOL_MM else 'no'} fall to spare from {tightest[1]} to "
            f"the {on.house.sewer.what}",
            wanted=f"at least {on.mm(doubt_mm)}, by which the level may be off",
            do="dig up or shoot the level of the connection before anything is laid",
            why="If the sewer lies higher, the drain falls too little, and that shows only once it is laid.",
            bases=(said("level of the connection", f"may be off by {on.mm(doubt_mm)}"),),
            at=on.house.sewer.at,
            owner="builder",
        )


def _spare(on: Review, pipe: Pipe) -> float | None:
    """Return the fall a pipe could give up [mm]; None if the book is silent on its slope."""
    if pipe.vertical:
        return max(pipe.fall_mm, 0.0)
    least = on.ask(queries.min_slope, on.book, pipe.size_in)
    return None if least is None else pipe.fall_mm - least.number * pipe.plan_mm
