"""Nail plates where a pipe lies too near to the face of a member, straps over cut top plates. Lengths [mm]."""

from __future__ import annotations

from typing import Literal

from stubout.catalog.model import Catalog
from stubout.fabrication.ends import ask
from stubout.fabrication.model import Bore, Plate
from stubout.house.framing import Wall
from stubout.house.model import House
from stubout.network.model import Network
from stubout.problems import Basis, Status
from stubout.rulebooks import queries
from stubout.rulebooks.model import RuleBook

# Where a book asks for protection but gives no depth: the screw of a 1/2 in board reaches about 1-1/4 in.
PRACTICE_TRIGGER_MM = 31.75
PRACTICE_BEYOND_MM = 50.8
PRACTICE = Basis(
    "nail plate where the pipe is nearer than",
    "32 mm (1-1/4 in)",
    "trade practice",
    "",
    Status.MEMORY,
    "the book gives no depth; common practice, no source",
)

SCREW_PROOF = ("cast iron", "galvanized")  # installed pipe that no board screw pierces; common practice, no source

Face = Literal["left", "right", "both"]


def plates(
    bores: tuple[Bore, ...], network: Network, house: House, book: RuleBook, catalog: Catalog
) -> tuple[Plate, ...]:
    """Return the nail plates and straps that the bores ask for.

    A plate covers the pipe and the book's length beyond it on both sides: OD + 2 x beyond.
    Example: 3 in pipe and 1-1/2 in beyond, 6-1/2 in (published forum example of the u family's 312.9, see tests).
    """
    trigger, beyond = ask(queries.plate_trigger, book), ask(queries.plate_beyond, book)
    trigger_mm = trigger.number if trigger else PRACTICE_TRIGGER_MM
    beyond_mm = beyond.number if beyond else PRACTICE_BEYOND_MM
    past = ask(queries.plate_past_plates, book)
    bases = tuple(c.basis for c in (trigger, beyond) if c is not None) if trigger else (PRACTICE,)
    out: list[Plate] = []
    for bore in bores:
        wall = next((w for w in house.walls if w.id == bore.wall_or_frame), None)
        if wall is None or bore.verdict == "not allowed" or bore.member_kind == "beam":
            continue
        pipe = network.pipe(bore.pipe)
        if pipe.material in SCREW_PROOF:
            continue
        od = catalog.od_mm(pipe.size_in)
        face, distance = near_face(wall, bore, od, trigger_mm)
        if face is not None:
            length = od + 2 * beyond_mm
            if bore.member_kind in ("bottom plate", "top plate"):
                thick = wall.bottom_plate_mm if bore.member_kind == "bottom plate" else wall.top_plate_mm
                length = max(length, thick + (past.number if past else 0.0))
            out.append(
                Plate(
                    id=f"NP{len(out) + 1}",
                    kind="nail plate",
                    bore=bore.id,
                    face=face,
                    length_mm=length,
                    distance_mm=distance,
                    bases=bases,
                )
            )
    straps = [b for b in bores if b.verdict == "strap"]
    for k, bore in enumerate(straps):
        share = catalog.figure("strap length")
        out.append(
            Plate(
                id=f"ST{k + 1}",
                kind="strap",
                bore=bore.id,
                face="top",
                length_mm=max(share.value, bore.hole_mm + 2 * STRAP_PAST_MM),
                distance_mm=0.0,
                bases=(*bore.bases, share.basis),
            )
        )
    return tuple(out)


STRAP_PAST_MM = 152.4  # tie reaches 6 in past the opening each way (R602.6.1 as quoted, read)


def near_face(wall: Wall, bore: Bore, od_mm: float, trigger_mm: float) -> tuple[Face | None, float]:
    """Return which face the pipe is too near to, and its least distance from a face [mm].

    The distance is from the pipe's own surface to the face of the stud or plate, not from the hole.
    """
    off = wall.offset(bore.centre)
    left = wall.depth_mm / 2 - off - od_mm / 2
    right = wall.depth_mm / 2 + off - od_mm / 2
    near = [name for name, d in (("left", left), ("right", right)) if d < trigger_mm - 0.05]
    if len(near) == 2:
        return "both", min(left, right)
    if near == ["left"]:
        return "left", left
    return ("right", right) if near else (None, min(left, right))
