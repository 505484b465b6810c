"""House 01, facts, table of fixture units: the whole house is 35 FU, to the half unit, with nothing let pass.

Rows of NPC Table 2.4.9.3 as the book holds them (read in the Ontario twin): groups 6 + 6 + 6, closet 4, lavatory 1 with
a 1-1/4 in trap, sinks 1.5 + 1.5, washer 1.5, tray 1.5, floor drain 3, shower of two heads 3. A lavatory outside a
group counts 1.5 with a 1-1/2 in trap, so the design of the house may come to 35.5 only where LV1 (powder room, no
group) is laid in 1-1/2 in; inside a group the trap changes nothing.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from stubout.files.books import load_book
from stubout.files.jobs import read_job
from stubout.house.resolve import resolve
from stubout.network.loads import load_of

JOB = Path(__file__).parents[2] / "examples" / "01-two-storey-basement.yaml"
LEAST = {"LV1": 1.25, "LV2": 1.25, "LV3": 1.25, "LV4": 1.25}


def total(heads: int | None = None, **traps: float) -> float:
    house, _ = resolve(read_job(str(JOB)))
    fixtures = [replace(f, heads=heads) if f.tag == "SH3" else f for f in house.fixtures]
    return load_of(load_book("npc-2020"), fixtures, LEAST | traps).value


@pytest.mark.parametrize(
    ("heads", "traps", "units"),
    [
        (None, {}, 35.0),  # question Q2 open: reckoned as two heads
        (2, {}, 35.0),
        (1, {}, 33.5),
        (2, {"LV1": 1.5}, 35.5),  # outside a group: 1.5 instead of 1
        (2, {"LV2": 1.5, "LV3": 1.5, "LV4": 1.5}, 35.0),  # inside a group: 6 whatever the trap
    ],
)
def test_load_of_house_01_is_exact(heads: int | None, traps: dict[str, float], units: float) -> None:
    assert total(heads, **traps) == units
