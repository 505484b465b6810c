"""How sheets say things: lengths in the job's units, compass words, what a pipe is called."""

from __future__ import annotations

import math
from collections.abc import Iterable

from stubout import units
from stubout.design import Design
from stubout.fabrication.materials import material_words
from stubout.fabrication.set_in import CutOut, cut_outs
from stubout.geometry.vec import Vec
from stubout.house.framing import Side, Wall
from stubout.house.model import Room
from stubout.layout.model import StubMark
from stubout.network.model import Pipe, Role

SHORT_ROLE = {
    Role.FIXTURE_DRAIN: "fixture drain",
    Role.TRAP_ARM: "trap arm",
    Role.DRAIN: "drain",
    Role.BRANCH: "branch",
    Role.STACK: "stack",
    Role.BUILDING_DRAIN: "building drain",
    Role.SEWER: "building sewer",
    Role.VENT: "vent",
    Role.BRANCH_VENT: "branch vent",
    Role.STACK_VENT: "stack vent",
    Role.FOOT_VENT: "foot vent",
    Role.HEADER: "vent header",
    Role.CLEANOUT_EXT: "cleanout",
}


def stub_words(stub: StubMark) -> str:
    """Return what the mark of a stub-out is called: nothing comes out of the wall unless its arm passes it."""
    return f"{stub.tag} {stub.place.noun} {pipe_size(stub.size_in)}"


def mm(design: Design, value_mm: float) -> str:
    """Return a length as this job prints it."""
    return units.length(value_mm, design.house.job.units)


def level_mark(design: Design, z_mm: float) -> str:
    """Return a height against the house datum with its sign: `+1'-2"`, `-3300`."""
    text = mm(design, z_mm)
    return text if text.startswith("-") or text in ("0", '0"') else f"+{text}"


def slope(design: Design, pipe: Pipe) -> str:
    """Return the slope of a horizontal pipe in short: `1:50`, `1/4 in/ft`."""
    return units.slope(pipe.slope, design.house.job.units).split(" (")[0]


def named(item_id: str, what: str) -> str:
    """Return an id with what it is, a word that ends the one and begins the other said once."""
    words = what.split()
    if words[:1] == item_id.split()[-1:]:
        words = words[1:]
    return " ".join((item_id, *words))


def installed_words(pipes: Iterable[Pipe]) -> tuple[str, ...]:
    """Return the note of a sheet that shows installed pipes: which they are, and how they are drawn; else nothing."""
    by_material: dict[str, list[str]] = {}
    for p in pipes:
        if p.said == "installed":
            by_material.setdefault(p.material, []).append(p.id)
    if not by_material:
        return ()
    told = "; ".join(f"{', '.join(ids)} {_made_of(material)}" for material, ids in by_material.items())
    return (f"Two strokes across a pipe: installed, not to be moved ({told}).",)


def set_in_words(
    design: Design, pipes: Iterable[Pipe], low_mm: float = -math.inf, high_mm: float = math.inf
) -> tuple[str, ...]:
    """Return the note of a sheet on which new pipe meets installed pipe: with which couplings; else nothing.

    Args:
        design: The design.
        pipes: The pipes on the sheet.
        low_mm: House z of the lowest point on the sheet.
        high_mm: House z of the highest.
    """
    shown = {p.id for p in pipes}
    fab = design.fabrication
    told = [
        f"{c.fitting.id} {c.fitting.pattern} {' x '.join(units.size(s) for s in c.fitting.sizes_in)}{_with(c)}"
        for c in cut_outs(design.network, fab.fittings, fab.pieces)
        if shown.issuperset(c.pipes) and low_mm <= c.fitting.at.z <= high_mm
    ]
    return (f"New pipe on installed pipe: {'; '.join(told)}. Cuts and pieces: see the cut list.",) if told else ()


def _with(c: CutOut) -> str:
    """Return which couplings join a fitting to installed pipe; nothing where it is one itself."""
    if not c.pieces:
        return ""
    kinds = {u.pattern: [v.id for v in c.couplings if v.pattern == u.pattern] for u in c.couplings}
    told = (f"{pattern}{'s' if len(ids) > 1 else ''} {', '.join(ids)}" for pattern, ids in kinds.items())
    return f" with {' and '.join(told)}"


def _made_of(material: str) -> str:
    return f"of {material_words(material)}" if material else "of unknown material"


def pipe_size(size_in: float) -> str:
    """Return a nominal size with its mark: `1-1/2 in`."""
    return f"{units.size(size_in)} in"


def compass(direction: Vec) -> str:
    """Return the nearest compass word of a plan direction."""
    if abs(direction.x) >= abs(direction.y):
        return "east" if direction.x > 0 else "west"
    return "north" if direction.y > 0 else "south"


def start_end(wall: Wall) -> str:
    """Return which end of a wall is its start, station 0: `south end`."""
    return f"{compass(wall.along.times(-1.0))} end"


def side_room(design: Design, wall: Wall, side: Side, station_mm: float) -> Room | None:
    """Return the room on a side of a wall at a station, None if none is described there."""
    out = wall.depth_mm / 2 + 200.0
    p = wall.point(station_mm, wall.bottom_z_mm, out if side == "left" else -out)
    held = [r for r in design.house.rooms if r.level_id == wall.level_id and r.holds(p)]
    return held[-1] if held else None


def finished_z(design: Design, wall: Wall, side: Side, station_mm: float) -> float | None:
    """Return the finished floor in front of a wall [mm], None where no room is described."""
    room = side_room(design, wall, side, station_mm)
    if room is None:
        return None
    return design.house.level(wall.level_id).subfloor_z_mm + room.build_up_mm
