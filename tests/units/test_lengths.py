"""Lengths as a plumber writes them, read and printed."""

import math
from contextlib import suppress
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stubout import units

INCH = Fraction(127, 5)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ('14 3/4"', Fraction(59, 4)),
        ("5'-11\"", 71),
        ("5'-11 3/8\"", Fraction(571, 8)),
        ("1'2 3/4\"", Fraction(59, 4)),
        ("5ft 11-3/8in", Fraction(571, 8)),
        ("5 ft 11 in", 71),
        ("5 feet 11 inches", 71),
        ("5' 11", 71),
        ("5'", 60),
        ("5'-0 3/8\"", Fraction(483, 8)),
        ("5'-3/8\"", Fraction(483, 8)),
        ("⅜", Fraction(3, 8)),
        ("3/8", Fraction(3, 8)),
        ('14⅜"', Fraction(115, 8)),
        ("5′-11⅜″", Fraction(571, 8)),
        ("5'-11.375''", Fraction(571, 8)),
        ('.75"', Fraction(3, 4)),
        ("1.5 ft", 18),
        ("-0'-4\"", -4),
        ('-18"', -18),
        ('−18"', -18),
        ('+4"', 4),
        ("0'-0\"", 0),
        ("  14  3/4  in. ", Fraction(59, 4)),
        ("375 mm", 375 / INCH),
        ("375mm", 375 / INCH),
        ("37.5 cm", 375 / INCH),
        ("1.8 m", 1800 / INCH),
        ("-358 mm", -358 / INCH),
    ],
)
def test_reads_what_a_plumber_writes(text: str, inches: Fraction) -> None:
    assert units.parse_length_exact(text) == inches * INCH
    assert units.parse_length_mm(text) == float(inches * INCH)


@pytest.mark.parametrize(
    ("text", "bare", "mm"),
    [("71 3/8", "inch", 1812.925), ("71-3/8", "inch", 1812.925), ("0.75", "inch", 19.05), ("375", "mm", 375.0),
     ("-358", "mm", -358.0), ("0", "mm", 0.0)],
)  # fmt: skip
def test_bare_number_is_read_in_the_unit_said(text: str, bare: units.Bare, mm: float) -> None:
    assert units.parse_length_mm(text, bare) == mm


@pytest.mark.parametrize(
    ("text", "bare", "part"),
    [
        ("5-11 3/8", None, "two readings: write 5'-11 3/8\" or 5\" to 11 3/8\""),
        ("5-11 3/8", "inch", "two readings: write 5'-11 3/8\" or 5\" to 11 3/8\""),
        ("5-11\"", None, "two readings: write 5'-11\" or 5\" to 11\""),
        ("375", None, 'write 375" or 375 mm'),
        ("71 3/8", None, 'write 71 3/8"'),
        ("71 3/8", "mm", 'write 71 3/8"'),
        ("3/8", "mm", 'write 3/8"'),
        ("5'-14\"", None, "less than 12 inches after the feet"),
        ("1.5'-6\"", None, "whole feet go before inches"),
        ('1/0"', None, "a fraction below one"),
        ('5 9/8"', None, "a fraction below one"),
        ("37,5 cm", None, "write the decimal with a point"),
        ("", None, "a length such as"),
        ("about a foot", None, "a length such as"),
        ("5 11", "inch", "a length such as"),
        ("1e3 mm", None, "a length such as"),
        ("nan", "mm", "a length such as"),
        ("٣ mm", None, "a length such as"),
        ("9" * 500 + " mm", None, "a length such as"),
    ],
)  # fmt: skip
def test_refuses_and_says_what_to_write(text: str, bare: units.Bare | None, part: str) -> None:
    with pytest.raises(units.LengthError) as caught:
        units.parse_length_mm(text, bare)
    assert part in str(caught.value)
    assert caught.value.wanted
    assert caught.value.found in (text.strip(), text[:60] + "...")


@pytest.mark.parametrize(
    ("inches", "denominator", "feet", "inch"),
    [
        (Fraction(571, 8), 16, "5'-11 3/8\"", '71 3/8"'),
        (Fraction(91, 8), 16, '11 3/8"', '11 3/8"'),
        (Fraction(3, 8), 16, '3/8"', '3/8"'),
        (Fraction(0), 16, '0"', '0"'),
        (Fraction(72), 16, "6'-0\"", '72"'),
        (Fraction(144) + Fraction(3, 8), 16, "12'-0 3/8\"", '144 3/8"'),
        (Fraction(12) - Fraction(1, 32), 16, "1'-0\"", '12"'),  # half away from zero carries into the foot
        (Fraction(1, 32), 16, '1/16"', '1/16"'),
        (-Fraction(1, 32), 16, '-1/16"', '-1/16"'),
        (-Fraction(1, 64), 16, '0"', '0"'),  # no minus before a zero
        (Fraction(-4), 16, '-4"', '-4"'),
        (Fraction(-26), 16, "-2'-2\"", '-26"'),
        (Fraction(5, 8), 4, '3/4"', '3/4"'),
        (Fraction(1, 2), 1, '1"', '1"'),
    ],
)
def test_prints_to_the_fraction(inches: Fraction, denominator: int, feet: str, inch: str) -> None:
    mm = float(inches * INCH)
    assert units.feet_inches(mm, denominator) == feet
    assert units.inches(mm, denominator) == inch


def test_prints_in_the_jobs_units() -> None:
    assert units.length(374.65, "mm") == "375"
    assert units.length(0.5, "mm") == "1"
    assert units.length(-0.4, "mm") == "0"
    assert units.length(1812.925, "inch") == "5'-11 3/8\""
    assert units.both(375, "mm") == '375 mm (14 3/4")'
    assert units.both(374.65, "inch") == '14 3/4" (375 mm)'
    assert units.both(1812.925, "inch") == "5'-11 3/8\" (1813 mm)"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_prints_no_nonsense(value: float) -> None:
    with pytest.raises(ValueError, match="no length"):
        units.feet_inches(value)


sixteenths = st.integers(min_value=-100_000, max_value=100_000)


@settings(deadline=None)
@given(sixteenths, st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
def test_print_then_read_is_the_same_length(n: int, denominator: int) -> None:
    mm = float(Fraction(n, denominator) * INCH)
    assert units.parse_length_mm(units.feet_inches(mm, denominator)) == mm
    assert units.parse_length_mm(units.inches(mm, denominator)) == mm


@settings(deadline=None)
@given(st.floats(min_value=-1e6, max_value=1e6), st.sampled_from([8, 16, 32]))
def test_print_is_never_off_by_more_than_half_the_fraction(mm: float, denominator: int) -> None:
    for text in (units.feet_inches(mm, denominator), units.inches(mm, denominator)):
        assert abs(units.parse_length_mm(text) - mm) <= 25.4 / denominator / 2 + 1e-8
        assert not text.startswith('-0"')


@settings(deadline=None)
@given(st.floats(min_value=-1e6, max_value=1e6))
def test_minus_only_turns_the_sign(mm: float) -> None:
    there, back = units.feet_inches(mm), units.feet_inches(-mm)
    assert there.lstrip("-") == back.lstrip("-")


@settings(deadline=None)
@given(st.integers(min_value=0, max_value=9999), st.integers(min_value=0, max_value=15), st.sampled_from(["", "-"]))
def test_every_spelling_of_a_length_is_the_same(feet: int, n: int, sign: str) -> None:
    part = f" {n}/16" if n else ""
    spellings = {
        f"{sign}{feet}'-7{part}\"",
        f"{sign}{feet}'7{part}\"",
        f"{sign}{feet} ft 7{part} in",
        f"{sign}{feet} feet 7{part.replace(' ', '-')} inches",
        f"{sign}{feet}′ 7{part}″",
        f'{sign}{feet * 12 + 7}{part}"',
    }
    assert len({units.parse_length_exact(s) for s in spellings}) == 1


@settings(deadline=None)
@given(st.text(max_size=80))
def test_any_text_is_a_length_or_a_plain_refusal(text: str) -> None:
    for bare in (None, "mm", "inch"):
        with suppress(units.LengthError):
            assert math.isfinite(units.parse_length_mm(text, bare))
