"""Where the marks of stub-outs stand, read off their arms: in the wall, or at a riser clear of it. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from stubout import units
from stubout.geometry.vec import Vec
from stubout.house.framing import Wall
from stubout.house.model import House
from stubout.layout.model import Layout, Point, Run, StubMark, StubPlace, TrapPlan
from stubout.layout.places import TOUCH_MM
from stubout.layout.stubs import marked_at

IN_WALL_MM = 0.1  # a trap this far out of the studs is in them by rounding

Pieces = Sequence[tuple[Vec, Vec]]  # of an arm, from the weir on


def in_place(house: House, layout: Layout) -> Layout:
    """Return a layout whose stub-outs say where they stand."""
    return replace(layout, stubs=stubs_in_place(house, layout.stubs, layout.traps, layout.points, layout.runs))


def stubs_in_place(
    house: House, marks: Iterable[StubMark], traps: Iterable[TrapPlan], points: Iterable[Point], runs: Iterable[Run]
) -> tuple[StubMark, ...]:
    """Return the stub-outs with where they stand; one whose arm passes no wall is marked where the arm meets its riser.

    A mark whose arm is not laid out stays on its wall, where the arm would come out. What is in place already comes
    back as it is.

    Args:
        house: The resolved house.
        marks: The stub-outs.
        traps: The traps, those of other fixtures too.
        points: The points of their arms, at least.
        runs: The runs of their arms, at least.
    """
    at = {p.id: p.at for p in points}
    by_id = {r.id: r for r in runs}
    by_tag = {t.tag: t for t in traps}
    out: list[StubMark] = []
    for m in marks:
        trap = by_tag.get(m.tag)
        if trap is None or trap.weir not in at:
            out.append(m)
            continue
        pieces = [(at[by_id[i].start], at[by_id[i].end]) for i in trap.arm_runs if i in by_id]
        weir, end = at[trap.weir], pieces[-1][1] if pieces else at[trap.weir]
        place = _place_of(house, m, weir, pieces, end)
        out.append(_at_riser(house, m, place, weir, end) if place.clear else replace(m, place=place))
    return tuple(out)


def through_face(house: House, m: StubMark, a: Vec, b: Vec) -> Vec | None:
    """Return where a piece of an arm passes the finished face of the marked wall."""
    wall = house.wall(m.wall_id)
    face = wall.face_offset(m.side, m.station_mm, m.mark_z_mm)
    da, db = wall.offset(a) - face, wall.offset(b) - face
    if da * db > 0 or abs(da - db) < 1e-9:
        return None
    return a.plus(b.minus(a).times(da / (da - db)))


def banded_at_riser(m: StubMark, new: StubMark) -> StubMark:
    """Return a mark at its riser with the band of another reckoning, which is for the finished wall."""
    hi_mm = new.hi_z_mm + new.arm_fall_mm - m.arm_fall_mm
    lo_mm = min(new.lo_z_mm, hi_mm) if new.feasible else new.lo_z_mm
    return replace(m, lo_z_mm=lo_mm, hi_z_mm=hi_mm)


def _place_of(house: House, m: StubMark, weir: Vec, pieces: Pieces, end: Vec) -> StubPlace:
    wall = house.wall(m.wall_id)
    if abs(wall.offset(weir)) <= wall.depth_mm / 2 + IN_WALL_MM:
        return StubPlace("in wall")
    in_wall = abs(wall.offset(end)) <= wall.depth_mm / 2  # an arm too short begins in the board already
    if in_wall or any(through_face(house, m, a, b) is not None for a, b in pieces):
        return StubPlace()
    face = wall.face_offset(m.side, wall.station(end), end.z)
    from_face_mm = (wall.offset(end) - face) * (1.0 if m.side == "left" else -1.0)
    own = house.fixture(m.tag).cabinet_id
    for box in sorted(house.cabinets, key=lambda c: (c.id != own, c.id)):
        if box.box.contains(end, TOUCH_MM):
            return StubPlace("in cabinet", box.id, from_face_mm)
    there = next((w for w in house.walls if w.id != wall.id and _holds(w, end)), None)
    if there is not None:
        return StubPlace("in other wall", there.id, from_face_mm)
    return StubPlace("before wall", "", from_face_mm)


def _holds(wall: Wall, p: Vec) -> bool:
    """Return whether a point lies in the framing of a wall."""
    return (
        0.0 <= wall.station(p) <= wall.length_mm
        and abs(wall.offset(p)) <= wall.depth_mm / 2
        and wall.bottom_z_mm <= p.z <= wall.top_z_mm
    )


def _at_riser(house: House, m: StubMark, place: StubPlace, weir: Vec, end: Vec) -> StubMark:
    """Return a mark at the riser: height and station of the arm's end, the band carried there by the fall to it."""
    u = house.job.units
    fall = weir.z - end.z
    made = banded_at_riser(replace(m, arm_fall_mm=fall), m)
    made = replace(made, station_mm=house.wall(m.wall_id).station(end), projection_mm=0.0, place=place)
    why = ""
    if (m.place.kind, m.place.ref) != (place.kind, place.ref):  # else it was said before
        hi, z = (units.named(v - m.finished_z_mm, u) for v in (made.hi_z_mm, end.z))
        why = (
            f"the arm passes no wall: its riser stands {place.words}, "
            f"{units.named(place.from_face_mm, u)} from the finished wall; it falls {units.named(fall, u)} to the "
            f"riser, so there at most {hi} AFF; mark: {z} AFF, the arm where it meets its riser"
        )
    return marked_at(made, end.z, u, why)
