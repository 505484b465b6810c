"""Where tolerances add up to more than a mark may be off: told there, and nowhere else."""

from __future__ import annotations

from stubout.reports.stackup import stack_ups
from stubout.windows.solve import windows


def test_told_where_the_stack_is_more_than_the_window(chain):
    design = chain("demo").design
    off = windows(design)
    found = stack_ups(design, off)
    assert found
    for s in found:
        assert s.worst_mm > s.window_mm
        assert any(
            (w.wall, w.kind, w.about, w.direction, w.amount_mm) == (s.wall, s.kind, s.about, s.direction, s.window_mm)
            for w in off
        )
        pipe = design.network.pipe(s.run[0])
        assert pipe.vertical == (s.direction in ("up", "down"))
    assert stack_ups(design, ()) == ()
