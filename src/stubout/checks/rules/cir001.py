"""CIR001 too-many-fixtures-on-circuit-vent."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.methods import place_of, said_drains
from stubout.layout.model import VentMethod
from stubout.problems import Level


@check("CIR001", "too-many-fixtures-on-circuit-vent", Level.FIX)
def rule(on: Review) -> Findings:
    """More fixtures get their air from one circuit vent than the book allows.

    ## What it checks
    The fixtures on every circuit-vented branch between one vent and the next one down stream of it; those up stream
    of the first vent count with it.

    ## Why it matters
    The last of a long row runs on a pipe that the others have filled.

    ## Fails
    Nine floor drains on one circuit vent where eight are allowed.

    ## Passes
    Eight of them, or nine with a second vent between.

    ## Does not check
    Whether the vent itself is large enough (VNT005, VNT006).
    """
    for drain in said_drains(on, VentMethod.CIRCUIT):
        most = on.value("circuit_vent.max_fixtures")
        if most is None:
            continue
        vents = sorted({i for i in (place_of(on, drain, v.start) for v in drain.vents) if i is not None})
        spans: dict[int, list[str]] = {}
        for arm in drain.arms:
            at = place_of(on, drain, arm.pipes[-1].end)
            if at is not None:
                spans.setdefault(sum(1 for v in vents[1:] if v <= at), []).append(arm.trap.tag)
        for tags in spans.values():
            if len(tags) > most.number:
                yield on.finding(
                    about=(drain.trunk[0].id, *tags),
                    found=f"{len(tags)} fixtures on one circuit vent: {', '.join(tags)}",
                    wanted=f"at most {most.number:g}",
                    do="set another circuit vent between them",
                    why="The last of the row runs on a pipe that the others have filled.",
                    bases=(most,),
                    at=drain.trunk[0].a,
                )
