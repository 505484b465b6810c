"""Questions about trap arms, drains, stacks, cleanouts and fittings."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Literal, NamedTuple

from stubout import units
from stubout.kinds import FixtureKind
from stubout.problems import NotInBook
from stubout.rulebooks.model import Cell, RuleBook
from stubout.rulebooks.tables import TURN_WORDS, at, find, inch_text, made, rows, size_text, size_up, table

MM_PER_INCH = 25.4


def _diameters(rule: Cell, size_in: float, what: str) -> Cell:
    length_mm = rule.number * size_in * MM_PER_INCH
    return made(
        rule,
        length_mm,
        "mm",
        f"{rule.number:g} x {size_text(size_in)} = {inch_text(rule.number * size_in)} in ({length_mm:.0f} mm)",
        f"{what}, {size_text(size_in)}",
    )


def _named(cell: Cell, what: str) -> Cell:
    return replace(cell, what=what)


def arm_max_length(book: RuleBook, size_in: float) -> Cell:
    """Return the longest trap arm along the pipe, weir to vent fitting [mm]."""
    return at(table(book, "trap_arm"), size_in=size_in)


def arm_min_length(book: RuleBook, size_in: float) -> Cell:
    """Return the shortest trap arm along the pipe, weir to vent fitting [mm]."""
    return _diameters(book.value("trap_arm.min_diameters"), size_in, "Shortest trap arm")


def arm_max_fall(book: RuleBook, size_in: float) -> Cell:
    """Return the largest fall of a trap arm over its length [mm]."""
    return _diameters(book.value("trap_arm.max_fall_diameters"), size_in, "Largest fall of a trap arm")


def floor_drain_unvented_fall(book: RuleBook, size_in: float) -> Cell:
    """Return the largest fall of the fixture drain of a floor drain without vent [mm].

    Where the book has no such rule of its own, the fall of a trap arm.
    """
    rule = book.find("floor_drain.unvented_fall_diameters")
    if rule is None:
        return arm_max_fall(book, size_in)
    return _diameters(rule, size_in, "Largest fall of the drain of a floor drain without vent")


def arm_slope(book: RuleBook, size_in: float) -> Cell:
    """Return the slope the trap-arm length is for [m/m]."""
    return at(table(book, "trap_arm_slope"), size_in=size_in)


def arm_max_turn(book: RuleBook, kind: FixtureKind, size_in: float) -> Cell:
    """Return the largest change of direction in a trap arm, all bends together [deg]."""
    part = "closet" if kind is FixtureKind.WATER_CLOSET else "other"
    cell = at(table(book, "trap_arm_turn"), part=part, size_in=size_in)
    return _named(cell, f"Turns of a trap arm together, {kind.value}, {size_text(size_in)}")


class ClosetReach(NamedTuple):
    """How far a closet may be from its vent [mm]; None = not limited by the book."""

    flat: Cell | None
    upright: Cell | None
    along: Cell | None
    """Flat and upright together, from the flange: the drop below it counts."""


def closet_vent_reach(book: RuleBook) -> ClosetReach:
    """Return how far a closet may be from its vent [mm]."""
    return ClosetReach(*(book.find(f"closet_arm.{part}") for part in ("horizontal", "vertical", "developed")))


def sleeve(book: RuleBook, size_in: float, system: units.Units) -> tuple[str, Cell | None]:
    """Return in words what a sleeve round a pipe in concrete has to be, and the value that says it.

    "" and what else the book says of concrete, or None, where it names no measure.
    """
    clear, larger = book.find("protect.sleeve_clear"), book.find("protect.sleeve_sizes")
    words = f" with {units.both(clear.number, system)} all round" if clear is not None and clear.unit == "mm" else ""
    if larger is not None:
        words += f", in {size_text(size_up(size_in, int(larger.number)))} pipe"
    return words, clear or larger or book.find("protect.concrete")


def min_slope(book: RuleBook, size_in: float) -> Cell:
    """Return the least slope of a horizontal drain, without any approval [m/m]."""
    return _named(at(table(book, "min_slope"), size_in=size_in), f"Least slope of a drain, {size_text(size_in)}")


def slope_by_approval(book: RuleBook, size_in: float) -> Cell | None:
    """Return the lesser slope the authority may allow [m/m], None if the book knows none."""
    cell = find(book, "approved_slope", size_in=size_in)
    return cell and _named(cell, f"Slope by approval only, {size_text(size_in)}")


def slopes_offered(book: RuleBook, size_in: float) -> tuple[Cell, ...]:
    """Return the slopes of the capacity table for a size, flattest first [m/m].

    Slopes below the book's least slope (to be had by approval only) are left out. Sizes the table does not hold
    (branches below it) have the least slope only.
    """
    t = table(book, "building_drain")
    least_cell = min_slope(book, size_in)
    least = least_cell.number
    out: list[Cell] = []
    for row in rows(t, size_in=size_in):
        slope = float(row.inputs[1])
        if row.cell is None or slope < least - 1e-6:
            continue
        words = row.cell.what.rpartition(", ")[2]
        out.append(made(row.cell, slope, "m/m", words, f"Slope offered, {size_text(size_in)}"))
    if not out:
        return (least_cell,)
    return tuple(sorted(out, key=lambda c: c.number))


def branch_capacity(book: RuleBook, size_in: float) -> Cell:
    """Return the largest load on a horizontal fixture branch [FU]."""
    return at(table(book, "branch"), size_in=size_in)


def stack_capacity(book: RuleBook, size_in: float) -> Cell:
    """Return the largest load on a whole stack [FU]."""
    return at(table(book, "stack"), size_in=size_in)


def stack_storey_capacity(book: RuleBook, size_in: float) -> Cell:
    """Return the largest load on a stack from one storey or branch interval [FU]."""
    return at(table(book, "stack_storey"), size_in=size_in)


def building_drain_capacity(book: RuleBook, size_in: float, slope: float) -> Cell:
    """Return the largest load on a building drain, its branches or the sewer [FU].

    A slope between two columns counts as the flatter one.
    """
    return at(table(book, "building_drain"), size_in=size_in, slope=slope)


def building_drain_least_size(book: RuleBook, closets: int) -> Cell:
    """Return the least building drain for the closets it serves [in]."""
    cell = at(table(book, "building_drain_least"), closets=float(closets))
    return _named(cell, f"Least building drain, {closets} closets")


def closet_drain_least_size(book: RuleBook) -> Cell:
    """Return the least drain of a water closet [in]."""
    return book.value("closet.drain_least")


def max_closets(book: RuleBook, size_in: float, orientation: Literal["horizontal", "vertical"]) -> Cell | None:
    """Return how many closets a pipe may carry, None if the book counts none for this size."""
    return find(book, "max_closets", orientation=orientation, size_in=size_in)


def stack_foot_clear(book: RuleBook, stack_in: float) -> Cell:
    """Return the distance from the foot of a stack within which nothing joins [mm].

    The conditions stand in the note and in `stack_foot.load_from`, `stack_foot.storeys_from`.
    """
    fixed = book.find("stack_foot.distance")
    if fixed is not None:
        return fixed
    return _diameters(book.value("stack_foot.diameters"), stack_in, "Nothing joins within this of the stack foot")


def stack_foot_applies(book: RuleBook, load: float, storeys: int) -> bool:
    """Return whether the foot of a stack with this load [FU] from so many storeys must be kept clear."""
    load_from, storeys_from = book.find("stack_foot.load_from"), book.find("stack_foot.storeys_from")
    if load_from is None and storeys_from is None:
        return True
    return (load_from is not None and load >= load_from.number) or (
        storeys_from is not None and storeys >= storeys_from.number
    )


def cleanout_size(book: RuleBook, pipe_in: float) -> Cell:
    """Return the least cleanout of a pipe [in]."""
    return at(table(book, "cleanout_size"), pipe_in=pipe_in)


def cleanout_opens(book: RuleBook, cleanout_in: float, pipe_in: float, *, trap: bool) -> bool:
    """Return whether a cleanout is large enough for a pipe; a removable trap may be some sizes smaller."""
    steps = book.find("cleanout.trap_steps") if trap else None
    counts_in = cleanout_in if steps is None else size_up(cleanout_in, int(steps.number))
    return counts_in >= cleanout_size(book, pipe_in).number - 1e-6


def cleanout_clearance(book: RuleBook, pipe_in: float) -> Cell:
    """Return the free space in front of a cleanout [mm]."""
    cell = at(table(book, "cleanout_clearance"), pipe_in=pipe_in)
    return _named(cell, f"Free space in front of a cleanout, {size_text(pipe_in)} pipe")


def cleanout_spacing(book: RuleBook, pipe_in: float) -> Cell:
    """Return how far apart cleanouts may be [mm]."""
    cell = at(table(book, "cleanout_spacing"), pipe_in=pipe_in)
    return _named(cell, f"Cleanouts apart, {size_text(pipe_in)} pipe")


def cleanout_turn(book: RuleBook) -> Cell:
    """Return the turn beyond which a cleanout is needed [deg]; `cleanout.turn_rule` says whether each or in total."""
    return book.value("cleanout.turn")


def cleanout_rules(book: RuleBook) -> dict[str, Cell]:
    """Return every cleanout rule of the book by its id without the prefix."""
    return prefixed(book, "cleanout.")


def prefixed(book: RuleBook, prefix: str) -> dict[str, Cell]:
    """Return the single values whose id begins so, by the rest of the id, sorted."""
    return {k.removeprefix(prefix): c for k, c in sorted(book.values.items()) if k.startswith(prefix)}


Turn = Literal["h-v", "v-h", "h-h"]
_ALIAS = {
    "quarter bend": "1/4 bend",
    "street 1/4 bend": "1/4 bend",
    "street 1/6 bend": "1/6 bend",
    "street 1/8 bend": "1/8 bend",
    "street 1/16 bend": "1/16 bend",
    "long sweep": "long-turn 1/4 bend",
    "long sweep 1/4 bend": "long-turn 1/4 bend",
    "long-turn street 1/4 bend": "long-turn 1/4 bend",
    "combination wye + 1/8 bend": "combination",
    "combination wye and 1/8 bend": "combination",
    "reducing wye": "wye",
    "double fixture fitting": "double combination",
}
_PART = re.compile(
    r"(?P<yes>yes)|(?P<no>no)|(?P<any>fixture drain)|fixture drain to (?P<to>[\d.]+) in|(?P<up>[\d.]+) in and larger"
)


def fitting_allowed(book: RuleBook, pattern: str, turn: Turn, *, size_in: float, fixture_drain: bool) -> Cell:
    """Return whether a fitting may make a change of direction (a yes/no cell; its note has the condition).

    Args:
        book: The rule book.
        pattern: Catalogue word of the fitting.
        turn: "h-v" horizontal to vertical, "v-h" vertical to horizontal, "h-h" horizontal to horizontal.
        size_in: Nominal size [in].
        fixture_drain: Whether the pipe serves one fixture only (trap arm, fixture drain).

    Raises:
        NotInBook: If the book has no row for the pattern.
    """
    word = _ALIAS.get(pattern, pattern)
    cell = at(table(book, "fitting_turn"), pattern=word, turn=turn)
    allowed = any(_holds(part.strip(), size_in, fixture_drain, cell) for part in cell.text.split(";"))
    return made(cell, allowed, "", cell.printed, f"{pattern}, {TURN_WORDS[turn]}")


def _holds(part: str, size_in: float, fixture_drain: bool, cell: Cell) -> bool:
    hit = _PART.fullmatch(part)
    if hit is None:
        raise NotInBook(f"{cell.book}: {cell.id} says {cell.text!r}, which has no reading")
    if hit["yes"] or hit["no"]:
        return bool(hit["yes"])
    if hit["any"]:
        return fixture_drain
    if hit["to"]:
        return fixture_drain and size_in <= float(hit["to"]) + 1e-9
    return size_in >= float(hit["up"]) - 1e-9


def double_tee_barrel(book: RuleBook, inlet_in: float) -> Cell | None:
    """Return the least barrel of a double sanitary tee with so large an inlet [in]; None where the book asks for none.

    Sizes are counted as `size_up` counts them: 2-1/2 in is one, 3-1/2 in, which is no pipe of a house, is none. Where
    3-1/2 in counts too (UPC 706.2, from memory), inlets of 3 in take a barrel of 4 in, a size less than here.
    """
    steps = book.find("fitting.double_tee_steps_over")
    if steps is None:
        return None
    least_in = size_up(inlet_in, int(steps.number))
    what = f"Barrel of a double sanitary tee with a {size_text(inlet_in)} inlet, least"
    return made(steps, least_in, "in", f"{size_text(least_in)} ({steps.printed} over {size_text(inlet_in)})", what)


def hanger_spacing(
    book: RuleBook, material: str, orientation: Literal["horizontal", "vertical"], size_in: float
) -> Cell:
    """Return how far apart the supports of a pipe may be [mm].

    Raises:
        NotInBook: If the book gives no number, for example "base and each floor"; see `support.vertical`.
    """
    cell = at(table(book, "hanger"), material=material, orientation=orientation, size_in=size_in)
    return _named(cell, f"Supports apart, {size_text(size_in)} {material}, {orientation}")
