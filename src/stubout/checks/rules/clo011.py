"""CLO011 cleanout-far-under-floor."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.problems import Level


@check("CLO011", "cleanout-far-under-floor", Level.FIX)
def rule(on: Review) -> Findings:
    """A cleanout in a crawl space is too far from where one gets in.

    ## What it checks
    The distance in plan from every cleanout in a crawl space to its access, where the job says where that is and the
    book sets a limit.

    ## Why it matters
    Nobody drags a machine through a crawl space to a full drain.

    ## Fails
    A cleanout 3 m from the hatch where 1.5 m are allowed.

    ## Passes
    A cleanout beside the hatch, or brought out of the house.

    ## Does not check
    The way around what stands between; the height of the crawl space (CLO006).
    """
    for plan in on.design.cleanouts:
        node = on.net.node(plan.point)
        if not any(on.net.pipe(i).place.kind == "crawl" for i in (*node.inflow, *node.outflow)):
            continue
        reach, way_in = on.value("cleanout.underfloor_reach"), on.house.ground.crawl_access
        if reach is None:
            continue
        if way_in is None:
            on.skip(f"{plan.id}: the job does not say where one gets into the crawl space (`site: crawl access`)")
            continue
        over_mm = node.at.minus(way_in).plan_length - reach.number
        if over_mm > LENGTH_TOL_MM:
            yield on.finding(
                about=(plan.id,),
                found=f"cleanout {plan.id} lies {on.mm(over_mm + reach.number)} from the access of the crawl space",
                wanted=f"at most {on.mm(reach.number)}",
                do=f"bring it {on.mm(over_mm)} nearer to the access, up through the floor, or out of the house",
                why="Nobody drags a machine through a crawl space to a full drain.",
                bases=(reach,),
                at=node.at,
            )
