"""Joists and trusses that lie along a plumbing wall, over or under it: asked of the builder before they are set. [mm].

Nothing gets through the plates of such a wall anywhere: its drains and vents have to leave it by others, if they can.
"""

from __future__ import annotations

from collections.abc import Iterator

from stubout import units
from stubout.house.frames import member_along
from stubout.house.framing import Wall
from stubout.house.model import Frame
from stubout.layout.work import Work
from stubout.problems import Question

VENT_IN, DRAIN_IN = 1.5, 2.0  # the smallest that leave a wall upwards and downwards
LARGEST_IN = (3.0, 2.0, 1.5)  # what a wall may be deep enough for


def members_asked(work: Work) -> Iterator[Question]:
    """Yield a question for each wall of fixtures whose plates a member of a frame closes on their whole length."""
    walls = [work.house.wall(i) for i in sorted({f.wall_id for f in work.house.fixtures if f.wall_id})]
    for w in walls:
        if w.exterior or w.knee:
            continue
        for frame in work.house.frames:
            aside = member_along(frame, w)
            over = abs(frame.bottom_z_mm - w.top_z_mm) < abs(frame.top_z_mm - w.bottom_z_mm)
            if aside is None or not _closed(work, w, frame, VENT_IN if over else DRAIN_IN):
                continue
            size = next((s for s in LARGEST_IN if work.cavity.fits_depth(w, work.gauge(s))), VENT_IN)
            by = units.both((work.gauge(size).hole_mm + frame.width_mm) / 2 - abs(aside), work.house.job.units)
            where, what = ("over", "vent gets out") if over else ("under", "drain comes down")
            yield Question(
                f"Q-{frame.id}-{w.id}".replace(" ", "-"),
                f"A member of {frame.id} lies along wall {w.id}, {where} it: no {what} through its plates. "
                f"Can it be set {by} to one side, so that a {units.size(size)} in pipe goes past it?",
                "builder",
                f"{'vents' if over else 'drains'} in {w.id}",
                f"it stays, and {'vents' if over else 'drains'} leave {w.id} another way where there is one",
                (w.id, frame.id),
            )


def aside_for(work: Work, size_in: float) -> Iterator[tuple[Wall, Frame, str]]:
    """Yield the walls of fixtures deep enough for a pipe that a member over them closes, and how far it would go aside.

    Args:
        work: The house being laid out.
        size_in: Size of the pipe [in].
    """
    g = work.gauge(size_in)
    for w in (work.house.wall(i) for i in sorted({f.wall_id for f in work.house.fixtures if f.wall_id})):
        if w.exterior or w.knee or not work.cavity.fits_depth(w, g):
            continue
        for frame in work.house.frames:
            aside = member_along(frame, w)
            over = abs(frame.bottom_z_mm - w.top_z_mm) < abs(frame.top_z_mm - w.bottom_z_mm)
            if aside is not None and over and _closed(work, w, frame, size_in):
                yield w, frame, units.both((g.hole_mm + frame.width_mm) / 2 - abs(aside), work.house.job.units)


def _closed(work: Work, w: Wall, frame: Frame, size_in: float) -> bool:
    """Return whether a pipe of a size gets through a frame nowhere along a wall."""
    g = work.gauge(size_in)
    spots = [s for bay in w.bays for s in work.cavity.spots(w, bay, g)]
    return bool(spots) and all(work.cavity.passes(frame, s.xy, g) for s in spots)
