"""The same house said in another order, or seen in a mirror, is the same house."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from typing import Any

import pytest

from stubout.geometry.vec import Box, Vec
from stubout.house.model import House
from stubout.house.resolve import resolve
from stubout.job.model import Job
from stubout.problems import Question

LISTS = (
    "levels", "frames", "walls", "openings", "rooms", "cabinets", "fixtures", "obstacles", "roof", "roof_openings",
    "roof_zones", "questions", "routes", "amendments",
)  # fmt: skip
NAMES = ("01", "02", "03", "drawn", "demo")


def shuffled(job: Job, seed: int) -> Job:
    """Return the job with the entries of every list in another order."""
    chance = random.Random(seed)
    update = {}
    for name in LISTS:
        items = list(getattr(job, name))
        chance.shuffle(items)
        update[name] = tuple(items)
    return job.model_copy(update=update)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("seed", [1, 2])
def test_order_of_lines_plays_no_part(
    name: str, seed: int, job_of: Callable[[str], Job], resolved: Callable[[str], tuple[House, tuple[Question, ...]]]
) -> None:
    assert resolve(shuffled(job_of(name), seed)) == resolved(name)


def mirrored(job: Job) -> Job:
    """Return the job with east and west exchanged: x becomes width - x, left becomes right."""
    width = job.site.footprint[0]
    other = {"left": "right", "right": "left", "east": "west", "west": "east"}

    def point(p: tuple[float, ...]) -> tuple[float, ...]:
        return (width - p[0], *p[1:])

    def span(x: tuple[float, float] | None) -> tuple[float, float] | None:
        return None if x is None else (width - x[1], width - x[0])

    def turn(word: str | None) -> str | None:
        return other.get(word, word) if word else word

    walls = [
        w.model_copy(update={"from_": point(w.from_), "to": point(w.to), "left": w.right, "right": w.left})
        for w in job.walls
    ]
    frames = []
    for f in job.frames:
        if f.runs == "east-west":
            frames.append(f.model_copy(update={"along": span(f.along)}))
            continue
        m = f.members
        counted = () if m.first is None else tuple(m.first + k * (m.spacing or 0) for k in range(m.count or 1))
        at = tuple(width - v for v in (*m.at, *counted))
        frames.append(f.model_copy(update={"members": m.model_copy(update={"at": at, "first": None})}))
    return job.model_copy(
        update={
            "walls": tuple(walls),
            "frames": tuple(frames),
            "rooms": tuple(r.model_copy(update={"x": span(r.x)}) for r in job.rooms),
            "cabinets": tuple(
                c.model_copy(
                    update={
                        "side": turn(c.side),
                        "back_to": turn(c.back_to),
                        "along": turn(c.along),
                        "corner": None if c.corner is None else point(c.corner),
                    }
                )
                for c in job.cabinets
            ),
            "fixtures": tuple(
                f.model_copy(
                    update={
                        "side": turn(f.side),
                        "drain": None if f.drain is None else point(f.drain),
                        "x": span(f.x),
                    }
                )
                for f in job.fixtures
            ),
            "obstacles": tuple(o.model_copy(update={"side": turn(o.side), "x": span(o.x)}) for o in job.obstacles),
            "roof": tuple(r.model_copy(update={"x": span(r.x), "low_edge": turn(r.low_edge)}) for r in job.roof),
            "roof_openings": tuple(o.model_copy(update={"x": span(o.x)}) for o in job.roof_openings),
        }
    )


def flip(p: Vec | None, width: float) -> Any:
    return None if p is None else pytest.approx((width - p.x, p.y, p.z), abs=1e-6)


def flip_box(b: Box | None, width: float) -> Any:
    return None if b is None else [flip(Vec(b.hi.x, *b.lo[1:]), width), flip(Vec(b.lo.x, *b.hi[1:]), width)]


def as_list(b: Box | None) -> Any:
    return None if b is None else [b.lo, b.hi]


@pytest.mark.parametrize("name", ["01", "02", "03", "demo"])
def test_mirror(
    name: str, job_of: Callable[[str], Job], resolved: Callable[[str], tuple[House, tuple[Question, ...]]]
) -> None:
    house = resolved(name)[0]
    glass, _ = resolve(mirrored(job_of(name)))
    width = house.footprint.hi.x
    for w, m in zip(house.walls, glass.walls, strict=True):
        assert (m.id, m.studs, m.bays, m.openings) == (w.id, w.studs, w.bays, w.openings)
        assert m.left == w.right, w.id
        assert m.right == w.left, w.id
    for f, g in zip(house.fixtures, glass.fixtures, strict=True):
        assert g.outlet == flip(f.outlet, width), f.tag
        assert (g.outlet_z_mm, g.flood_rim_z_mm, g.cabinet_id) == (f.outlet_z_mm, f.flood_rim_z_mm, f.cabinet_id)
        assert as_list(g.extent) == flip_box(f.extent, width)
    for b, c in zip(house.cabinets, glass.cabinets, strict=True):
        assert (c.id, c.from_station_mm, c.floor_z_mm, c.drawers) == (b.id, b.from_station_mm, b.floor_z_mm, b.drawers)
        assert as_list(c.box) == flip_box(b.box, width), b.id
    for o, q in zip(house.obstacles, glass.obstacles, strict=True):
        assert as_list(q.box) == flip_box(o.box, width), o.id
    for fr, gr in zip(house.frames, glass.frames, strict=True):
        if fr.runs == "y":
            assert list(gr.centres_mm) == pytest.approx(sorted(width - c for c in fr.centres_mm))
    for r, t in zip(house.roof, glass.roof, strict=True):
        x, y = (r.x0_mm + r.x1_mm) / 3, (r.y0_mm + r.y1_mm) / 3
        assert t.z_at(width - x, y) == pytest.approx(r.z_at(x, y))


def test_everything_is_frozen_and_hashable(h01: House) -> None:
    assert is_dataclass(h01)
    assert all(not isinstance(getattr(h01, f.name), (list, dict, set)) for f in fields(h01))
    assert replace(h01) == h01
