"""What several verbs share: their common options, the progress on stderr, the width of the terminal."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import typer

JOB = typer.Argument(help="The job file.", show_default=False)
AS_JSON = typer.Option(False, "--json", help="Print JSON on stdout.")
QUIET = typer.Option(False, "--quiet", "-q", help="No progress on stderr.")
FIXES = typer.Option(
    False, "--fixes", help="Try a change for each finding on a copy of the design; offer it if all checks let it pass."
)
WHY_BLOCKED = typer.Option(
    False, "--why-blocked", help="Find by trying which constraints block a part, and what frees it; takes some minutes."
)
CONFIRMATIONS = typer.Option(
    None, "--confirmations", help="A file of book values you have compared with your own copy.", show_default=False
)

PRICES = typer.Option(
    None, "--prices", help="A file of your prices: the material list says what each line comes to.", show_default=False
)


@contextmanager
def progress(quiet: bool) -> Iterator[Callable[[str], None]]:
    """Show the step at work on stderr, only where a person watches."""
    if quiet or not sys.stderr.isatty():
        yield lambda _step: None
        return
    from rich.console import Console

    with Console(stderr=True).status("job file") as status:
        yield status.update


def width() -> int:
    """Return the columns of the terminal, within what is good to read."""
    return max(60, min(100, shutil.get_terminal_size((92, 24)).columns))


def write_json(data: dict[str, Any]) -> None:
    """Print data as JSON, under the number of its form."""
    from stubout.export.json_ import SCHEMA, write

    typer.echo(write({"schema": SCHEMA, **data}).decode(), nl=False)
