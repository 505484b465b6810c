"""Which plan a pipe belongs on: under a floor, in a storey, in the attic. Each pipe has exactly one plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stubout.design import Design
from stubout.house.model import Frame, HouseLevel
from stubout.network.model import Pipe


@dataclass(frozen=True, slots=True)
class Storey:
    """One floor plan: what is under the lowest floor, a storey with its own floor frame, or the attic."""

    kind: Literal["under", "storey", "attic"]
    level: HouseLevel  # the level whose walls and fixtures are drawn

    @property
    def id(self) -> str:
        """Return the code of the plan."""
        return {"under": f"plan-under-{self.level.id}", "storey": f"plan-{self.level.id}", "attic": "plan-attic"}[
            self.kind
        ]


def storeys(design: Design) -> tuple[Storey, ...]:
    """Return the plans a house can have, from the bottom up; those without pipe are left out by the caller."""
    levels = sorted(design.house.levels, key=lambda v: v.order)
    lived = [v for v in levels if v.kind != "ground"]
    return (
        Storey("under", lived[0]),
        *(Storey("storey", v) for v in lived),
        Storey("attic", lived[-1]),
    )


def storey_of(design: Design, pipe: Pipe) -> Storey:
    """Return the plan a pipe is drawn on."""
    plans = storeys(design)
    lived = [s.level for s in plans if s.kind == "storey"]
    kind = pipe.place.kind
    if kind in ("attic", "roof"):
        return plans[-1]
    if kind in ("under slab", "buried", "crawl"):
        return plans[0]
    if kind in ("joist bay", "below frame", "soffit"):
        frame = next((f for f in design.house.frames if f.id == pipe.place.ref), None)
        level = carried_by(design, frame) if frame is not None else None
        if level is not None:
            # Over a crawl space the floor frame is worked from below: it is on the plan "under" the first floor.
            return plans[0] if level is lived[0] else _storey(plans, level)
        if frame is not None:
            return plans[-1]
    z = (pipe.a.z + pipe.b.z) / 2
    if kind in ("wall", "cabinet", "room"):
        wall = next((w for w in design.house.walls if w.id == pipe.place.ref), None)
        if wall is not None:
            level = design.house.level(wall.level_id)
            if level in lived and z >= level.subfloor_z_mm:
                return _storey(plans, level)
    return storey_at(design, z)


def storey_at(design: Design, z: float) -> Storey:
    """Return the plan a height belongs on, with the frame under a floor to that floor."""
    plans = storeys(design)
    lived = [s.level for s in plans if s.kind == "storey"]
    if z < lived[0].subfloor_z_mm:
        return plans[0]
    top = lived[-1]
    if z > top.subfloor_z_mm + (top.wall_height_mm or 2400.0):
        return plans[-1]
    best = lived[0]
    for level in lived[1:]:
        frame = design.house.frame_carrying(level.id)
        if z >= (frame.bottom_z_mm if frame else level.subfloor_z_mm):
            best = level
    return _storey(plans, best)


def carried_by(design: Design, frame: Frame) -> HouseLevel | None:
    """Return the level whose floor a frame is, None for a ceiling or roof."""
    return next((v for v in design.house.levels if v.id == frame.carries), None)


def _storey(plans: tuple[Storey, ...], level: HouseLevel) -> Storey:
    return next(s for s in plans if s.kind == "storey" and s.level is level)


def frame_shown(design: Design, storey: Storey) -> Frame | None:
    """Return the frame whose members a plan shows: the floor the pipes lie in, the ceiling in the attic."""
    if storey.kind == "attic":
        return next((f for f in design.house.frames if not f.carries), None)
    frame = design.house.frame_carrying(storey.level.id)
    lived = storeys(design)[1].level
    if storey.kind == "under":
        return frame
    return None if storey.level is lived and frame is not None and _crawl(design) else frame


def _crawl(design: Design) -> bool:
    return any(v.kind == "ground" for v in design.house.levels)


def storey_title(design: Design, storey: Storey) -> str:
    """Return the title of a plan."""
    name = storey.level.title or storey.level.id
    if storey.kind == "attic":
        return "Attic and roof plan"
    if storey.kind == "under":
        ground = next((v for v in design.house.levels if v.kind == "ground"), None)
        if ground is not None:
            return f"{ground.title or ground.id}: drains under the {name}"
        if all(p.place.kind != "under slab" for p in design.network.pipes):
            return "Drains in the ground, outside the house"
        return f"Drains under the slab, {name}"
    return f"{name} plan"
