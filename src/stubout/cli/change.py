"""The verbs that lay a job out anew: keep, changed, refine."""

from __future__ import annotations

from pathlib import Path

import typer

from stubout.cli.exits import Exit, InputError, guarded
from stubout.cli.shared import AS_JSON, JOB, QUIET, progress, width, write_json
from stubout.run_field.beyond import USUAL_LAYOUTS

ACCEPTED = typer.Argument(help="The job file as it was laid out and accepted.", show_default=False)


@guarded
def keep(
    accepted: Path = ACCEPTED,
    now: Path | None = typer.Argument(
        None, help="The job file as it is now; leave it away if nothing has changed.", show_default=False
    ),
    out: Path = typer.Option(
        ..., "--out", "-o", help="The job file to write, with the layout kept in it; never an existing one."
    ),
    quiet: bool = QUIET,
    as_json: bool = AS_JSON,
) -> None:
    """Keep the accepted layout in a changed job: what is installed exactly, the rest as long as it serves."""
    from stubout import run_change

    _refuse(out)
    with progress(quiet or as_json) as say:
        kept = run_change.kept(str(accepted), "" if now is None else str(now), say)
    _write(out, kept.text)
    if as_json:
        write_json(run_change.kept_data(kept, file=str(out)))
    else:
        typer.echo(f"{out} written.\n{run_change.kept_text(kept, width())}", nl=False)
    raise typer.Exit(_code(kept.keeping.judged.design.blocked, kept.keeping.judged.open))


@guarded
def changed(
    accepted: Path = ACCEPTED,
    now: Path = typer.Argument(help="The job file as it is now.", show_default=False),
    quiet: bool = QUIET,
    as_json: bool = AS_JSON,
) -> None:
    """Say what moved between the layouts of two job files, by how much, and which sheets are stale; write nothing."""
    from stubout import run_change
    from stubout.change.told import parts_text

    with progress(quiet or as_json) as say:
        found = run_change.changed(str(accepted), str(now), say)
    if as_json:
        write_json(run_change.changed_data(found))
    else:
        typer.echo(parts_text(run_change.changed_parts(found), width()), nl=False)
    raise typer.Exit(_code(found.now.design.blocked, found.now.open))


@guarded
def refine(
    job: Path = JOB,
    out: Path = typer.Option(
        ..., "--out", "-o", help="The job file to write, with what was chosen in it; never an existing one."
    ),
    layouts: int = typer.Option(USUAL_LAYOUTS, "--layouts", min=1, max=2000, help="How many layouts to try."),
    quiet: bool = QUIET,
    as_json: bool = AS_JSON,
) -> None:
    """Look for a better layout: many are tried, each judged by all checks and its cut list; Ctrl-C keeps the best."""
    from stubout import run_refine

    _refuse(out)
    with progress(quiet or as_json) as say:
        made = run_refine.refined(str(job), layouts, say)
    if made.refined.better:
        _write(out, made.text)
    if as_json:
        write_json(run_refine.refined_data(made, file=str(out) if made.refined.better else ""))
    else:
        if made.refined.better:
            typer.echo(f"{out} written.")
        typer.echo(run_refine.refined_text(made, width()), nl=False)
    best = made.refined.best
    raise typer.Exit(Exit.BLOCKED if best.blocked else Exit.FINDINGS if best.findings else Exit.CLEAN)


def _refuse(out: Path) -> None:
    """Raise InputError if a file is there already: said before the work, not after it."""
    if out.exists():
        raise InputError(f"{out} is already there; give another name")


def _write(out: Path, text: str) -> None:
    """Write a new job file; raises InputError rather than touch an existing one."""
    from stubout.files.single import write_new

    try:
        write_new(str(out), text.encode())
    except FileExistsError:
        _refuse(out)
        raise


def _code(blocked: tuple[object, ...], still: tuple[object, ...]) -> Exit:
    if blocked:
        return Exit.BLOCKED
    return Exit.FINDINGS if still else Exit.CLEAN
