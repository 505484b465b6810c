"""Fixes written into the job file: the house read back from it is the one the fix was tried on.

What is expected is the edit made on the copy of the design; the file goes its own way there: reader, resolver, layout.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from laid_out import design_of

from stubout import run
from stubout.design import Design
from stubout.fixes import said_routes
from stubout.fixes.bench import applied
from stubout.fixes.builder import Aside, Boxed, Deeper
from stubout.fixes.facts import Fact, MoveThing, Placed
from stubout.fixes.model import Edit
from stubout.fixes.moves import Shift
from stubout.fixes.said import NotSaid
from stubout.fixes.sizes import Resize, TrapSize
from stubout.fixes.stated import stated
from stubout.geometry.vec import Box, Vec
from stubout.house.model import Drawer, House
from stubout.house.resolve import resolve
from stubout.job.model import Job
from stubout.run_field import texts
from stubout.web import yaml_paths

EXAMPLES = Path(__file__).parents[2] / "examples"
NEAR_MM = 0.02


@cache
def job_text(name: str) -> str:
    return texts.demo() if name == "demo" else (EXAMPLES / f"{name}.yaml").read_text(encoding="utf-8")


@cache
def job(name: str) -> Job:
    return texts.read_text(job_text(name))


@cache
def design(name: str) -> Design:
    return design_of(job(name))


def written(name: str, *edits: Edit) -> str:
    says = stated(job(name), design(name), edits)
    return yaml_paths.said(job_text(name), ((s.path, s.value) for s in says))


def house_of(text: str) -> House:
    return resolve(texts.read_text(text))[0]


def same(a: Any, b: Any) -> bool:
    """Return whether two records say the same, lengths to a fiftieth of a millimetre; lines of the file left aside."""
    if is_dataclass(a) and type(a) is type(b):
        return all(same(getattr(a, f.name), getattr(b, f.name)) for f in fields(a) if f.name != "line")
    if isinstance(a, (tuple, list)) and isinstance(b, (tuple, list)):
        return len(a) == len(b) and all(same(x, y) for x, y in zip(a, b, strict=True))
    if isinstance(a, float) and isinstance(b, float):
        return abs(a - b) < NEAR_MM
    return bool(a == b)


def fact(*says: tuple[str, str, str, Any]) -> Fact:
    return Fact("fact", (), "", "", "words", says)


def cut(house: House, box: str) -> tuple[Drawer, ...]:
    return tuple(
        replace(d, cut_width_mm=90.0, cut_depth_mm=201.3)
        for d in next(c for c in house.cabinets if c.id == box).drawers
    )


@pytest.fixture(scope="module")
def bungalow() -> House:
    return house_of(job_text("02-slab-bungalow"))


FACTS = {
    "faucet": ("fixtures", "LV1", "faucet", "wall"),
    "dishwasher": ("fixtures", "KS", "dishwasher", "tailpiece"),
    "grade": ("ground", "", "at_house_z_mm", -150.0),
    "test": ("test", "", "head_mm", 3200.0),
    "method": ("test", "", "method", "air"),
}


@pytest.mark.parametrize("what", list(FACTS))
def test_a_fact_is_read_back(what: str) -> None:
    name = "drawn-bath"
    edit = fact(FACTS[what])
    assert same(house_of(written(name, edit)), edit.on(design(name)).house)


@pytest.mark.parametrize("part", ["fixtures", "cabinets", "walls", "rooms", "frames", "wishes", "obstacles", "ground"])
def test_nothing_else_of_the_house_is_touched(part: str) -> None:
    edit = fact(("test", "", "head_mm", 3200.0))
    assert same(getattr(house_of(written("drawn-bath", edit)), part), getattr(design("drawn-bath").house, part))


def test_a_cut_out_is_read_back(bungalow: House) -> None:
    box = next(c for c in bungalow.cabinets if c.drawers)
    edit = fact(("cabinets", box.id, "drawers", cut(bungalow, box.id)))
    name = "02-slab-bungalow"
    blank = replace(design("drawn-bath"), house=bungalow)
    says = stated(job(name), blank, (edit,))
    new = house_of(yaml_paths.said(job_text(name), ((s.path, s.value) for s in says)))
    assert same(next(c for c in new.cabinets if c.id == box.id).drawers, cut(bungalow, box.id))


def test_a_wish_that_goes_leaves_the_others() -> None:
    name = "03-crawlspace-cottage"
    house = house_of(job_text(name))
    says = stated(job(name), replace(design("drawn-bath"), house=house), (fact(("wishes", "", "cold_spaces", ())),))
    new = house_of(yaml_paths.said(job_text(name), ((s.path, s.value) for s in says)))
    assert new.wishes == replace(house.wishes, cold_spaces=())
    assert house.wishes.cold_spaces  # it was there


def test_a_thing_in_the_way_is_moved() -> None:
    name = "01-two-storey-basement"
    house = house_of(job_text(name))
    blank = replace(design("drawn-bath"), house=house)
    moved = 0
    listed = {o.id for o in job(name).obstacles}  # headers of openings are obstacles too
    for thing in (o for o in house.obstacles if o.id in listed):
        wall = next((w for w in house.walls if w.id == thing.wall_id), None)
        by = wall.along.times(25.0) if wall else Vec(25.0, 0.0)
        edit = MoveThing(thing.id, by)
        says = stated(job(name), blank, (edit,))
        new = house_of(yaml_paths.said(job_text(name), ((s.path, s.value) for s in says)))
        want = next(o for o in edit.on(blank).house.obstacles if o.id == thing.id)
        assert same(next(o for o in new.obstacles if o.id == thing.id).box, want.box), thing.id
        moved += 1
    assert moved > 3


def test_a_wall_is_built_of_deeper_studs() -> None:
    wall = design("drawn-bath").house.walls[0]
    new = house_of(written("drawn-bath", Deeper(wall.id, wall.depth_mm + 44.0)))
    assert abs(new.wall(wall.id).depth_mm - wall.depth_mm - 44.0) < NEAR_MM


def test_a_joist_is_set_aside() -> None:
    frame = design("drawn-bath").house.frames[0]
    edit = Aside(frame.id, frame.centres_mm[2], 30.0)
    new = next(f for f in house_of(written("drawn-bath", edit)).frames if f.id == frame.id)
    assert same(sorted(new.centres_mm), sorted(next(
        f for f in edit.on(design("drawn-bath")).house.frames if f.id == frame.id).centres_mm))  # fmt: skip


def test_a_trap_of_another_size() -> None:
    assert house_of(written("drawn-bath", TrapSize("LV1", 2.0))).fixture("LV1").trap_in == 2.0


@pytest.mark.parametrize(
    ("edit", "words"),
    [
        (fact(("readings", "BD", "value", "2 %")), "on site"),
        (fact(("stubs", "LV1", "mark_z_mm", 400.0)), "marks follow"),
        (Placed("BD.1"), "worked out"),
        (fact(("fixtures", "LV1", "extent", Box(Vec(0, 0, 0), Vec(1, 1, 1)))), "how far LV1 reaches"),
        (MoveThing("nothing", Vec(1, 0)), "does not list it"),
    ],
)
def test_what_the_file_cannot_say_is_told(edit: Edit, words: str) -> None:
    with pytest.raises(NotSaid, match=words):
        stated(job("drawn-bath"), design("drawn-bath"), (edit,))


def test_a_box_is_asked_for_where_there_is_a_builder() -> None:
    edit = Boxed("BD.1", "bath", ("LV1",))
    asked = texts.read_text(written("drawn-bath", edit)).questions[-1]
    assert (asked.id, asked.about, job("drawn-bath").job.people[asked.ask]) == ("Q-BD.1-box", ("LV1",), "builder")
    nobody = job("drawn-bath").model_copy(update={"job": job("drawn-bath").job.model_copy(update={"people": {}})})
    with pytest.raises(NotSaid, match="no builder"):
        stated(nobody, design("drawn-bath"), (edit,))


def near(a: Design, b: Design) -> None:
    """Assert that two designs have the same pipes: in their places to a tenth of a millimetre, of the same sizes."""
    left = list(a.network.pipes)
    for pipe in b.network.pipes:
        same_one = next(
            (p for p in left if p.system == pipe.system and p.a.to(pipe.a) < 0.1 and p.b.to(pipe.b) < 0.1), None
        )
        assert same_one is not None, pipe
        assert same_one.size_in == pipe.size_in, pipe
        left.remove(same_one)
    assert left == []


SHIFTED = ("V-KS.1", "V-WC1.2", "BD.3", "CO1")  # a turn, a tie-in, a joint of the building drain, a cleanout


@pytest.mark.parametrize("pipe", SHIFTED)
def test_a_moved_point_of_a_drawn_route(pipe: str) -> None:
    before = design("drawn-bath")
    end = before.network.pipe(pipe)
    node = end.start if pipe == "CO1" else end.end
    edit = Shift(((node, Vec(0.0, 0.0, 12.7)),), node)
    near(run.design(texts.read_text(written("drawn-bath", edit))), applied(before, (edit,)))


def test_a_drawn_route_in_another_size() -> None:
    edit = Resize(("D-LV1",), 2.0)
    near(run.design(texts.read_text(written("drawn-bath", edit))), applied(design("drawn-bath"), (edit,)))


def test_a_part_of_a_route_has_no_size_of_its_own() -> None:
    part = next(p for p in design("drawn-bath").network.pipes if p.id.startswith("BD."))
    with pytest.raises(NotSaid, match="only a part of BD"):
        stated(job("drawn-bath"), design("drawn-bath"), (Resize((part.id,), 4.0),))


def test_a_layout_of_the_program_is_drawn_as_it_lies() -> None:
    """The demonstration house written out as drawn routes is the same house: every pipe, every finding."""
    before = design("demo")
    assert said_routes.freezes(before)
    says = said_routes.routes(before, before)
    after = run.design(texts.read_text(yaml_paths.said(job_text("demo"), ((s.path, s.value) for s in says))))
    assert not after.blocked
    assert all(p.drawn for p in after.network.pipes)
    near(after, before)
    assert {t.tag for t in after.network.traps} == {t.tag for t in before.network.traps}
    assert run.check(after).open == run.check(before).open == ()
