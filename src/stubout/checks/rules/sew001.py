"""SEW001 sewer-not-met."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check, said
from stubout.checks.facts import id_mm, incoming
from stubout.layout.model import PointKind
from stubout.problems import Level

PLACE_TOL_MM = 25.0  # an inch: what a coupling and a hand can take up


@check("SEW001", "sewer-not-met", Level.STOP)
def rule(on: Review) -> Findings:
    """The building drain arrives below the sewer, or beside it.

    ## What it checks
    The invert and the place of the last pipe against the connection the job gives.

    ## Why it matters
    The system cannot empty, and nothing down stream can be changed.

    ## Fails
    A building drain whose invert arrives 24 mm below the invert of the sewer.

    ## Passes
    A building drain that arrives at or above it.

    ## Does not check
    Whether the sewer's level is true: see SEW002.
    """
    sewer = on.house.sewer
    for node in on.net.nodes:
        if node.kind != PointKind.SEWER:
            continue
        beside_mm = node.at.minus(sewer.at).plan_length
        if beside_mm > PLACE_TOL_MM:
            yield on.finding(
                about=(node.id,),
                found=f"the drain ends {on.mm(beside_mm)} beside the {sewer.what}",
                wanted="an end on the connection",
                do="carry the drain on to the connection",
                why="The system does not reach the sewer.",
                bases=(said("sewer connection", "as the job file says"),),
                at=node.at,
            )
        for pipe in incoming(on.net, node, "drain"):
            bore_mm = id_mm(on, pipe.size_in)
            if bore_mm is None:
                continue
            low_mm = sewer.at.z - (pipe.b.z - bore_mm / 2)
            if low_mm > LEVEL_TOL_MM:
                yield on.finding(
                    about=(pipe.id, node.id),
                    found=f"the invert of {pipe.id} arrives {on.mm(low_mm)} below the invert of the {sewer.what}",
                    wanted="an invert at or above the connection",
                    do=f"save {on.mm(low_mm)} of fall: a shorter way, eighth bends, or a higher start",
                    why="The system cannot empty by gravity.",
                    bases=(said("invert of the connection", "as the job file says"),),
                    at=pipe.b,
                )
