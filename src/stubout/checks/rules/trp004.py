"""TRP004 double-trap."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.checks.facts import Arm, arms
from stubout.layout.model import PointKind
from stubout.problems import Finding, Level


@check("TRP004", "double-trap", Level.STOP)
def rule(on: Review) -> Findings:
    """A fixture drains through two traps, one behind the other.

    ## What it checks
    The way of every trap arm to the sewer: no second trap on it, and one trap for one fixture.

    ## Why it matters
    Air is locked between two seals; the fixture gurgles and drains badly, and one of the seals is blown.

    ## Fails
    A sink trap whose arm runs into the trap of a floor drain.

    ## Passes
    Both drains join behind their own traps.

    ## Does not check
    Traps built into appliances.
    """
    seen: set[str] = set()
    for arm in arms(on):
        tag = arm.trap.tag
        if tag in seen:
            yield _finding(on, tag, arm.pipes[0].id, f"{tag} has more than one trap", arm)
            continue
        seen.add(tag)
        way = (*arm.pipes, *on.net.downstream(arm.pipes[-1]))
        for pipe in way:
            node = on.net.node(pipe.end)
            if node.kind == PointKind.TRAP:
                yield _finding(on, tag, node.id, f"{tag} drains through the trap at {node.id}", arm)
                break


def _finding(on: Review, tag: str, where: str, found: str, arm: Arm) -> Finding:
    return on.finding(
        about=(tag, where),
        found=found,
        wanted="one trap between a fixture and the sewer",
        do="take out the second trap, or join the drains behind their traps",
        why="Air is locked between two seals: the fixture drains badly and a seal is blown.",
        bases=(on.book.find("trap.one_per_fixture") or trade("double trapping", "not allowed"),),
        at=arm.start,
    )
