"""CLO009 sink-drain-without-cleanout."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import arms
from stubout.kinds import FixtureKind
from stubout.problems import Level

NEAR_MM = 1000.0  # "next to the trap outlet": common practice, no source


@check("CLO009", "sink-drain-without-cleanout", Level.FIX)
def rule(on: Review) -> Findings:
    """A kitchen sink drain has no cleanout of its own.

    ## What it checks
    Where the book asks for it: a cleanout near the trap arm or the drop of every kitchen sink. The plug of the trap
    does not count.

    ## Why it matters
    Kitchen drains block most often, with grease, in the first metres.

    ## Fails
    A kitchen sink whose nearest cleanout is at the foot of the stack.

    ## Passes
    A cleanout tee below the sink's sanitary tee.

    ## Does not check
    Books that do not ask for one.
    """
    sinks = [a for a in arms(on) if a.fixture.kind == FixtureKind.KITCHEN_SINK and not a.fixture.future]
    asked = on.value("cleanout.sink_arm") if sinks else None
    if asked is None or asked.value is not True:
        return
    spots = [on.net.node(c.point).at for c in on.design.cleanouts]
    for arm in sinks:
        near = min((min(p.to(arm.start), p.to(arm.end)) for p in spots), default=None)
        named = any(arm.trap.tag in c.serves.replace(",", " ").split() for c in on.design.cleanouts)
        if named or (near is not None and near <= NEAR_MM):
            continue
        yield on.finding(
            about=(arm.trap.tag, arm.pipes[-1].id),
            found=f"no cleanout near the trap arm of {arm.trap.tag}",
            wanted="a cleanout on the fixture drain of the kitchen sink; the trap's plug does not count",
            do="set a cleanout tee in the drop below the sink's tee, reached through the sink base",
            why="Kitchen drains block most often, and in the first metres.",
            bases=(asked,),
            at=arm.end,
        )
