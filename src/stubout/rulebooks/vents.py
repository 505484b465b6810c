"""Questions about vents, wet vents, terminals and air admittance valves.

The families differ in kind: vents by trap and length tables, one table of loads and lengths, or half the drain.
Which kind a book is stands in the book: `vent.least_method`, `vent.length_method`.
"""

from __future__ import annotations

from fractions import Fraction

from stubout.kinds import FixtureKind
from stubout.problems import NotInBook
from stubout.rulebooks.drains import prefixed
from stubout.rulebooks.model import Cell, RuleBook
from stubout.rulebooks.tables import at, find, least, made, next_size, rows, size_text, size_up, table

MM_PER_FOOT = 304.8


def vent_least_size(book: RuleBook, *, trap_in: float, drain_in: float, kind: FixtureKind | None = None) -> Cell:
    """Return the least individual or common vent [in].

    Args:
        book: The rule book.
        trap_in: Largest trap served [in].
        drain_in: Required size of the drain served [in].
        kind: The fixture; closets may need more.
    """
    if book.value("vent.least_method").text == "by trap":
        cell = at(table(book, "vent_by_trap"), trap_in=trap_in)
    else:
        cell = _half(book, drain_in)
    closet = book.find("vent.closet_least")
    if kind is FixtureKind.WATER_CLOSET and closet is not None and closet.number > cell.number:
        return closet
    return cell


def _half(book: RuleBook, drain_in: float) -> Cell:
    rule = book.value("vent.half_drain")
    floor = book.value("vent.least_size")
    size = next_size(max(rule.number * drain_in, floor.number))
    printed = f"{size_text(size)} ({_part(rule)} of {size_text(drain_in)}, {size_text(floor.number)} at least)"
    return made(rule, size, "in", printed, f"Least vent of a {size_text(drain_in)} drain", floor)


def _part(cell: Cell) -> str:
    """Return in words which part of a size a value asks for."""
    share = Fraction(cell.number).limit_denominator(16)
    if share == Fraction(1, 2):
        return "half"
    return str(share) if abs(float(share) - cell.number) < 1e-6 else f"{cell.number:g}"


def vent_capacity(
    book: RuleBook,
    *,
    load: float,
    length_mm: float,
    stack: bool,
    stack_in: float,
    drain_in: float | None = None,
    horizontal_mm: float = 0.0,
) -> Cell:
    """Return the least vent for a load and a developed length [in].

    Args:
        book: The rule book.
        load: Fixture units vented.
        length_mm: Developed length by the book's measure (`vent.length_from`) [mm].
        stack: Whether it is a stack vent or vent stack, sized by the stack at its base.
        stack_in: Size of that stack [in]; for another vent the size of the drain it serves.
        drain_in: Required size of the drain served, if other than `stack_in` [in].
        horizontal_mm: Horizontal part of the length, where the book limits it [mm].

    Raises:
        NotInBook: If no size of the book suffices.
    """
    method = book.value("vent.length_method").text
    drain = drain_in if drain_in is not None else stack_in
    if method == "one table":
        return _one_table(book, load, length_mm, horizontal_mm)
    if method == "half drain" and not (stack and "stack_vent_length" in book.tables):
        return _half_by_length(book, drain, length_mm)
    if stack:
        cell = _from_lengths(book, "stack_vent_length", load, length_mm, stack_in=stack_in)
        part = book.find("vent.stack_fraction")
        if part is not None and part.number * stack_in > cell.number + 1e-9:
            size = next_size(part.number * stack_in)
            printed = f"{size_text(size)} ({_part(part)} of {size_text(stack_in)})"
            return made(part, size, "in", printed, "Least stack vent", cell)
        return cell
    return _from_lengths(book, "vent_length", load, length_mm)


def _from_lengths(book: RuleBook, table_id: str, load: float, length_mm: float, **fixed: float) -> Cell:
    t = table(book, table_id)
    size, cell = least(t, "vent_in", length_mm, load=load, **fixed)
    return made(
        cell,
        size,
        "in",
        f"{size_text(size)} ({cell.printed} for {load:g} {book.load_unit})",
        "Least vent for load and length",
    )


def _one_table(book: RuleBook, load: float, length_mm: float, horizontal_mm: float) -> Cell:
    """Return the least vent by one table of load and length, with the limit on its horizontal part.

    One size more than the load needs, over the whole length, lifts the length limits where the book says so.
    """
    by_load, load_cell = least(table(book, "vent_load"), "vent_in", load)
    words = f"{load:g} {book.load_unit}, {length_mm / MM_PER_FOOT:.0f} ft"
    what = "Least vent for load and length"
    if _length_holds(book, by_load, length_mm, horizontal_mm):
        return made(load_cell, by_load, "in", f"{size_text(by_load)} ({words})", what)
    lift, steps = book.find("vent.horizontal_lift"), book.find("vent.long_steps")
    if lift is not None and steps is not None:
        size = size_up(by_load, int(steps.number))
        return made(lift, size, "in", f"{size_text(size)} ({words}; {steps.printed})", what, load_cell, steps)
    t = table(book, "vent_max_length")
    for row in sorted(rows(t), key=lambda r: float(r.inputs[0])):
        size = float(row.inputs[0])
        if row.cell is not None and size >= by_load and _length_holds(book, size, length_mm, horizontal_mm):
            return made(row.cell, size, "in", f"{size_text(size)} ({words})", what, load_cell)
    raise NotInBook(f"{t.book} {t.section}: {t.title}: no size suffices for {words}")


def _length_holds(book: RuleBook, vent_in: float, length_mm: float, horizontal_mm: float) -> bool:
    limit_mm = at(table(book, "vent_max_length"), vent_in=vent_in).number
    part = book.find("vent.horizontal_part")
    flat_mm = limit_mm if part is None else part.number * limit_mm
    return length_mm <= limit_mm + 1e-6 and horizontal_mm <= flat_mm + 1e-6


def _half_by_length(book: RuleBook, drain_in: float, length_mm: float) -> Cell:
    cell = _half(book, drain_in)
    limit = book.value("vent.long_from")
    if length_mm <= limit.number + 1e-6:
        return cell
    steps = book.value("vent.long_steps")
    size = size_up(cell.number, int(steps.number))
    printed = f"{size_text(size)} (over {limit.printed}: one size larger)"
    return made(limit, size, "in", printed, f"Least vent of a {size_text(drain_in)} drain, long", cell, steps)


def vent_max_length(book: RuleBook, *, vent_in: float, load: float, stack: bool, stack_in: float) -> Cell | None:
    """Return how long a vent of a size may be [mm], infinite where not limited; None if not permitted or ruled."""
    if stack and "stack_vent_length" in book.tables:
        return find(book, "stack_vent_length", stack_in=stack_in, load=load, vent_in=vent_in)
    if "vent_length" in book.tables:
        return find(book, "vent_length", load=load, vent_in=vent_in)
    return find(book, "vent_max_length", vent_in=vent_in)


def wet_vent_size(book: RuleBook, *, load: float, closets: int, other_load: float) -> Cell:
    """Return the least wet vent [in].

    Args:
        book: The rule book.
        load: All the load that counts (see `wet_vent.last_left_out`), closets included [FU].
        closets: Closets the wet vent serves.
        other_load: Load of the fixtures other than closets [FU].

    Raises:
        NotInBook: If the book has no wet vent for so many closets or so much load.
    """
    t = table(book, "wet_vent")
    columns = {float(r.inputs[0]) for r in t.rows}
    column = float(closets) if columns != {0.0} else 0.0
    if not rows(t, closets=column):
        raise NotInBook(f"{t.book} {t.section}: {t.title} has no column for {closets} closets")
    need = other_load if column > 0 else load
    size, cell = least(t, "size_in", need, closets=column)
    floor = book.find("wet_vent.least")
    if floor is not None and floor.number > size:
        return floor
    return made(cell, size, "in", f"{size_text(size)} (up to {cell.printed})", "Least wet vent")


def wet_vent_rules(book: RuleBook) -> dict[str, Cell]:
    """Return every wet-vent rule by its id without the prefix."""
    return prefixed(book, "wet_vent.")


def circuit_vent_rules(book: RuleBook) -> dict[str, Cell]:
    """Return every circuit-vent rule by its id without the prefix."""
    return prefixed(book, "circuit_vent.")


def island_rules(book: RuleBook) -> dict[str, Cell]:
    """Return every rule of an island vent by its id without the prefix."""
    return prefixed(book, "island.")


def aav_rules(book: RuleBook) -> dict[str, Cell]:
    """Return every rule of air admittance valves by its id without the prefix; `allowed` is yes, no or ask."""
    return prefixed(book, "aav.")


def common_vent_capacity(book: RuleBook, size_in: float) -> Cell | None:
    """Return the largest load of the upper fixture on a common vent at two levels [FU], None if not tabulated."""
    return find(book, "common_vent", size_in=size_in)


def tie_in_above_rim(book: RuleBook) -> Cell:
    """Return how far above the flood rim a vent may join another [mm]; 0 where the book asks for the rim itself."""
    return book.value("vent.tie_in_above_rim")


def dry_rise_above_rim(book: RuleBook) -> Cell:
    """Return how far a dry vent rises above the flood rim before it may run horizontally [mm].

    Where the book has no such rule of its own, the height of the tie-in.
    """
    return book.find("vent.dry_rise") or tie_in_above_rim(book)


def vent_pattern_above_rim(book: RuleBook) -> Cell:
    """Return from how far above the flood rim a bend or tee made for vents may stand [mm].

    Where the book has no such rule of its own, the height of the tie-in.
    """
    return book.find("fitting.vent_pattern_from") or tie_in_above_rim(book)


def terminal_above_roof(book: RuleBook, frost: bool = False) -> Cell:
    """Return how far a vent ends above the roof [mm].

    Args:
        book: The rule book.
        frost: Whether frost may close the vent; some books then ask for more.
    """
    cell = book.value("terminal.above_roof")
    cold = book.find("terminal.frost_above_roof") if frost else None
    return cold if cold is not None and cold.number > cell.number else cell


def terminal_from_opening(book: RuleBook) -> tuple[Cell, Cell]:
    """Return the distance from an opening within which a vent must end above it, and by how much [mm]."""
    return book.value("terminal.opening_distance"), book.value("terminal.opening_height")


def terminal_frost_size(book: RuleBook) -> Cell:
    """Return the least vent through the roof where frost may close it [in]."""
    return book.value("terminal.frost_least")


def terminal_from_lot_line(book: RuleBook) -> Cell | None:
    """Return the distance of a vent terminal from the lot line [mm], None if not ruled."""
    return book.find("terminal.lot_line")


def terminal_rules(book: RuleBook) -> dict[str, Cell]:
    """Return every terminal rule by its id without the prefix."""
    return prefixed(book, "terminal.")


def building_vent_least(book: RuleBook, building_drain_in: float) -> Cell | None:
    """Return the least size of the one vent a building drain must have [in]; None where only the total area counts."""
    fixed = book.find("vent.building_drain_least")
    if fixed is not None:
        return fixed
    part = book.find("vent.building_drain_fraction")
    if part is None:
        return None
    floor = book.value("vent.least_size")
    size = next_size(max(part.number * building_drain_in, floor.number))
    printed = f"{size_text(size)} ({_part(part)} of the required {size_text(building_drain_in)})"
    return made(part, size, "in", printed, "Vent of the building drain to open air", floor)
