"""Cabinet runs: boxes with their seams, floors, shelves and drawers in house heights."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Side, Wall
from stubout.house.model import CabinetBox, Drawer
from stubout.house.walls import hull
from stubout.job.model import BoxSaid, CabinetSaid

_WAY = {"north": Vec(0, 1), "south": Vec(0, -1), "east": Vec(1, 0), "west": Vec(-1, 0)}


@dataclass(frozen=True, slots=True)
class Run:
    """Where a run of cabinets stands: its line, the way to its front, and the floor it stands on."""

    said: CabinetSaid
    wall_id: str
    side: Side
    start: Vec  # back corner (wall) or front corner (island) at station zero of the line
    along: Vec
    depthward: Vec  # from the start line across the boxes
    first_mm: float  # station of the first seam
    floor_z_mm: float  # finished floor
    top_z_mm: float  # where a box without a counter ends


def wall_run(said: CabinetSaid, wall: Wall, floor_z: float) -> Run:
    """Return a run that stands with its back on the finished face of a wall."""
    ends = [s for s in (said.from_, said.to) if s is not None]
    middle = sum(ends) / len(ends) if ends else wall.length_mm / 2
    face = wall.face_offset(said.side, middle, floor_z + 300.0)  # finish behind the boxes, below any back splash
    forward = wall.leftward if said.side == "left" else wall.leftward.times(-1)
    return Run(
        said, wall.id, said.side, wall.point(0.0, floor_z, face), wall.along, forward, said.from_ or 0.0, floor_z,
        wall.top_z_mm,
    )  # fmt: skip


def island_run(said: CabinetSaid, floor_z: float, top_z: float) -> Run:
    """Return an island: its boxes start at a front corner and reach back from there."""
    corner = said.corner or (0.0, 0.0)
    along, back = _WAY[said.along or "north"], _WAY[said.back_to or "east"]
    return Run(said, "", "left", Vec(*corner, floor_z), along, back, said.from_ or 0.0, floor_z, top_z)


def resolve_run(run: Run) -> tuple[CabinetBox, ...]:
    """Return the boxes of a run in order along it."""
    said, z = run.said, run.floor_z_mm
    counter = None if said.counter is None else z + said.counter
    top = run.top_z_mm if counter is None else counter - said.counter_thick
    out: list[CabinetBox] = []
    at = run.first_mm
    for n, box in enumerate(said.boxes, 1):
        ends = [run.start.plus(run.along.times(at + w)) for w in (0.0, box.width)]
        corners = [p.plus(run.depthward.times(d)) for p in ends for d in (0.0, said.depth)]
        extent = hull(corners, z, top)
        out.append(_box(run, box, n, at, extent, counter))
        at += box.width
    return tuple(out)


def _box(run: Run, box: BoxSaid, n: int, at: float, extent: Box, counter: float | None) -> CabinetBox:
    z = run.floor_z_mm
    return CabinetBox(
        id=f"{run.said.id}.{n}", run_id=run.said.id, label=box.what, kind=box.what,
        wall_id=run.wall_id, side=run.side, from_station_mm=at, to_station_mm=at + box.width, box=extent,
        floor_z_mm=None if box.floor is None else z + box.floor,
        shelves_z_mm=tuple(z + s for s in box.shelves),
        drawers=tuple(
            Drawer(z + d.from_, z + d.to, d.cut_out_width, d.cut_out_depth, d.gap_behind) for d in box.drawers
        ),
        partition_station_mm=None if box.partition_at is None else at + box.partition_at,
        partition_hi_z_mm=None if box.partition_to is None else z + box.partition_to,
        counter_z_mm=counter, counter_mm=run.said.counter_thick if counter is not None else 0.0,
        back_mm=box.back, forward=run.depthward.times(1.0 if run.wall_id else -1.0),
    )  # fmt: skip


def box_behind(
    boxes: Mapping[str, CabinetBox], wall_id: str, side: Side, station: float | None, at: Vec | None
) -> CabinetBox | None:
    """Return the cabinet box a fixture's trap sits in: by wall and station, for an island by plan position."""
    for box in boxes.values():
        if box.kind in ("filler", "panel"):
            continue
        if wall_id:
            same = box.wall_id == wall_id and box.side == side and station is not None
            if same and station is not None and box.from_station_mm <= station <= box.to_station_mm:
                return box
        elif not box.wall_id and at is not None and box.box.contains(at.at_z(box.box.lo.z)):
            return box
    return None
