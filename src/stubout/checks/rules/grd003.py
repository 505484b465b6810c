"""GRD003 pipe-in-footing."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.checks.surroundings import meets, room_of
from stubout.problems import Level
from stubout.rulebooks import queries


@check("GRD003", "pipe-in-footing", Level.ASK)
def rule(on: Review) -> Findings:
    """A pipe goes through a footing or a pad.

    ## What it checks
    Every pipe in three dimensions against the footings and pads of the job, one finding a footing.

    ## Why it matters
    Concrete set round a pipe breaks it; a sleeve weakens the footing, and only the engineer can say whether it may.

    ## Fails
    A building drain that leaves the house half in the edge footing.

    ## Passes
    A drain that passes below the footing.

    ## Does not check
    The steel in the footing.
    """
    things = [t for t in on.house.obstacles if t.kind in ("footing", "pad")]
    pipes = [(p, room) for p in (on.net.pipes if things else ()) if (room := room_of(on, p)) is not None]
    for thing in things:
        hits = [(hit, p) for p, room in pipes if (hit := meets(on, p, thing.box, room)) is not None]
        if not hits:
            continue
        hits.sort(key=lambda h: (-round(h[0][0], 3), h[1].id))
        (deep_mm, at, _), worst = hits[0]
        words, by = queries.sleeve(on.book, worst.size_in, on.house.job.units)
        names = [worst.id, *sorted(p.id for _, p in hits[1:])]
        yield on.finding(
            about=(*names, thing.id),
            found=f"{', '.join(names)} {'lies' if len(names) == 1 else 'lie'} in {thing.kind} {thing.id}"
            + (f" ({thing.what})" if thing.what else "")
            + f", {on.mm(deep_mm)} deep at most",
            wanted="pipes below the footing, or sleeves that the engineer allows",
            do=f"ask the engineer; set sleeves before the pour{words}",
            why="Concrete set round a pipe breaks it.",
            bases=(by or trade("pipe through a footing", "in a sleeve"),),
            at=at,
            owner="engineer",
        )
