"""VNT003 vent-flat-below-rim."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.checks.facts import highest_rim, loop_tags
from stubout.layout.model import Role
from stubout.problems import Level
from stubout.rulebooks import queries


@check("VNT003", "vent-flat-below-rim", Level.FIX)
def rule(on: Review) -> Findings:
    """A dry vent runs flat below the flood rim of a fixture it serves.

    ## What it checks
    Every vent that lies flatter than 45 degrees, at its lower end and its centre line, against the highest flood rim
    among the fixtures it vents plus the book's margin.

    ## Why it matters
    When the drain blocks, waste rises into the flat pipe, settles, and closes the vent for good.

    ## Fails
    A vent that turns flat 600 mm above the floor behind a sink whose rim is at 900 mm.

    ## Passes
    The same vent turning flat 150 mm above that rim.

    ## Does not check
    The vents of an island loop, which the books except; fixtures without a known rim.
    """
    looped = loop_tags(on)
    for vent in on.net.vents():
        if vent.vertical or vent.role == Role.FOOT_VENT:
            continue
        served = [t for t in vent.tags if t not in looped]
        if not served:
            continue
        margin = on.ask(queries.dry_rise_above_rim, on.book)
        rim = highest_rim(on, served)
        if margin is None or rim is None:
            continue
        low_mm = min(vent.a.z, vent.b.z)
        short_mm = rim[0] + margin.number - low_mm
        if short_mm > LEVEL_TOL_MM:
            yield on.finding(
                about=(vent.id, rim[1]),
                found=f"{vent.id} runs flat {_rel(on.mm(abs(low_mm - rim[0])), low_mm - rim[0])} the rim of {rim[1]}",
                wanted=f"flat only from {on.mm(margin.number)} above the flood rim",
                do=f"carry the vent up {on.mm(short_mm)} more before it turns flat",
                why="When the drain blocks, waste settles in the flat vent and closes it.",
                bases=(margin, rim[2]),
                at=vent.a,
            )


def _rel(amount: str, above_mm: float) -> str:
    """Return an amount with its side."""
    return f"{amount} {'above' if above_mm >= 0 else 'below'}"
