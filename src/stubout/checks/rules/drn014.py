"""DRN014 drawn-size-overruled."""

from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check, trade
from stubout.checks.space import segment_segment
from stubout.checks.surroundings import around
from stubout.house.facts import RouteLeg
from stubout.network.model import Pipe
from stubout.problems import Level


@check("DRN014", "drawn-size-overruled", Level.FIX)
def rule(on: Review) -> Findings:
    """A pipe is drawn by hand in a size that the design could not keep.

    ## What it checks
    The size said for every hand-drawn route, drain or vent, against the size of the pipes that lie on it in the design.

    ## Why it matters
    What is on the drawing and what is on the list differ, and the pipe that is bought is the wrong one.

    ## Fails
    A kitchen drain drawn in 1-1/2 in that the book asks to be 2 in.

    ## Passes
    The same drain drawn in 2 in, or drawn without a size.

    ## Does not check
    Routes without a size: the design is free to size them.
    """
    for leg in on.house.routes:
        drawn_in = leg.size_in
        if drawn_in is None:
            continue
        whole = around(leg.points).grown(TOUCH_TOL_MM)  # most pipes lie elsewhere, and that is seen at a glance
        on_leg = [p for p in on.net.pipes if p.system == leg.system and whole.contains(p.a) and _lies_on(p, leg)]
        off = {p.id: abs(p.size_in - drawn_in) for p in on_leg if abs(p.size_in - drawn_in) > 1e-6}
        if not off:
            continue
        worst = max((p for p in on_leg if p.id in off), key=lambda p: (off[p.id], p.id))
        why = on.design.derivation(worst.id, "size")
        yield on.finding(
            about=(leg.id, *sorted(i for i in off if i != leg.id)),
            found=f"{leg.id} is drawn in {on.size(drawn_in)}, the design needs {on.size(worst.size_in)}",
            wanted=why.steps[-1] if why is not None and why.steps else f"{on.size(worst.size_in)}",
            do=f"write {on.size(worst.size_in)} in the route, or take load, closets or length off it",
            why="The pipe on the drawing is not the pipe on the list.",
            bases=(why.bases if why is not None else ()) or (trade("size of a drawn route", "as drawn"),),
            at=worst.a,
            line=leg.line,
        )


def _lies_on(pipe: Pipe, leg: RouteLeg) -> bool:
    """Return whether a pipe is a piece of a drawn route."""
    if pipe.length_mm <= TOUCH_TOL_MM:
        return False
    for a, b in zip(leg.points, leg.points[1:], strict=False):
        if all(segment_segment(p, p, a, b)[0] <= TOUCH_TOL_MM for p in (pipe.a, pipe.b)):
            return True
    return False
