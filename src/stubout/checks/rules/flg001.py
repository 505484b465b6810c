"""FLG001 flange-off-finished-floor."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import fixture
from stubout.layout.model import PointKind
from stubout.problems import Level

BEND_MM = 100.0  # a point this far below the floor is the closet bend: common practice, no source


@check("FLG001", "flange-off-finished-floor", Level.FIX)
def rule(on: Review) -> Findings:
    """A closet flange does not lie on the finished floor.

    ## What it checks
    The top of every flange, as the cut list sets it, against the finished floor of its room, tile and stone included.

    ## Why it matters
    Too low, the wax does not seal; too high, the closet rocks.

    ## Fails
    A flange set on the subfloor under 32 mm of stone.

    ## Passes
    A flange set 32 mm above the subfloor there.

    ## Does not check
    Flanges that bring their own extension rings; designs that give only the closet bend and no flange.
    """
    lo, hi = on.book.find("flange.above_floor_lo"), on.book.find("flange.above_floor_hi")
    if lo is None or hi is None:
        on.skip("the book gives no height of a flange above the finished floor")
        return
    for node in on.net.nodes:
        body = fixture(on, node.tag) if node.kind == PointKind.FLANGE else None
        if body is None:
            continue
        ring = next((f.at for f in on.design.fabrication.fittings if f.node == node.id and "flange" in f.pattern), None)
        top_z_mm = node.at.z
        if top_z_mm < body.finished_z_mm - BEND_MM:  # the point is the bend: the flange is what stands on its drop
            if ring is None:
                on.skip("the design gives the bend under the flange and not the flange", body.tag)
                continue
            top_z_mm = ring.z
        up_mm = top_z_mm - body.finished_z_mm
        off_mm = max(lo.number - up_mm, up_mm - hi.number)
        if off_mm > LEVEL_TOL_MM:
            yield on.finding(
                about=(body.tag, node.id),
                found=f"flange of {body.tag} {on.mm(abs(up_mm))} {'above' if up_mm >= 0 else 'below'} "
                f"the finished floor, {on.above(top_z_mm - body.subfloor_z_mm)} subfloor",
                wanted=f"{on.mm(lo.number)} to {on.mm(hi.number)} above the finished floor",
                do=f"{'raise' if up_mm < lo.number else 'lower'} the flange by {on.mm(off_mm)}",
                why="The wax does not seal, or the closet rocks.",
                bases=(lo, hi, trade("flange", "top on the finished floor")),
                at=node.at,
            )
