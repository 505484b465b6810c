"""Pipes through the openings of open-web joists: nothing is cut there, and the sheets say where they pass.

Lengths [mm].
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stubout import units
from stubout.catalog.model import Catalog
from stubout.fabrication.members import TOUCH_MM, Crossing, Member, crossing, joists
from stubout.geometry.vec import Vec
from stubout.house.model import House
from stubout.network.model import Network
from stubout.problems import Basis


@dataclass(frozen=True, slots=True)
class Passing:
    """One pipe through the opening of one joist."""

    member: str
    frame: str
    pipe: str
    size_in: float
    at: Vec  # of the centre line in the middle of the joist
    along_mm: float  # where along the joist
    up_mm: float  # centre line above the underside of the joist
    bases: tuple[Basis, ...] = ()


def through_opening(member: Member, hit: Crossing, a: Vec, b: Vec, radius_mm: float) -> bool:
    """Return whether a pipe from a to b goes through an opening of a member that the maker's drawing shows.

    It is looked at where it goes in and where it comes out, since it falls on the way.
    """
    frame = member.frame
    if frame is None or frame.openings is None or not hit.square:
        return False
    la, lb = member.local(a), member.local(b)
    skew = abs(lb.y - la.y) / lb.minus(la).length  # a pipe that goes through askew is wider there
    return all(_within(member, p, radius_mm / skew) for p in _faces(la, lb, member))


def _faces(la: Vec, lb: Vec, member: Member) -> Iterator[Vec]:
    """Yield where a centre line passes the two faces of a member, in its own axes; an end inside it counts."""
    d = lb.y - la.y
    for face in (member.lo.y, member.hi.y):
        t = min(max((face - la.y) / d, 0.0), 1.0)
        yield la.plus(lb.minus(la).times(t))


def _within(member: Member, p: Vec, radius_mm: float) -> bool:
    frame = member.frame
    if frame is None or frame.openings is None:
        return False
    play = frame.openings.play_mm(2 * (radius_mm - TOUCH_MM), p.x)
    return play is not None and abs(p.z - frame.bottom_z_mm - frame.openings.height_mm) <= play


def passings(network: Network, house: House, catalog: Catalog) -> tuple[Passing, ...]:
    """Return where pipes go through openings, frame by frame, pipe by pipe, joist by joist along the pipe.

    Args:
        network: The pipes.
        house: The house; the openings are those of its frames.
        catalog: Outside diameters.
    """
    out: list[Passing] = []
    for frame in house.frames:
        if frame.openings is None:
            continue
        said = frame.openings
        basis = said.basis(f"{units.length(said.round_mm, house.job.units)} round")
        webs = tuple(joists(frame, house.job.units))
        for pipe in network.pipes:
            radius = catalog.od_mm(pipe.size_in) / 2
            found = []
            for member in webs:
                hit = crossing(member, pipe.a, pipe.b, radius)
                if hit is not None and through_opening(member, hit, pipe.a, pipe.b, radius):
                    found.append((pipe.a.to(hit.centre), member, hit))
            for _, member, hit in sorted(found, key=lambda f: round(f[0], 3)):
                up = hit.local.z - frame.bottom_z_mm
                out.append(Passing(member.name, frame.id, pipe.id, pipe.size_in, hit.centre, hit.local.x, up, (basis,)))
    return tuple(out)
