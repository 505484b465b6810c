"""FRM005 nail-plate-missing."""

from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check
from stubout.checks.facts import od_mm
from stubout.fabrication.protect import SCREW_PROOF
from stubout.problems import Level
from stubout.rulebooks import queries


@check("FRM005", "nail-plate-missing", Level.FIX)
def rule(on: Review) -> Findings:
    """A pipe passes a stud or plate close to its face and no nail plate is planned.

    ## What it checks
    Every bore through studs and wall plates: the distance from the pipe to the nearer face against the book's trigger.

    ## Why it matters
    The drywall screw goes through the pipe and nobody sees it for a year.

    ## Fails
    A 1-1/2 in pipe in a 2x4 stud, 20 mm from the face where 32 mm are asked, without a plate.

    ## Passes
    The same bore with plates on both faces.

    ## Does not check
    Cast iron and steel pipe, which no screw pierces; books that give no distance.
    """
    plated = {p.bore for p in on.design.fabrication.plates if p.kind in ("nail plate", "stud shoe")}
    sizes = {p.id: p.size_in for p in on.net.pipes if p.material not in SCREW_PROOF}
    for bore in on.design.fabrication.bores:
        if bore.member_kind not in ("stud", "bottom plate", "top plate") or bore.id in plated:
            continue
        wall = next((w for w in on.house.walls if w.id == bore.wall_or_frame), None)
        size_mm = od_mm(on, sizes[bore.pipe]) if bore.pipe in sizes else None
        if wall is None or size_mm is None:
            continue
        trigger = on.ask(queries.plate_trigger, on.book)
        if trigger is None:
            return
        thick = on.maybe(queries.plate_thickness, on.book)
        away_mm = wall.depth_mm / 2 - abs(wall.offset(bore.centre)) - size_mm / 2
        if trigger.number - away_mm > TOUCH_TOL_MM:
            yield on.finding(
                about=(bore.id, bore.member, bore.pipe),
                found=f"{bore.pipe} passes {bore.member} {on.mm(max(away_mm, 0.0))} from its face without a nail plate",
                wanted=f"a nail plate where the pipe is nearer than {on.mm(trigger.number)}",
                do="put nail plates on every face that near"
                + (f", {thick.printed} thick at least" if thick is not None else ""),
                why="A drywall screw goes through the pipe.",
                bases=(trigger, thick),
                at=bore.centre,
            )
