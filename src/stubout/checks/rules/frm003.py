"""FRM003 engineered-member-bored."""

from stubout.checks.base import BORE_TOL_MM, Findings, Review, check, trade
from stubout.checks.charts import charted_frame, least_from_bearing_mm, to_bearing_mm
from stubout.checks.facts import hole_to_do
from stubout.fabrication.model import Bore
from stubout.house.crossings import FLANGE_MM
from stubout.problems import Finding, Level


@check("FRM003", "engineered-member-bored", Level.STOP)
def rule(on: Review) -> Findings:
    """A hole goes through a member that nobody but its maker or an engineer may cut.

    ## What it checks
    Bores through I-joists, trusses, beams and everything the framing book closes. Where the job copies the maker's
    hole chart of I-joists: each hole against the flanges and against the chart's distance from the bearings - walls
    and beams under the joists, and the ends that nothing known carries.

    ## Why it matters
    The member may fail, and its maker's warranty is gone.

    ## Fails
    A 3 in hole in an I-joist without the maker's hole chart.

    ## Passes
    A pipe in the bay along the I-joists; a hole of the chart, as far from the bearings as the chart wants it.

    ## Does not check
    Whether the maker's chart allows the hole, where it is at hand and the job does not copy it; openings of open-web
    joists that the job does say (FRM007).
    """
    webs = {f.id for f in on.house.frames if f.openings is not None}
    for bore in on.design.fabrication.bores:
        told = _off_the_chart(on, bore)
        if told is not None:
            yield told
            continue
        if bore.member_kind == "truss" and bore.wall_or_frame in webs:
            continue
        sawn = bore.member_kind in ("stud", "bottom plate", "top plate", "joist", "rafter")
        if bore.verdict not in ("engineer", "not allowed") or (sawn and bore.verdict == "not allowed"):
            continue  # a pipe that lies in a sawn member is FRM007
        closed = bore.verdict == "not allowed"
        yield on.finding(
            about=(bore.id, bore.member, bore.pipe),
            found=f"{on.mm(bore.hole_mm)} hole in {bore.member} ({bore.member_kind})",
            wanted="no hole" if closed else "the maker's hole chart, or the engineer's word",
            do=hole_to_do(
                on,
                bore.pipe,
                "lead the pipe along the bay or below the members"
                + ("" if closed else ", or get the maker's chart before anything is cut"),
            ),
            why="The member may fail.",
            bases=bore.bases or (on.framing.find("member.engineered") or trade("engineered members", "not cut"),),
            at=bore.centre,
            level=Level.STOP if closed else Level.ASK,
            owner="" if closed else "builder",
        )


def _off_the_chart(on: Review, bore: Bore) -> Finding | None:
    """Return what is wrong with where a hole is in an I-joist by the maker's chart; its size is FRM001."""
    held = charted_frame(on, bore)
    if held is None:
        return None
    frame, chart = held
    web_mm = min(bore.centre.z - frame.bottom_z_mm, frame.top_z_mm - bore.centre.z) - FLANGE_MM - bore.hole_mm / 2
    away_mm = to_bearing_mm(on, frame, bore)
    least = least_from_bearing_mm(chart, bore.hole_mm, BORE_TOL_MM)
    if web_mm < -BORE_TOL_MM:
        found = f"{on.mm(bore.hole_mm)} hole in {bore.member} cuts {on.mm(-web_mm)} into the flange"
        wanted = "the hole in the web"
        do = f"move the hole {on.mm(-web_mm)} towards the middle of the joist"
        basis = trade("flange of an I-joist", f"{on.mm(FLANGE_MM)} high, not cut")
    elif least is not None and least - away_mm > BORE_TOL_MM:
        found = f"{on.mm(bore.hole_mm)} hole in {bore.member}{_away(on, away_mm)}"
        wanted = f"at least {on.mm(least)} from the face of the bearing to the centre of this hole"
        do = f"move the hole {on.mm(least - away_mm)} away from the bearing, or lead the pipe along the bay"
        basis = chart.basis("hole from a bearing", on.mm(least))
    else:
        return None
    return on.finding(
        about=(bore.id, bore.member, bore.pipe),
        found=found,
        wanted=wanted,
        do=hole_to_do(on, bore.pipe, do),
        why="The member may fail.",
        bases=(basis,),
        at=bore.centre,
    )


def _away(on: Review, away_mm: float) -> str:
    return f", {on.mm(away_mm)} from a bearing" if away_mm > 0 else " over a bearing"
