"""How two fittings are joined where no piece of pipe goes, in types and words. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from stubout import units
from stubout.fabrication.ends import EndKey

FITTING_TOL_MM = 1.6  # laying lengths hold to 1/16 in a fitting (D3311 3.1, read)
SEAT_TOL_MM = 2 * FITTING_TOL_MM  # what both fittings may be out: a spigot this near to its seat is in


@dataclass(frozen=True, slots=True)
class Reach:
    """The distances, centre to centre, over which the likeliest street fitting joins the two ends of a run."""

    least_mm: float
    most_mm: float


@dataclass(frozen=True, slots=True)
class Street:
    """A street fitting that stands between two fittings instead of a piece of pipe."""

    at_head: bool  # which end of the run is the street fitting
    pattern: str
    spigot_mm: float  # centre to spigot end, as it has to be
    full_mm: float  # as it comes

    def said(self, unit: units.Units, into: str) -> str:
        """Return the note of its line in the cut list.

        Args:
            unit: Unit of the job.
            into: Number of the fitting whose hub takes the spigot.
        """
        off = self.full_mm - self.spigot_mm
        long = units.both(self.spigot_mm, unit)
        if abs(off) <= SEAT_TOL_MM:
            return f"no pipe: {self.pattern}, spigot as it comes ({units.both(self.full_mm, unit)}) into {into}"
        cut = units.both(off, unit)
        return f"no pipe: {self.pattern}, spigot cut back {cut} to {long} from its centre, into {into}"


@dataclass(frozen=True, slots=True)
class Streets:
    """What street fittings do for a network, by the head of each run: where one stands, where one nearly would."""

    joined: Mapping[EndKey, Street]
    reach: Mapping[EndKey, Reach]  # of runs that stay impossible


class Refused(NamedTuple):
    """Why nothing joins two fittings, and what to do, each in plain words of its own."""

    note: str
    do: str


def room(length_mm: float, sockets: int, socket_mm: float) -> bool:
    """Return whether a piece of pipe goes into its sockets.

    Args:
        length_mm: What the make-ups leave for it [mm].
        sockets: How many of its ends go into one.
        socket_mm: Depth of a socket of its size [mm].
    """
    least = socket_mm * sockets
    return length_mm >= -0.05 and (not least or length_mm >= least - sockets * FITTING_TOL_MM)


def refused(length_mm: float, least_mm: float, centre_mm: float, reach: Reach | None, unit: units.Units) -> Refused:
    """Return why neither a piece of pipe nor a street fitting goes between two sockets, and what makes one go.

    Args:
        length_mm: What the make-ups leave for a pipe [mm].
        least_mm: Both socket depths [mm].
        centre_mm: Centre to centre [mm].
        reach: Over which distances a street fitting would join them; None where neither end can be one.
        unit: Unit of the job.
    """

    def long(mm: float) -> str:
        return units.both(mm, unit)

    what = (
        f"the make-ups overlap by {long(-length_mm)}"
        if length_mm < -0.05
        else f"{long(length_mm)} is left for pipe, its sockets take {long(least_mm)}"
    )
    apart = f"move the two fittings {long(least_mm - length_mm)} farther apart"
    if reach is None:
        return Refused(what, f"{apart}; no elbow here can be a street fitting")
    if centre_mm < reach.least_mm:
        return Refused(what, f"{apart}, or {long(reach.least_mm - centre_mm)} for a street elbow instead of pipe")
    if centre_mm <= reach.most_mm:
        return Refused(what, f"{apart}; a street elbow here would shift the one next to it")
    return Refused(what, f"{apart}, or {long(centre_mm - reach.most_mm)} nearer for a street elbow instead of pipe")
