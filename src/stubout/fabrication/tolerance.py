"""How far a straight run may come out longer or shorter than it is drawn: sawing and make-ups stacked up. [mm]"""

from __future__ import annotations

import math

from stubout.catalog import queries as catalogue
from stubout.catalog.model import Catalog
from stubout.fabrication.measure import make_up_error
from stubout.fabrication.model import CutPiece, FittingUse, RunTolerance


def run_tolerances(
    pieces: tuple[CutPiece, ...], fittings: tuple[FittingUse, ...], catalog: Catalog
) -> tuple[RunTolerance, ...]:
    """Return the stack-up of every straight run of pieces, in the order of the cut list.

    Worst = all errors the same way; likely = the root of the sum of their squares, which is what errors that know
    nothing of each other come to. A piece brings the error of its cut, each make-up that of its status.

    Args:
        pieces: The cut pieces.
        fittings: All fittings.
        catalog: The catalogue, measurements laid over it.
    """
    known = {}
    for use in fittings:
        data = catalogue.fitting(use.pattern, use.sizes_in, catalog)
        known[data.key] = data
    sawn = catalog.figure("cut error").value
    runs: dict[tuple[str, ...], list[CutPiece]] = {}
    for piece in pieces:
        if piece.pipes and not piece.street and piece.set_in != "short":
            runs.setdefault(piece.pipes, []).append(piece)
    out = []
    for pipes, own in runs.items():
        errors = [sawn] * len(own)
        for key, port in (m for p in own for m in p.make_ups):
            errors.append(make_up_error(known[key].ports[port], known[key].statuses[port], catalog))
        likely = math.sqrt(sum(e * e for e in errors))
        out.append(RunTolerance(pipes, tuple(p.id for p in own), sum(errors), likely))
    return tuple(out)
