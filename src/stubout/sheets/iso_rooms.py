"""Which rooms of an isometric are crowded, and what of the system is drawn larger for each of them.

A room is drawn with the pipes that serve its fixtures and no others, down to where they join the rest and up to its
ceiling: what only passes stays on the isometric itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stubout.design import Design
from stubout.house.model import Room
from stubout.layout.model import Role
from stubout.network.model import Pipe
from stubout.sheets.iso_split import UNDER_FRAME_MM, IsoPart, letter, only, side, under_floor
from stubout.sheets.iso_words import Elsewhere, Said, doubts

CROWDED = 6  # doubts about the words of a room before it is drawn larger: two or three labels that are hard to follow
LEAST = 3  # pipes worth a drawing of their own
STUB_MM = 300.0  # of a vent that only rises: so much of it is drawn above what is joined in the room
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
CEILING, FLOOR = "ceiling", "floor"  # begin the id of a point at which a pipe is cut there


@dataclass(frozen=True, slots=True)
class IsoRoom:
    """A room drawn larger: its pipes as a design of their own, and what they are called on both drawings."""

    id: tuple[str, str]  # of level and room
    letter: str  # "" until it is known to be drawn
    title: str  # "Bath 2"
    part: IsoPart

    @property
    def whole(self) -> frozenset[str]:
        """Return the pipes that are not cut through: their words stand on the larger drawing only."""
        cut = {n.split(" ", 1)[1] for n in self.part.cuts if knife_of(n)}
        return frozenset(p.id for p in self.part.design.pipes() if p.id not in cut)

    @property
    def nodes(self) -> frozenset[str]:
        """Return the points of the system it shows."""
        return frozenset(n.id for n in self.part.design.network.nodes if not knife_of(n.id))


def knife_of(node: str) -> str:
    """Return at what a pipe is cut at a point, "" if the point is one of the system."""
    knife, _, pipe = node.partition(" ")
    return knife if pipe and knife in (CEILING, FLOOR) else ""


def told_by(rooms: Sequence[IsoRoom]) -> Elsewhere:
    """Return what of an isometric has its words on larger drawings; its fixtures are named all the same."""
    pipes = frozenset(i for r in rooms for i in r.whole)
    return Elsewhere(pipes, frozenset(i for r in rooms for i in r.nodes), named=True)


def crowded_rooms(part: IsoPart, said: Sequence[Said]) -> tuple[IsoRoom, ...]:
    """Return the rooms of an isometric whose words are hard to attribute, the most crowded first, without letters.

    Args:
        part: What the isometric shows.
        said: How its words stand.
    """
    found = []
    for one in part.design.house.rooms:
        room = _room(part, one)
        if room is None or len(ids := frozenset(p.id for p in room.part.design.pipes())) < LEAST:
            continue
        about = doubts(s for s in said if s.of in room.nodes or s.of in ids)
        if about >= CROWDED:
            found.append((about, room))
    return tuple(room for _, room in sorted(found, key=lambda f: -f[0]))


def lettered(room: IsoRoom, number: int, letters: dict[str, str]) -> IsoRoom:
    """Return a room with its letter and those of its cut pipes; where two rooms meet, both use one.

    Args:
        room: The room.
        number: How many rooms have a letter already.
        letters: Point at which a pipe is cut -> its letter; those of the room are added.
    """
    for node in room.part.cuts:
        letters.setdefault(node, letter(len(letters)))
    part = replace(room.part, cuts={n: letters[n] for n in room.part.cuts})
    return replace(room, letter=LETTERS[number % len(LETTERS)], part=part)


def _room(part: IsoPart, room: Room) -> IsoRoom | None:
    """Return a room with the pipes of its fixtures, without letters yet; None if it has none."""
    design = part.design
    tags = {f.tag for f in design.house.fixtures if (f.level_id, f.room_id) == (room.level_id, room.id)}
    pipes = _serving(design.pipes(), tags)
    if not pipes:
        return None
    cut = side(only(design, pipes), _top(design, room, pipes), upper=False, knife=CEILING)
    low = _low(design, room, pipes)
    if low is not None:
        cut = side(cut, low, upper=True, knife=FLOOR)
    net = cut.network
    ends = [n.id for n in net.nodes if knife_of(n.id) or n.id in part.cuts or _goes_on(design, net.pipes, n.id)]
    return IsoRoom((room.level_id, room.id), "", room.title or room.id, IsoPart(cut, "", dict.fromkeys(ends, "")))


def _top(design: Design, room: Room, pipes: Sequence[Pipe]) -> float:
    """Return where the vents of a room are cut [mm]: above what is joined in it, at its ceiling at most."""
    level = design.house.level(room.level_id)
    ceiling = level.ceiling_z_mm if level.ceiling_z_mm is not None else level.subfloor_z_mm + level.wall_height_mm
    joined = [z for p in pipes for z in (p.a.z, p.b.z) if z < ceiling - STUB_MM]
    return min(ceiling, max(joined) + STUB_MM) if joined else ceiling


def _low(design: Design, room: Room, pipes: Sequence[Pipe]) -> float | None:
    """Return where the drains of a room are cut on their way down through a storey [mm], None if there is none."""
    level = design.house.level(room.level_id)
    below = [v for v in design.house.levels if v.order < level.order and v.kind != "ground"]
    if not below:
        return None
    floor = max(below, key=lambda v: v.order)
    middle = (floor.subfloor_z_mm + level.subfloor_z_mm) / 2
    hung = [min(p.a.z, p.b.z) - UNDER_FRAME_MM for p in pipes if not p.vertical]
    return min([under_floor(design, level), *(z for z in hung if z > middle)])


def _goes_on(design: Design, own: Sequence[Pipe], node: str) -> bool:
    """Return whether pipes that are not the room's meet at a point."""
    ids = {p.id for p in own}
    return any(p.id not in ids for p in design.pipes() if node in (p.start, p.end))


def _serving(pipes: Sequence[Pipe], tags: set[str]) -> list[Pipe]:
    """Return the pipes that serve some fixtures and no others, and what extends a cleanout of their drains."""
    own = [p for p in pipes if p.tags and tags.issuperset(p.tags) and p.role is not Role.SEWER]
    starts = {p.start for p in own if p.system == "drain"}
    more = [p for p in pipes if not p.tags]
    while grown := [p for p in more if p.end in starts]:
        own += grown
        starts |= {p.start for p in grown}
        more = [p for p in more if p not in grown]
    ids = {p.id for p in own}
    return [p for p in pipes if p.id in ids]
