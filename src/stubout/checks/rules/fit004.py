"""FIT004 cross-flow-in-double-tee."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import arms, incoming, node_of
from stubout.problems import Level


@check("FIT004", "cross-flow-in-double-tee", Level.FIX)
def rule(on: Review) -> Findings:
    """Two closets, or two unlike fixtures, face each other in a double sanitary tee.

    ## What it checks
    Double sanitary tees: a closet nearer to the tee than the book allows, and branches of unlike size.

    ## Why it matters
    The flush of one shoots across into the other.

    ## Fails
    Two closets back to back, each 300 mm from a double sanitary tee.

    ## Passes
    A double wye, or two lavatories of the same size on the tee.

    ## Does not check
    The inside shape of the fitting in hand.
    """
    cell = on.book.find("fitting.double_tee_closet") or on.book.find("fitting.double_tee")
    by_end = {a.pipes[-1].id: a for a in arms(on)}
    for use in on.design.fabrication.fittings:
        node = node_of(on.net, use.node)
        if "double sanitary tee" not in use.pattern or node is None:
            continue
        sides = [p for p in incoming(on.net, node, "drain") if not p.vertical and p.id in use.pipes]
        for side in sides:
            arm = by_end.get(side.id)
            near_mm = cell.number if cell is not None and cell.unit == "mm" else 0.0
            if arm is None or not arm.closet or (near_mm > 0.0 and arm.plan_mm >= near_mm - LENGTH_TOL_MM):
                continue
            yield on.finding(
                about=(use.id, side.id),
                found=f"closet {arm.trap.tag} enters double tee {use.id} after {on.mm(arm.plan_mm)}",
                wanted=f"at least {on.mm(near_mm)} from closet to tee"
                if near_mm
                else "no closet on a double sanitary tee",
                do="set a double wye with eighth bends, or part the closets in height",
                why="The flush of one closet shoots across into the other.",
                bases=(cell or trade("double sanitary tee", "no closets face to face"),),
                at=use.at,
            )
        if len({p.size_in for p in sides}) > 1:
            yield on.finding(
                about=(use.id, *sorted(p.id for p in sides)),
                found=f"double tee {use.id} takes {' and '.join(on.size(p.size_in) for p in sides)}",
                wanted="opposed inlets of the same size",
                do="lay both branches in one size, or set two tees one above the other",
                why="The larger discharge crosses into the smaller branch.",
                bases=(on.book.find("fitting.double_tee") or trade("opposed inlets", "same size"),),
                at=use.at,
            )
