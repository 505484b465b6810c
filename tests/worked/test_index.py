"""The table of worked examples names tests that exist, and every example has its row."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TEXT = (Path(__file__).parent / "README.md").read_text(encoding="utf-8")
NAMED = sorted(set(re.findall(r"`(tests/[\w/]+\.py)::(test_\w+)`", TEXT)))
ROWS = {
    "n": [f"W{k}" for k in range(1, 9)] + [f"D{k}" for k in range(1, 8)],
    "u": [f"W{k}" for k in range(1, 9)],
    "i": [f"O{k}" for k in range(1, 11)],
    "Hydraulics": [f"S{k}" for k in range(1, 11)],
    "Dimensions": [f"S{k}" for k in range(1, 9)],
}


@pytest.mark.parametrize(("file", "test"), NAMED)
def test_named_tests_exist(file: str, test: str) -> None:
    assert re.search(rf"^def {test}\(", (ROOT / file).read_text(encoding="utf-8"), re.MULTILINE)


@pytest.mark.parametrize("part", ROWS)
def test_every_example_has_its_row(part: str) -> None:
    section = next(s for s in re.split(r"^## ", TEXT, flags=re.MULTILINE) if s.startswith(part))
    rows = re.findall(r"^\| (\w+) \|", section, re.MULTILINE)
    assert set(ROWS[part]) <= set(rows)
