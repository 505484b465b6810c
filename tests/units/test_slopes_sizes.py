"""Slopes and nominal pipe sizes, read and printed."""

import math
from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stubout import units


@pytest.mark.parametrize(
    "text",
    ["1/4 in/ft", '1/4" per foot', "1/4\"/'", "0.25 in per ft", "1/4 inch per foot", "1:48", "1 in 48", "¼ in/ft"],
)
def test_quarter_inch_per_foot_in_every_spelling(text: str) -> None:
    assert units.parse_slope(text) == 1 / 48


# Conversion table of the trade, computed from first principles; 1/4 in/ft = 2.08 % = 1.19 deg and 1/8 = 1.04 % =
# 0.60 deg are also printed in a teaching page on drain grades (read). Tolerance: half the last printed digit.
@pytest.mark.parametrize(
    ("in_per_ft", "percent", "ratio", "degrees", "mm_per_m"),
    [
        ("1/16", "0.5208", 192, "0.2984", "5.21"),
        ("1/8", "1.0417", 96, "0.5968", "10.42"),
        ("1/4", "2.0833", 48, "1.1935", "20.83"),
        ("3/8", "3.1250", 32, "1.7899", "31.25"),
        ("1/2", "4.1667", 24, "2.3859", "41.67"),
    ],
)
def test_conversion_table_rows(in_per_ft: str, percent: str, ratio: int, degrees: str, mm_per_m: str) -> None:
    slope = units.parse_slope(f"{in_per_ft} in/ft")
    assert slope == pytest.approx(units.parse_slope(f"1:{ratio}"), abs=1e-15)
    assert slope * 100 == pytest.approx(float(percent), abs=0.5e-4)
    assert math.degrees(math.atan(slope)) == pytest.approx(float(degrees), abs=0.5e-4)
    assert slope * 1000 == pytest.approx(float(mm_per_m), abs=0.5e-2)
    assert units.parse_slope(f"{degrees} deg") * 100 == pytest.approx(float(percent), abs=1.5e-4)  # both are rounded
    assert units.parse_slope(f"{percent} %") == pytest.approx(slope, abs=0.5e-6)
    assert units.parse_slope(f"{mm_per_m} mm/m") == pytest.approx(slope, abs=0.5e-5)


def test_two_percent_is_not_a_quarter_inch_per_foot() -> None:
    assert units.parse_slope("2 %") < units.parse_slope("1/4 in/ft")
    assert units.slope(0.02, "inch") == "0.24 in/ft (2.00 %)"


@pytest.mark.parametrize(
    ("text", "slope"),
    [("2%", 0.02), ("2 percent", 0.02), ("20 mm/m", 0.02), ("2 cm/m", 0.02), ("0.02 m/m", 0.02), ("-0.3 %", -0.003),
     ("5:12", 5 / 12), ("0 %", 0.0), ("45 deg", 1.0), ("-0 deg", 0.0)],
)  # fmt: skip
def test_reads_slopes(text: str, slope: float) -> None:
    assert units.parse_slope(text) == pytest.approx(slope, abs=1e-15)
    assert math.copysign(1, units.parse_slope(text)) == (-1 if slope < 0 else 1)


@pytest.mark.parametrize(
    "text", ["", "0.02", "1:0", "90 deg", "1/4", "1/4 in", "steep", "1/0 in/ft", "1,5 %", "9" * 99]
)
def test_refuses_what_is_no_slope(text: str) -> None:
    with pytest.raises(units.SlopeError, match="wanted"):
        units.parse_slope(text)


def test_prints_slopes() -> None:
    assert units.slope(1 / 48, "inch") == "1/4 in/ft (2.08 %)"
    assert units.slope(1 / 96, "inch") == "1/8 in/ft (1.04 %)"
    assert units.slope(0.02, "mm") == "1:50 (2.00 %)"
    assert units.slope(1 / 48, "mm") == "1:48 (2.08 %)"
    assert units.slope(-0.02, "mm") == "-1:50 (-2.00 %)"
    assert units.slope(0.0, "mm") == "level (0.00 %)"
    assert units.slope(0.0209, "mm") == "1:47.8 (2.09 %)"


@settings(deadline=None)
@given(st.integers(min_value=1, max_value=64), st.sampled_from(["inch", "mm"]))
def test_printed_slope_reads_back(n: int, system: units.Units) -> None:
    slope = n / 16 / 12
    head = units.slope(slope, system).rpartition(" (")[0]
    assert units.parse_slope(head) == pytest.approx(slope, rel=0.005)  # 1:n prints one decimal at most


@pytest.mark.parametrize(
    ("text", "size"),
    [('1 1/2"', 1.5), ("1-1/2", 1.5), ("1.5", 1.5), ("1½", 1.5), ("1¼\"", 1.25), ("2 in", 2.0), ('3"', 3.0), ("3", 3.0),
     ("3 inch", 3.0), ("NPS 4", 4.0), ("DN 50", 2.0), ("dn50", 2.0), ("DN 80", 3.0), ("75 mm", 3.0), ("100 mm", 4.0),
     ("32 mm", 1.25), ("40 mm", 1.5), ("8", 8.0)],
)  # fmt: skip
def test_reads_sizes(text: str, size: float) -> None:
    assert units.parse_size_in(text) == size


@pytest.mark.parametrize("text", ["", "50", "7", '1 3/4"', "110 mm", "DN 55", "big", "-3", "1/0", "3 ft", "٣"])
def test_refuses_what_drain_pipe_does_not_come_in(text: str) -> None:
    with pytest.raises(units.SizeError, match="wanted"):
        units.parse_size_in(text)


@pytest.mark.parametrize(
    ("text", "rise"),
    [("5:12", 5 / 12), ("1/2:12", 1 / 24), ("1/4 : 12", 1 / 48), ("¼:12", 1 / 48), ("1 1/2:12", 1 / 8), ("1:3", 1 / 3),
     ("0.5:12", 1 / 24), ("0.4167", 0.4167)],
)  # fmt: skip
def test_reads_the_rise_of_a_roof(text: str, rise: float) -> None:
    assert units.parse_rise(text) == pytest.approx(rise)


@pytest.mark.parametrize("text", ["", "4/12", "1/2", "5:0", "steep", "-4:12", "13/12:12:1", "1 3/2:12", "4 in 12"])
def test_refuses_what_is_no_rise(text: str) -> None:
    assert units.parse_rise(text) is None


def test_prints_sizes_as_the_trade_does() -> None:
    shown = [units.size(s) for s in units.NOMINAL_SIZES_IN]
    assert shown == ["1-1/4", "1-1/2", "2", "2-1/2", "3", "4", "5", "6", "8"]
    assert [units.parse_size_in(s) for s in shown] == list(units.NOMINAL_SIZES_IN)


@settings(deadline=None)
@given(st.text(max_size=80))
def test_any_text_is_read_or_plainly_refused(text: str) -> None:
    for read, refusal in ((units.parse_slope, units.SlopeError), (units.parse_size_in, units.SizeError)):
        with suppress(refusal):
            assert math.isfinite(read(text))
    assert units.parse_rise(text) is None or math.isfinite(units.parse_rise(text) or 0.0)
