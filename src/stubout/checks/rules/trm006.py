"""TRM006 outdoor-vent-missing."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.checks.facts import terminals
from stubout.layout.model import PointKind
from stubout.problems import Level


@check("TRM006", "outdoor-vent-missing", Level.STOP)
def rule(on: Review) -> Findings:
    """No vent of the system goes to the open air.

    ## What it checks
    That the drainage system has at least one terminal outdoors. Valves do not count.

    ## Why it matters
    Valves let air in and none out: the sewer's pressure then finds its way through the traps.

    ## Fails
    A house whose fixtures are all on air admittance valves.

    ## Passes
    A house with one stack vent through the roof and a valve on the island sink.

    ## Does not check
    The size of this vent (VNT011).
    """
    if not on.net.drains() or terminals(on):
        return
    yield on.finding(
        about=("system",),
        found="no vent ends in the open air",
        wanted="at least one vent from the building drain to outdoor air",
        do="carry one vent or stack vent through the roof",
        why="Pressure from the sewer finds its way out through the traps.",
        bases=(
            on.book.find("vent.outdoor_count") or trade("one vent to outdoor air", "asked by every book"),
            on.book.find("aav.open_vents") if any(n.kind is PointKind.AAV for n in on.net.nodes) else None,
        ),
    )
