"""Widths a drawing needs: outside diameters of drain pipe and of its hubs.

For the picture only: every number that is cut or bored comes from the fabrication. Outside diameters: schedule 40 DWV,
ASTM D2661 and D2665 (read). Hubs, sockets: for clearance, as in the catalogue (estimate,
memory). Bore: average, what the invert is reckoned with (read to 6 in). A test compares all four with the catalogue.
"""

from __future__ import annotations

OD_MM = {1.25: 42.164, 1.5: 48.26, 2.0: 60.325, 2.5: 73.025, 3.0: 88.9, 4.0: 114.3, 5.0: 141.3002, 6.0: 168.275, 8.0: 219.075}
HUB_MM = {1.25: 50.8, 1.5: 57.15, 2.0: 69.85, 2.5: 85.725, 3.0: 101.6, 4.0: 128.524, 5.0: 157.48, 6.0: 184.15, 8.0: 238.125}
SOCKET_MM = {1.25: 17.4625, 1.5: 17.4625, 2.0: 19.05, 2.5: 25.4, 3.0: 38.1, 4.0: 44.45, 5.0: 57.15, 6.0: 76.2, 8.0: 101.6}
BORE_MM = {1.25: 34.6456, 1.5: 40.4368, 2.0: 52.0446, 2.5: 62.103, 3.0: 77.2668, 4.0: 101.5492, 5.0: 127.4064, 6.0: 153.1874, 8.0: 201.7268}


def od_mm(size_in: float) -> float:
    """Return the outside diameter of a pipe [mm]."""
    return OD_MM.get(size_in, size_in * 25.4 * 1.13)


def hub_mm(size_in: float) -> float:
    """Return the outside diameter of a hub [mm]."""
    return HUB_MM.get(size_in, size_in * 25.4 * 1.25)


def socket_mm(size_in: float) -> float:
    """Return the depth of a socket [mm]."""
    return SOCKET_MM.get(size_in, size_in * 12.0)


def bore_mm(size_in: float) -> float:
    """Return the inside diameter of a pipe [mm]."""
    return BORE_MM.get(size_in, size_in * 25.4)
