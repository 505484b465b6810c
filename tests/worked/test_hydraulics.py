"""Published hydraulic examples that no other test covers; ids of the hydraulics reference, section 7."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from stubout import pocket
from stubout.hydraulics import colebrook, manning, peak, water_test
from stubout.pocket import fall_over

S1_UNITS = [2.0] * 4 + [0.5] * 5 + [0.8] * 2 + [0.8] * 2 + [0.8] * 2 + [1.5]


@pytest.mark.parametrize(
    ("slope", "bore_mm", "filling", "flow"),
    [(0.005, 96.0, 0.5, 1.76), (0.005, 96.0, 0.7, 2.95), (0.007, 79.0, 0.7, 2.07)],
)
def test_s1_capacity_of_the_pipes_offered(slope: float, bore_mm: float, filling: float, flow: float) -> None:
    """S1: DN 100 at 0.5 % carries 1.76 l/s half full and 2.95 at 70 %, DN 90 at 0.7 % carries 2.07 at 70 %.

    Source: EN 12056-2 Annex B formula, a town's drainage application sheet (read; the capacities recomputed there).
    """
    assert colebrook.flow_l_per_s(slope, bore_mm, filling) == pytest.approx(flow, abs=0.005)


def test_s1_the_sheet_passes_at_70_percent_and_fails_half_full() -> None:
    """S1: Qtot 2.05 l/s of DU 16.8; both pipes that the sheet offers pass at 0.7 and fail at 0.5 (read)."""
    q = peak.en_design_flow_l_per_s(S1_UNITS)
    assert q == pytest.approx(2.05, abs=0.005)
    for slope, bore_mm in ((0.007, 79.0), (0.005, 96.0)):
        assert colebrook.flow_l_per_s(slope, bore_mm, 0.7) >= q
        assert colebrook.flow_l_per_s(slope, bore_mm, 0.5) < q


@pytest.mark.parametrize(
    ("m", "exactly"), [(0, 0.531441), (1, 0.354294), (2, 0.098415), (3, 0.01458), (4, 0.001215), (5, 5.4e-5), (6, 1e-6)]
)
def test_s3_exactly_m_of_six_basins(m: int, exactly: float) -> None:
    """S3: 30 s in every 300 s, six basins: chance of exactly m in use (lecture on drainage, read)."""
    more = peak.more_than_in_use(6, m, 0.1)
    below = 1.0 if m == 0 else peak.more_than_in_use(6, m - 1, 0.1)
    assert below - more == pytest.approx(exactly, abs=5e-7)


def test_s3_design_number_follows_the_criterion() -> None:
    """S3: three basins at a 1 % criterion, two at 2 % (lecture on drainage, read)."""
    assert peak.design_number(6, 0.1, 0.01) == 3
    assert peak.design_number(6, 0.1, 0.02) == 2


@given(st.integers(1, 60), st.floats(0.01, 0.4), st.sampled_from((0.01, 0.02, 0.05)))
def test_s3_design_number_is_the_first_within_the_criterion(n: int, p: float, chance: float) -> None:
    """Outside oracle: scipy's binomial survival function."""
    m = peak.design_number(n, p, chance)
    assert binom.sf(m, n, p) <= chance + 1e-9
    assert m == 0 or binom.sf(m - 1, n, p) > chance - 1e-9


def test_s4_s5_computed_beside_printed() -> None:
    """S4, S5: the teaching package prints 0.10, 0.31 and 0.003; computed 0.10346, 0.30701 and 0.003066 (read)."""
    assert manning.flow_l_per_s(1 / 400, 600, 0.013, 0.4) / 1000 == pytest.approx(0.10346, abs=5e-6)
    assert manning.flow_l_per_s(1 / 400, 600, 0.013) / 1000 == pytest.approx(0.30701, abs=5e-6)
    assert manning.slope_of_flow(170, 600, 0.013, 0.5) == pytest.approx(0.003066, abs=5e-7)


def test_s9_head_of_a_sloped_line() -> None:
    """S9: 600 ft at 0.01 stands 6 ft of water at its foot (distributor's page, read): 2.6 psi there."""
    head_mm = fall_over(600 * 304.8, 0.01).fall_mm
    assert head_mm / 304.8 == pytest.approx(6)
    assert water_test.pressure_kpa(head_mm) / 6.894757 == pytest.approx(6 * 0.4335, abs=0.005)


def test_s10_base_of_a_test_stack() -> None:
    """S10: 10 ft riser, 0.434 psi per ft: about 4.34 psi (unattributed page, read); 4.335 exactly."""
    assert water_test.pressure_kpa(10 * 304.8) / 6.894757 == pytest.approx(4.34, abs=0.005)
    assert water_test.pressure_psi(10) == pytest.approx(4.34, abs=0.01)  # "about": the trade divides by 2.31 ft


@pytest.mark.parametrize(("head_mm", "diameter_mm"), [(3048.0, 77.3), (1500.0, 101.5), (250.0, 40.4)])
def test_the_water_test_of_a_job_is_the_same_sum(head_mm: float, diameter_mm: float) -> None:
    """One home for each formula: what the test plan prints is what the pocket sum prints, to the last digit."""
    asked = pocket.head_of_water(head_mm, bore_mm=diameter_mm, outside_mm=diameter_mm)
    assert water_test.pressure_kpa(head_mm) == asked.kpa
    assert water_test.pressure_psi(head_mm / 304.8) == pytest.approx(asked.psi, rel=1e-12)
    assert water_test.thrust_n(head_mm, diameter_mm) == asked.plug_n == asked.joint_n
    assert water_test.volume_l(diameter_mm, head_mm) == pocket.volume(diameter_mm, head_mm).litres
