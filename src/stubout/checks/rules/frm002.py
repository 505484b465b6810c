"""FRM002 bore-too-near-edge."""

from itertools import combinations

from stubout.checks.base import BORE_TOL_MM, Findings, Review, check
from stubout.checks.charts import charted_frame, least_apart_mm
from stubout.checks.facts import hole_to_do, holes_apart_to_do
from stubout.problems import Level
from stubout.rulebooks import queries

SPANNING = ("joist", "beam", "rafter")


@check("FRM002", "bore-too-near-edge", Level.FIX)
def rule(on: Review) -> Findings:
    """A hole leaves too little wood at the edge of its member, or to the next hole.

    ## What it checks
    The wood from every hole to the nearest edge of the member against the framing book; in joists, beams and rafters
    also the wood between two holes, where the book asks for some; in I-joists the web between two holes, as the maker's
    chart that the job copies asks it, which stops the work.

    ## Why it matters
    The edges carry the bending; a hole at the edge is a notch.

    ## Fails
    A hole 30 mm from the underside of a joist where 50 mm are asked.

    ## Passes
    A hole in the middle of the joist's depth.

    ## Does not check
    Holes and notches that others cut.
    """
    yield from _too_near_each_other(on)
    yield from _in_one_web(on)
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
            do=hole_to_do(on, bore.pipe, f"move the hole {on.mm(max(short_mm, 0.0))} towards the middle of the member"),
            why="The edges carry the bending: a hole at the edge is a notch.",
            bases=bore.bases,
            with_clause=not any(b.book == on.framing.id for b in bore.bases),
            at=bore.centre,
        )


def _too_near_each_other(on: Review) -> Findings:
    """Yield the pairs of holes in one spanning member with less wood between them than the book asks.

    Two pipes that meet go through one hole.
    """
    least = queries.joist_bores_apart(on.framing)
    if least is None:
        return
    for a, b in combinations([x for x in on.bores() if x.member_kind in SPANNING], 2):
        if a.member != b.member or a.pipe == b.pipe or _meet(on, a.pipe, b.pipe):
            continue
        wood_mm = a.centre.to(b.centre) - (a.hole_mm + b.hole_mm) / 2
        if least.number - wood_mm > BORE_TOL_MM:
            yield on.finding(
                about=(a.id, b.id, a.member),
                found=f"{on.mm(max(wood_mm, 0.0))} of wood between the holes of {a.pipe} and {b.pipe} in {a.member}",
                wanted=f"at least {on.mm(least.number)}",
                do=holes_apart_to_do(on, a.pipe, b.pipe, on.mm(least.number - wood_mm)),
                why="Two holes close together weaken the member like one large hole.",
                bases=(least,),
                with_clause=False,
                at=a.centre,
            )


def _in_one_web(on: Review) -> Findings:
    """Yield the pairs of holes in one I-joist with less web between them than the maker's chart asks."""
    for a, b in combinations([x for x in on.bores() if x.member_kind == "i-joist"], 2):
        held = charted_frame(on, a)
        if held is None or a.member != b.member or a.pipe == b.pipe or _meet(on, a.pipe, b.pipe):
            continue
        least = least_apart_mm(held[1], (a.hole_mm, b.hole_mm), BORE_TOL_MM)
        web_mm = a.centre.to(b.centre) - (a.hole_mm + b.hole_mm) / 2
        if least - web_mm > BORE_TOL_MM:
            yield on.finding(
                about=(a.id, b.id, a.member),
                found=f"{on.mm(max(web_mm, 0.0))} of web between the holes of {a.pipe} and {b.pipe} in {a.member}",
                wanted=f"at least {on.mm(least)}",
                do=holes_apart_to_do(on, a.pipe, b.pipe, on.mm(least - web_mm)),
                why="Two holes close together weaken the web like one large hole.",
                bases=(held[1].basis("web between two holes", on.mm(least)),),
                at=a.centre,
                level=Level.STOP,
                with_clause=False,
            )


def _meet(on: Review, one: str, other: str) -> bool:
    a, b = on.net.pipe(one), on.net.pipe(other)
    return bool({a.start, a.end} & {b.start, b.end})
