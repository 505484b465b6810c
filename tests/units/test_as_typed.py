"""A length is written into a job file so that it is read back as it was."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stubout.units import EXACT_MM, as_typed, parse_length_mm


@given(st.integers(-400_000, 400_000), st.sampled_from(["mm", "inch"]))
def test_what_is_written_is_read_as_the_same_length(hundredths, system):
    mm = hundredths / 100
    assert parse_length_mm(as_typed(mm, system), system) == pytest.approx(mm, abs=EXACT_MM)


@pytest.mark.parametrize(
    ("mm", "system", "text"),
    [  # by hand
        (374.65, "inch", "1'-2 3/4\""), (1621.5, "mm", "1621.5"), (0.0, "inch", '0"'), (-3.0, "mm", "-3"),
        (305.0, "inch", "1'-0.00787\""), (25.4 * 5.5, "inch", '5 1/2"'), (-25.4 * 12.34, "inch", "-1'-0.34\""),
    ],
)  # fmt: skip
def test_lengths_are_spelled_as_in_the_file(mm, system, text):
    assert as_typed(mm, system) == text
