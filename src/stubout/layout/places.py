"""Where a straight piece of pipe lies: wall and bay, joist bay, below the frame, slab, crawl, attic, roof."""

from __future__ import annotations

from stubout.geometry.vec import Box, Vec
from stubout.house.framing import Wall
from stubout.house.model import Frame, House, HouseLevel
from stubout.house.outside import RoofPlane
from stubout.layout.model import PLACE_KINDS, Place

TOUCH_MM = 1.0  # two things closer than this touch
CORNER_MM = 200.0  # a wall that meets another goes on into it no farther than this
THROUGH_MM = 600.0  # a vertical piece shorter than this between room and frame is "through floor"


def place_of(house: House, a: Vec, b: Vec) -> Place:
    """Return where the straight piece from a to b lies, by its middle and its ends.

    A vertical piece that passes several storeys belongs to the wall that holds most of it.

    Args:
        house: The resolved house.
        a: One end of the centre line [mm].
        b: The other end [mm].
    """
    m = a.plus(b).times(0.5)
    wall = _wall_place(house, a, b)
    if wall is not None:
        return wall
    for o in house.obstacles:
        if o.kind == "soffit" and o.box.contains(m, TOUCH_MM):
            return Place("soffit", o.id)
    outside = not _in_plan(house.footprint, m)
    roof_z = roof_surface_z(house, m)
    if roof_z is not None and max(a.z, b.z) > roof_z + TOUCH_MM and m.z > roof_z - THROUGH_MM:
        return Place("roof", _roof_id(house, m))
    level = level_under(house, m.z)
    if outside:
        return Place("buried", level.id if level else "") if m.z < _ground_z(house) else Place("room", "outside")
    for c in house.cabinets:
        if c.box.contains(m, TOUCH_MM) or _drops_out_of(c.box, a, b):
            return Place("cabinet", c.id)
    through = _through_floor(house, a, b)
    if through is not None:
        return through
    if level is not None and _over_slope(house, m):
        return Place("attic", level.id)
    frame = next((f for f in house.frames if _in_frame(f, m)), None)
    if frame is not None:
        if frame.open_above or (not frame.carries and frame.kind == "truss"):
            return Place("attic", frame.id)
        return Place("joist bay", frame.id, bay_index(frame, a, b))
    if level is None:
        low = min(house.levels, key=lambda v: v.subfloor_z_mm)
        return Place("under slab", low.id) if low.kind == "slab" else Place("buried", low.id)
    if level.attic_above and level.ceiling_z_mm is not None and m.z >= level.ceiling_z_mm - TOUCH_MM:
        return Place("attic", level.id)
    if level.kind == "ground":
        return Place("crawl", level.id)
    over = _frame_over(house, level, m)
    room = next((r for r in house.rooms if r.level_id == level.id and r.holds(m)), None)
    if over is not None and (level.ceiling_open or m.z > over.bottom_z_mm - THROUGH_MM) and abs(a.z - b.z) < THROUGH_MM:
        return Place("below frame", over.id)
    return Place("room", room.id if room else level.id)


def place_said(house: House, words: str) -> Place | None:
    """Return the place that a kept route says (`Place.words`), None if it says none or the wall or frame is gone."""
    stem, _, bay = words.partition(", bay ")
    kind = max((k for k in PLACE_KINDS if stem == k or stem.startswith(f"{k} ")), key=len, default=None)
    if kind is None or (bay and not bay.isdigit()):
        return None
    ref = stem[len(kind) :].strip()
    there = {w.id for w in house.walls} | {f.id for f in house.frames} | {v.id for v in house.levels}
    there |= {c.id for c in house.cabinets} | {o.id for o in house.obstacles} | {r.id for r in house.rooms}
    if ref and ref not in there:
        return None
    return Place(kind, ref, int(bay) if bay else -1)


def level_under(house: House, z_mm: float) -> HouseLevel | None:
    """Return the highest level whose subfloor, slab or ground lies at or below a height; None below all of them."""
    held = [v for v in house.levels if v.subfloor_z_mm <= z_mm + TOUCH_MM]
    return max(held, key=lambda v: v.subfloor_z_mm, default=None)


def roof_plane(house: House, p: Vec) -> RoofPlane | None:
    """Return the plane that makes the roof over a plan position: the lowest there; None where none covers it."""
    planes = (
        r
        for r in house.roof
        if r.x0_mm - TOUCH_MM <= p.x <= r.x1_mm + TOUCH_MM and r.y0_mm - TOUCH_MM <= p.y <= r.y1_mm + TOUCH_MM
    )
    return min(planes, key=lambda r: (r.z_at(p.x, p.y), r.id), default=None)


def roof_surface_z(house: House, p: Vec) -> float | None:
    """Return the lowest roof surface above a plan position [mm], None where no plane covers it."""
    plane = roof_plane(house, p)
    return None if plane is None else plane.z_at(p.x, p.y)


def _over_slope(house: House, m: Vec) -> bool:
    """Return whether a point lies between a roof and the sloped ceiling that hangs under it."""
    over = [r for r in house.roof if r.id == _roof_id(house, m)]
    return any(r.ceiling_below_mm and r.z_at(m.x, m.y) - r.ceiling_below_mm - TOUCH_MM <= m.z for r in over)


def bay_index(frame: Frame, a: Vec, b: Vec) -> int:
    """Return the index of the joist bay that holds both ends, -1 if the piece crosses a member."""
    lo, hi = sorted((a.y, b.y) if frame.runs == "x" else (a.x, b.x))
    for i, (near, far) in enumerate(frame.bays):
        if near - TOUCH_MM <= lo and hi <= far + TOUCH_MM:
            return i
    return -1


def _wall_place(house: House, a: Vec, b: Vec) -> Place | None:
    """Return the wall that holds the piece: both ends between its faces, and most of the height."""
    best: tuple[float, Wall] | None = None
    for wall in house.walls:
        share = _share_in_wall(wall, a, b, house.walls)
        if share > 0.0 and (best is None or share > best[0] + 1e-9):
            best = (share, wall)
    if best is None:
        return None
    wall = best[1]
    bay_a, bay_b = wall.bay_at(wall.station(a)), wall.bay_at(wall.station(b))
    same = bay_a is not None and bay_b is not None and bay_a.index == bay_b.index
    return Place("wall", wall.id, bay_a.index if same and bay_a is not None else -1)


def _share_in_wall(wall: Wall, a: Vec, b: Vec, walls: tuple[Wall, ...]) -> float:
    """Return how much of the piece lies between the wall's faces and plates, 0 to 1; it may begin in a corner."""
    if not _between_faces(wall, a.plus(b).times(0.5)):
        return 0.0
    for p in (a, b):
        if not _between_faces(wall, p, CORNER_MM):
            return 0.0
        if not _between_faces(wall, p) and not any(_between_faces(w, p) for w in walls if w.id != wall.id):
            return 0.0
    lo, hi = sorted((a.z, b.z))
    top = wall.top_at(wall.station(a.plus(b).times(0.5)))
    inside = min(hi, top) - max(lo, wall.bottom_z_mm)
    if hi - lo < TOUCH_MM:
        return 1.0 if wall.bottom_z_mm - TOUCH_MM <= lo <= top + TOUCH_MM else 0.0
    return max(0.0, inside / (hi - lo))


def _between_faces(wall: Wall, p: Vec, past_mm: float = 0.0) -> bool:
    """Return whether a plan position lies between the faces of a wall, or no farther than so much past its end."""
    off, station, past = abs(wall.offset(p)), wall.station(p), past_mm + TOUCH_MM
    return off <= wall.depth_mm / 2 + TOUCH_MM and -past <= station <= wall.length_mm + past


def _through_floor(house: House, a: Vec, b: Vec) -> Place | None:
    """Return "through floor" for a short drop from a floor surface into or under the frame or slab below it."""
    if abs(a.z - b.z) < b.minus(a).plan_length or abs(a.z - b.z) > THROUGH_MM:
        return None
    top, bottom = max(a.z, b.z), min(a.z, b.z)
    for level in house.levels:
        if bottom < level.subfloor_z_mm - TOUCH_MM and top >= level.subfloor_z_mm - TOUCH_MM:
            frame = house.frame_carrying(level.id)
            return Place("through floor", frame.id if frame else level.id)
    return None


def _drops_out_of(box: Box, a: Vec, b: Vec) -> bool:
    """Return whether a plumb piece begins in a cabinet and goes down through its floor: it is seen inside only."""
    low, high = sorted((a, b), key=lambda p: p.z)
    return high.minus(low).plan_length < TOUCH_MM and box.contains(high, TOUCH_MM) and low.z < box.lo.z


def _in_frame(frame: Frame, m: Vec) -> bool:
    """Return whether a point lies between top and bottom of a frame and within its extent."""
    along, across = (m.x, m.y) if frame.runs == "x" else (m.y, m.x)
    return (
        frame.bottom_z_mm - TOUCH_MM <= m.z <= frame.top_z_mm + frame.panel_mm + TOUCH_MM
        and frame.along_lo_mm - TOUCH_MM <= along <= frame.along_hi_mm + TOUCH_MM
        and frame.across_lo_mm - TOUCH_MM <= across <= frame.across_hi_mm + TOUCH_MM
    )


def _frame_over(house: House, level: HouseLevel, m: Vec) -> Frame | None:
    """Return the lowest floor frame above a point of a level."""
    higher = {v.id for v in house.levels if v.subfloor_z_mm > level.subfloor_z_mm + TOUCH_MM}
    over = [f for f in house.frames if f.carries in higher and f.bottom_z_mm >= m.z - TOUCH_MM and _over_plan(f, m)]
    return min(over, key=lambda f: f.bottom_z_mm, default=None)


def _over_plan(frame: Frame, m: Vec) -> bool:
    """Return whether a frame covers a plan position."""
    return _in_frame(frame, m.at_z(frame.bottom_z_mm))


def _in_plan(box: Box, p: Vec) -> bool:
    """Return whether a plan position lies in a box, height left out."""
    return box.lo.x - TOUCH_MM <= p.x <= box.hi.x + TOUCH_MM and box.lo.y - TOUCH_MM <= p.y <= box.hi.y + TOUCH_MM


def _ground_z(house: House) -> float:
    """Return the highest ground around the house [mm]."""
    return max(house.ground.at_house_z_mm, house.ground.at_sewer_z_mm)


def _roof_id(house: House, m: Vec) -> str:
    """Return the id of the plane that makes the surface over a plan position."""
    plane = roof_plane(house, m)
    return "" if plane is None else plane.id
