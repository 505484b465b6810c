"""The page of each table and of each group of single values, the books side by side."""

from __future__ import annotations

from collections.abc import Iterator

from paging.asking import of_check, readers
from paging.shelf import Raw, by_table, groups, own, shelf
from paging.words import NOTHING, SURE, grid, head, input_text, link, page, said, short, slug, sure
from stubout.checks.registry import CHECKS
from stubout.files.books import known_values
from stubout.problems import Status
from stubout.rulebooks.model import Row, RuleBook, Value

MATCH = {
    "exact": "the row itself",
    "next_larger": "the next row up",
    "next_smaller": "the next row down",
}
BARRED = "no"
SOME = 6  # rows named beside a note
INPUTS = {
    "size_in": "size",
    "trap_in": "trap",
    "vent_in": "vent",
    "stack_in": "stack",
    "pipe_in": "pipe",
    "drain_in": "drain",
}


def pages() -> Iterator[tuple[str, str]]:
    """Yield the page of every table and of every group of single values, with its name."""
    for table_id, every in by_table().items():
        yield f"tables/{table_id}.md", _table(table_id, every)
    for heading, ids in groups().items():
        yield f"values/{slug(heading)}.md", _values(heading, ids)


def tables_index() -> str:
    """Return every table: its page and the books that have one of their own."""
    rows = [
        (link(every[0].table.title, f"tables/{i}.md"), f"`{i}`", ", ".join(short(r.book) for r in every))
        for i, every in by_table().items()
    ]
    return "\n".join(grid(("table", "id", "books"), rows))


def values_index() -> str:
    """Return the groups of single values: the page, how many there are, how many each book has."""
    books = shelf()
    rows = [
        (link(h, f"values/{slug(h)}.md"), str(len(ids)), *(str(sum(1 for i in ids if own(b, i))) for b in books))
        for h, ids in groups().items()
    ]
    return "\n".join(grid(("values on", "known", *map(short, books)), rows))


def _table(table_id: str, every: tuple[Raw, ...]) -> str:
    alike: dict[tuple[str, ...], list[Raw]] = {}
    for raw in every:
        alike.setdefault(raw.titles, []).append(raw)
    parts = [part for same in alike.values() for part in _side_by_side(same)]
    return page(
        every[0].table.title,
        [f"`{table_id}`. {SURE}"],
        *parts,
        head("Where it stands"),
        grid(
            ("book", "section", "table", "source", "rows", "control sum", "from"),
            [_source(raw) for raw in every],
        ),
        _lent(table_id),
        _notes(every),
        head("Who reads it"),
        _read_by(table_id),
    )


def _side_by_side(same: list[Raw]) -> Iterator[list[str]]:
    """Yield tables of the same inputs: books beside each other, or one after the other where a page is two-way."""
    first = same[0]
    heads = [INPUTS.get(name, name.replace("_", " ")) for name in first.titles]
    if any(raw.two_way for raw in same):
        for raw in same:
            yield [f"**{_head(raw)}**, {heads[-1]} across:"]
            yield _two_way(raw, heads)
    else:
        yield _beside(same, heads)
    matched = [(heads[k], m) for k, (_, m) in enumerate(first.table.inputs) if m != "exact"]
    if any(row.cell is None for raw in same for row in raw.table.rows):
        yield [f"{BARRED.capitalize()}: not permitted. A dash: the book has no such row."]
    if matched:
        yield [f"Between two rows: {'; '.join(f'{h}, {MATCH[m]}' for h, m in matched)}. Outside, the book is silent."]


def _beside(same: list[Raw], heads: list[str]) -> list[str]:
    rows: dict[tuple[Value, ...], list[str]] = {}
    for k, raw in enumerate(same):
        for row in raw.table.rows:
            line = rows.setdefault(_key(row), [*_inputs(raw, row), *[""] * len(same)])
            line[len(heads) + k] = _said(raw, row)
    kept = [k for k in range(len(heads)) if any(line[k] for line in rows.values())]
    keep = [*kept, *range(len(heads), len(heads) + len(same))]
    order = sorted(rows, key=_order) if len(same) > 1 else list(rows)
    every = [*heads, *map(_head, same)]
    return grid([every[k] for k in keep], [[rows[key][k] for k in keep] for key in order])


def _two_way(raw: Raw, heads: list[str]) -> list[str]:
    columns: dict[str, Value] = {}
    rows: dict[tuple[str, ...], dict[str, str]] = {}
    for row in raw.table.rows:
        *down, across = _inputs(raw, row)
        columns[across] = row.inputs[-1]
        rows.setdefault(tuple(down), {})[across] = _said(raw, row)
    across_all = sorted(columns, key=lambda c: _order((columns[c],)))
    body = [[*down, *(line.get(c, "") for c in across_all)] for down, line in rows.items()]
    return grid([*heads[:-1], *across_all], body)


def _head(raw: Raw) -> str:
    """Return the book, with the one word that says how sure all of its rows are."""
    words = _statuses(raw)
    return f"{short(raw.book)} {sure(words.pop())}".strip() if len(words) == 1 else short(raw.book)


def _statuses(raw: Raw) -> set[Status]:
    return {r.cell.status for r in raw.table.rows if r.cell is not None}


def _said(raw: Raw, row: Row) -> str:
    if row.cell is None:
        return BARRED
    return row.cell.printed if len(_statuses(raw)) == 1 else said(row.cell)


def _key(row: Row) -> tuple[Value, ...]:
    return tuple(round(v, 6) if isinstance(v, float) else v for v in row.inputs)


def _order(key: tuple[Value, ...]) -> tuple[tuple[float, str], ...]:
    return tuple((0.0, v) if isinstance(v, str) else (float(v), "") for v in key)


def _inputs(raw: Raw, row: Row) -> list[str]:
    return [input_text(v, unit) for v, unit in zip(row.inputs, raw.units, strict=True)]


def _source(raw: Raw) -> tuple[str, ...]:
    said_, control = raw.source, raw.source["control"]
    return (
        link(short(raw.book), f"../books/{raw.book.id}.md"),
        str(said_["section"]),
        str(said_.get("table", NOTHING)),
        said_["status"],
        str(control["rows"]),
        f"{control['sum']:g}" if "sum" in control else "words, no sum",
        str(said_.get("via", "the page of the book" if said_["status"] == "read" else "")),
    )


def _lent(table_id: str) -> list[str]:
    """Return which books have no such table of their own and read that of a parent."""
    lent = [(b, b.tables[table_id]) for b in shelf() if table_id in b.tables and b.tables[table_id].book != b.id]
    return [f"{short(b)} has no such table of its own and reads that of {t.book}." for b, t in lent]


def _notes(every: tuple[Raw, ...]) -> list[str]:
    out: list[str] = []
    for raw in every:
        words: dict[str, list[str]] = {}
        for row in raw.table.rows:
            if row.cell is not None and (note := _own_note(row.cell.note, str(raw.source.get("via", "")))):
                words.setdefault(note, []).append(_row_words(raw, row))
        for note, rows in words.items():
            all_rows = len(rows) == sum(1 for r in raw.table.rows if r.cell is not None)
            where = "" if all_rows else f", {'; '.join(rows[:SOME])}{' and more' * (len(rows) > SOME)}"
            out.append(f"- {short(raw.book)}{where}: {note}")
    return ["Notes:", "", *out] if out else []


def _own_note(note: str, via: str) -> str:
    """Return a note without the source that the whole table has."""
    return note.removesuffix(f"via {via}").rstrip("; ") if via else note


def _row_words(raw: Raw, row: Row) -> str:
    """Return the inputs of a row; a bare number is told with what it counts."""
    return " ".join(
        f"{name.replace('_', ' ')} {text}" if unit == "1" else text
        for name, unit, text in zip(raw.titles, raw.units, _inputs(raw, row), strict=True)
        if text
    )


def _read_by(value_id: str) -> list[str]:
    checks = [link(c.id, f"../checks/{c.id}.md") for c in CHECKS if value_id in of_check(c.id)]
    steps = [f"`{m}`" for m in readers().get(value_id, ())]
    out = [f"- checks: {', '.join(checks)}"] if checks else []
    out += [f"- the layout, the sizes and the lists: {', '.join(steps)}"] if steps else []
    return out or ["- nobody yet: kept for amendments, look-ups and comparing"]


def _values(heading: str, ids: tuple[str, ...]) -> str:
    parts = [part for i in ids for part in _value(i)]
    return page(f"{heading}: single values", [SURE], *parts)


def _value(value_id: str) -> Iterator[list[str]]:
    known = known_values()[value_id]
    yield [f'<a id="{value_id}"></a>', "", *head(known.what, 3)]
    yield [f"`{value_id}`" + (f", one of: {', '.join(known.choices)}" if known.choices else "")]
    rows = [_line(b, value_id) for b in shelf() if own(b, value_id)]
    yield grid(("book", "says", "section", "source", "note"), rows) if rows else ["No book says it."]
    lent = [b for b in shelf() if value_id in b.values and not own(b, value_id)]
    told = [f"- {short(b)} reads that of {b.values[value_id].book}" for b in lent]
    yield [*told, *_read_by(value_id)]


def _line(book: RuleBook, value_id: str) -> tuple[str, ...]:
    cell = book.values[value_id]
    return (
        link(short(book), f"../books/{book.id}.md"),
        cell.printed,
        cell.section,
        sure(cell.status) or "read",
        cell.note,
    )
