"""Which dimensions of fittings to measure first: by how much the cut lengths together may be out for each. [mm]"""

from __future__ import annotations

from collections import defaultdict

from stubout.catalog import queries as catalogue
from stubout.catalog.model import Catalog, FittingData
from stubout.fabrication.model import CutPiece, FittingUse, MeasureFirst
from stubout.problems import Status


def make_up_error(mm: float, status: Status, catalog: Catalog) -> float:
    """Return how far a make-up may be out by its status: no farther than it is long, nor nearer than a moulding holds.

    Args:
        mm: The make-up [mm].
        status: How sure it is.
        catalog: The catalogue.
    """
    moulded = catalog.figure("make-up error, read").value
    return min(catalog.figure(f"make-up error, {status.value}").value, max(mm, moulded))


def measure_first(
    pieces: tuple[CutPiece, ...], fittings: tuple[FittingUse, ...], catalog: Catalog
) -> tuple[MeasureFirst, ...]:
    """Return the dimensions nobody has measured, the one with the most influence first.

    Influence = ends of pieces it shortens, times how far such a dimension may be out: what all cut lengths together are
    out if it is as wrong as it can be. One measurement settles it, however many fittings of a kind there are.

    Args:
        pieces: The cut pieces.
        fittings: All fittings.
        catalog: The catalogue, measurements laid over it.
    """
    known: dict[str, FittingData] = {}
    for use in fittings:
        of = catalogue.fitting(use.pattern, use.sizes_in, catalog)
        known[of.key] = of
    shortened: dict[tuple[str, str], list[str]] = defaultdict(list)
    reckoned: dict[tuple[str, str], tuple[float, Status]] = {}
    for piece in pieces:
        for key, port in piece.make_ups if piece.cut_mm > 0 else ():
            data = known[key]
            if data.statuses[port].verified or data.statuses[port] is Status.DERIVED:
                continue
            alike = len(data.ports) == 2 and len(set(data.ports.values())) == 1
            name = "make-up" if alike or len(data.ports) == 1 else port.rstrip(" 12")
            shortened[(key, name)].append(piece.id)
            reckoned[(key, name)] = (data.ports[port], data.statuses[port])
    out = []
    for (key, name), ids in shortened.items():
        mm, status = reckoned[(key, name)]
        off = make_up_error(mm, status, catalog)
        out.append(MeasureFirst(key, name, mm, status, off, len(ids), off * len(ids), tuple(dict.fromkeys(ids))))
    return tuple(sorted(out, key=lambda m: (-round(m.influence_mm, 3), -m.ends, m.fitting, m.dimension)))
