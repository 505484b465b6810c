"""The verbs that take a job file: new, plan, check, why, schema, demo."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from stubout.cli.exits import Exit, InputError, guarded
from stubout.cli.shared import AS_JSON, CONFIRMATIONS, FIXES, JOB, PRICES, QUIET, WHY_BLOCKED, progress, width

if TYPE_CHECKING:
    from stubout.catalog.prices import PriceList
    from stubout.design import Design
    from stubout.job.model import Job
    from stubout.run import Verdict


class Kind(StrEnum):
    """Files that have a schema."""

    JOB = "job"
    AMENDMENTS = "amendments"
    CONFIRMATIONS = "confirmations"


class Units(StrEnum):
    """The units a job may be written in."""

    INCH = "inch"
    MM = "mm"


def _code(design: Design, verdict: Verdict) -> Exit:
    if design.blocked:
        return Exit.BLOCKED
    return Exit.FINDINGS if verdict.open else Exit.CLEAN


def _text(path: Path | None) -> str:
    return "" if path is None else str(path)


def _print(text: str) -> None:
    """Print a report; on a terminal the lines that begin a finding are bold, the words are the same everywhere."""
    for line in text.splitlines():
        head = line.startswith(("STOP ", "FIX ", "ASK ", "NOTE ", "NOT LAID OUT"))
        typer.secho(line, bold=head)


@guarded
def plan(
    job: Path = JOB,
    out: Path = typer.Option(
        Path("packet"), "--out", "-o", help="Folder for packet, drawings, lists and JSON; made, or replaced whole."
    ),
    fixes: bool = FIXES,
    why_blocked: bool = WHY_BLOCKED,
    alternatives: bool = typer.Option(
        False, "--alternatives", help="Also two or three layouts that differ in kind, each whole and checked."
    ),
    confirmations: Path | None = CONFIRMATIONS,
    prices: Path | None = PRICES,
    quiet: bool = QUIET,
    as_json: bool = AS_JSON,
) -> None:
    """Lay out the job, check it, and write every sheet and list into a folder."""
    from stubout import run

    read = partial(run.read, str(job), _text(confirmations))
    given = run.price_list(str(prices)) if prices is not None else None
    also = {"fixes": fixes, "why_blocked": why_blocked, "alternatives": alternatives}
    raise typer.Exit(_plan(read, out, quiet, as_json, **also, prices=given))


def _plan(
    read: Callable[[], Job],
    out: Path,
    quiet: bool,
    as_json: bool,
    *,
    fixes: bool = False,
    why_blocked: bool = False,
    alternatives: bool = False,
    prices: PriceList | None = None,
) -> Exit:
    from stubout import run

    for sentence in run.put_right(str(out)):
        typer.echo(f"stubout: {sentence}", err=True)
    run.refuse_folder(str(out))
    with progress(quiet or as_json) as say:
        said = read()
        among = run.beside(said, say) if alternatives else None
        files, design, verdict = run.plan(
            said, say, fixes=fixes, why_blocked=why_blocked, among=among, prices=prices, endable=True
        )
        say("writing")
        run.write(str(out), files)
    if as_json:
        from stubout.export.json_ import findings_data, write

        data = {
            "folder": str(out),
            "files": list(files),
            **findings_data(design, verdict.findings, verdict.not_checked),
        }
        typer.echo(write(data).decode(), nl=False)
    else:
        from stubout.reports.plain import summary_text

        typer.echo(f"{out / 'packet.pdf'} and {len(files) - 1} other files written.")
        _print(summary_text(design, verdict.findings, verdict.not_checked, width=width()))
        if among is not None:
            from stubout.change.others import told

            _print(told(among.others, design.house.job.units))
    return _code(design, verdict)


@guarded
def check(
    job: Path = JOB,
    full: bool = typer.Option(False, "--all", "-a", help="Also notes, and every check that lacked data."),
    fixes: bool = FIXES,
    why_blocked: bool = WHY_BLOCKED,
    confirmations: Path | None = CONFIRMATIONS,
    quiet: bool = QUIET,
    as_json: bool = AS_JSON,
) -> None:
    """Lay out the job and say what is wrong with it; write nothing."""
    from stubout import run

    with progress(quiet or as_json) as say:
        said = run.read(str(job), _text(confirmations))
        design = run.design(said, say)
        if why_blocked:
            design = run.explained(said, design, say, endable=True)
        say("checks")
        verdict = run.check(design)
        tried = run.fixes_of(design, verdict) if fixes else {}
    if as_json:
        from stubout.export.json_ import findings_json

        typer.echo(findings_json(design, verdict.findings, verdict.not_checked, tried).decode(), nl=False)
    else:
        from stubout.reports.plain import check_text

        _print(check_text(design, verdict.findings, verdict.not_checked, width=width(), full=full, tried=tried))
    raise typer.Exit(_code(design, verdict))


@guarded
def why(
    job: Path = JOB,
    about: str = typer.Argument(
        "", help="A pipe, fixture, mark or cleanout, such as D3 or KS; leave it away for the list."
    ),
    confirmations: Path | None = CONFIRMATIONS,
    as_json: bool = AS_JSON,
) -> None:
    """Say how a size, height or load came about: the steps, the clause, how sure the source is."""
    from difflib import get_close_matches

    from stubout import run

    design = run.design(run.read(str(job), _text(confirmations)))
    ids = run.known_ids(design)
    if not about:
        if as_json:
            from stubout.export.json_ import write

            typer.echo(write({"schema": 1, "ids": list(ids)}).decode(), nl=False)
        else:
            typer.echo("\n".join(ids))
        return
    found, off = run.why(design, about), run.why_off(design, about)
    if not found and not off:
        near = get_close_matches(about, ids, n=1)
        hint = f"did you mean {near[0]}?" if near else "`stubout why` with the job file alone lists what there is."
        raise InputError(f"nothing in this job is called {about!r}; {hint}")
    if as_json:
        from stubout.export.json_ import plain, write

        data = {"derivations": [plain(d) for d in found], "windows": [plain(w) for w in off]}
        typer.echo(write({"schema": 1, "about": about, **data}).decode(), nl=False)
        return
    from stubout.reports.plain import why_text, windows_text

    typer.echo(why_text(found, width()) + windows_text(design, off, width()), nl=False)


@guarded
def new(
    file: Path = typer.Argument(Path("job.yaml"), help="The job file to begin; never an existing one."),
    units: Units = typer.Option(Units.INCH, "--units", "-u", help="Units of the job: inch or mm."),
) -> None:
    """Begin a job file: a small invented house that runs as it stands, with a comment at every part."""
    from stubout import run

    try:
        run.begin(str(file), units.value)
    except FileExistsError:
        raise InputError(f"{file} is already there; give another name") from None
    typer.echo(f"{file} written. Change it line by line to your house, then: stubout check {file}")


@guarded
def schema(
    of: Kind = typer.Argument(Kind.JOB, help="Which file: job, amendments or confirmations."),
) -> None:
    """Print the JSON Schema of the job file, for an editor that completes and checks as you type.

    Files of amendments and of confirmations have schemas of their own.
    """
    from stubout import run

    typer.echo(run.schema(of.value).decode(), nl=False)


@guarded
def demo(
    out: Path = typer.Option(
        Path("packet-demo"), "--out", "-o", help="Folder for the packet; made, or replaced whole."
    ),
    quiet: bool = QUIET,
    as_json: bool = AS_JSON,
) -> None:
    """Plan the bundled invented house, to see what comes out before you type anything."""
    from stubout import run

    _plan(run.demo_job, out, quiet, as_json)
