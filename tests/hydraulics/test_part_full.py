"""Part-full flow against tables and an independent library.

Tables: the project's reference notes on hydraulics (computed there with other code, or read where said).
"""

from __future__ import annotations

import math

import fluids
import fluids.geometry
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stubout.hydraulics import circle, colebrook, critical, manning

# y/D, A/D2, P/D, R/D, v/v_full, q/q_full: elements of a part-full circle (handbook table; computed)
ELEMENTS = [
    (0.10, 0.0409, 0.6435, 0.0635, 0.4012, 0.0209),
    (0.20, 0.1118, 0.9273, 0.1206, 0.6151, 0.0876),
    (0.25, 0.1535, 1.0472, 0.1466, 0.7007, 0.1370),
    (0.30, 0.1982, 1.1593, 0.1709, 0.7761, 0.1958),
    (0.40, 0.2934, 1.3694, 0.2142, 0.9022, 0.3370),
    (0.50, 0.3927, 1.5708, 0.2500, 1.0000, 0.5000),
    (0.60, 0.4920, 1.7722, 0.2776, 1.0724, 0.6718),
    (0.70, 0.5872, 1.9823, 0.2962, 1.1198, 0.8372),
    (0.75, 0.6319, 2.0944, 0.3017, 1.1335, 0.9119),
    (0.80, 0.6736, 2.2143, 0.3042, 1.1397, 0.9775),
    (0.90, 0.7445, 2.4981, 0.2980, 1.1243, 1.0658),
    (0.938, 0.7652, 2.6383, 0.2900, 1.1041, 1.0757),
    (1.00, 0.7854, 3.1416, 0.2500, 1.0000, 1.0000),
]


@pytest.mark.parametrize("row", ELEMENTS)
def test_elements_of_a_part_full_circle(row):
    y, a, p, r, v, q = row
    half = 0.5e-4 + 1e-9
    assert circle.area_mm2(1.0, y) == pytest.approx(a, abs=half)
    assert circle.wetted_perimeter_mm(1.0, y) == pytest.approx(p, abs=half)
    assert circle.hydraulic_radius_mm(1.0, y) == pytest.approx(r, abs=half)
    full_v, full_q = (f(0.01, 100.0, 0.013) for f in (manning.velocity_m_per_s, manning.flow_l_per_s))
    assert manning.velocity_m_per_s(0.01, 100.0, 0.013, y) / full_v == pytest.approx(v, abs=half)
    assert manning.flow_l_per_s(0.01, 100.0, 0.013, y) / full_q == pytest.approx(q, abs=half)


@given(st.floats(0.02, 0.999), st.floats(10.0, 600.0))
def test_area_agrees_with_fluids(y, bore):
    assert circle.area_mm2(bore, y) == pytest.approx(fluids.geometry.A_partial_circle(bore, bore * y), rel=1e-9)


@given(st.floats(0.001, 0.2), st.floats(20.0, 600.0), st.floats(0.008, 0.02), st.floats(0.05, 1.0))
def test_velocity_agrees_with_fluids(slope, bore, n, y):
    radius_m = circle.hydraulic_radius_mm(bore, y) / 1000
    assert manning.velocity_m_per_s(slope, bore, n, y) == pytest.approx(fluids.V_Manning(radius_m, slope, n), rel=1e-12)


# n, size in -> full/half gpm, ft/s at 1/16, 1/8, 1/4, 3/8, 1/2 in/ft (computed; every cell of the notes' table).
# The notes say actual bores; the figures are those of NOMINAL diameters (6.031 in would carry 184.3, not 181.7).
DISCHARGE = {
    (0.009, 1.5): "6.5/3.3 1.18 9.2/4.6 1.67 13.0/6.5 2.36 15.9/8.0 2.90 18.4/9.2 3.34",
    (0.009, 2.0): "14.0/7.0 1.43 19.8/9.9 2.03 28.0/14.0 2.86 34.3/17.2 3.51 39.7/19.8 4.05",
    (0.009, 3.0): "41.3/20.7 1.88 58.5/29.2 2.65 82.7/41.3 3.75 101.3/50.6 4.60 116.9/58.5 5.31",
    (0.009, 4.0): "89.0/44.5 2.27 125.9/63.0 3.21 178.1/89.0 4.55 218.1/109.0 5.57 251.8/125.9 6.43",
    (0.009, 6.0): "262.5/131.3 2.98 371.3/185.6 4.21 525.0/262.5 5.96 643.0/321.5 7.30 742.5/371.3 8.43",
    (0.013, 1.5): "4.5/2.3 0.82 6.4/3.2 1.16 9.0/4.5 1.64 11.0/5.5 2.00 12.7/6.4 2.31",
    (0.013, 2.0): "9.7/4.9 0.99 13.7/6.9 1.40 19.4/9.7 1.98 23.8/11.9 2.43 27.5/13.7 2.80",
    (0.013, 3.0): "28.6/14.3 1.30 40.5/20.2 1.84 57.2/28.6 2.60 70.1/35.1 3.18 81.0/40.5 3.67",
    (0.013, 4.0): "61.6/30.8 1.57 87.2/43.6 2.23 123.3/61.6 3.15 151.0/75.5 3.85 174.4/87.2 4.45",
    (0.013, 6.0): "181.7/90.9 2.06 257.0/128.5 2.92 363.5/181.7 4.12 445.2/222.6 5.05 514.0/257.0 5.83",
}
GPM_PER_L_S = 15.850323


@pytest.mark.parametrize("key", DISCHARGE)
def test_discharge_by_nominal_size(key):
    n, bore_in = key
    words = DISCHARGE[key].split()
    for k, per_ft in enumerate((1 / 16, 1 / 8, 1 / 4, 3 / 8, 1 / 2)):
        full, half = (float(x) for x in words[2 * k].split("/"))
        speed = float(words[2 * k + 1])
        slope, bore = per_ft / 12, bore_in * 25.4
        assert manning.flow_l_per_s(slope, bore, n) * GPM_PER_L_S == pytest.approx(full, abs=0.051)
        assert manning.flow_l_per_s(slope, bore, n, 0.5) * GPM_PER_L_S == pytest.approx(half, abs=0.051)
        assert manning.velocity_m_per_s(slope, bore, n, 0.5) / 0.3048 == pytest.approx(speed, abs=0.0051)


# appendix of several codes, sloping drains half full, n 0.015 (memory): in, in/ft, gpm, ft/s; 0.5 % by the notes
HALF_FULL = [
    (1.5, 1 / 4, 3.91, 1.42), (1.5, 1 / 2, 5.53, 2.01), (2, 1 / 4, 8.42, 1.72), (2, 1 / 2, 11.9, 2.43),
    (3, 1 / 8, 17.6, 1.59), (3, 1 / 4, 24.8, 2.25), (3, 1 / 2, 35.1, 3.19), (4, 1 / 16, 26.7, 1.36),
    (4, 1 / 8, 37.8, 1.93), (4, 1 / 4, 53.4, 2.73), (4, 1 / 2, 75.5, 3.86),
]  # fmt: skip


@pytest.mark.parametrize(("size_in", "per_ft", "gpm", "fps"), HALF_FULL)
def test_code_appendix_half_full(size_in, per_ft, gpm, fps):
    n = manning.N_PLUMBING_TABLES
    slope, bore = per_ft / 12, size_in * 25.4
    assert manning.flow_l_per_s(slope, bore, n, 0.5) * GPM_PER_L_S == pytest.approx(gpm, rel=0.005)
    assert manning.velocity_m_per_s(slope, bore, n, 0.5) / 0.3048 == pytest.approx(fps, rel=0.005)


def test_code_appendix_factors():
    # footnote: quarter full q x0.274 v x0.701, three-quarter q x1.82 v x1.13, full q x2.00
    q, v = (lambda y, f=f: f(0.02, 76.2, 0.015, y) for f in (manning.flow_l_per_s, manning.velocity_m_per_s))
    assert q(0.25) / q(0.5) == pytest.approx(0.274, abs=0.0005)
    assert v(0.25) / v(0.5) == pytest.approx(0.701, abs=0.0005)
    assert q(0.75) / q(0.5) == pytest.approx(1.82, abs=0.005)
    assert v(0.75) / v(0.5) == pytest.approx(1.13, abs=0.005)
    assert q(1.0) / q(0.5) == pytest.approx(2.0)


@pytest.mark.parametrize(
    ("n", "slopes"),
    [
        (0.010, (0.221, 0.150, 0.088, 0.060, 0.035)),
        (0.013, (0.373, 0.254, 0.148, 0.101, 0.059)),
        (0.015, (0.497, 0.339, 0.197, 0.134, 0.078)),
    ],
)
def test_slope_for_two_feet_a_second(n, slopes):
    for size_in, per_ft in zip((1.5, 2, 3, 4, 6), slopes, strict=True):
        assert manning.slope_of_velocity(0.6096, size_in * 25.4, n) * 12 == pytest.approx(per_ft, abs=0.0005)


# EN 12056-2 annex B (memory, recomputed): cm/m: Q DN100 50 %, DN150 50 %, DN100 70 %, DN150 70 %, with velocities
EN_DRAINS = {
    0.5: ((1.8, 0.5), (5.4, 0.6), (2.9, 0.5), (9.0, 0.7)),
    1.0: ((2.5, 0.7), (7.7, 0.9), (4.2, 0.8), (12.8, 1.0)),
    1.5: ((3.1, 0.8), (9.4, 1.1), (5.1, 1.0), (15.7, 1.3)),
    2.0: ((3.5, 1.0), (10.9, 1.3), (5.9, 1.1), (18.2, 1.5)),
    2.5: ((4.0, 1.1), (12.2, 1.5), (6.7, 1.2), (20.3, 1.6)),
    3.0: ((4.4, 1.2), (13.3, 1.6), (7.3, 1.3), (22.3, 1.8)),
    4.0: ((5.0, 1.4), (15.4, 1.8), (8.4, 1.6), (25.8, 2.1)),
    5.0: ((5.6, 1.6), (17.2, 2.1), (9.4, 1.7), (28.8, 2.3)),
}


@pytest.mark.parametrize("cm_per_m", EN_DRAINS)
def test_european_drains(cm_per_m):
    cases = ((96.0, 0.5), (146.0, 0.5), (96.0, 0.7), (146.0, 0.7))
    for (bore, fill), (q, v) in zip(cases, EN_DRAINS[cm_per_m], strict=True):
        assert colebrook.flow_l_per_s(cm_per_m / 100, bore, fill) == pytest.approx(q, abs=0.051)
        assert colebrook.velocity_m_per_s(cm_per_m / 100, bore, fill) == pytest.approx(v, abs=0.051)


def test_colebrook_agrees_with_fluids():
    # friction factor of a full pipe by an independent library, put into Darcy
    for slope, bore in ((0.005, 96.0), (0.02, 146.0), (0.05, 230.0)):
        v = colebrook.velocity_m_per_s(slope, bore, 1.0)
        re = v * bore / 1000 / colebrook.EN_VISCOSITY_M2_PER_S
        f = fluids.friction_factor(Re=re, eD=colebrook.EN_ROUGHNESS_MM / bore)
        assert math.sqrt(2 * 9.81 * bore / 1000 * slope / f) == pytest.approx(v, rel=0.002)


def test_s4_s5_teaching_package():
    # S4: D 0.6, n 0.013, S 1/400, y 0.24 -> 0.10 and full 0.31 m3/s; S5: 0.17 m3/s half full -> 0.003 (read)
    assert manning.flow_l_per_s(1 / 400, 600, 0.013, 0.4) / 1000 == pytest.approx(0.10, abs=0.005)
    assert manning.flow_l_per_s(1 / 400, 600, 0.013) / 1000 == pytest.approx(0.31, abs=0.005)
    assert manning.slope_of_flow(170, 600, 0.013, 0.5) == pytest.approx(0.003, abs=0.0005)


def test_s6_two_thirds_rule_is_ambiguous():
    # textbook p. 238 Q14 (read, answer list): two thirds of the AREA at 0.9 m/s: 4.712; at two thirds DEPTH it is 5.01
    area = math.pi / 4 * 100**2 * 2 / 3
    assert area * 0.9 / 1000 == pytest.approx(4.712, abs=0.0005)
    assert circle.area_mm2(100, 2 / 3) * 0.9 / 1000 == pytest.approx(5.01, abs=0.005)


@given(st.floats(0.005, 0.1), st.floats(30, 300), st.floats(0.02, 0.93))
def test_depth_of_flow_gives_back_the_lower_depth(slope, bore, y):
    q = manning.flow_l_per_s(slope, bore, 0.010, y)
    got = manning.depth_of_flow(q, slope, bore, 0.010)
    assert not got.exceeds
    assert got.ratio == pytest.approx(y, abs=1e-5)


def test_two_depths_carry_the_same_flow_and_the_lower_is_given():
    full = manning.flow_l_per_s(0.02, 100, 0.010)
    got = manning.depth_of_flow(full, 0.02, 100, 0.010)
    assert not got.exceeds
    assert got.ratio == pytest.approx(0.8196, abs=1e-3)  # depth below the crown that carries the full flow
    assert manning.depth_of_flow(full * 1.0757, 0.02, 100, 0.010).ratio == pytest.approx(0.938, abs=0.01)
    assert manning.depth_of_flow(full * 1.077, 0.02, 100, 0.010).exceeds


@given(st.floats(0.0, 20.0), st.floats(0.0, 20.0))
def test_more_flow_is_never_shallower(a, b):
    lo, hi = sorted((a, b))
    assert manning.depth_of_flow(lo, 0.02, 100, 0.010).ratio <= manning.depth_of_flow(hi, 0.02, 100, 0.010).ratio + 1e-9


@given(st.floats(0.2, 30.0))
def test_critical_depth_lies_between_dry_and_full(q):
    y = critical.critical_depth_ratio(q, 100)
    assert 0 < y <= 1
    if y < 0.99:
        assert critical.froude(q, 100, y * 0.95) > 1 > critical.froude(q, 100, min(y * 1.01, 0.9999))


@pytest.mark.parametrize("call", [
    lambda: circle.area_mm2(100, 0.0),
    lambda: circle.area_mm2(100, 1.01),
    lambda: manning.velocity_m_per_s(0.0, 100, 0.01),
    lambda: manning.depth_of_flow(-1, 0.01, 100, 0.01),
    lambda: colebrook.velocity_m_per_s(-0.01, 100, 0.5),
    lambda: critical.critical_depth_ratio(0.0, 100),
])  # fmt: skip
def test_out_of_range_is_refused(call):
    with pytest.raises(ValueError, match=r"must|got"):
        call()
