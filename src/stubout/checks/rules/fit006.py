"""FIT006 fittings-collide."""

from stubout.catalog import queries as catalog
from stubout.checks.base import Findings, Review, check
from stubout.problems import Basis, Level


@check("FIT006", "fittings-collide", Level.FIX)
def rule(on: Review) -> Findings:
    """Two fittings stand closer than their make-ups let a pipe go between.

    ## What it checks
    Every cut piece: centre to centre less both make-ups must leave room for a pipe in both sockets, or the distance
    must be that of a street fitting: the make-up of the hub and the spigot, cut back no further than a socket depth.

    ## Why it matters
    The piece cannot be cut: the plumber finds out with glue on his hands.

    ## Fails
    A sanitary tee 90 mm above a combination whose make-ups are 59 and 60 mm. Two elbows at a distance too long for a
    spigot to reach its seat and too short for a piece of pipe.

    ## Passes
    The same pair 180 mm apart; two elbows that a street elbow joins without pipe.

    ## Does not check
    Whether the yard has the street pattern; unmeasured make-ups carry their status into the finding.
    """
    parts = catalog.measured_catalog(on.house.measured)
    uses = {f.id: f for f in on.design.fabrication.fittings}
    for piece in on.design.fabrication.pieces:
        if piece.fits:
            continue
        ends = [uses[i] for i in (piece.start_fitting, piece.end_fitting) if i in uses]
        made = [on.ask(catalog.make_up_basis, u.pattern, u.sizes_in, u.status, on.house.job.units, parts) for u in ends]
        pipe = next((p for p in on.net.pipes if p.id == piece.pipe), None)
        yield on.finding(
            about=tuple(i for i in (piece.pipe, piece.start_fitting, piece.end_fitting) if i),
            found=f"{on.mm(piece.centre_mm)} centre to centre between fittings whose make-ups take "
            f"{on.mm(piece.takeoff_start_mm + piece.takeoff_end_mm)} together"
            + (f": {piece.note}" if piece.note else "")
            + ("" if piece.status.verified else f"; make-ups from {piece.status.value}: measure the fittings in hand"),
            wanted="room for a pipe in both sockets, or just the distance of a street elbow",
            do=piece.do or "move one of the fittings away",
            why="The piece cannot be cut and joined as drawn.",
            bases=made or (Basis("make-ups", "as cut", "catalog", "", piece.status),),
            at=pipe.a if pipe else None,
        )
