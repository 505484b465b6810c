"""Inverts and falls along the drains."""

from __future__ import annotations

from typing import Literal

from stubout import units
from stubout.catalog import queries as catalog
from stubout.house.model import House
from stubout.network.model import Pipe
from stubout.problems import Basis, Derivation, NotInBook
from stubout.rulebooks import queries
from stubout.rulebooks.model import RuleBook


def bore_mm(material: str, size_in: float) -> float:
    """Return the inside diameter of a pipe as the catalogue has it [mm]."""
    return catalog.pipe(material, size_in).id_mm


def invert_mm(pipe: Pipe, end: Literal["start", "end"], material: str) -> float:
    """Return the inside bottom of a pipe at one end, house z [mm].

    Args:
        pipe: The pipe; its final size counts.
        end: Which end.
        material: Pipe material of the job, for the bore.
    """
    p = pipe.a if end == "start" else pipe.b
    return p.z - bore_mm(material, pipe.size_in) / 2


def top_outside_mm(pipe: Pipe, end: Literal["start", "end"], material: str) -> float:
    """Return the outside top of a pipe at one end, house z [mm]."""
    p = pipe.a if end == "start" else pipe.b
    return p.z + catalog.pipe(material, pipe.size_in).od_mm / 2


def fall_derivation(pipe: Pipe, house: House, book: RuleBook) -> Derivation:
    """Return how a drain falls: length, slope, inverts at both ends, the book's least."""
    u, material = house.job.units, house.job.material
    if pipe.vertical:
        text = f"drops {units.named(pipe.fall_mm, u)}"
        return Derivation(pipe.id, "fall", text, ("within 45 degrees of plumb: no slope rule",))
    start, end = invert_mm(pipe, "start", material), invert_mm(pipe, "end", material)
    slope = units.slope(pipe.slope, u)
    steps = [
        f"plan length {units.named(pipe.plan_mm, u)}, fall {units.named(pipe.fall_mm, u)}: {slope}",
        f"invert from {units.named(start, u)} to {units.named(end, u)}, from the zero of the job",
    ]
    bases: list[Basis] = [catalog.pipe(material, pipe.size_in).basis]
    try:
        least = queries.min_slope(book, pipe.size_in)
        steps.append(f"least slope for {units.size(pipe.size_in)} in: {least.printed}")
        bases.append(least.basis)
    except NotInBook:
        pass
    return Derivation(pipe.id, "fall", f"{units.named(pipe.fall_mm, u)} at {slope}", tuple(steps), tuple(bases))
