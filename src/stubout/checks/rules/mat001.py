"""MAT001 joint-to-unknown-pipe."""

from collections import defaultdict

from stubout.checks.base import Findings, Review, check, trade
from stubout.fabrication.model import UNKNOWN, FittingUse
from stubout.network.model import PointKind
from stubout.problems import Level

SEWER = "sewer"
RULE = trade("joint of unlike materials", "mechanical coupling or one listed transition joint")


@check("MAT001", "joint-to-unknown-pipe", Level.ASK)
def rule(on: Review) -> Findings:
    """New pipe joins an installed or existing pipe whose material the job does not say.

    ## What it checks
    Every place where new pipe meets pipe that is installed, and where it ends in an existing pipe. Of a material that
    is known the coupling for it is on the list, and nothing is found.

    ## Why it matters
    ABS and PVC are not glued to each other piece by piece; old pipe wants a mechanical coupling of the right size.

    ## Fails
    A drain that ends in an existing pipe; a wye set into an old stack of which the job says no `material`.

    ## Passes
    A drain that ends at a sewer or tank whose connection the utility makes; a wye set into a stack of cast iron.

    ## Does not check
    Joints within the new work, which are all of one material; the outside diameter of an old pipe.
    """
    yield from _into_existing(on)
    nodes = {n.id: n.kind for n in on.net.nodes}
    by_route: dict[str, list[FittingUse]] = defaultdict(list)
    there = {p.id for p in on.net.pipes if p.said == "installed"}
    for use in on.design.fabrication.fittings:
        if use.onto == UNKNOWN and nodes.get(use.node) is not PointKind.SEWER:
            for name in dict.fromkeys(_route(on, i) for i in use.pipes if i in there):
                by_route[name].append(use)
    lines = {leg.id: leg.line for leg in on.house.routes}
    for name, uses in by_route.items():
        yield on.finding(
            about=(name, *(u.id for u in uses)),
            found=f"new {on.house.job.material.upper()} joins installed {name} of unknown material at "
            f"{', '.join(u.id for u in uses)}",
            wanted="material and outside diameter of the installed pipe",
            do=f"look at the pipe, measure it, and write the `material` of {name} in the job file; until then "
            "transition couplings are listed for it",
            why="Cement joins one plastic only, and couplings fit one size only.",
            bases=(RULE,),
            at=uses[0].at,
            owner="plumber",
            line=lines.get(name, 0),
        )


def _route(on: Review, pipe_id: str) -> str:
    """Return the drawn route that an installed pipe is a piece of: "S1.2" is of "S1"."""
    return next((leg.id for leg in on.house.routes if leg.id == pipe_id), pipe_id.rpartition(".")[0] or pipe_id)


def _into_existing(on: Review) -> Findings:
    """Yield the connection to an existing pipe of unknown material, unless installed pipe leads into it already."""
    sewer = on.house.sewer
    if sewer.what != "existing pipe" or sewer.material:
        return
    last = [on.net.pipe(i) for n in on.net.nodes if n.kind is PointKind.SEWER for i in n.inflow]
    if last and all(p.said == "installed" for p in last):
        return
    yield on.finding(
        about=(SEWER,),
        found=f"new {on.house.job.material.upper()} joins an existing pipe of unknown material and diameter",
        wanted="material and outside diameter of the existing pipe",
        do="look at the pipe, write its `material` under `sewer`, and order a listed transition coupling for both "
        "outside diameters",
        why="A joint of two plastics with one cement comes apart, and couplings fit one size only.",
        bases=(RULE,),
        at=sewer.at,
        owner="plumber",
    )
