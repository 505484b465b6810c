"""CIR005 circuit-vent-across-storeys."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import incoming
from stubout.checks.methods import said_drains
from stubout.layout.model import Role, VentMethod
from stubout.problems import Level


@check("CIR005", "circuit-vent-across-storeys", Level.FIX)
def rule(on: Review) -> Findings:
    """Fixtures of several storeys are on one circuit vent, or a stack comes in up stream of them.

    ## What it checks
    The storeys of the fixtures on every circuit-vented branch, and that no stack joins it above the last of them.

    ## Why it matters
    Water from above falls into the branch while its own fixtures need the air.

    ## Fails
    A branch in the floor that takes a stack of the storey above at its upper end.

    ## Passes
    The stack joined below the branch.

    ## Does not check
    Books that do not ask for one storey.
    """
    for drain in said_drains(on, VentMethod.CIRCUIT):
        same = on.value("circuit_vent.same_storey")
        if same is None or same.value is not True:
            continue
        storeys = sorted({a.fixture.level_id for a in drain.arms})
        above = [p for p in drain.trunk if not set(drain.tags) <= set(p.tags)] or list(drain.trunk[:1])
        stacks = [q for p in above for q in incoming(on.net, on.net.node(p.start), "drain") if q.role is Role.STACK]
        if len(storeys) > 1 or stacks:
            what = f"fixtures of {', '.join(storeys)}" if len(storeys) > 1 else f"the stack {stacks[0].id} comes in"
            yield on.finding(
                about=(drain.trunk[0].id, *(s.id for s in stacks[:1]), *drain.tags),
                found=f"{what} on the circuit-vented branch {drain.trunk[0].id}",
                wanted="fixtures of one storey and no stack up stream",
                do="join what comes from above down stream of the branch",
                why="Water from above falls into the branch while its own fixtures need the air.",
                bases=(same,),
                at=drain.trunk[0].a,
            )
