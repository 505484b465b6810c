"""FRM002 bore-too-near-edge."""

from stubout.checks.base import Findings, Review, check
from stubout.problems import Level

BORE_TOL_MM = 0.5  # rounding of inch bits to mm


@check("FRM002", "bore-too-near-edge", Level.FIX)
def rule(on: Review) -> Findings:
    """A hole leaves too little wood at the edge of its member.

    ## What it checks
    The wood from every hole to the nearest edge of the member against the framing book.

    ## Why it matters
    The edges carry the bending; a hole at the edge is a notch.

    ## Fails
    A hole 30 mm from the underside of a joist where 50 mm are asked.

    ## Passes
    A hole in the middle of the joist's depth.

    ## Does not check
    Distance to the next hole.
    """
    for bore in on.bores():
        short_mm = (bore.edge_limit_mm or 0.0) - bore.edge_mm
        if bore.verdict in ("engineer", "not allowed", "strap", "too big"):
            continue
        if short_mm <= BORE_TOL_MM and not (bore.verdict == "edge" and bore.edge_limit_mm is None):
            continue
        yield on.finding(
            about=(bore.id, bore.member, bore.pipe),
            found=f"{on.mm(bore.edge_mm)} of wood left beside the hole in {bore.member}",
            wanted=f"at least {on.mm(bore.edge_limit_mm or 0.0)}",
            do=f"move the hole {on.mm(max(short_mm, 0.0))} towards the middle of the member",
            why="The edges carry the bending: a hole at the edge is a notch.",
            bases=bore.bases,
            with_clause=not any(b.book == on.framing.id for b in bore.bases),
            at=bore.centre,
        )
