"""What is quickly said of a drag is what every check of the registry says of the whole dragged design.

The quick answer makes few checks on small parts; here all checks judge the whole house, so that a check that looks at
something dragged and is left out is found. Origin of the expected values: the checks themselves, all of them.
"""

from collections import Counter
from dataclasses import replace

import pytest
from live_hands import all_handles

from stubout.checks.registry import run_all
from stubout.fixes.bench import GRAVE, key
from stubout.geometry.vec import Vec
from stubout.live.drag import FAR_MM, FOLLOWING, Drag
from stubout.windows.moves import measured
from stubout.windows.near import local, surroundings


def whole(ground, drag, design):
    """Return a dragged design with its holes bored anew and its vents measured anew."""
    known = {(b.pipe, b.member): b for b in ground.design.fabrication.bores}
    stands = replace(ground.design, house=design.house) if drag.handle.kind == "wall" else ground.design
    around = surroundings(stands, drag.moved_pipes, FAR_MM)
    near = local(design, drag.moved_pipes, around, known)
    kept = tuple(b for b in ground.design.fabrication.bores if b.pipe not in drag.moved_pipes)
    fab = replace(design.fabrication, bores=(*kept, *near.fabrication.bores))
    return measured(replace(design, fabrication=fab))


def said(design):
    """Return the grave findings of all checks."""
    return Counter(key(f) for f in run_all(design)[0] if f.level in GRAVE and not f.check.startswith(FOLLOWING))


@pytest.mark.parametrize(("name", "each"), [("demo", 2), ("drawn", 3)])
def test_every_kind_of_drag(name, each, request):
    ground = request.getfixturevalue(name)
    nothing = Vec(0.0, 0.0)
    wrong, kinds, spoke = [], set(), 0
    for n, (_, handle) in enumerate(all_handles(ground)[::each]):
        drag = Drag(ground, handle)
        kinds.add(handle.kind)
        before = said(whole(ground, drag, drag.to(nothing).design))
        by = handle.along(handle.ways[n % len(handle.ways)].times((18.0, -45.0, 130.0)[n % 3]), ground.step_mm)
        answer = drag.to(by)
        if answer.faults:  # cabinets off the end of their wall
            assert handle.kind in ("cabinet", "box", "opening", "wall")
            continue
        after = said(whole(ground, drag, answer.design))
        quick = Counter(key(f) for f in answer.came), Counter(key(f) for f in answer.gone)
        spoke += bool(answer.came)
        if quick != (after - before, before - after):
            wrong.append((handle.id, tuple(by), quick, after - before, before - after))
    assert wrong == []
    assert len(kinds) >= 3
    assert spoke >= 3  # it is not all silence


@pytest.mark.parametrize("name", ["demo", "drawn"])
@pytest.mark.parametrize("mm", [25.4, -50.8, 152.4, -406.4])
def test_every_wall(name, mm, request):
    """Walls carry much: each of them, a little and far, both ways."""
    ground = request.getfixturevalue(name)
    wrong, moved = [], 0
    for _, handle in all_handles(ground):
        if handle.kind != "wall":
            continue
        drag = Drag(ground, handle)
        answer = drag.to(handle.along(handle.ways[0].times(mm), ground.step_mm))
        if answer.faults:
            continue
        moved += 1
        before = said(whole(ground, drag, drag.to(Vec(0.0, 0.0)).design))
        after = said(whole(ground, drag, answer.design))
        quick = Counter(key(f) for f in answer.came), Counter(key(f) for f in answer.gone)
        if quick != (after - before, before - after):
            wrong.append((handle.id, mm, quick[0] - (after - before), (after - before) - quick[0], quick[1]))
    assert wrong == []
    assert moved
