"""A hole in a plate is that of the pipe that goes on through it. The demonstration house, plates reckoned by hand."""

from __future__ import annotations

import pytest
from laid_out import design_named


def test_the_pipe_that_goes_on_makes_the_hole() -> None:
    # V6 comes up from the wall below and ends at the subfloor, V7 stands on it through the bottom plate of wall UP.
    design = design_named("demo")
    walls = {w.id: w for w in design.house.walls}
    plates = [b for b in design.fabrication.bores if b.member_kind == "bottom plate"]
    assert plates
    for bore in plates:
        wall = walls[bore.wall_or_frame]
        middle = wall.bottom_z_mm + wall.bottom_plate_mm / 2
        through = [
            p
            for p in design.pipes()
            if p.vertical
            and p.place.kind == "wall"
            and abs(wall.station(p.a) - wall.station(bore.centre)) < 1.0
            and min(p.a.z, p.b.z) <= middle <= max(p.a.z, p.b.z)
            and wall.offset(p.a) == pytest.approx(wall.offset(bore.centre), abs=1.0)
        ]
        assert bore.pipe in {p.id for p in through}, (bore.id, bore.pipe)
        assert bore.centre.z == pytest.approx(middle, abs=0.5)
        assert bore.height_subfloor_mm == pytest.approx(wall.bottom_plate_mm / 2, abs=0.5)
