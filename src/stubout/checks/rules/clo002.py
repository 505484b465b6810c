"""CLO002 drain-end-without-cleanout."""

import math

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import fixture, incoming
from stubout.checks.openings import down_from, nearest_mm, up_from
from stubout.layout.model import Role
from stubout.network.model import Pipe
from stubout.problems import Level
from stubout.rulebooks.members import takes

NEAR_MM = 1524.0  # 5 ft along the pipe: what a hand-turned rod loses on its way in; common practice, no source


CARRY_OUT = "carry the upper end out to a cleanout, or set one in the upright pipe above it"
OPEN = (
    "{} is installed: open it where a person can get at it and set a cleanout into it or into the pipe above, or let "
    "the authority having jurisdiction leave it as it is"
)


@check("CLO002", "drain-end-without-cleanout", Level.FIX)
def rule(on: Review) -> Findings:
    """The upper end of a lying drain has no cleanout.

    ## What it checks
    Where the book asks for it: every lying drain of the lowest floor, from its upper end to the next drain it joins,
    if it is long enough and lies flat enough for the rule. A cleanout too small for the drain does not serve it, nor
    does one that opens into another drain.

    ## Why it matters
    A rod goes down stream only; without an opening at the end the whole branch is out of reach.

    ## Fails
    A branch of 3 m without a cleanout at its upper end.

    ## Passes
    The same branch with one, or a branch shorter than the book's limit.

    ## Does not check
    Storeys above the lowest floor, which the book frees; closets that may be lifted off.
    """
    asked = on.value("cleanout.upper_end")
    if asked is None or asked.value is not True:
        return
    short, steep = on.book.find("cleanout.short_free"), on.book.find("cleanout.steep_free")
    kept, above = on.book.find("cleanout.short_except"), on.book.find("cleanout.above_lowest_free")
    floors = [v for v in on.house.levels if v.kind != "ground"] or list(on.house.levels)
    lowest = min(v.order for v in floors)
    lowest_z = next(v.subfloor_z_mm for v in floors if v.order == lowest)
    for head in on.net.drains():
        if head.vertical or head.role not in (Role.BRANCH, Role.DRAIN, Role.BUILDING_DRAIN):
            continue
        if above is not None and head.a.z > lowest_z:
            continue
        if steep is not None and _from_plumb_deg(head) <= steep.number:
            continue
        if any(not p.vertical and p.role != Role.TRAP_ARM for p in incoming(on.net, on.net.node(head.start), "drain")):
            continue
        run = _own(on, head)
        run_mm = sum(p.length_mm for p in run)
        bodies = [f for f in (fixture(on, t) for t in head.tags) if f is not None]
        sink = kept is not None and any(takes(kept, f.kind) for f in bodies)
        if short is not None and run_mm <= short.number + LENGTH_TOL_MM and not sink:
            continue
        if nearest_mm(on, head.size_in, up_from(on, head.start, NEAR_MM), down_from(on, head, NEAR_MM)) is not None:
            continue
        yield on.finding(
            about=(head.id,),
            found=f"lying drain {head.id}, {on.mm(run_mm)} to its joint, has no cleanout at its upper end",
            wanted="a cleanout at the upper end of each lying drain",
            do=OPEN.format(head.id) if head.said == "installed" else CARRY_OUT,
            why="The branch cannot be rodded.",
            bases=(asked, short),
            at=head.a,
        )


def _from_plumb_deg(pipe: Pipe) -> float:
    """Return the angle of a pipe from plumb [deg]."""
    return math.degrees(math.atan2(math.hypot(pipe.b.x - pipe.a.x, pipe.b.y - pipe.a.y), abs(pipe.b.z - pipe.a.z)))


def _own(on: Review, head: Pipe) -> tuple[Pipe, ...]:
    """Return the lying pipes from an upper end to where the next drain joins."""
    out = [head]
    for pipe in on.net.downstream(head):
        before = incoming(on.net, on.net.node(pipe.start), "drain")
        if pipe.vertical or len([p for p in before if p.role != Role.CLEANOUT_EXT]) > 1:
            break
        out.append(pipe)
    return tuple(out)
