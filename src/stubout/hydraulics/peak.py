"""Peak flow of many fixtures: the European square root, Hunter's curve, and the binomial behind it."""

from __future__ import annotations

import math
from collections.abc import Sequence

L_PER_S_PER_GPM = 1.0 / 15.850323

# Fixture units -> gal/min. Source: the flow estimate table of the model codes' appendix (same as Hunter's curve,
# BMS65, 1940), memory; checked against the binomial at 200 units and more.
TANK_GPM: tuple[tuple[float, float], ...] = (
    (1, 3.0), (2, 5.0), (3, 6.5), (4, 8.0), (5, 9.4), (6, 10.7), (8, 12.8), (10, 14.6), (12, 16.0), (15, 17.5),
    (20, 19.6), (25, 21.5), (30, 23.3), (40, 26.3), (50, 29.1), (60, 32.0), (70, 35.0), (80, 38.0), (90, 41.0),
    (100, 43.5), (120, 48.0), (140, 52.5), (160, 57.0), (180, 61.0), (200, 65.0), (250, 75.0), (300, 85.0),
    (400, 105.0), (500, 124.0), (750, 170.0), (1000, 208.0), (1250, 239.0), (1500, 269.0), (2000, 325.0),
    (2500, 380.0), (3000, 433.0), (4000, 525.0), (5000, 593.0),
)  # fmt: skip
VALVE_GPM: tuple[tuple[float, float], ...] = (
    (5, 15.0), (6, 17.4), (8, 22.2), (10, 27.0), (12, 28.6), (15, 31.0), (20, 35.0), (25, 38.0), (30, 42.0),
    (40, 46.0), (50, 50.0), (60, 54.0), (70, 58.0), (80, 61.2), (90, 64.3), (100, 67.5), (120, 73.0), (140, 77.0),
    (160, 81.0), (180, 85.5), (200, 90.0), (250, 101.0), (300, 108.0), (400, 127.0), (500, 143.0), (750, 177.0),
    (1000, 208.0),
)  # fmt: skip

EN_FREQUENCY = {"intermittent": 0.5, "frequent": 0.7, "congested": 1.0, "special": 1.2}  # EN 12056-2 table 3 (read)


def en_flow_l_per_s(units_l_per_s: Sequence[float], frequency: float = EN_FREQUENCY["intermittent"]) -> float:
    """Return the waste water flow of a set of fixtures, K times the root of the sum of their units [l/s].

    Args:
        units_l_per_s: Discharge unit of every fixture [l/s].
        frequency: Frequency factor K [1]: dwelling 0.5, hotel 0.7, public 1.0.

    Limits: without continuous and pumped flow, which are added in full.
    Source: EN 12056-2:2000, tables 2 and 3 (read in an extract).
    Example: two-family house, 16.8 l/s of units: 2.05 l/s (town's application sheet, read).
        >>> round(en_flow_l_per_s([16.8]), 2)
        2.05
    """
    return frequency * math.sqrt(sum(units_l_per_s))


def en_design_flow_l_per_s(units_l_per_s: Sequence[float], frequency: float = EN_FREQUENCY["intermittent"]) -> float:
    """Return the flow a pipe is designed for: not less than its largest single fixture [l/s].

    Args:
        units_l_per_s: Discharge unit of every fixture [l/s], at least one.
        frequency: Frequency factor K [1].

    Limits: as `en_flow_l_per_s`.
    Source: EN 12056-2:2000 (read in a catalogue and an encyclopaedia entry).
    Example: a bath alone, 0.8: 0.45 by the root, so 0.8.
        >>> en_design_flow_l_per_s([0.8])
        0.8
    """
    return max(en_flow_l_per_s(units_l_per_s, frequency), *units_l_per_s)


def hunter_flow_gpm(load_fu: float, table: tuple[tuple[float, float], ...] = TANK_GPM) -> float:
    """Return the probable peak flow of a load, by Hunter's curve [gal/min].

    Args:
        load_fu: Fixture units [FU], 0 or more.
        table: The curve: `TANK_GPM` (drains use it even with flush valves) or `VALVE_GPM`.

    Limits: linear between points; above 1000 units the two curves are one; never the binomial below 200 units.
    Source: model code appendix, after BMS65 (memory).
    Example: 100 fixture units with tanks.
        >>> hunter_flow_gpm(100)
        43.5
    """
    if load_fu < 0.0:
        raise ValueError(f"load must be 0 or more, got {load_fu!r}")
    points = table
    if table is VALVE_GPM and load_fu > VALVE_GPM[-1][0]:
        points = TANK_GPM
    if load_fu > points[-1][0]:
        raise ValueError(f"the curve ends at {points[-1][0]} fixture units, got {load_fu!r}")
    x0, y0 = 0.0, 0.0
    for x1, y1 in points:
        if load_fu <= x1:
            return y0 + (y1 - y0) * (load_fu - x0) / (x1 - x0)
        x0, y0 = x1, y1
    return y0


def hunter_flow_l_per_s(load_fu: float, table: tuple[tuple[float, float], ...] = TANK_GPM) -> float:
    """Return the probable peak flow of a load, by Hunter's curve [l/s].

    Args:
        load_fu: Fixture units [FU].
        table: The curve.

    Limits, source: as `hunter_flow_gpm`.
    Example: 20 fixture units, 19.6 gal/min.
        >>> round(hunter_flow_l_per_s(20), 2)
        1.24
    """
    return hunter_flow_gpm(load_fu, table) * L_PER_S_PER_GPM


def more_than_in_use(count: int, in_use: int, share: float) -> float:
    """Return the chance that more than `in_use` of `count` like fixtures run at once [1].

    Args:
        count: Number of fixtures [1].
        in_use: Number that may run [1].
        share: Part of the time each of them runs [1], 0 to 1.

    Limits: independent, like fixtures.
    Source: binomial distribution; the method of BMS65 (memory).
    Example: six basins, a tenth of the time: more than two with 1.585 % (lecture on drainage, read).
        >>> round(more_than_in_use(6, 2, 0.1), 5)
        0.01585
    """
    return sum(math.comb(count, m) * share**m * (1.0 - share) ** (count - m) for m in range(in_use + 1, count + 1))


def design_number(count: int, share: float, chance: float = 0.01) -> int:
    """Return how many of `count` like fixtures are designed for: the least that is passed with less than `chance`.

    Args:
        count: Number of fixtures [1].
        share: Part of the time each of them runs [1].
        chance: Accepted chance of more [1].

    Limits: as `more_than_in_use`.
    Source: method of BMS65 (memory), criterion 1 %.
    Example: six basins, a tenth of the time: three.
        >>> design_number(6, 0.1)
        3
    """
    return next(m for m in range(count + 1) if more_than_in_use(count, m, share) < chance)
