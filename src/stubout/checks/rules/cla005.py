"""CLA005 pipes-meet."""

from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import od_mm
from stubout.checks.space import boxes_meet, segment_segment
from stubout.checks.surroundings import pipe_box
from stubout.geometry.vec import Vec, angle_deg
from stubout.network.model import Pipe
from stubout.problems import Level

ONE_PLACE_MM = 150.0  # pieces of one run that meet another in one place are told once
SAME_WAY_DEG = 20.0  # no fitting lets two pipes out so near each other
SHORT_MM = 400.0  # pipes that hang together by less than this belong to one group of fittings


@check("CLA005", "pipes-meet", Level.STOP)
def rule(on: Review) -> Findings:
    """Two pipes of the system run through each other.

    ## What it checks
    Every pair of pipes that are not joined to each other, by their outside diameters; and of those that are, whether
    they leave their common point side by side.

    ## Why it matters
    Both cannot be in one place.

    ## Fails
    A vent that passes through the drain of the neighbouring bath.

    ## Passes
    The same pipes 10 mm apart.

    ## Does not check
    Pipes of other trades; pipes joined to each other, directly or by one short piece, which FIT006 sees to.
    """
    pipes = [p for p in on.net.pipes if p.length_mm > 1.0]
    sized = ((p, od_mm(on, p.size_in)) for p in pipes)
    solid = [(p, pipe_box(p, mm / 2), mm) for p, mm in sized if mm is not None]
    near = _near(pipes)
    hits: list[tuple[float, Pipe, Pipe, Vec]] = []
    for i, (p, p_box, p_mm) in enumerate(solid):
        for q, q_box, q_mm in solid[i + 1 :]:
            if not boxes_meet(p_box, q_box):
                continue
            if _side_by_side(p, q):
                hits.append(((p_mm + q_mm) / 2, p, q, _shorter_middle(p, q)))
                continue
            if near[p.start] & {q.start, q.end} or near[p.end] & {q.start, q.end}:
                continue
            away_mm, at = segment_segment(p.a, p.b, q.a, q.b)
            deep_mm = (p_mm + q_mm) / 2 - away_mm
            if deep_mm > TOUCH_TOL_MM:
                hits.append((deep_mm, p, q, at))
    told: list[Vec] = []
    for deep_mm, p, q, at in sorted(hits, key=lambda h: (-round(h[0], 3), h[1].id, h[2].id)):
        if any(at.to(spot) < ONE_PLACE_MM for spot in told):
            continue
        told.append(at)
        yield on.finding(
            about=(p.id, q.id),
            found=f"{p.id} and {q.id} run {on.mm(deep_mm)} into each other",
            wanted="pipes clear of each other",
            do=f"move one of them by {on.mm(deep_mm)} or more",
            why="Both cannot be in one place.",
            bases=(trade("pipes", "clear of each other"),),
            at=at,
        )


def _side_by_side(p: Pipe, q: Pipe) -> bool:
    """Return whether two pipes that meet in a point leave it in nearly the same direction: one lies in the other."""
    for n in {p.start, p.end} & {q.start, q.end}:
        ways = [(one.b.minus(one.a) if one.start == n else one.a.minus(one.b)) for one in (p, q)]
        if angle_deg(*ways) < SAME_WAY_DEG:
            return True
    return False


def _shorter_middle(p: Pipe, q: Pipe) -> Vec:
    short = min((p, q), key=lambda one: one.length_mm)
    return short.a.plus(short.b).times(0.5)


def _near(pipes: list[Pipe]) -> dict[str, set[str]]:
    """Return for every node the nodes that short pipes tie to it, itself included."""
    near = {n: {n} for p in pipes for n in (p.start, p.end)}
    for p in pipes:
        if p.length_mm < SHORT_MM:
            near[p.start].add(p.end)
            near[p.end].add(p.start)
    return near
