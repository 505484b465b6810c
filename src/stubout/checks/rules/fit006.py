"""FIT006 fittings-collide."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.problems import Level


@check("FIT006", "fittings-collide", Level.FIX)
def rule(on: Review) -> Findings:
    """Two fittings stand closer than their make-ups let a pipe go between.

    ## What it checks
    Every cut piece: centre to centre less both make-ups must leave room for a pipe in both sockets.

    ## Why it matters
    The piece cannot be cut: the plumber finds out with glue on his hands.

    ## Fails
    A sanitary tee 90 mm above a combination whose make-ups are 59 and 60 mm.

    ## Passes
    The same pair 180 mm apart.

    ## Does not check
    Street fittings in hand; unmeasured make-ups carry their status into the finding.
    """
    for piece in on.design.fabrication.pieces:
        if piece.fits:
            continue
        pipe = next((p for p in on.net.pipes if p.id == piece.pipe), None)
        yield on.finding(
            about=tuple(i for i in (piece.pipe, piece.start_fitting, piece.end_fitting) if i),
            found=f"{on.mm(piece.centre_mm)} between fittings that take up "
            f"{on.mm(piece.takeoff_start_mm + piece.takeoff_end_mm)}",
            wanted="room for a pipe in both sockets",
            do=piece.note or "move one fitting away, or use a street fitting",
            why="The piece cannot be cut and joined as drawn.",
            bases=(trade("make-ups", f"status {piece.status.value}"),),
            at=pipe.a if pipe else None,
        )
