"""VAL002 valve-badly-placed."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import incoming
from stubout.checks.surroundings import freezes
from stubout.layout.model import PointKind
from stubout.network.model import Node
from stubout.problems import Level


@check("VAL002", "valve-badly-placed", Level.FIX)
def rule(on: Review) -> Findings:
    """An air admittance valve stands too low above its drain, or where it freezes.

    ## What it checks
    The height of every valve above the drain it vents, centre lines, and whether its vent runs through a space that
    the job calls cold.

    ## Why it matters
    A low valve is fouled by what backs up; a frozen one stays shut.

    ## Fails
    A valve 80 mm above its arm where 100 mm are asked.

    ## Passes
    A valve 100 mm above its arm, inside the sink base.

    ## Does not check
    Free area for air and access: they belong to the cabinet maker's drawing.
    """
    least = on.book.find("aav.above_drain")
    for node in on.net.nodes:
        if node.kind != PointKind.AAV:
            continue
        drain = _drain_below(on, node)
        if least is None or drain is None:
            on.skip(
                "the book gives no height of a valve above its drain" if least is None else f"{node.id}: no drain found"
            )
        elif least.number - (node.at.z - drain.at.z) > LEVEL_TOL_MM:
            short_mm = least.number - (node.at.z - drain.at.z)
            yield on.finding(
                about=(node.id, drain.id),
                found=f"valve {node.id} is {on.mm(node.at.z - drain.at.z)} above its drain",
                wanted=f"at least {on.mm(least.number)}",
                do=f"raise the valve by {on.mm(short_mm)}",
                why="What backs up fouls the valve and it stays open or shut.",
                bases=(least,),
                at=node.at,
            )
        cold = set(on.house.wishes.cold_spaces)
        for vent in incoming(on.net, node, "vent"):
            if freezes(on) and ({vent.place.kind, vent.place.ref} & cold):
                yield on.finding(
                    about=(node.id, vent.id),
                    found=f"valve {node.id} stands in a cold space ({vent.place.kind})",
                    wanted="a place that does not freeze",
                    do="bring the valve down into the warm room",
                    why="A frozen valve stays shut and the trap is siphoned.",
                    bases=(on.book.find("aav.not_in") or trade("valves", "not where it freezes"),),
                    at=node.at,
                )


def _drain_below(on: Review, node: Node) -> Node | None:
    """Return the node of the drain that a valve's vent comes from."""
    seen: set[str] = set()
    here = node
    while here.id not in seen:
        seen.add(here.id)
        if any(on.net.pipe(i).system == "drain" for i in (*here.inflow, *here.outflow)):
            return here
        up = incoming(on.net, here, "vent")
        if not up:
            return None
        here = on.net.node(up[0].start)
    return None
