"""Where in the house a finding is: the point it gives, or the thing it speaks of, and the view that shows it."""

from __future__ import annotations

from dataclasses import dataclass

from stubout.design import Design
from stubout.geometry.vec import Vec
from stubout.house.framing import Side, Wall
from stubout.layout.model import CleanoutPlan
from stubout.network.model import Pipe
from stubout.network.standing import in_wall
from stubout.problems import Finding, Level
from stubout.sheets.storeys import Storey, storey_at, storey_of
from stubout.sheets.wall_facts import sides_with_work

BESIDE_MM = 60.0  # out of the framing of a wall and still in it: board and tile, a stub-out
OVER_MM = 700.0  # above or under the wall a riser is still seen with
ON_PIPE_MM = 30.0  # a place this near a riser is one of its joints
NEAR_PIPE_MM = 1000.0  # a place this near a pipe is on the plan of that pipe


@dataclass(frozen=True, slots=True)
class Spot:
    """A place, and the wall side or the plan that shows it."""

    at: Vec
    storey: Storey
    wall: Wall | None = None  # None: the plan shows it
    side: Side = "left"


def spot_of(design: Design, finding: Finding) -> Spot | None:
    """Return where a finding is; None where it has no place, and for a note.

    What must be decided or supplied has a place only where the finding gives one, or speaks of a cleanout, a stub-out
    or a point of the pipes: a picture of a fixture tells nothing of a pump whose head is not known.
    """
    if finding.level is Level.NOTE:
        return None
    stub = next((s for t in finding.about for s in design.stubs if s.tag == t), None)
    at = Vec(*finding.at) if finding.at is not None else _thing(design, finding)
    if at is None:
        return None
    pipes = [p for i in finding.about for p in design.pipes() if p.id == i]
    storey = _storey(design, at, pipes)
    if stub is not None and finding.at is None:
        return Spot(at, storey, design.house.wall(stub.wall_id), stub.side)
    wall = _wall(design, at, pipes, storey) if not _in_floor(design, finding) else None
    if wall is None:
        return Spot(at, storey)
    sides = sides_with_work(design, wall)
    own: Side | None = stub.side if stub is not None and stub.wall_id == wall.id else _opens(design, finding, wall)
    return Spot(at, storey, wall, own or (sides[0] if sides else "left"))


def _thing(design: Design, finding: Finding) -> Vec | None:
    """Return the place of the first thing a finding speaks of that has one."""
    finders = [_stub, _opening, _point]
    if finding.level is not Level.ASK:
        finders += [_pipe, _fitting, _fixture, _cabinet, _obstacle]
    return next((p for i in finding.about for find in finders if (p := find(design, i)) is not None), None)


def _stub(design: Design, name: str) -> Vec | None:
    stub = next((s for s in design.stubs if s.tag == name), None)
    if stub is None:
        return None
    wall = design.house.wall(stub.wall_id)
    if not stub.place.clear:
        return wall.point(stub.station_mm, stub.mark_z_mm)
    face = wall.face_offset(stub.side, stub.station_mm, stub.mark_z_mm)
    out = stub.place.from_face_mm * (1.0 if stub.side == "left" else -1.0)
    return wall.point(stub.station_mm, stub.mark_z_mm, face + out)


def _opening(design: Design, name: str) -> Vec | None:
    cleanout = next((c for c in design.cleanouts if c.id == name), None)
    return design.network.node(cleanout.point).at if cleanout is not None else None


def _point(design: Design, name: str) -> Vec | None:
    return next((n.at for n in design.network.nodes if n.id == name), None)


def _pipe(design: Design, name: str) -> Vec | None:
    return next((p.a.plus(p.b).times(0.5) for p in design.pipes() if p.id == name), None)


def _fitting(design: Design, name: str) -> Vec | None:
    use = next((f for f in design.fabrication.fittings if f.id == name), None)
    if use is None:
        return None
    return _point(design, use.node) if use.node else use.at


def _fixture(design: Design, name: str) -> Vec | None:
    fixture = next((f for f in design.house.fixtures if f.tag == name), None)
    if fixture is None:
        return None
    at = design.outlet_of(fixture)
    return at if at is not None else fixture.extent.centre if fixture.extent is not None else None


def _cabinet(design: Design, name: str) -> Vec | None:
    box = design.house.cabinet(name)
    return box.box.centre if box is not None else None


def _obstacle(design: Design, name: str) -> Vec | None:
    return next((o.box.centre for o in design.house.obstacles if o.id == name), None)


def _storey(design: Design, at: Vec, pipes: list[Pipe]) -> Storey:
    """Return the plan of a place: that of the pipe it is on, else by its height."""
    near = [(_gap(p, at), p.id, p) for p in (pipes or design.pipes())]
    gap, _, pipe = min(near, default=(NEAR_PIPE_MM + 1.0, "", None))
    return storey_of(design, pipe) if pipe is not None and gap < NEAR_PIPE_MM else storey_at(design, at.z)


def _gap(p: Pipe, at: Vec) -> float:
    """Return how far a point is from a pipe's centre line [mm]."""
    d = p.b.minus(p.a)
    t = at.minus(p.a).dot(d) / max(d.dot(d), 1e-9)
    return p.a.plus(d.times(max(0.0, min(1.0, t)))).to(at)


def _wall(design: Design, at: Vec, pipes: list[Pipe], storey: Storey) -> Wall | None:
    """Return the wall a place is in, or a riser through a floor is in line with; None where a plan shows it better."""
    gap, _, nearest = min((_gap(p, at), p.id, p) for p in (pipes or design.pipes()))
    riser = nearest.vertical and gap < ON_PIPE_MM and storey.kind != "attic"
    found = []
    for wall in design.house.walls:
        off = abs(wall.offset(at))
        if not -BESIDE_MM <= wall.station(at) <= wall.length_mm + BESIDE_MM:
            continue
        over = max(wall.bottom_z_mm - at.z, at.z - wall.top_z_mm, 0.0)
        if off <= wall.depth_mm / 2 + BESIDE_MM and over <= (OVER_MM if riser else 0.0):
            has_pipe = any(in_wall(p, wall) for p in pipes)
            found.append((over > 0.0, not has_pipe, round(over), round(off), wall.id, wall))
    return min(found, key=lambda f: f[:-1])[-1] if found else None


def _in_floor(design: Design, finding: Finding) -> bool:
    """Return whether a finding speaks of a cleanout that opens upwards: the plan shows it, however near a wall is."""
    plan = _cleanout(design, finding)
    return plan is not None and plan.opens.z > 0.5


def _opens(design: Design, finding: Finding, wall: Wall) -> Side | None:
    """Return the side of a wall to which the cleanout of a finding opens."""
    plan = _cleanout(design, finding)
    if plan is None:
        return None
    across = plan.opens.dot(wall.leftward)
    return None if abs(across) < 0.5 else "left" if across > 0 else "right"


def _cleanout(design: Design, finding: Finding) -> CleanoutPlan | None:
    """Return the cleanout a finding speaks of."""
    return next((c for c in design.cleanouts if c.id in finding.about), None)
