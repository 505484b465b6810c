"""`stubout books`: what the rule books hold, what to compare with your own copy, two of them side by side."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer
from typer.core import TyperGroup

from stubout.cli.exits import Exit, InputError, guarded
from stubout.cli.shared import AS_JSON, CONFIRMATIONS, JOB, QUIET, progress, width, write_json

if TYPE_CHECKING:
    from stubout.reports.judged import JobCompared


class _Shelf(TyperGroup):
    """Takes `stubout books` and `stubout books BOOK` for `stubout books show`."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Put `show` before the arguments where they begin with none of our words."""
        if not args or (args[0] not in self.commands and args[0] not in ctx.help_option_names):
            args = ["show", *args]
        return super().parse_args(ctx, args)


app = typer.Typer(
    name="books",
    cls=_Shelf,
    help="Rule books: what they hold, what to compare with your own copy, two of them side by side.",
)


@app.command("show")
@guarded
def show(
    book: str = typer.Argument("", help="Rule book, such as npc-2020; leave it away for the counts of all."),
    as_json: bool = AS_JSON,
) -> None:
    """Count the books by how sure their values are; or print one book whole, with sections and status."""
    from stubout import run, run_books
    from stubout.reports.books import contents_text, shelf_text

    if not book:
        books = run_books.shelf()
        if as_json:
            from stubout.export.books_json import shelf_data

            write_json(shelf_data(books))
            return
        typer.echo(shelf_text(books, width()), nl=False)
        return
    rules = run.book(book)
    if as_json:
        from stubout.export.books_json import contents_data

        write_json(contents_data(rules, run_books.count(rules)))
        return
    typer.echo(contents_text(rules, run_books.count(rules), width()), nl=False)


@app.command("verify")
@guarded
def verify(
    job: Path = JOB,
    out: Path | None = typer.Option(
        None, "--out", "-o", help="File for the sheet, never an existing one; else it is printed.", show_default=False
    ),
    confirmations: Path | None = CONFIRMATIONS,
    quiet: bool = QUIET,
    as_json: bool = AS_JSON,
) -> None:
    """Print the verification sheet: book values nobody has read that decide something in this job."""
    from stubout import run, run_books

    with progress(quiet or as_json) as say:
        design, verdict = run_books.verification(run.read(str(job), str(confirmations or "")), say)
    if as_json:
        from stubout.export.books_json import sheet_data
        from stubout.export.json_ import write

        text = write({"schema": 1, **sheet_data(design, verdict.findings, verdict.used)}).decode()
    else:
        from stubout.reports.verification import sheet_text

        text = sheet_text(design, verdict.findings, verdict.used, width())
    if out is None:
        typer.echo(text, nl=False)
        return
    try:
        run_books.write_sheet(str(out), text.encode())
    except FileExistsError:
        raise InputError(f"{out} is already there; give another name") from None
    if not as_json:
        typer.echo(f"{out} written.")


@app.command("diff")
@guarded
def diff(
    a: str = typer.Argument(help="One rule book.", show_default=False),
    b: str = typer.Argument(help="The other rule book.", show_default=False),
    job: Path | None = typer.Argument(None, help="A job to judge under both.", show_default=False),
    confirmations: Path | None = CONFIRMATIONS,
    quiet: bool = QUIET,
    as_json: bool = AS_JSON,
) -> None:
    """Put two books side by side; with a job, say what passes in one of them and fails in the other."""
    from stubout import run, run_books
    from stubout.reports.books import compared_text, job_compared_text

    compared = run_books.compare(a, b)
    if job is None:
        if as_json:
            from stubout.export.books_json import compared_data

            write_json(compared_data(compared))
            return
        typer.echo(compared_text(compared, width()), nl=False)
        return
    said = run.read(str(job), str(confirmations or ""))
    with progress(quiet or as_json) as say:
        done = run_books.compare_job(said, a, b, say)
    if as_json:
        from stubout.export.books_json import job_compared_data

        write_json(job_compared_data(done, said.job.title))
    else:
        typer.echo(job_compared_text(done, said.job.title, width()), nl=False)
    raise typer.Exit(_code(done))


def _code(done: JobCompared) -> Exit:
    if done.blocked:
        return Exit.BLOCKED
    return Exit.FINDINGS if done.differs else Exit.CLEAN
