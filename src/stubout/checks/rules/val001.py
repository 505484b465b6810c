"""VAL001 valve-not-agreed."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.layout.model import PointKind
from stubout.problems import Level


@check("VAL001", "valve-not-agreed", Level.FIX)
def rule(on: Review) -> Findings:
    """An air admittance valve is planned where nobody has allowed one.

    ## What it checks
    Every valve against what the job says of valves: refused, to be asked, a last resort, or allowed. A valve about
    which a question is open already is not asked about again.

    ## Why it matters
    Valves are allowed by some books and places only; a refused one means opening a finished wall.

    ## Fails
    A valve where the job says `aav: no`; one to be asked for is reported as a question.

    ## Passes
    A valve where the authority's leave is written in the job (`aav: yes`).

    ## Does not check
    The rating of the valve: that is in its listing.
    """
    wish = on.house.wishes.aav
    if wish == "yes":
        return
    for node in on.net.nodes:
        if node.kind != PointKind.AAV:
            continue
        refused = wish == "no"
        if not refused and node.tag and any({node.tag, "aav"} <= set(q.about) for q in on.design.questions):
            continue  # ASK001 puts the question already
        yield on.finding(
            about=(node.id,) if not node.tag else (node.id, node.tag),
            found=f"{node.id} is an air admittance valve",
            wanted="no valve" if refused else "the inspector's leave in writing",
            do="carry the vent to the open air" if refused else "ask the inspector, then write `aav: yes` in the job",
            why="A refused valve means opening a finished wall.",
            bases=(on.book.find("aav.where") or trade("air admittance valves", "authority's leave"),),
            at=node.at,
            level=Level.FIX if refused else Level.ASK,
            owner="" if refused else "inspector",
        )
