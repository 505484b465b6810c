"""VNT004 vent-ties-in-too-low."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import drains_at, highest_rim, incoming, loop_tags, outgoing
from stubout.layout.model import Role
from stubout.problems import Level
from stubout.rulebooks import queries


@check("VNT004", "vent-ties-in-too-low", Level.FIX)
def rule(on: Review) -> Findings:
    """Two vents meet below the flood rim of a fixture they serve.

    ## What it checks
    Every place where vents meet, at the centre line, against the highest flood rim of all fixtures on either vent plus
    the book's margin.

    ## Why it matters
    A blocked drain would empty itself through the other vent, unseen, until both are closed.

    ## Fails
    A lavatory vent joined to the stack vent 100 mm above the rim where 152 mm are asked.

    ## Passes
    The same joint 152 mm above the rim.

    ## Does not check
    The foot of an island loop, where the books ask for the joint in the wall and not at the island.
    """
    looped = loop_tags(on)
    for node in on.net.nodes:
        into = incoming(on.net, node, "vent")
        out = outgoing(on.net, node, "vent")
        if (len(into) + len(out) < 3 and not (len(into) >= 2)) or drains_at(on.net, node):
            continue
        meeting = (*into, *out)
        tags = {t for p in meeting for t in p.tags}
        if any(p.role == Role.FOOT_VENT for p in meeting) and tags <= looped:
            continue
        margin = on.ask(queries.tie_in_above_rim, on.book)
        rim = highest_rim(on, tags)
        if margin is None or rim is None:
            continue
        island = on.book.find("island.foot_above_rim") if tags & looped else None
        margin = island if island is not None and island.number > margin.number else margin
        short_mm = rim[0] + margin.number - node.at.z
        if short_mm > LEVEL_TOL_MM:
            yield on.finding(
                about=(node.id, *sorted(p.id for p in into), rim[1]),
                found=f"vents meet at {node.id}, {on.mm(short_mm)} too low for the rim of {rim[1]}",
                wanted=f"{on.at_least_above(margin.number)} the flood rim of {rim[1]}",
                do=f"raise the tie-in by {on.mm(short_mm)}",
                why="A blocked drain empties through the other vent and closes both.",
                bases=(margin, rim[2]),
                at=node.at,
            )
