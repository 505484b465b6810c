"""On which stretch of a line something round is in a box, a member or a floor panel. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterator

from stubout.fabrication.members import TOUCH_MM, Member
from stubout.fabrication.parting import Span
from stubout.geometry.distance import clip_to_box
from stubout.geometry.vec import Box, Vec
from stubout.house.model import House


def touched(member: Member, a: Vec, b: Vec, radius: float) -> Span | None:
    """Return the stretch of a line from a to b on which something round it would be in a member; None if nowhere.

    Args:
        member: The member.
        a: Where the line begins.
        b: Where it ends.
        radius: Of what is round it [mm].
    """
    return in_box(member.local(a), member.local(b), Box(member.lo, member.hi), radius)


def in_box(a: Vec, b: Vec, box: Box, radius: float) -> Span | None:
    """Return where a round thing on a line would be in a box: wider by its radius [mm], but not along the line."""
    way = b.minus(a)
    along = max(range(3), key=lambda i: abs(way[i]))
    wide = Vec(*(0.0 if i == along else radius - TOUCH_MM for i in range(3)))
    held = clip_to_box(a, b, Box(box.lo.minus(wide), box.hi.plus(wide)))
    return None if held is None else Span(held[0] * way.length, held[1] * way.length)


def panels(house: House) -> Iterator[tuple[str, Box]]:
    """Yield the panel on every floor frame, with the id of the frame."""
    for f in house.frames:
        if f.panel_mm <= 0.0:  # a ceiling or roof
            continue
        lo, hi = (f.along_lo_mm, f.across_lo_mm), (f.along_hi_mm, f.across_hi_mm)
        if f.runs == "y":
            lo, hi = (lo[1], lo[0]), (hi[1], hi[0])
        yield f.id, Box(Vec(*lo, f.top_z_mm), Vec(*hi, f.top_z_mm + f.panel_mm))
