"""`stubout calc`: one quick figure without a job file, with the steps it came by."""

from __future__ import annotations

from enum import StrEnum

import typer

from stubout import run_calc
from stubout.cli.exits import guarded
from stubout.run_calc import Answer

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


def _answer(made: Answer, as_json: bool) -> None:
    if as_json:
        from stubout.export.json_ import write

        typer.echo(write(run_calc.as_data(made)).decode(), nl=False)
        return
    for line in (*made.lines, *(f"  {s}" for s in made.steps), *made.notes):
        typer.echo(line)


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
    _answer(run_calc.fall(length, slope_, drop, units.value), as_json)


@app.command("offset")
@guarded
def offset(
    offset_: str = typer.Argument(metavar="offset", help="Square across, centre line to centre line."),
    angle: float = ANGLE,
    units: Units = UNITS,
    as_json: bool = AS_JSON,
) -> None:
    """Say travel and setback of an offset with two equal fittings."""
    _answer(run_calc.offset(offset_, angle, units.value), as_json)


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
    _answer(run_calc.rolling(roll, rise, angle, units.value), as_json)


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
    made = run_calc.bore(
        depth,
        framing,
        size,
        member.value,
        units.value,
        bearing=bearing,
        exterior=exterior,
        doubled=doubled,
    )
    _answer(made, as_json)


@app.command("head")
@guarded
def head(
    height: str = typer.Argument(help="Height of the water above the point, such as 10 ft or 3 m."),
    size: str = typer.Option("", "--size", "-s", help="Pipe size, for the push on a plug and on a joint."),
    units: Units = UNITS,
    as_json: bool = AS_JSON,
) -> None:
    """Say the pressure under a column of water, and the push on a plug."""
    _answer(run_calc.head(height, size, units.value), as_json)


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
    _answer(run_calc.band(outlet, floor, from_wall, size, slope_, units.value), as_json)
