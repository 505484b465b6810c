"""Bends in the hub of a tee or wye, and where the tee then stands. Lengths [mm], angles [deg].

A branch that leans is met by a bend in the branch hub: the tee is moved along its run until the centre of that bend
lies on the branch's own line. A run that turns at a tee has no such place: the bend takes the point of the turn, and
the tee stands before or after it, so that its branches come out beside the point they are drawn from. How far is kept
(`beside_mm`), and the cut list says it.
"""

from __future__ import annotations

import math
from dataclasses import replace

from stubout.catalog import queries as catalogue
from stubout.catalog.model import Catalog, FittingData
from stubout.fabrication.choose_base import BEND_PLAY_DEG, STREET, Draft, Joint, MakeUp, TakeOff, bends_for, taken
from stubout.fabrication.ends import RUN_DEG, End, EndKey
from stubout.problems import Status

IN_LINE_DEG = 15.0
WYES = ("wye", "double wye")


def elbow(joint: Joint, catalog: Catalog, e: End, turn: float, pattern: str) -> float:
    """Add a bend where a branch neither stands square nor at 45 degrees to the run, as its fitting makes it.

    Args:
        joint: The joint; take-off of the branch is that of its port so far.
        catalog: The catalogue.
        e: The branch.
        turn: How much what enters by it turns to leave by the outlet [deg].
        pattern: The fitting.

    Returns:
        How far up stream of its point the fitting has to stand for the bend to lie on the branch's line [mm].
    """
    own = 45.0 if pattern in WYES else 90.0
    off = abs(turn - own)
    if off <= RUN_DEG:
        return 0.0
    (name, *_), (angle, *_) = bends_for(off, "1/4 bend")
    note = f"branch turns {turn:.0f} degrees: the fitting makes {own:g}, this bend {angle:g}"
    in_line = turn < IN_LINE_DEG or turn > 180.0 - IN_LINE_DEG  # no place along the run brings such a bend to its line
    if turn < IN_LINE_DEG:
        note = "branch lies in line with the run: the two pipes overlap"
    bend = _street(joint, catalog, e, name, note=note, off_deg=off - angle)
    was = joint.take[e.key]
    leg = was.mm + bend.ports["spigot"]
    along, shift = (leg, 0.0) if in_line else triangle(leg, own, turn)
    joint.take[e.key] = TakeOff(
        along + bend.ports["hub"],
        len(joint.drafts) - 1,
        Status.ESTIMATE,
        make_ups=(*was.make_ups, (bend.key, "spigot"), (bend.key, "hub")),
    )
    return shift


def triangle(leg_mm: float, own: float, turn: float) -> tuple[float, float]:
    """Return how far along the branch its bend lies, and how far up stream of the point the fitting stands [mm].

    Args:
        leg_mm: From the fitting's centre to that of the bend.
        own: Angle of the fitting's branch with its run, up stream [deg].
        turn: Angle of the branch itself with the run [deg].
    Example: a square tee under a branch that leans back to 45 degrees stands as far up stream as its leg is long.
        >>> [round(x, 6) for x in triangle(100.0, 90.0, 45.0)]
        [141.421356, 100.0]
    """
    own, turn = math.radians(own), math.radians(turn)
    along = leg_mm * math.sin(own) / math.sin(turn)
    return along, along * math.cos(turn) - leg_mm * math.cos(own)


def kink(joint: Joint, catalog: Catalog, run: End, out: End, turn: float, *, square: bool) -> None:
    """Add the bend of a run that turns at its tee: in the tee's upper hub, or in the lower one where that fits better.

    Args:
        joint: The joint; the first draft is the tee.
        catalog: The catalogue.
        run: The straight inlet.
        out: The outlet.
        turn: How much the run turns [deg].
        square: Whether all branches stand square to the run before the turn and after it.
    """
    names, angles = bends_for(turn, "long-turn 1/4 bend")
    before, after = (_room(joint, catalog, names[0], run, out), _room(joint, catalog, names[0], out, run))
    in_upper = not square or min(before) >= min(0.0, *after)
    held, other = (run, out) if in_upper else (out, run)
    where = "upper" if in_upper else "lower"
    note = f"run turns {turn:.0f} degrees at the fitting: no single fitting, {angles[0]:g} bend in its {where} hub"
    bend = _street(joint, catalog, held, names[0], note=note, off_deg=turn - angles[0])
    was = joint.take[held.key]
    beside = was.mm + bend.ports["spigot"]
    joint.take[held.key] = replace(taken(bend, "hub", len(joint.drafts) - 1), status=Status.ESTIMATE)
    moved(joint, other.key, beside, (*was.make_ups, (bend.key, "spigot")))
    for k, draft in enumerate(joint.drafts):
        if len(draft.pipes) > 2:
            joint.drafts[k] = replace(draft, beside_mm=draft.beside_mm + (beside if in_upper else -beside))


def _room(joint: Joint, catalog: Catalog, name: str, held: End, other: End) -> tuple[float, float]:
    """Return what is left for pipe on both sides of a turn, with a bend at the far ends, once the bend is at `held`."""
    ports = catalogue.fitting(STREET[name], (held.size_in, held.size_in), catalog).ports
    beside = joint.take[held.key].mm + ports["spigot"]
    takes = ((held, ports["hub"]), (other, joint.take[other.key].mm + beside))
    left = []
    for e, take in takes:
        far = catalogue.fitting("1/4 bend", (e.size_in, e.size_in), catalog).ports["inlet"]
        left.append(e.pipe.length_mm - take - far - 2 * catalog.socket_mm(e.size_in))
    return left[0], left[1]


def moved(joint: Joint, key: EndKey, mm: float, make_ups: tuple[MakeUp, ...] = ()) -> None:
    """Lengthen a take-off by as much as its fitting stands away from the pipe; shorten it by less than nothing.

    Args:
        joint: The joint.
        key: The end of the pipe.
        mm: By how much [mm].
        make_ups: The dimensions that makes it.
    """
    if mm:
        was = joint.take[key]
        joint.take[key] = replace(was, mm=was.mm + mm, make_ups=(*was.make_ups, *make_ups))


def _street(joint: Joint, catalog: Catalog, e: End, name: str, *, note: str, off_deg: float) -> FittingData:
    """Put the street pattern of a bend into the hub at this end and return it; its own hub takes the pipe."""
    pattern, size = STREET[name], e.size_in
    odd = off_deg if abs(off_deg) > BEND_PLAY_DEG else 0.0
    if odd:
        note = f"{note}, {abs(off_deg):.0f} off: change the angle of the run"
    joint.drafts.append(Draft(pattern, (size, size), (e.pipe.id, e.pipe.id), Status.ESTIMATE, note, odd))
    return catalogue.fitting(pattern, (size, size), catalog)
