"""Small systems for the tests of sizing: vents of their own on one drain, sizes open or as drawn, other books."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from stubout.geometry.vec import Vec
from stubout.house.framing import Bay, Stud, Wall
from stubout.layout.model import Place
from stubout.network.build import build
from stubout.rulebooks.model import RuleBook, Value
from stubout.sizing.need import Need, Sizes

FT = 304.8


def roofs(s: Any, vents: Any, tags: Any, roles: Any = (), drain_role: str = "building drain", wall: str = "") -> Any:
    """One drain D; on it fixtures with a vent each, V0, V1 …, of these sizes, to terminals of their own.

    Fixture k stands 500 mm further along x; its arm is a<k>, its branch b<k>. `wall` names runs that stand in wall W.
    """
    s.at("end", 0, -9000, -300, "sewer connection")
    s.at("j", 0, 0, 0, "junction")
    s.drain("D", "j", "end", drain_role, 1.25)
    for k, (vent_in, tag) in enumerate(zip(vents, tags, strict=True)):
        x = 500 * k + 500
        s.at(f"t{k}", x, 0, 20, "vent take-off")
        s.at(f"w{k}", x, 900, 30, "trap")
        s.at(f"r{k}", x, 0, 6000, "terminal")
        s.drain(f"a{k}", f"w{k}", f"t{k}", "trap arm", 1.25, tag=tag)
        s.drain(f"b{k}", f"t{k}", "j", "branch", 1.25)
        s.vent(f"V{k}", f"t{k}", f"r{k}", roles[k] if roles else "vent", vent_in)
        s.fixture(tag)
        s.trap(tag, f"w{k}", f"t{k}", (f"a{k}",), vent_runs=(f"V{k}",))
    return placed(s, "wall", *wall.split())


def stack(s: Any, role: str = "stack", stack_in: float = 3.0, vent_ft: float = 10.0) -> Any:
    """A lavatory on top of an upright pipe U; its stack vent SV goes to the open air."""
    s.at("air", 0, 0, 3000 + vent_ft * FT, "terminal")
    s.at("top", 0, 0, 3000, "stack top")
    s.at("foot", 0, 0, 0, "stack foot")
    s.at("end", 0, -3000, -60, "sewer connection")
    s.at("w", 500, 500, 3010, "trap")
    s.vent("SV", "top", "air", "stack vent")
    s.drain("A", "w", "top", "trap arm", 1.25, tag="LV1")
    s.drain("U", "top", "foot", role, stack_in)
    s.drain("D", "foot", "end", "building drain", stack_in)
    s.fixture("LV1")
    s.trap("LV1", "w", "top", ("A",), vent_runs=("SV",))
    return s


def placed(s: Any, kind: Any, *ids: str) -> Any:
    """Say where some runs lie; in a wall that is the wall W."""
    where = Place(kind, "W") if kind == "wall" else Place(kind)
    s.runs = [replace(r, place=where) if r.id in ids else r for r in s.runs]
    return s


def halved(s: Any, k: int, upper_in: float, role: str = "vent", z: float = 3000) -> Any:
    """Let vent V<k> of `roofs` end at a height; above it goes on as V<k>b, of another size, to the same terminal."""
    at = s.points[f"r{k}"].at
    s.at(f"m{k}", at.x, at.y, z)
    s.runs = [replace(r, end=f"m{k}") if r.id == f"V{k}" else r for r in s.runs]
    s.vent(f"V{k}b", f"m{k}", f"r{k}", role, upper_in)
    return s


def joined(s: Any, mouth_in: float) -> Any:
    """Let vents V0 and V1 of `roofs` meet; what goes on to the open air is T."""
    s.at("r0", 500, 0, 3000, "junction")
    s.at("air", 500, 0, 6000, "terminal")
    s.runs = [replace(r, end="r0") if r.id == "V1" else r for r in s.runs]
    s.vent("T", "r0", "air", "vent", mouth_in)
    return s


def framed(depth_mm: float) -> Wall:
    """A wall W along x, a stud every 500 mm: the bays lie between the vents of `roofs`."""
    studs = tuple(Stud(250.0 + 500 * i, 38.0) for i in range(6))
    bays = tuple(Bay("W", i, 269.0 + 500 * i, 731.0 + 500 * i) for i in range(5))
    return Wall(
        id="W", level_id="main", start=Vec(0, 0, 0), end=Vec(3000, 0, 0), depth_mm=depth_mm, spacing_mm=500.0,
        studs=studs, bottom_z_mm=0.0, top_z_mm=7000.0, bottom_plate_mm=38.0, top_plate_mm=76.0, bearing=False,
        exterior=False, insulated=False, left=(), right=(), openings=(), bays=bays,
    )  # fmt: skip


def unsettled(s: Any, **house: Any) -> Sizes:
    """No size settled yet."""
    h = s.house(**house)
    return Sizes(build(s.layout(), h, s.book), h, s.book, traps_in={t.tag: t.trap_in for t in s.traps})


def settled(s: Any, drain_in: float, **house: Any) -> Sizes:
    """Everything as drawn; the lowest drain D needs a size."""
    sizes = unsettled(s, **house)
    for p in sizes.network.pipes:
        sizes.settle(p, [Need(drain_in if p.id == "D" else p.size_in, "x")])
    return sizes


def vents(sizes: Sizes) -> list[float]:
    """The sizes of the vents, in flow order."""
    return [sizes.final[p.id] for p in sizes.network.vents()]


def words(sizes: Sizes, pipe_id: str) -> str:
    """The reasons of one pipe."""
    return " | ".join(n.words for n in sizes.needs[pipe_id])


def saying(book: RuleBook, values: Mapping[str, Value | None]) -> RuleBook:
    """A book that says something else, or nothing (None), where it has single values."""
    cells = {k: v for k, v in book.values.items() if k not in values}
    like = next(iter(book.values.values()))
    more = {k: replace(book.values.get(k, like), id=k, value=v) for k, v in values.items() if v is not None}
    return replace(book, values=cells | more)


def without(book: RuleBook, *tables: str) -> RuleBook:
    """A book without some of its tables."""
    return replace(book, tables={k: t for k, t in book.tables.items() if k not in tables})


def telling(book: RuleBook, table_id: str, rows: Mapping[tuple[Value, ...], Value], match: Any = "exact") -> RuleBook:
    """A book whose table has these rows and no others."""
    t = book.tables[table_id]
    like = next(r for r in t.rows if r.cell is not None)
    made = tuple(replace(like, inputs=i, cell=like.cell and replace(like.cell, value=v)) for i, v in rows.items())
    inputs = tuple((name, match) for name, _ in t.inputs)
    return replace(book, tables={**book.tables, table_id: replace(t, rows=made, inputs=inputs)})
