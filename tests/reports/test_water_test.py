"""The test plan against physics: volume, pressure and push on a plug."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stubout.design import Design
from stubout.layout.model import Place, Role
from stubout.network.model import Network
from stubout.reports import water_test
from stubout.reports.model import TableBlock


@pytest.mark.parametrize(
    ("feet", "psi"),
    # trade tables of water column to pressure (read): 4.3, 8.7, 13.0 and 43.4 psi
    [(10, 4.3), (20, 8.7), (30, 13.0), (100, 43.4)],
)
def test_pressure_of_a_water_column(feet: float, psi: float) -> None:
    assert f"({psi:.1f} psi)" in water_test.pressure(feet * 304.8)


def test_push_on_a_plug_by_hand(small_design: Design) -> None:
    # by hand: bore 3.042 in = 7.268 in2 under 5660 mm = 18.57 ft of water (8.05 psi): 58.5 lbf = 260 N
    page = water_test.test_page(small_design)
    caps = next(b for b in page.blocks if isinstance(b, TableBlock) and b.title == "Caps and plugs")
    # 5000 + 660 = 5660 mm of water: 55.5 kPa on 4689 mm2
    assert caps.rows[0][7] == "260 N (59 lbf)"


def test_volume_of_a_pipe_by_hand(small_design: Design) -> None:
    # by hand: average bore 3.042 in = 77.27 mm: 4.689 l a metre
    d3 = small_design.network.pipe("D3")
    assert water_test.litres(small_design, d3) == pytest.approx(4.689 * d3.length_mm / 1000, rel=0.001)


def test_water_stands_at_the_lowest_terminal_or_is_open(small_design: Design) -> None:
    (section,) = water_test.sections(small_design, 3048.0)
    assert section.top_mm == pytest.approx(5000.0)
    buried = replace(small_design.network.pipe("D3"), place=Place("buried"))
    pipes = tuple(buried if p.id == "D3" else p for p in small_design.network.pipes)
    split = replace(small_design, network=Network(small_design.network.nodes, pipes, small_design.network.traps))
    ground, above = water_test.sections(split, 3048.0)
    assert (ground.letter, above.letter) == ("A", "B")
    assert ground.top_mm == pytest.approx(-600 + 3048)  # the highest joint of the groundwork, with the head on it
    assert above.top_mm == pytest.approx(5000.0)
    assert ground.risers == ("N3",)
    assert above.litres > ground.litres
    assert water_test.sections(split, None)[0].top_mm is None


def test_head_and_push_of_the_plug_are_printed(small_design: Design) -> None:
    page = water_test.test_page(small_design)
    caps = next(b for b in page.blocks if isinstance(b, TableBlock) and b.title == "Caps and plugs")
    assert caps.rows[0][0] == "C1"
    text = " ".join(str(b) for b in page.blocks)
    for said in ("no compressed air on plastic", "US gal", "Inspector", "15 min", "psi", "lbf"):
        assert said in text


def test_the_riser_of_an_outside_cleanout_does_not_count_for_the_head_of_the_groundwork(small_design: Design) -> None:
    """It comes up to the ground, storeys over a drain under a basement floor: common practice, no source."""
    riser = replace(small_design.network.pipe("D3"), place=Place("buried"), role=Role.CLEANOUT_EXT)
    top = max(riser.a.z, riser.b.z)
    low = replace(riser, id="D9", role=Role.BUILDING_DRAIN, a=riser.a.at_z(-900.0), b=riser.b.at_z(-950.0))
    pipes = tuple(riser if p.id == "D3" else p for p in small_design.network.pipes)
    split = replace(
        small_design, network=Network(small_design.network.nodes, (*pipes, low), small_design.network.traps)
    )
    assert top > -900.0
    ground, _ = water_test.sections(split, 3048.0)
    assert ground.top_mm == pytest.approx(-900.0 + 3048.0)
    text = " ".join(str(b) for b in water_test.test_page(split).blocks)
    assert "Cleanouts that come up outside" in text
    assert "Cleanouts that come up outside" not in " ".join(str(b) for b in water_test.test_page(small_design).blocks)
