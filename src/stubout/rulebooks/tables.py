"""Looking up a row: matching of inputs, the least size that suffices, and one value made from others.

A row of the page is found by its inputs only; outside the table is an error, never the last row by silence.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from stubout.problems import AskInspector, NotInBook, weakest
from stubout.rulebooks.model import Cell, Match, Row, RuleBook, Table, Value

MATCH_TOL = 1e-4  # relative: a slope laid to the millimetre is the slope of the column
MOST_REMEMBERED = 4000  # answers of one table: slopes and lengths are any number
SIZES_IN = (1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0)  # nominal sizes of the trade


def table(book: RuleBook, table_id: str) -> Table:
    """Return a table of the book; raises NotInBook."""
    try:
        return book.tables[table_id]
    except KeyError:
        raise NotInBook(f"{book.id} has no such table ({table_id})") from None


def _tol(a: float) -> float:
    return MATCH_TOL * max(abs(a), 1e-6)


def _same(a: Value, b: Value) -> bool:
    if isinstance(a, str) or isinstance(b, str) or isinstance(a, bool) or isinstance(b, bool):
        return a == b
    return abs(a - b) <= _tol(float(b))


def _pick(rows: Sequence[Row], k: int, match: Match, wanted: Value) -> list[Row]:
    """Return the rows whose input `k` answers to `wanted`; empty if none does."""
    if match == "exact":
        return [r for r in rows if _same(r.inputs[k], wanted)]
    if isinstance(wanted, (str, bool)):
        return []
    have = sorted({float(r.inputs[k]) for r in rows if not isinstance(r.inputs[k], (str, bool))})
    if match == "next_larger":
        fit = [h for h in have if h >= wanted - _tol(wanted)]
        best = fit[0] if fit else None
    else:
        fit = [h for h in have if h <= wanted + _tol(wanted)]
        best = fit[-1] if fit else None
    return [] if best is None else [r for r in rows if r.inputs[k] == best]


def _asked(t: Table, inputs: dict[str, Value]) -> str:
    return ", ".join(f"{name} {_fmt(inputs[name])}" for name, _ in t.inputs if name in inputs)


TURN_WORDS = {  # from what to what the flow turns
    "h-v": "lying into upright",
    "v-h": "upright into lying",
    "h-h": "lying into lying",
    "v-v": "upright into upright",
}


def _fmt(v: Value) -> str:
    return TURN_WORDS.get(v, v) if isinstance(v, str) else f"{v:g}"


def row_id(table_id: str, inputs: tuple[Value, ...]) -> str:
    """Return the id of a row, as amendments name it; empty inputs are left out.

    >>> row_id("trap_arm", (1.5,)), row_id("fixture_load", ("bidet", ""))
    ('trap_arm[1.5]', 'fixture_load[bidet]')
    """
    return f"{table_id}[{','.join(v if isinstance(v, str) else f'{v:.6g}' for v in inputs if v != '')}]"


def canonical(value_id: str) -> str:
    """Return the one spelling of an id as the user may write it.

    >>> canonical("trap_arm[size_in=1.50]"), canonical("terminal.above_roof")
    ('trap_arm[1.5]', 'terminal.above_roof')
    """
    table_id, bracket, rest = value_id.strip().partition("[")
    if not bracket or not rest.endswith("]"):
        return value_id.strip()
    return row_id(table_id.strip(), tuple(_input(part.split("=")[-1].strip()) for part in rest[:-1].split(",")))


def _input(text: str) -> Value:
    try:
        return float(text)
    except ValueError:
        return text


def rows(t: Table, **inputs: Value) -> tuple[Row, ...]:
    """Return the rows that answer to the inputs given; inputs left out stay open.

    Raises:
        AskInspector: If one of them waits for the inspector's answer.
    """
    found = _rows(t, inputs)
    for row in found:
        _refuse_asked(row)
    return found


def _refuse_asked(row: Row) -> None:
    if row.asked:
        raise AskInspector(row.asked)


def _rows(t: Table, inputs: dict[str, Value]) -> tuple[Row, ...]:
    """Return the rows that answer to some inputs; what was asked before is remembered, since rows never change."""
    asking = tuple(inputs.items())
    found = t.found.get(asking)
    if found is None:
        if len(t.found) >= MOST_REMEMBERED:
            t.found.clear()
        found = t.found[asking] = _searched(t, inputs)
    return found


def _searched(t: Table, inputs: dict[str, Value]) -> tuple[Row, ...]:
    names = [name for name, _ in t.inputs]
    unknown = sorted(set(inputs) - set(names))
    if unknown:
        raise NotInBook(f"{t.book}: table {t.id} has no input {', '.join(unknown)}; it has {', '.join(names)}")
    found: list[Row] = list(t.rows)
    for k, (name, match) in enumerate(t.inputs):
        if name in inputs:
            found = _pick(found, k, match, inputs[name])
    return tuple(found)


def row_at(t: Table, **inputs: Value) -> Row | None:
    """Return the one row for a full set of inputs, None where the table has no such row."""
    found = rows(t, **inputs)
    if not found:
        return None
    _tell(t, found[0])
    return found[0]


def _tell(t: Table, row: Row) -> None:
    if t.watch is not None and row.cell is not None:
        t.watch(row.cell)


def at(t: Table, **inputs: Value) -> Cell:
    """Return the cell for a full set of inputs; raises NotInBook outside the table or where not permitted."""
    row = row_at(t, **inputs)
    if row is None:
        raise NotInBook(f"{t.book} {t.section}: {t.title} has no row for {_asked(t, inputs)}")
    if row.cell is None:
        raise NotInBook(f"{t.book} {t.section}: {t.title}: {_asked(t, inputs)} is not permitted")
    return row.cell


def find(book: RuleBook, table_id: str, **inputs: Value) -> Cell | None:
    """Return the cell, None if the book has no such table, row, or does not permit it."""
    t = book.tables.get(table_id)
    row = None if t is None else row_at(t, **inputs)
    return None if row is None else row.cell


def has(book: RuleBook, table_id: str, **inputs: Value) -> bool:
    """Return whether a table of the book holds a row for the inputs."""
    t = book.tables.get(table_id)
    return t is not None and bool(rows(t, **inputs))


def least(t: Table, size_name: str, need: float, **fixed: Value) -> tuple[float, Cell]:
    """Return the least size whose cell is at least `need`, with that cell.

    Args:
        t: A table of capacities or lengths by size.
        size_name: Input that is the size [in], matched exactly.
        need: What must be carried or reached, in the unit of the table.
        **fixed: The other inputs.

    Raises:
        NotInBook: If no size of the table suffices.
    """
    k = [name for name, _ in t.inputs].index(size_name)
    for row in sorted(_rows(t, fixed), key=lambda r: float(r.inputs[k])):
        _refuse_asked(row)
        if row.cell is not None and row.cell.number >= need - 1e-6:
            _tell(t, row)
            return float(row.inputs[k]), row.cell
    raise NotInBook(f"{t.book} {t.section}: {t.title}: no size suffices for {need:g} ({_asked(t, fixed)})")


def next_size(at_least_in: float) -> float:
    """Return the least nominal size not below a number of inches."""
    for size in SIZES_IN:
        if size >= at_least_in - 1e-9:
            return size
    raise NotInBook(f"no nominal size of {at_least_in:g} in or more")


def size_up(size_in: float, steps: int = 1) -> float:
    """Return the nominal size so many steps larger [in]."""
    k = SIZES_IN.index(next_size(size_in)) + steps
    if k >= len(SIZES_IN):
        raise NotInBook(f"no nominal size {steps} above {size_in:g} in")
    return SIZES_IN[k]


def size_text(size_in: float) -> str:
    """Return a nominal size as the trade writes it.

    >>> size_text(1.25), size_text(3.0)
    ('1-1/4 in', '3 in')
    """
    return f"{inch_text(size_in)} in"


def inch_text(number: float) -> str:
    """Return inches with a fraction down to sixteenths, decimals where it is none.

    >>> inch_text(0.25), inch_text(42.0), inch_text(0.0575)
    ('1/4', '42', '0.0575')
    """
    whole = int(number)
    part = (number - whole) * 16
    n = round(part)
    if abs(part - n) > 1e-6:
        return f"{number:g}"
    if n == 0:
        return f"{whole}"
    d = 16
    while n % 2 == 0:
        n, d = n // 2, d // 2
    return f"{whole}-{n}/{d}" if whole else f"{n}/{d}"


def made(base: Cell, value: Value, unit: str, printed: str, what: str = "", *others: Cell) -> Cell:
    """Return a value reckoned from a rule and others; as weak as the weakest of them.

    The source named is that of `base`, the rule that decides.
    """
    status = weakest([base.status, *(c.status for c in others)])
    of = tuple(dict.fromkeys(i for c in (base, *others) for i in c.ids))
    return replace(base, value=value, unit=unit, printed=printed, what=what or base.what, status=status, of=of)
