"""Widths a drawing needs, from the shipped catalogue: pipe, hub, socket, bore.

For the picture only, except the bore: every number that is cut or drilled comes from the fabrication.
"""

from __future__ import annotations

from stubout.catalog import queries as catalog
from stubout.fabrication.set_in import TRANSITION


def od_mm(size_in: float) -> float:
    """Return the outside diameter of a pipe [mm]."""
    return catalog.od_mm(size_in)


def hub_mm(size_in: float) -> float:
    """Return the outside diameter of a hub [mm]."""
    return catalog.hub_od_mm(size_in)


def socket_mm(size_in: float) -> float:
    """Return the depth of a socket [mm]."""
    return catalog.socket_mm(size_in)


def coupling_mm(size_in: float) -> float:
    """Return the length of a coupling [mm]."""
    return catalog.coupling_mm(size_in)


def sleeve_mm(pattern: str, size_in: float) -> float:
    """Return the length of a coupling on installed pipe [mm]: of a shield, or of one that is glued."""
    return 2 * catalog.figure("half a transition coupling").value if pattern == TRANSITION else coupling_mm(size_in)


def bore_mm(size_in: float) -> float:
    """Return the inside diameter the invert is reckoned with [mm]; both plastics have the same."""
    return catalog.pipe("abs", size_in).id_mm
