"""FRM001 bore-too-big."""

from stubout.checks.base import BORE_TOL_MM, Findings, Review, check
from stubout.checks.charts import charted_frame
from stubout.checks.facts import hole_to_do
from stubout.problems import Level

MOVE = (
    "move the pipe to a deeper or non-bearing member, use a smaller pipe where the book lets you, or have the builder "
    "reinforce the member"
)


@check("FRM001", "bore-too-big", Level.FIX)
def rule(on: Review) -> Findings:
    """A hole is larger than the framing book allows in its member.

    ## What it checks
    Every bore through studs, plates and sawn joists, as the trade drills it for the pipe, against the limit for the
    member, its role and its depth. A hole in an I-joist against the largest hole of the maker's chart that the job
    copies; it stops the work.

    ## Why it matters
    The member no longer carries what it is there for.

    ## Fails
    A 64 mm hole in a bearing 2x4 stud where 36 mm are allowed.

    ## Passes
    A 52 mm hole in a non-bearing 2x4 stud where 53 mm are allowed.

    ## Does not check
    Engineered members whose maker's chart the job does not copy, and where in a member a hole is (FRM003).
    """
    yield from _beyond_the_chart(on)
    for bore in on.bores():
        if charted_frame(on, bore) is not None:
            continue
        over = bore.limit_mm is not None and bore.hole_mm - bore.limit_mm > BORE_TOL_MM
        if bore.verdict in ("engineer", "not allowed", "strap"):
            continue
        if not over and not (bore.verdict == "too big" and bore.limit_mm is None):
            continue
        limit = on.mm(bore.limit_mm) if bore.limit_mm is not None else "no hole of this size"
        yield on.finding(
            about=(bore.id, bore.member, bore.pipe),
            found=f"{on.mm(bore.hole_mm)} hole in {bore.member}",
            wanted=f"at most {limit}",
            do=hole_to_do(on, bore.pipe, MOVE),
            why="The member no longer carries what it is there for.",
            bases=bore.bases,
            with_clause=not any(b.book == on.framing.id for b in bore.bases),
            at=bore.centre,
        )


def _beyond_the_chart(on: Review) -> Findings:
    """Yield the holes in I-joists that are larger than any hole the job copies from the maker's chart."""
    for bore in on.bores():
        held = charted_frame(on, bore)
        if held is None:
            continue
        largest = max(r.hole_mm for r in held[1].rows)
        if bore.hole_mm - largest > BORE_TOL_MM:
            yield on.finding(
                about=(bore.id, bore.member, bore.pipe),
                found=f"{on.mm(bore.hole_mm)} hole in {bore.member} (I-joist)",
                wanted=f"at most {on.mm(largest)}, the largest hole of the maker's chart that the job copies",
                do=hole_to_do(
                    on,
                    bore.pipe,
                    "lead the pipe along the bay or below the members, or copy the row of the chart that allows it",
                ),
                why="The member may fail.",
                bases=(held[1].basis("largest hole", on.mm(largest)),),
                at=bore.centre,
                level=Level.STOP,
                with_clause=False,
            )
