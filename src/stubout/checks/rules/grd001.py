"""GRD001 cover-too-small."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import id_mm, od_mm
from stubout.checks.surroundings import ground_z, outside_points
from stubout.geometry.vec import Vec
from stubout.layout.model import Role
from stubout.network.model import Pipe
from stubout.problems import Finding, Level
from stubout.rulebooks.model import Cell


@check("GRD001", "cover-too-small", Level.FIX)
def rule(on: Review) -> Findings:
    """The sewer has too little earth over it.

    ## What it checks
    The cover over every pipe outside the house against the book, and against the depth that services have where it
    freezes (`service depth` of the job, else that of the footings); the ground is taken as a straight line from the
    house to the connection. One finding names every pipe that lacks cover, with the worst value; where the connection
    lies no deeper itself, it says so.

    ## Why it matters
    A spade, a wheel or the frost breaks it.

    ## Fails
    200 mm of earth over the sewer where 305 mm are asked.

    ## Passes
    350 mm. Where it freezes and the pipe lies above that depth the inspector is asked.

    ## Does not check
    Roads and drives; what the local authority asks where the book leaves the depth to it.
    """
    asked = on.book.find("ground.cover")
    climate = on.house.climate
    freezes = climate.frost_prone_vents or climate.service_depth_mm is not None
    frost_mm = climate.frost_depth_mm if freezes else None
    if asked is None and frost_mm is None:
        known = on.house.climate.footing_depth_mm is not None
        why = "says that vents do not frost shut" if known else "gives no `footing depth` for the frost (climate)"
        on.skip(f"the book leaves the cover to the local authority, and the job {why}")
        return
    covers = sorted(
        ((least, pipe.id, at) for pipe in on.net.drains() if (c := _cover(on, pipe)) is not None for least, at in (c,)),
        key=lambda c: (round(c[0], 3), c[1]),
    )
    lacking = [(mm, i, at) for mm, i, at in covers if asked is not None and asked.number - mm > LEVEL_TOL_MM]
    if lacking and asked is not None:
        yield _finding(on, lacking, asked.number, asked)
    told = {i for _, i, _ in lacking}
    shallow = [c for c in covers if frost_mm is not None and frost_mm - c[0] > LEVEL_TOL_MM and c[1] not in told]
    if shallow and frost_mm is not None:
        yield _finding(on, shallow, frost_mm, None)


def _cover(on: Review, pipe: Pipe) -> tuple[float, Vec] | None:
    """Return the least earth over a pipe outside the house [mm] and where; None for a pipe that lies inside."""
    size_mm = od_mm(on, pipe.size_in)
    if size_mm is None or pipe.role == Role.CLEANOUT_EXT:
        return None  # a cleanout rises to the ground on purpose
    covers = [(ground_z(on, p) - (p.z + size_mm / 2), p) for p in outside_points(on, pipe)]
    return min(covers, key=lambda c: (round(c[0], 3), c[1]), default=None)


def _over_connection(on: Review) -> float | None:
    """Return how much earth lies over the connection [mm]; what comes to it from the house lies no deeper."""
    sewer = on.house.sewer
    outside, inside = od_mm(on, sewer.size_in), id_mm(on, sewer.size_in)
    if outside is None or inside is None:
        return None
    return on.house.ground.at_sewer_z_mm - (sewer.at.z + (inside + outside) / 2)


def _finding(on: Review, lacking: list[tuple[float, str, Vec]], want_mm: float, asked: Cell | None) -> Finding:
    """Return the one finding about all pipes that lack cover, the worst first; without `asked` frost is the measure."""
    cover_mm, first, at = lacking[0]
    names = (first, *sorted(i for _, i, _ in lacking[1:]))
    over = f"over {first}" + (f"; too little over {', '.join(names[1:])} as well" if len(names) > 1 else "")
    rule_of_frost = on.book.find("ground.cover_rule") or trade("sewer above frost depth", "insulated or deeper")
    cure = f"lay {'it' if len(names) == 1 else 'them'} {on.mm(want_mm - cover_mm)} deeper there"
    end_mm = _over_connection(on)
    if end_mm is not None and want_mm - end_mm > LEVEL_TOL_MM:
        cure = f"have the connection set deeper: it has {on.mm(max(end_mm, 0.0))} of earth over it itself"
    return on.finding(
        about=names,
        found=f"{on.mm(max(cover_mm, 0.0))} of earth at the least, {over}",
        wanted=f"at least {on.mm(want_mm)}"
        + ("" if asked else f", the depth of {on.house.climate.frost_depth_words} against frost"),
        do=f"{cure}, or {'protect the pipe' if asked else 'insulate over it'} as the inspector accepts",
        why="A spade or a wheel breaks it." if asked else "What stands in the pipe freezes, and frost lifts it.",
        bases=(asked or rule_of_frost,),
        at=at,
        level=Level.FIX if asked else Level.ASK,
        owner="" if asked else "inspector",
    )
