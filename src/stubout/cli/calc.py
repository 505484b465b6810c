"""`stubout calc`: one quick figure without a job file, with the steps it came by."""

from __future__ import annotations

import math
from enum import StrEnum
from typing import Any

import typer

from stubout.cli.exits import InputError, guarded
from stubout.units import both, parse_length_mm, parse_size_in, parse_slope, slope
from stubout.units import size as size_text

app = typer.Typer(
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    help=(
        "One quick figure without a job file, with the steps it came by.\n\n"
        "Put a value that holds a blank or an inch mark in quotes: '12 ft', '14 3/4 in', '1/4 in/ft'."
    ),
)


class Units(StrEnum):
    """Units of a bare number, and of the answer."""

    INCH = "inch"
    MM = "mm"


class Member(StrEnum):
    """What is bored."""

    STUD = "stud"
    JOIST = "joist"


UNITS = typer.Option(Units.INCH, "--units", "-u", help="Units of a bare number and of the answer.")
ANGLE = typer.Option(45.0, "--angle", "-a", help="Angle of the two fittings, in degrees.")
AS_JSON = typer.Option(False, "--json", help="Print JSON.")
NO_CODE = "No code value is in this figure."


def _mm(what: str, text: str, units: Units) -> float:
    try:
        length_mm = parse_length_mm(text, units.value)
    except ValueError as fault:
        raise InputError(f"{what}: {fault}") from None
    if length_mm < 0:
        raise InputError(f'{what}: found "{text.strip()}", wanted no minus')
    return length_mm


def _at_most(limit_mm: float, units: Units) -> str:
    """Say a largest length: rounded down, so that whoever bores to it is within it."""
    step_mm = 1.0 if units is Units.MM else 25.4 / 16
    return both(math.floor(limit_mm / step_mm + 1e-6) * step_mm, units.value)


def _slope(text: str) -> float:
    try:
        return parse_slope(text)
    except ValueError as fault:
        raise InputError(f"slope: {fault}") from None


def _size(text: str) -> float:
    try:
        return parse_size_in(text)
    except ValueError as fault:
        raise InputError(f"size: {fault}") from None


def _answer(figure: Any, lines: list[str], as_json: bool, notes: tuple[str, ...] = (NO_CODE,)) -> None:
    if as_json:
        from stubout.export.json_ import SCHEMA, plain, write

        typer.echo(write({"schema": SCHEMA, **plain(figure), "notes": list(notes)}).decode(), nl=False)
        return
    steps = figure["steps"] if isinstance(figure, dict) else figure.steps
    for line in (*lines, *(f"  {s}" for s in steps), *notes):
        typer.echo(line)


def _try(function: Any, *args: Any, **kwargs: Any) -> Any:
    """Call a sum; what it refuses becomes a sentence."""
    try:
        return function(*args, **kwargs)
    except ValueError as fault:
        raise InputError(str(fault)) from None


@app.command("fall")
@guarded
def fall(
    length: str = typer.Argument(help="Length measured level, such as 9'-6\" or 2900 mm."),
    slope_: str = typer.Argument("", metavar="slope", help="Slope, such as '1/4 in/ft', '2 %', '1:50'."),
    drop: str = typer.Option("", "--drop", "-d", help="The fall you have; gives the slope instead."),
    units: Units = UNITS,
    as_json: bool = AS_JSON,
) -> None:
    """Say how far a pipe falls over a length, or which slope a fall makes."""
    from stubout import pocket

    run_mm = _mm("length", length, units)
    if bool(slope_) == bool(drop):
        raise InputError("give a slope or --drop, one of the two")
    if drop:
        forms = _try(pocket.slope_from_fall, _mm("drop", drop, units), run_mm, units.value)
        _answer(forms, [f"slope {slope(forms.slope, units.value)}"], as_json)
        return
    rate = _slope(slope_)
    made = _try(pocket.fall_over, run_mm, rate, units.value)
    forms = pocket.slope_forms(rate)
    _answer(made, [f"fall {both(made.fall_mm, units.value)}", *forms.steps], as_json)


@app.command("offset")
@guarded
def offset(
    offset_: str = typer.Argument(metavar="offset", help="Square across, centre line to centre line."),
    angle: float = ANGLE,
    units: Units = UNITS,
    as_json: bool = AS_JSON,
) -> None:
    """Say travel and setback of an offset with two equal fittings."""
    from stubout import pocket

    made = _try(pocket.simple_offset, _mm("offset", offset_, units), angle, units.value)
    _answer(
        made, [f"travel {both(made.travel_mm, units.value)}, setback {both(made.setback_mm, units.value)}"], as_json
    )


@app.command("rolling")
@guarded
def rolling(
    roll: str = typer.Argument(help="Sideways, centre line to centre line."),
    rise: str = typer.Argument(help="Up or down, centre line to centre line."),
    angle: float = ANGLE,
    units: Units = UNITS,
    as_json: bool = AS_JSON,
) -> None:
    """Say true offset, travel and roll of an offset that goes sideways and up at once."""
    from stubout import pocket

    made = _try(pocket.rolling_offset, _mm("roll", roll, units), _mm("rise", rise, units), angle, units.value)
    line = f"true offset {both(made.true_offset_mm, units.value)}, travel {both(made.offset.travel_mm, units.value)}, "
    _answer(made, [line + f"roll {made.roll_deg:.1f} deg from plumb"], as_json)


@app.command("bore")
@guarded
def bore(
    depth: str = typer.Argument(help='Depth of the member, such as 5 1/2" or 140 mm.'),
    framing: str = typer.Option(..., "--framing", "-f", help="Book of framing cuts; `stubout lookup` lists the books."),
    size: str = typer.Option("", "--size", "-s", help='Pipe size that wants to pass, such as 2".'),
    member: Member = typer.Option(Member.STUD, "--member", "-m", help="What is bored."),
    bearing: bool = typer.Option(False, "--bearing", help="The wall bears."),
    exterior: bool = typer.Option(False, "--exterior", help="The wall is exterior."),
    doubled: bool = typer.Option(False, "--doubled", help="The stud is doubled."),
    units: Units = UNITS,
    as_json: bool = AS_JSON,
) -> None:
    """Say the largest hole a sawn stud or joist may have, and whether a pipe passes.

    Engineered members: the maker's chart or the engineer.
    """
    from stubout import run_books

    depth_mm = _mm("depth", depth, units)
    made = run_books.bore(
        framing,
        depth_mm,
        member.value,
        bearing=bearing,
        exterior=exterior,
        doubled=doubled,
        size_in=_size(size) if size else None,
    )
    edge = f"{both(made.edge.number, units.value)} of wood" if made.edge else "no more wood asked for"
    lines = [f"largest hole {_at_most(made.limit.number, units)}; at each edge: {edge}"]
    if made.limit.number <= 0:
        lines = [f"no hole at all: the member is too shallow; at each edge: {edge}"]
    if made.passes is not None:
        word = "passes" if made.passes else "does NOT pass"
        lines.append(
            f"{size_text(_size(size))} in pipe: the usual bit is {both(made.hole_mm or 0.0, units.value)}, it {word}"
        )
    steps = [str(c.basis) for c in (made.limit, made.edge) if c]
    edge_mm = made.edge.number if made.edge else None
    data = {
        "limit_mm": made.limit.number,
        "edge_mm": edge_mm,
        "hole_mm": made.hole_mm,
        "passes": made.passes,
        "steps": steps,
    }
    notes = ("Sawn members only. The authority having jurisdiction decides; hidden wires: look before you bore.",)
    _answer(data, lines, as_json, notes)


@app.command("head")
@guarded
def head(
    height: str = typer.Argument(help="Height of the water above the point, such as 10 ft or 3 m."),
    size: str = typer.Option("", "--size", "-s", help="Pipe size, for the push on a plug and on a joint."),
    units: Units = UNITS,
    as_json: bool = AS_JSON,
) -> None:
    """Say the pressure under a column of water, and the push on a plug."""
    from stubout import pocket, run

    inside, outside = run.diameters_mm(_size(size)) if size else (None, None)
    made = _try(pocket.head_of_water, _mm("height", height, units), inside, outside, units.value)
    _answer(made, [f"{made.kpa:.1f} kPa ({made.psi:.2f} psi)"], as_json, made.cautions)


@app.command("band")
@guarded
def band(
    outlet: str = typer.Argument(help="Bottom of the outlet, or centre of the disposer outlet, above finished floor."),
    floor: str = typer.Argument(help="Cabinet floor, shelf or drawer below, above finished floor."),
    from_wall: str = typer.Option(..., "--from-wall", "-w", help="Trap inlet from the finished wall."),
    size: str = typer.Option('1-1/2"', "--size", "-s", help="Trap size."),
    slope_: str = typer.Option("1/4 in/ft", "--slope", help="Slope of the arm."),
    units: Units = UNITS,
    as_json: bool = AS_JSON,
) -> None:
    """Say the heights above finished floor that the stub-out of a sink may have."""
    from stubout.layout.quick_band import quick_band

    made = _try(
        quick_band,
        _mm("outlet", outlet, units),
        _mm("floor", floor, units),
        _mm("from wall", from_wall, units),
        _size(size),
        _slope(slope_),
        units.value,
    )
    if made.feasible:
        ends = f"{both(made.lo_mm, units.value)} and {both(made.hi_mm, units.value)}"
        line = f"between {ends}, centre of the pipe at the wall"
    else:
        line = f"NO HEIGHT DOES: short by {both(made.lo_mm - made.hi_mm, units.value)}"
    notes = (
        "Measure the trap and the cabinet in hand; arm length, vent and clause are not looked at here: `stubout "
        "check` does.",
    )
    data = {"lo_mm": made.lo_mm, "hi_mm": made.hi_mm, "feasible": made.feasible, "steps": made.steps}
    _answer(data, [line], as_json, notes)
