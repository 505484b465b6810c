"""Upright pieces of finished houses against the storeys they stand in, by the levels of the job alone.

By hand: between floor and ceiling nothing longer than from the top of a bottom plate to the underside of the top plates
stands up in line, so that what goes through a plate is no longer than the highest open stretch of its line.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

NAMES = ("01", "02", "03", "drawn", "demo")
INF = float("inf")


def across(house, p):
    """Return what lies across the upright line through a point, as heights from and to: plates, panels, slab, roof."""
    out = [(v.subfloor_z_mm - v.slab_mm, v.subfloor_z_mm) for v in house.levels if v.kind != "frame"]
    for w in house.walls:
        if abs(w.offset(p)) < w.depth_mm / 2 and 0.0 < w.station(p) < w.length_mm:
            out += [(w.bottom_z_mm, w.bottom_z_mm + w.bottom_plate_mm), (w.top_z_mm - w.top_plate_mm, w.top_z_mm)]
    out += [(f.top_z_mm, f.top_z_mm + f.panel_mm) for f in house.frames if f.panel_mm]
    roof = [r.z_at(p.x, p.y) for r in house.roof if r.x0_mm <= p.x <= r.x1_mm and r.y0_mm <= p.y <= r.y1_mm]
    return sorted([*out, *((z, z) for z in roof[:1])])


def stood(design):
    """Yield every plumb piece of an upright run with its ends [mm] and what lies across its line."""
    net, runs = design.network, {}
    for c in design.fabrication.pieces:
        runs.setdefault(c.pipes, []).append(c)
    for ids, own in runs.items():
        pipes = [net.pipe(i) for i in ids if i]
        if not pipes or own[0].street or any(not p.vertical or p.plan_mm > 1.0 for p in pipes):
            continue
        heights = [z for p in pipes for z in (p.a.z, p.b.z)]
        rises = len(pipes) > 1 and max(pipes[0].a.z, pipes[0].b.z) < max(heights) - 1.0
        rises = rises or (len(pipes) == 1 and pipes[0].b.z > pipes[0].a.z)
        at, sign = (min(heights), 1.0) if rises else (max(heights), -1.0)
        for c in own:
            start = at + sign * c.takeoff_start_mm
            end = start + sign * c.cut_mm
            at += sign * c.centre_mm
            yield c, min(start, end), max(start, end), across(design.house, pipes[0].a)


@pytest.mark.parametrize("name", NAMES)
def test_no_upright_piece_is_longer_than_the_line_is_open(chain, name):
    seen = 0
    for c, low, high, wood in stood(chain(name).design):
        through = [s for s in wood if low < s[0] and s[1] < high]
        floors = [v.subfloor_z_mm for v in chain(name).design.house.levels if v.kind != "frame"]
        if not through or high > wood[-1][1] or any(low < z < high for z in floors):
            continue  # out of the roof any length comes in; in a slab it stands before the wall does
        seen += 1
        tops = [s[1] for s in wood]
        free = [b[0] - a for a, b in zip([min(low, tops[0]), *tops], [*wood, (INF, INF)], strict=False)]
        assert c.cut_mm <= max(f for f in free if f < INF), c.id
    assert seen or name == "02"


def test_both_halves_of_a_run_are_told_how_they_come_in(chain):
    for name in NAMES:
        for p in chain(name).design.fabrication.put_in:
            if p.ways:
                assert len(p.ways) == len(p.pieces) == p.couplings + 1
                assert len(p.joints) == p.couplings
                assert len(set(p.pieces)) == len(p.pieces)
                assert all(a != b for a, b in pairwise(p.pieces))
