"""The verbs of the field app: along, cards, serve, backup, restore."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from stubout.cli.exits import InputError, answered, guarded
from stubout.cli.shared import JOB, QUIET, progress
from stubout.problems import several

if TYPE_CHECKING:
    from stubout.store.engine import Store

DATA = typer.Option(None, "--data", "-d", help="Folder of jobs and records; your user data folder unless said.")
DATABASE = typer.Option(
    "", "--database", envvar="STUBOUT_DATABASE", show_default=False, show_envvar=True,
    help="URL of a PostgreSQL database instead: postgresql://user@host/name.",
)  # fmt: skip
MISSING = "the field app needs the extra `serve`: pip install 'stubout[serve]'"


class Language(StrEnum):
    """Languages of the labels."""

    ENGLISH = "en"
    SPANISH = "es"
    FRENCH = "fr"


@guarded
def along(
    job: Path = JOB,
    out: Path = typer.Option(
        Path("along.html"), "--out", "-o", help="The file to write, never an existing one; a browser opens it."
    ),
    language: Language = typer.Option(Language.ENGLISH, "--language", "-l", help="Of the labels: en, es or fr."),
    quiet: bool = QUIET,
) -> None:
    """Take a job along: one file with walls, marks, lists, sheets and record forms, for a phone without a network."""
    try:
        from stubout.web.along.data import Taken
        from stubout.web.along.file import along as made
    except ImportError as missing:
        raise InputError(_missing(missing)) from None
    from stubout import run
    from stubout.run_field import kept, take, texts

    if out.exists():
        raise InputError(f"{out} is already there; give another name")
    text = texts.text_of(str(job))
    with progress(quiet) as say:
        files = take.take(run.read(str(job)), say)
    data = made(Taken(text, kept.read(files[kept.FIELD]), files), language.value)
    try:
        texts.write_file(str(out), data)
    except FileExistsError:
        raise InputError(f"{out} is already there; give another name") from None
    typer.echo(f"{out} written: {len(data) / 1000:.0f} kB. Put it on the phone and open it there.")


class CardLanguage(StrEnum):
    """Languages of the cards: one of them, or all on each card."""

    ALL = "all"
    ENGLISH = "en"
    SPANISH = "es"
    FRENCH = "fr"


class CardKind(StrEnum):
    """Which cards."""

    BOTH = "both"
    COVER = "cover"
    NAIL = "nail"


@guarded
def cards(
    job: Path = JOB,
    out: Path = typer.Option(Path("cards.pdf"), "--out", "-o", help="The PDF to write, never an existing file."),
    of: CardKind = typer.Option(CardKind.BOTH, "--of", help="Do-not-cover cards, do-not-nail cards, or both."),
    language: CardLanguage = typer.Option(
        CardLanguage.ALL, "--language", "-l", help="en, es, fr, or all on each card."
    ),
    quiet: bool = QUIET,
) -> None:
    """Print the cards for the walls: do not cover before it is tested, do not nail where pipe lies."""
    from stubout import run
    from stubout.run_field import cards as made
    from stubout.run_field import texts
    from stubout.run_field.card_words import KINDS

    if out.exists():
        raise InputError(f"{out} is already there; give another name")
    with progress(quiet) as say:
        design = run.design(run.read(str(job)), say)
    kinds = KINDS if of is CardKind.BOTH else (KINDS[of is CardKind.NAIL],)
    data, count = made.cards_of(design, kinds, language.value)
    try:
        texts.write_file(str(out), data)
    except FileExistsError:
        raise InputError(f"{out} is already there; give another name") from None
    typer.echo(f"{out} written: {several(count, 'card')}.")


@answered  # the server ends itself by the signals
def serve(
    data: Path | None = DATA,
    port: int = typer.Option(8787, "--port", "-p", min=0, max=65535, help="Port to listen on; 0 takes a free one."),
    network: bool = typer.Option(
        False, "--network", help="Listen on the site's network, with a pairing code; else on this machine only."
    ),
    called: list[str] = typer.Option(
        [],
        "--called",
        show_default=False,
        help="One more name under which the server may be called, as behind a proxy.",
    ),
    database: str = DATABASE,
) -> None:
    """Open jobs, sheets and site records in a browser, on this machine or for phones on the site's network."""
    try:
        from stubout.store.engine import data_folder
        from stubout.web.serve import serve as run_server
        from stubout.web.settings import Settings
    except ImportError as missing:
        raise InputError(_missing(missing)) from None
    settings = Settings(data or data_folder(), database, port, network, called=tuple(called))
    run_server(settings, lambda words: typer.echo(words, err=True))


def _missing(error: ImportError) -> str:
    """Return what to install; a fault of our own is none of that."""
    if (error.name or "").startswith("stubout"):
        raise error
    return f"{MISSING} (no {error.name})"


def _store(data: Path | None, database: str) -> Store:
    try:
        from stubout.store.engine import open_store
    except ImportError as missing:
        raise InputError(_missing(missing)) from None
    return open_store(data, database)


def _told(counts: dict[str, int]) -> str:
    return ", ".join(several(n, what[:-1]) for what, n in counts.items())


@guarded
def backup(
    file: Path = typer.Argument(help="The new file to write; never an existing one.", show_default=False),
    data: Path | None = DATA,
    database: str = DATABASE,
) -> None:
    """Write all jobs, revisions, records and photos into one file; it is read back before it counts."""
    store = _store(data, database)
    from stubout.store.backup import backup as write

    try:
        counts = write(store, file)
    finally:
        store.close()
    typer.echo(f"{file} written and read back: {_told(counts)}.")


@guarded
def restore(
    file: Path = typer.Argument(help="A file that `stubout backup` wrote.", show_default=False),
    data: Path | None = DATA,
    database: str = DATABASE,
) -> None:
    """Put a backup into an empty data folder or database: all of it, or nothing."""
    store = _store(data, database)
    from stubout.store.backup import restore as put

    try:
        counts = put(store, file)
    finally:
        store.close()
    typer.echo(f"{file} restored: {_told(counts)}.")
