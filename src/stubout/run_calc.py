"""The quick figures: one sum without a job file, with the steps it came by; what words say it in and as data.

Beside `run.py`; a door calls it with what was typed. Imports are as lazy as there.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final, Literal, ParamSpec, TypeVar

from stubout.problems import StuboutError
from stubout.units import Units, both, parse_length_mm, parse_size_in, parse_slope, slope
from stubout.units import size as size_text

NO_CODE: Final = "No code value is in this figure."
P = ParamSpec("P")
R = TypeVar("R")


class CalcError(StuboutError, ValueError):
    """What was given to a sum is at fault."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One figure: its data, the lines that say it, the steps, and what it does not say."""

    data: Any  # a record or a dictionary of plain values
    lines: tuple[str, ...]
    steps: tuple[str, ...]
    notes: tuple[str, ...] = (NO_CODE,)


def as_data(answer: Answer) -> dict[str, Any]:
    """Return an answer as plain JSON data."""
    from stubout.export.json_ import SCHEMA, plain

    return {"schema": SCHEMA, **plain(answer.data), "notes": list(answer.notes)}


def _mm(what: str, text: str, system: Units) -> float:
    try:
        length_mm = parse_length_mm(text, system)
    except ValueError as fault:
        raise CalcError(f"{what}: {fault}") from None
    if length_mm < 0:
        raise CalcError(f'{what}: found "{text.strip()}", wanted no minus')
    return length_mm


def _at_most(limit_mm: float, system: Units) -> str:
    """Say a largest length: rounded down, so that whoever bores to it is within it."""
    step_mm = 1.0 if system == "mm" else 25.4 / 16
    return both(math.floor(limit_mm / step_mm + 1e-6) * step_mm, system)


def _slope(text: str) -> float:
    try:
        return parse_slope(text)
    except ValueError as fault:
        raise CalcError(f"slope: {fault}") from None


def _size(text: str) -> float:
    try:
        return parse_size_in(text)
    except ValueError as fault:
        raise CalcError(f"size: {fault}") from None


def _try(function: Callable[P, R], *args: P.args, **kwargs: P.kwargs) -> R:
    """Call a sum; what it refuses becomes a sentence."""
    try:
        return function(*args, **kwargs)
    except ValueError as fault:
        raise CalcError(str(fault)) from None


def fall(length: str, slope_said: str, drop: str, system: Units) -> Answer:
    """Return how far a pipe falls over a length, or which slope a fall makes; raises CalcError."""
    from stubout import pocket

    run_mm = _mm("length", length, system)
    if bool(slope_said) == bool(drop):
        raise CalcError("give a slope or --drop, one of the two")
    if drop:
        forms = _try(pocket.slope_from_fall, _mm("drop", drop, system), run_mm, system)
        return Answer(forms, (f"slope {slope(forms.slope, system)}",), forms.steps)
    rate = _slope(slope_said)
    made = _try(pocket.fall_over, run_mm, rate, system)
    return Answer(made, (f"fall {both(made.fall_mm, system)}", *pocket.slope_forms(rate).steps), made.steps)


def offset(offset_said: str, angle_deg: float, system: Units) -> Answer:
    """Return travel and setback of an offset with two equal fittings; raises CalcError."""
    from stubout import pocket

    made = _try(pocket.simple_offset, _mm("offset", offset_said, system), angle_deg, system)
    line = f"travel {both(made.travel_mm, system)}, setback {both(made.setback_mm, system)}"
    return Answer(made, (line,), made.steps)


def rolling(roll: str, rise: str, angle_deg: float, system: Units) -> Answer:
    """Return true offset, travel and roll of an offset that goes sideways and up at once; raises CalcError."""
    from stubout import pocket

    made = _try(pocket.rolling_offset, _mm("roll", roll, system), _mm("rise", rise, system), angle_deg, system)
    line = f"true offset {both(made.true_offset_mm, system)}, travel {both(made.offset.travel_mm, system)}, "
    return Answer(made, (line + f"roll {made.roll_deg:.1f} deg from plumb",), made.steps)


def bore(
    depth: str, framing: str, size: str, member: Literal["stud", "joist"], system: Units, *,
    bearing: bool, exterior: bool, doubled: bool,
) -> Answer:  # fmt: skip
    """Return the largest hole a sawn stud or joist may have, and whether a pipe passes.

    Raises:
        CalcError: If a length or size cannot be read.
        RuleBookError: If there is no such book, or it says nothing of this member.
        CatalogError: If the pipe size is not in the catalogue.
    """
    from stubout import run_books

    depth_mm = _mm("depth", depth, system)
    made = run_books.bore(
        framing, depth_mm, member, bearing=bearing, exterior=exterior, doubled=doubled,
        size_in=_size(size) if size else None,
    )  # fmt: skip
    edge = f"{both(made.edge.number, system)} of wood" if made.edge else "no more wood asked for"
    lines = [f"largest hole {_at_most(made.limit.number, system)}; at each edge: {edge}"]
    if made.limit.number <= 0:
        lines = [f"no hole at all: the member is too shallow; at each edge: {edge}"]
    if made.passes is not None:
        word = "passes" if made.passes else "does NOT pass"
        lines.append(
            f"{size_text(_size(size))} in pipe: the usual bit is {both(made.hole_mm or 0.0, system)}, it {word}"
        )
    steps = tuple(str(c.basis) for c in (made.limit, made.edge) if c)
    edge_mm = made.edge.number if made.edge else None
    data = {
        "limit_mm": made.limit.number, "edge_mm": edge_mm, "hole_mm": made.hole_mm, "passes": made.passes,
        "steps": list(steps),
    }  # fmt: skip
    notes = ("Sawn members only. The authority having jurisdiction decides; hidden wires: look before you bore.",)
    return Answer(data, tuple(lines), steps, notes)


def head(height: str, size: str, system: Units) -> Answer:
    """Return the pressure under a column of water, and the push on a plug; raises CalcError, CatalogError."""
    from stubout import pocket, run

    inside, outside = run.diameters_mm(_size(size)) if size else (None, None)
    made = _try(pocket.head_of_water, _mm("height", height, system), inside, outside, system)
    return Answer(made, (f"{made.kpa:.1f} kPa ({made.psi:.2f} psi)",), made.steps, made.cautions)


def band(outlet: str, floor: str, from_wall: str, size: str, slope_said: str, system: Units) -> Answer:
    """Return the heights above finished floor that the stub-out of a sink may have; raises CalcError."""
    from stubout.layout.quick_band import quick_band

    outlet_mm, floor_mm = _mm("outlet", outlet, system), _mm("floor", floor, system)
    wall_mm = _mm("from wall", from_wall, system)
    made = _try(quick_band, outlet_mm, floor_mm, wall_mm, _size(size), _slope(slope_said), system)
    if made.feasible:
        ends = f"{both(made.lo_mm, system)} and {both(made.hi_mm, system)}"
        line = f"between {ends}, centre of the pipe at the wall"
    else:
        line = f"NO HEIGHT DOES: short by {both(made.lo_mm - made.hi_mm, system)}"
    notes = (
        "Measure the trap and the cabinet in hand; arm length, vent and clause are not looked at here: `stubout "
        "check` does.",
    )
    data = {"lo_mm": made.lo_mm, "hi_mm": made.hi_mm, "feasible": made.feasible, "steps": list(made.steps)}
    return Answer(data, (line,), made.steps, notes)
