"""VAL004 valve-serves-several-storeys."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import fixture, incoming
from stubout.layout.model import PointKind, Role
from stubout.problems import Level


@check("VAL004", "valve-serves-several-storeys", Level.FIX)
def rule(on: Review) -> Findings:
    """An air admittance valve vents fixtures of several storeys.

    ## What it checks
    The storeys of all fixtures that breathe through every valve but those on stack vents.

    ## Why it matters
    Pressure from the upper storey finds the traps of the lower.

    ## Fails
    One valve for a sink and for a lavatory on the floor below.

    ## Passes
    One valve for two lavatories of one bath.

    ## Does not check
    Valves of the stack kind.
    """
    for node in on.net.nodes:
        if node.kind is not PointKind.AAV:
            continue
        same = on.value("aav.same_floor")
        vents = [v for v in incoming(on.net, node, "vent") if v.role is not Role.STACK_VENT]
        bodies = [b for v in vents for b in (fixture(on, t) for t in v.tags) if b is not None]
        storeys = sorted({b.level_id for b in bodies})
        if same is not None and same.value is True and len(storeys) > 1:
            yield on.finding(
                about=(node.id, *(b.tag for b in bodies)),
                found=f"valve {node.id} vents {', '.join(b.tag for b in bodies)} on {len(storeys)} storeys",
                wanted="fixtures of one storey",
                do="give each storey a vent of its own",
                why="Pressure from the upper storey finds the traps of the lower.",
                bases=(same,),
                at=node.at,
            )
