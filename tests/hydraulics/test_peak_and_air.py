"""Peak flow, stacks, vent air, trap seals, test water, grade: published and hand-made figures."""

from __future__ import annotations

import math
from itertools import pairwise

import fluids
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from stubout.hydraulics import grade, peak, stack, trap_seal, vent_air, water_test

BRANCHES = {  # S2, catalogue of a European maker (read): units, Qww, design flow; bathroom with a 9 l closet
    "bath DE": ([0.8], 0.45, 0.8),
    "bidet DF": ([0.5], 0.35, 0.5),
    "basin CH": ([0.5], 0.35, 0.5),
    "bath + bidet CD": ([0.8, 0.5], 0.57, 0.8),
    "bath + bidet + basin BC": ([0.8, 0.5, 0.5], 0.67, 0.8),
    "closet BG": ([2.5], 0.79, 2.5),
    "all AB": ([0.8, 0.5, 0.5, 2.5], 1.04, 2.5),
}


def test_s1_two_family_house():
    # town's drainage application sheet, annex 1 (read): 16.8 l/s of units, 2.05 l/s
    units = [2.0] * 4 + [0.5] * 5 + [0.8] * 6 + [1.5]
    assert sum(units) == pytest.approx(16.8)
    assert peak.en_design_flow_l_per_s(units) == pytest.approx(2.05, abs=0.005)


@pytest.mark.parametrize("name", BRANCHES)
def test_s2_branches(name):
    units, qww, design = BRANCHES[name]
    assert peak.en_flow_l_per_s(units) == pytest.approx(qww, abs=0.0051)
    assert peak.en_design_flow_l_per_s(units) == pytest.approx(design, abs=0.005)


# S3, lecture on drainage (read): exactly m, at most m, more than m
S3 = [
    (0, 0.531441, 0.468559),
    (1, 0.885735, 0.114265),
    (2, 0.98415, 0.01585),
    (3, 0.99873, 0.00127),
    (4, 0.999945, 5.5e-5),
]


@pytest.mark.parametrize(("m", "at_most", "more"), S3)
def test_s3_six_basins(m, at_most, more):
    assert 1 - peak.more_than_in_use(6, m, 0.1) == pytest.approx(at_most, abs=5e-7)
    assert peak.more_than_in_use(6, m, 0.1) == pytest.approx(more, abs=5e-7)


@given(st.integers(1, 120), st.floats(0.01, 0.5), st.integers(0, 120))
def test_binomial_agrees_with_scipy(n, p, m):
    m = min(m, n)
    assert peak.more_than_in_use(n, m, p) == pytest.approx(binom.sf(m, n, p), abs=1e-9)


@pytest.mark.parametrize(
    ("count", "share", "gpm_each", "gpm"),
    [(100, 0.03, 27, 216), (200, 0.2, 4, 216), (50, 0.03, 27, 135), (100, 0.2, 4, 120)],
)
def test_hunter_curve_follows_from_the_binomial_at_large_loads(count, share, gpm_each, gpm):
    # notes 2.2: flush valves 10 FU each, tanks 5 FU each; curve within 4-10 % from 200-250 units up
    m = peak.design_number(count, share)
    assert m * gpm_each == pytest.approx(gpm, abs=gpm_each / 2)
    fu = count * (10 if gpm_each == 27 else 5)
    curve = peak.hunter_flow_gpm(fu, peak.VALVE_GPM if gpm_each == 27 else peak.TANK_GPM)
    assert curve == pytest.approx(m * gpm_each, rel=0.10)


def test_hunter_tables_are_whole():
    # control sums added from the notes' list, not from the module
    assert (len(peak.TANK_GPM), sum(q for _, q in peak.TANK_GPM)) == (38, pytest.approx(4227.3))
    assert (len(peak.VALVE_GPM), sum(q for _, q in peak.VALVE_GPM)) == (27, pytest.approx(1927.7))
    for table in (peak.TANK_GPM, peak.VALVE_GPM):
        assert all(a[0] < b[0] and a[1] < b[1] for a, b in pairwise(table))
    assert all(peak.hunter_flow_gpm(fu, peak.VALVE_GPM) >= peak.hunter_flow_gpm(fu) for fu in range(5, 1001))


@given(st.floats(0, 5000), st.floats(0, 5000))
def test_more_load_is_never_less_flow(a, b):
    lo, hi = sorted((a, b))
    assert peak.hunter_flow_gpm(lo) <= peak.hunter_flow_gpm(hi)
    assert peak.hunter_flow_l_per_s(lo) == pytest.approx(peak.hunter_flow_gpm(lo) / 15.850323, rel=1e-9)


# notes 3.1 (computed from the published formulas): in, filling, gpm, ft/s, ft, air gpm
STACKS = [
    (3, 1 / 4, 51.6, 9.36, 4.56, 155), (3, 7 / 24, 66.8, 10.38, 5.60, 162), (3, 1 / 3, 83.4, 11.34, 6.69, 167),
    (4, 1 / 4, 111.2, 11.34, 6.69, 333), (4, 7 / 24, 143.8, 12.57, 8.22, 349), (4, 1 / 3, 179.6, 13.74, 9.82, 359),
]  # fmt: skip


@pytest.mark.parametrize(("d", "r", "gpm", "fps", "ft", "air"), STACKS)
def test_stack_table(d, r, gpm, fps, ft, air):
    q = stack.capacity_gpm(d, r)
    assert q == pytest.approx(gpm, abs=0.06)
    assert stack.terminal_velocity_ft_per_s(q, d) == pytest.approx(fps, abs=0.006)
    assert stack.terminal_length_ft(q, d) == pytest.approx(ft, abs=0.006)
    assert stack.air_drawn_gpm(d, r) == pytest.approx(air, abs=0.6)


def test_the_three_stack_formulas_are_one_model():
    # notes 3.1: velocity times wetted area gives the coefficient 27.75 for 27.8
    q = stack.capacity_gpm(4.0)
    area_ft2 = 3.14159265 / 4 * (4 / 12) ** 2 * 7 / 24
    assert stack.terminal_velocity_ft_per_s(q, 4.0) * area_ft2 * 448.83 == pytest.approx(q, rel=0.003)


def test_four_inch_stack_answers_to_hunters_500_units():
    assert stack.capacity_gpm(4.0) == pytest.approx(peak.hunter_flow_gpm(500, peak.VALVE_GPM), rel=0.01)


# notes 3.2: friction factors read back from the last row of the code's vent table (IPC 906.1)
VENT_FRICTION = [
    (3, 1.5, 25, 0.0258), (3, 2, 86, 0.0316), (3, 2.5, 210, 0.0395), (3, 3, 620, 0.0333),
    (4, 2, 21, 0.0279), (4, 2.5, 50, 0.0357), (4, 3, 150, 0.0296), (4, 4, 580, 0.0323),
]  # fmt: skip


@pytest.mark.parametrize(("stack_in", "vent_in", "ft", "f"), VENT_FRICTION)
def test_vent_length_explains_the_code_table(stack_in, vent_in, ft, f):
    assert vent_air.length_ft(vent_in, stack.air_drawn_gpm(stack_in), f) == pytest.approx(ft, rel=0.02)


def test_vent_friction_of_full_size_vents_agrees_with_colebrook():
    # notes: Colebrook in iron gives 0.0348 (3 in) and 0.0311 (4 in); table and formula agree within 5 %
    for d, table_f in ((3, 0.0333), (4, 0.0323)):
        v = stack.air_drawn_gpm(d) / 448.83 / (3.14159265 / 4 * (d / 12) ** 2)
        f = fluids.friction_factor(Re=v * d / 12 / 1.6e-4, eD=0.00085 / (d / 12))
        assert f == pytest.approx(table_f, rel=0.06)


def test_trap_seal_figures():
    # notes 4 (computed): 375 Pa costs 19.1 of 50 mm; 25 mm are lost at 490 Pa; 1 in suction costs 1/2 in
    pa = trap_seal.PA_PER_MM
    assert 50 - trap_seal.kept_after_suction_mm(50, 375 / pa) == pytest.approx(19.1, abs=0.05)
    assert trap_seal.kept_after_suction_mm(50, 490 / pa) == pytest.approx(25, abs=0.05)
    assert 50.8 - trap_seal.kept_after_suction_mm(50.8, 25.4) == pytest.approx(12.7)
    assert trap_seal.lost_unequal_mm(20, 2, 1) == pytest.approx(20 * 2 / 3)
    assert trap_seal.bubbles_at_mm(50, 2, 1) == pytest.approx(75)
    assert trap_seal.kept_after_suction_mm(50, 1000) == 0.0


# joint thrust, cast-iron pipe maker's guide (read), lb: 1 % + 1 lb by the notes (the table rounds its psi)
IRON_OD = (1.902, 2.351, 3.349, 4.380, 6.300)
THRUST = {10: (12, 19, 38, 65, 134), 20: (25, 38, 77, 131, 271), 30: (37, 56, 115, 196, 405),
          50: (62, 94, 191, 327, 676), 100: (123, 188, 382, 654, 1353)}  # fmt: skip


@pytest.mark.parametrize("head_ft", THRUST)
def test_joint_thrust(head_ft):
    for od, lb in zip(IRON_OD, THRUST[head_ft], strict=True):
        got = water_test.thrust_n(head_ft * 304.8, od * 25.4) / 4.448222
        assert got == pytest.approx(lb, abs=0.01 * lb + 1)


@pytest.mark.parametrize(("ft", "psi"), [(10, 4.3), (20, 8.7), (30, 13.0), (100, 43.4)])
def test_pressure_of_a_head(ft, psi):
    # trade tables (read); S10: 10 ft riser, about 4.34 psi at the drain
    assert water_test.pressure_psi(ft) == pytest.approx(psi, abs=0.07)
    assert water_test.pressure_kpa(ft * 304.8) / 6.894757 == pytest.approx(psi, abs=0.07)


def test_s9_plug_force():
    # test-plug maker's instructions (read): 36 in at 5 psi: 5087 lb with 3.14, 5089 with pi
    head_mm = 5 * 6.894757 / 9.80665 * 1000
    assert water_test.thrust_n(head_mm, 36 * 25.4) / 4.448222 == pytest.approx(5089, abs=2)


@pytest.mark.parametrize(
    ("bore_in", "gal_per_ft"),
    [(1.5, 0.0918), (2, 0.1632), (3, 0.3672), (4, 0.6528), (6, 1.4688), (1.592, 0.1034), (2.049, 0.1713),
     (3.042, 0.3776), (3.998, 0.6521), (6.031, 1.484)],
)  # fmt: skip
def test_water_in_a_foot_of_pipe(bore_in, gal_per_ft):
    assert water_test.volume_l(bore_in * 25.4, 304.8) / 3.785412 == pytest.approx(gal_per_ft, rel=0.001)


@pytest.mark.parametrize(
    ("per_ft", "percent", "ratio", "degrees"),
    [(1 / 16, 0.5208, 192, 0.2984), (1 / 8, 1.0417, 96, 0.5968), (1 / 4, 2.0833, 48, 1.1935),
     (3 / 8, 3.1250, 32, 1.7899), (1 / 2, 4.1667, 24, 2.3859)],
)  # fmt: skip
def test_grades(per_ft, percent, ratio, degrees):
    s = grade.slope_of(per_ft, 12.0)
    assert s * 100 == pytest.approx(percent, abs=5e-5)
    assert 1 / s == pytest.approx(ratio)
    assert math.degrees(math.atan(s)) == pytest.approx(degrees, abs=5e-5)


def test_s7_gradients():
    # textbook example 9.1 and Q15, a forum, a tool maker's page, manholes (all read)
    assert 1 / grade.slope_of(375, 30_000) == pytest.approx(80)
    assert 1 / grade.slope_of(175, 20_000) == pytest.approx(114.29, abs=0.005)
    assert grade.fall_mm(8000, 1 / 40) == pytest.approx(200)
    assert grade.fall_mm(15 * 304.8, 1 / 48) / 25.4 == pytest.approx(3.75)
    assert grade.slope_of(2.0, 300.0) * 100 == pytest.approx(0.67, abs=0.005)
    with pytest.raises(ValueError, match="above 0"):
        grade.slope_of(1.0, 0.0)


def test_house_01_levels():
    # facts 3 and 4: fall over 15977 at 1:50 and 1:100; cover is measured to the outside top
    assert grade.fall_mm(15977, 1 / 50) == pytest.approx(320, abs=0.5)
    assert grade.fall_mm(15977, 1 / 100) == pytest.approx(160, abs=0.5)
    invert = -3300 + grade.fall_mm(7600, 1 / 50)
    assert invert == pytest.approx(-3148, abs=0.5)
    assert grade.cover_mm(-2998, invert, 102, 6) == pytest.approx(42, abs=0.5)


def test_velocity_bounds_are_refused():
    with pytest.raises(ValueError, match="0 or more"):
        peak.hunter_flow_gpm(-1)
    with pytest.raises(ValueError, match="curve ends"):
        peak.hunter_flow_gpm(5001)
