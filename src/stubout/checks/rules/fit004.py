"""FIT004 cross-flow-in-double-tee."""

from collections.abc import Sequence

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import arms, incoming, node_of
from stubout.fabrication.model import FittingUse
from stubout.network.model import Pipe
from stubout.problems import Level
from stubout.rulebooks import queries

TEE = "double sanitary tee"
OPPOSED = (TEE, "double fixture fitting")  # two inlets straight across from each other


@check("FIT004", "cross-flow-in-double-tee", Level.FIX)
def rule(on: Review) -> Findings:
    """Two closets, or two unlike fixtures, face each other in a double sanitary tee, or its barrel is too small.

    ## What it checks
    Double sanitary tees: a closet nearer to the tee than the book allows, and the barrel against the largest inlet
    where the book wants it some sizes larger. These and double fixture fittings: branches of unlike size. Sizes are
    counted 1-1/4, 1-1/2, 2, 2-1/2, 3, 4, 5, 6 in, so that inlets of 1-1/2 in take a barrel of 2-1/2 in, inlets of
    2 in one of 3 in, and inlets of 3 in one of 5 in.

    ## Why it matters
    The flush of one shoots across into the other.

    ## Fails
    Two closets back to back, each 300 mm from a double sanitary tee. Two lavatories on a double sanitary tee of 2 in
    with inlets of 1-1/2 in, where the book wants its barrel two sizes larger.

    ## Passes
    A double wye, or two lavatories of the same size on the tee. The same two on a double fixture fitting of 2 in.

    ## Does not check
    The inside shape of the fitting in hand. A barrel of 4 in over inlets of 3 in passes where an inspector counts
    3-1/2 in as a size (from memory); here it does not.
    """
    cell = on.book.find("fitting.double_tee_closet") or on.book.find("fitting.double_tee")
    by_end = {a.pipes[-1].id: a for a in arms(on)}
    for use in on.design.fabrication.fittings:
        node = node_of(on.net, use.node)
        if node is None or not any(pattern in use.pattern for pattern in OPPOSED):
            continue
        sides = [p for p in incoming(on.net, node, "drain") if not p.vertical and p.id in use.pipes]
        closet = False
        for side in sides:
            arm = by_end.get(side.id)
            near_mm = cell.number if cell is not None and cell.unit == "mm" else 0.0
            if TEE not in use.pattern or arm is None or not arm.closet:
                continue
            if near_mm > 0.0 and arm.plan_mm >= near_mm - LENGTH_TOL_MM:
                continue
            closet = True
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
                found=f"{use.pattern} {use.id} takes {' and '.join(on.size(p.size_in) for p in sides)}",
                wanted="opposed inlets of the same size",
                do="lay both branches in one size, or set two tees one above the other",
                why="The larger discharge crosses into the smaller branch.",
                bases=(on.book.find("fitting.double_rule") or trade("opposed inlets", "same size"),),
                at=use.at,
            )
        if TEE in use.pattern and sides and not closet:  # no barrel makes it one for closets
            yield from _barrel(on, use, sides)


def _barrel(on: Review, use: FittingUse, sides: Sequence[Pipe]) -> Findings:
    """Yield a double sanitary tee whose barrel is less than the book's sizes over its largest inlet."""
    inlet_in, barrel_in = max(p.size_in for p in sides), min(use.sizes_in[:2])
    least = on.ask(queries.double_tee_barrel, on.book, inlet_in)
    if least is None or barrel_in >= least.number - 1e-6:
        return
    yield on.finding(
        about=(use.id, *sorted(p.id for p in sides)),
        found=f"{use.pattern} {use.id} has a barrel of {on.size(barrel_in)}, its largest inlet is {on.size(inlet_in)}",
        wanted=f"a barrel of at least {on.size(least.number)}",
        do=f"set a double fixture fitting or a double wye with eighth bends, take a barrel of {on.size(least.number)}, "
        "or set two tees one above the other",
        why="In a narrow barrel the discharge of one side reaches the branch across.",
        bases=(least,),
        at=use.at,
    )
