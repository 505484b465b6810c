"""Just inside a window every check of the registry is silent on the whole moved design, one step outside one speaks.

The windows are solved with few checks on small parts; here all checks judge the whole house, so that a check left out
of `table.py`, or a part cut too small, is found.
"""

from dataclasses import replace

import pytest

from stubout.checks.registry import run_all
from stubout.geometry.vec import Vec
from stubout.problems import Level
from stubout.sheets.wall_facts import marks
from stubout.windows.judge import with_bodies
from stubout.windows.moves import carried, measured, move
from stubout.windows.near import local, surroundings
from stubout.windows.solve import STEPS, seeds_of, way_of
from stubout.windows.table import BODY, checks_of

NOWHERE = Vec(0.0, 0.0)


def whole(design, nodes, by):
    """Return the whole design moved, its holes bored anew, its vents measured anew."""
    moved = move(design, nodes, by)
    known = {(b.pipe, b.member): b for b in design.fabrication.bores}
    near = local(moved.design, moved.pipes, surroundings(design, moved.pipes, 250.0), known)
    kept = tuple(b for b in design.fabrication.bores if b.pipe not in moved.pipes)
    fab = replace(moved.design.fabrication, bores=(*kept, *near.fabrication.bores))
    return measured(replace(moved.design, fabrication=fab))


def said(design, nodes=frozenset(), by=NOWHERE):
    """Return what all checks say; those of a closet's own room with the closet set on its moved flange."""
    found, _ = run_all(design)
    found = [f for f in found if f.check not in BODY]
    found += [f for one in checks_of(BODY) for f in one.run(with_bodies(design, nodes, by))[0]]
    return {(f.check, f.about, f.found) for f in found if f.level in (Level.STOP, Level.FIX)}


def places(design, windows):
    """Yield each window whose points and way are new, with both."""
    seen = set()
    for w in windows:
        wall = design.house.wall(w.wall)
        mark = next(m for m in marks(design, wall, w.side) if (m.kind, m.about) == (w.kind, w.about))
        way = way_of(wall, w.side, w.direction)
        nodes = carried(design.network, seeds_of(design, mark), way)
        key = (nodes, tuple(round(c, 3) for c in way))
        if key not in seen:
            seen.add(key)
            yield w, nodes, way


@pytest.mark.parametrize(("name", "each"), [("demo", 3), ("drawn", 1)])
def test_every_window(name, each, request):
    design, found = request.getfixturevalue(name), request.getfixturevalue(f"{name}_windows")
    assert found
    before = said(whole(design, frozenset(), NOWHERE))
    step = STEPS[design.house.job.units]
    wrong = []
    for w, nodes, way in list(places(design, found))[::each]:
        by = way.times(w.amount_mm)
        inside = said(whole(design, nodes, by), nodes, by)
        if w.amount_mm and inside - before:
            wrong.append((w.about, w.direction, w.amount_mm, "inside", inside - before))
        if w.bound:
            by = way.times(w.amount_mm + step)
            outside = said(whole(design, nodes, by), nodes, by)
            if w.check not in {c for c, _, _ in outside - before}:
                wrong.append((w.about, w.direction, w.amount_mm, "outside", w.check, outside - before))
    assert wrong == []
