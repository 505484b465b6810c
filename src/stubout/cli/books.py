"""`stubout lookup`: what a rule book says, with section and status."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

import typer

from stubout.cli.exits import InputError, guarded
from stubout.cli.shared import write_json

if TYPE_CHECKING:
    from stubout.rulebooks.model import Cell, RuleBook


@guarded
def lookup(
    book: str = typer.Argument("", help="Rule book, such as npc-2020; leave it away for the list of books."),
    words: list[str] = typer.Argument(None, help="Words of the value, table or section; all must be in it."),
    as_json: bool = typer.Option(False, "--json", help="Print JSON."),
) -> None:
    """Look up values of a rule book: what it says, in which section, and how sure the source is."""
    from stubout import run

    if not book:
        _list_books(as_json)
        return
    rules = run.book(book)
    if not words:
        _contents(rules, as_json)
        return
    found = run.lookup(rules, " ".join(words))
    if not found:
        raise InputError(
            f"{book} has nothing that holds the words {' '.join(words)!r}; `stubout lookup {book}` lists what it has"
        )
    if as_json:
        from stubout.export.books_json import found_data

        write_json(found_data(book, found))
        return
    for cell in found:
        typer.echo(_line(cell))
    weak = sum(1 for c in found if not c.status.verified)
    if weak:
        typer.echo(
            f"{weak} of {len(found)} not compared with the page: look them up in your own copy before you rely on them."
        )


def _line(cell: Cell) -> str:
    value = cell.printed or (f"{cell.value:g} {cell.unit}" if isinstance(cell.value, float) else str(cell.value))
    what = f"rule of {cell.id}" if cell.what == cell.id else cell.what  # a clause is known by its check
    source = f"{cell.book} {cell.section}".strip()
    lines = [f"{what}: {value} ({source}; {cell.status.value})", f"id {cell.id}", cell.note]
    wrapped = [textwrap.wrap(lines[0], 92, subsequent_indent="    ")]
    wrapped += [textwrap.wrap(x, 92, initial_indent="    ", subsequent_indent="    ") for x in lines[1:]]
    return "\n".join(line for part in wrapped for line in part)


def _list_books(as_json: bool) -> None:
    from stubout import run

    shelf = [run.book(i) for i in run.books()]
    if as_json:
        from stubout.export.books_json import titles_data

        write_json(titles_data(shelf))
        return
    from stubout.reports.show import book_name

    for b in shelf:
        typer.echo(f"{b.id:<18} {book_name(b)}")


def _contents(rules: RuleBook, as_json: bool) -> None:
    if as_json:
        from stubout.export.books_json import ids_data

        write_json(ids_data(rules))
        return
    from stubout.reports.show import book_name

    typer.echo(book_name(rules))
    if rules.note:
        typer.echo("\n".join(textwrap.wrap(rules.note, 92)))
    typer.echo(f"\nTables ({len(rules.tables)})")
    for t in rules.tables.values():
        typer.echo(f"  {t.id:<32} {t.title} ({t.section}; {t.status.value})")
    typer.echo(f"\nValues ({len(rules.values)})")
    for v in rules.values.values():
        typer.echo(f"  {v.id:<32} {v.printed} ({v.section}; {v.status.value})")
