"""The command line: one verb a function, everything heavy imported inside it."""

from __future__ import annotations

import typer

from stubout.cli import books, calc, change, field, jobs, shelf

app = typer.Typer(
    name="stubout",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    help=(
        "Lay out, check and document the drain-waste-vent rough-in of a house from one plain job file.\n\n"
        "An aid, not an approval: the authority having jurisdiction decides.\n\n"
        "Exit codes: 0 clean; 1 findings to put right; 2 job file or arguments at fault; 3 a part could not be "
        "laid out; "
        "4 output could not be written; 5 fault of the program."
    ),
)
app.command("new")(jobs.new)
app.command("plan")(jobs.plan)
app.command("check")(jobs.check)
app.command("why")(jobs.why)
app.command("keep")(change.keep)
app.command("refine")(change.refine)
app.command("changed")(change.changed)
app.command("lookup")(books.lookup)
app.command("schema")(jobs.schema)
app.command("demo")(jobs.demo)
app.command("along")(field.along)
app.command("cards")(field.cards)
app.command("serve")(field.serve)
app.command("backup")(field.backup)
app.command("restore")(field.restore)
app.add_typer(shelf.app, name="books")
app.add_typer(calc.app, name="calc")


def _version(asked: bool) -> None:
    if asked:
        from importlib.metadata import version

        typer.echo(f"stubout {version('stubout')}")
        raise typer.Exit


@app.callback()
def root(
    version: bool = typer.Option(False, "--version", help="Print the version.", callback=_version, is_eager=True),
) -> None:
    """Hold the options that stand before the verb."""
