"""Lists made anew near a change only are those made anew of the whole design."""

from __future__ import annotations

from dataclasses import replace

import pytest
from seeding.systems import system

from stubout.design import Design
from stubout.fixes.bench import GRAVE, Bench, applied, key
from stubout.fixes.follow import followed, made_anew, relisted, touched
from stubout.fixes.moves import Shift
from stubout.fixes.near import RINGS, joined_near
from stubout.fixes.sizes import Resize
from stubout.geometry.vec import Vec

BY = (Vec(0.0, 0.0, 15.0), Vec(40.0, 0.0, 0.0), Vec(0.0, -60.0, -25.0))


def lists(design: Design) -> list[list[str]]:
    fab = design.fabrication
    parts = (fab.fittings, fab.pieces, fab.bores, fab.plates, fab.hangers)
    return [sorted(repr(replace(x, id="")) for x in part) for part in parts]


@pytest.mark.parametrize("name", ["bath", "storeys", "island"])
@pytest.mark.parametrize("by", BY)
def test_lists_near_a_move_are_those_of_the_whole(name: str, by: Vec) -> None:
    clean = system(name, "irc-2021").design
    for node in clean.network.nodes[::3]:
        new = Shift(((node.id, by),), node.id).on(clean)
        pipes = touched(clean, new)
        assert lists(followed(clean, new)) == lists(relisted(new, pipes, made_anew(new))), node.id


def test_a_way_through_points_where_nothing_joins_is_no_joint_farther() -> None:
    net = system("storeys", "irc-2021").design.network
    near = joined_near(net, frozenset({"V-SH2.1"}))
    assert {"V-SH2.1", "V-SH2.2", "A-SH2", "S2.1", "V-LV2.2", "V-LV2.3"} <= near
    assert len(near) < len(net.pipes)
    assert RINGS >= 2


def test_checks_of_single_pipes_say_the_same_of_the_touched_pipes_alone() -> None:
    """What `Bench` says of a change by parts is what it says of it as a whole."""
    made = system("bath", "irc-2021")
    bare = replace(made.design, fabrication=replace(made.design.fabrication, hangers=()))
    findings = tuple(f for c in Bench(bare, (), ()).order for f in c.run(bare)[0])
    bench = Bench(bare, findings, ())
    own = next(f for f in findings if f.check == "SUP001")
    for node in bare.network.nodes[::5]:
        for by in BY:
            edits = (Shift(((node.id, by.times(4.0)),), node.id),)
            after = applied(bare, edits)
            new = {c.id for c in bench.order for f in c.run(after)[0] if f.level in GRAVE and not bench.known[key(f)]}
            said, _ = bench.raised_by(edits, own)
            assert (said in new) if new and said is not None else said in ("", None), (node.id, by, said, new)


def test_all_routes_on_pipes_that_are_laid_larger_name_the_size() -> None:
    """A cleanout's own route is drawn in the size it gets with its drain."""
    clean = system("bath", "irc-2021").design
    larger = Resize(("BD.3", "BD.4"), 4.0).on(clean)
    sizes = {g.id: g.size_in for g in larger.house.routes}
    assert sizes["CO1"] == larger.network.pipe("CO1").size_in
    assert sizes["BD"] is None
