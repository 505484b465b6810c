"""Questions about fixture loads, traps and stub-outs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from typing import NamedTuple

from stubout.kinds import FixtureKind
from stubout.problems import NotInBook, Status
from stubout.rulebooks.model import Cell, RuleBook
from stubout.rulebooks.tables import at, find, has, rows, table
from stubout.units import MM_PER_INCH


class _High(NamedTuple):
    inch: float
    mm: float
    printed: str


_OUTLET_ABOVE_STAND = {
    FixtureKind.BATHTUB: _High(2.0, 50.0, "2 in"),
    FixtureKind.SHOWER: _High(1.5, 38.0, "1-1/2 in"),
}


def fixture_load(
    book: RuleBook,
    kind: FixtureKind,
    *,
    trap_in: float | None = None,
    heads: int | None = 1,
    gpf_over_1_6: bool = False,
    flush_valve: bool = False,
    disposer_or_dishwasher: bool = False,
) -> Cell:
    """Return the load of one fixture [FU].

    Args:
        book: The rule book.
        kind: The fixture.
        trap_in: Trap size [in], for fixtures rated by trap; None = the book's least trap.
        heads: Shower heads on one drain; None counts as one (the caller asks).
        gpf_over_1_6: Closet flushing more than 1.6 US gallons.
        flush_valve: Closet with a direct flush valve.
        disposer_or_dishwasher: Kitchen sink that takes one; dishwasher that drains through a sink or disposer.

    A fixture without a row of its own is rated by its trap, where the book has such a table.

    Raises:
        NotInBook: If the book has no such row.
    """
    if has(book, "fixture_load_by_heads", kind=kind.value):
        return at(table(book, "fixture_load_by_heads"), kind=kind.value, heads=float(heads or 1))
    if has(book, "fixture_load_by_trap", kind=kind.value):
        trap = trap_in if trap_in is not None else trap_size(book, kind).number
        return at(table(book, "fixture_load_by_trap"), kind=kind.value, trap_in=trap)
    variant = ""
    if kind is FixtureKind.WATER_CLOSET:
        variant = _closet_variant(gpf_over_1_6, flush_valve)
    elif disposer_or_dishwasher and kind in (FixtureKind.KITCHEN_SINK, FixtureKind.DISHWASHER):
        variant = "joined"
    if not variant and not has(book, "fixture_load", kind=kind.value) and "unlisted_load" in book.tables:
        trap = trap_in if trap_in is not None else trap_size(book, kind, heads).number
        return replace(unlisted_load(book, trap), what=f"Load of an unlisted fixture by trap, {kind.value}")
    return at(table(book, "fixture_load"), kind=kind.value, variant=variant)


def _closet_variant(gpf_over_1_6: bool, flush_valve: bool) -> str:
    return "flush valve" if flush_valve else "over 1.6 gpf" if gpf_over_1_6 else ""


def _slots(members: str) -> tuple[tuple[FixtureKind, ...], ...]:
    """Return the places of a group, each with the fixtures that may fill it."""
    return tuple(tuple(FixtureKind(k.strip()) for k in slot.split("|")) for slot in members.split("+"))


def _groups(book: RuleBook) -> tuple[tuple[str, tuple[tuple[FixtureKind, ...], ...]], ...]:
    t = book.tables.get("group_members")
    if t is None:
        return ()
    return tuple((str(r.inputs[0]), _slots(r.cell.text)) for r in rows(t) if r.cell is not None)


def group_load(
    book: RuleBook, kinds: Sequence[FixtureKind], gpf_over_1_6: bool = False, flush_valve: bool = False
) -> Cell | None:
    """Return the load of exactly these fixtures as one group [FU], None if the book has no value for them."""
    want = Counter(kinds)
    for name, slots in _groups(book):
        if len(slots) != len(kinds):
            continue
        if any(Counter(choice) == want for choice in product(*slots)):
            closet = FixtureKind.WATER_CLOSET in want
            variant = _closet_variant(gpf_over_1_6, flush_valve) if closet else ""
            return find(book, "group_load", group=name, variant=variant)
    return None


def trap_size(book: RuleBook, kind: FixtureKind, heads: int | None = 1) -> Cell:
    """Return the least trap and trap arm of a fixture [in]."""
    if has(book, "trap_size_by_heads", kind=kind.value):
        return at(table(book, "trap_size_by_heads"), kind=kind.value, heads=float(heads or 1))
    return at(table(book, "trap_size"), kind=kind.value)


def branch_least_size(book: RuleBook, kind: FixtureKind) -> Cell | None:
    """Return the least branch beyond the fixture's trap arm [in], None if the book asks for none."""
    return find(book, "branch_least", kind=kind.value)


def branch_least_from_joint(book: RuleBook) -> Cell | None:
    """Return where that size begins: true where the fixture's own drain is let off, up to what it joins."""
    return book.find("branch_least.from_joint")


def unlisted_load(book: RuleBook, trap_in: float) -> Cell:
    """Return the load of a fixture without a row of its own, by its trap [FU]."""
    return at(table(book, "unlisted_load"), trap_in=trap_in)


def seal_depth(book: RuleBook) -> tuple[Cell, Cell | None]:
    """Return the least and the most trap seal [mm]; no most where the book sets none."""
    return book.value("trap.seal_lo"), book.find("trap.seal_hi")


def tailpiece_max(book: RuleBook) -> Cell:
    """Return the longest way from the fixture outlet to the trap [mm].

    Vertical where the book limits the vertical, else the developed length of the outlet pipe.
    """
    cell = book.find("trap.tailpiece_max") or book.find("trap.outlet_pipe_max")
    if cell is None:
        raise NotInBook(f"{book.id} does not limit the tailpiece")
    return cell


def outlet_to_trap_horizontal(book: RuleBook) -> Cell:
    """Return the longest horizontal way from the fixture outlet to the trap [mm]."""
    return book.value("trap.outlet_horizontal_max")


def standpipe_height(book: RuleBook) -> tuple[Cell, Cell | None]:
    """Return the least and the most standpipe above the trap weir [mm]; no most where the book sets none."""
    return book.value("standpipe.height_lo"), book.find("standpipe.height_hi")


def standpipe_trap_height(book: RuleBook) -> tuple[Cell, Cell] | None:
    """Return how low and high a standpipe trap may sit above the finished floor [mm], None if not ruled."""
    lo, hi = book.find("standpipe.trap_lo"), book.find("standpipe.trap_hi")
    return None if lo is None or hi is None else (lo, hi)


def floor_drain_unvented_min(book: RuleBook) -> Cell | None:
    """Return the least fixture drain of a floor drain without vent [mm], None if it always needs a vent."""
    return book.find("floor_drain.unvented_min")


def floor_drain_unvented_trap(book: RuleBook) -> Cell | None:
    """Return the least trap of a floor drain without vent [in], None if the book asks for no other than with one."""
    return book.find("floor_drain.unvented_trap")


def closet_side_clear(book: RuleBook) -> Cell:
    """Return the least distance from a closet's centre to a side wall or obstruction [mm]."""
    return book.value("closet.side_clear")


def closet_between(book: RuleBook) -> Cell | None:
    """Return the least distance between the centres of two closets side by side [mm], None if not ruled."""
    return book.find("closet.between")


def closet_front_clear(book: RuleBook) -> Cell:
    """Return the least clear space in front of a closet [mm]."""
    return book.value("closet.front_clear")


def tub_outlet_height(kind: FixtureKind, units: str = "mm") -> Cell | None:
    """Return how high the outlet of a tub or shower lies above what it stands on [mm]; None of other fixtures.

    For those whose sheet is not at hand. Their drops to the trap have a most, so it is the high end of what is made:
    from memory, common practice, no source.
    """
    high = _OUTLET_ABOVE_STAND.get(kind)
    if high is None:
        return None
    inch = units == "inch"
    return Cell(
        id="trade.tub_outlet_height",
        what=f"Outlet of a {kind.value} above what it stands on",
        value=high.inch * MM_PER_INCH if inch else high.mm,
        unit="mm",
        printed=high.printed if inch else f"{high.mm:g} mm",
        book="trade",
        section="",
        status=Status.MEMORY,
        note="common practice, no source",
    )


def trap_entry_drop(units: str = "mm") -> Cell:
    """Return what the trade leaves between fixture outlet and trap inlet for nut and washer [mm].

    Common practice, no source: no book gives it.
    """
    inch = units == "inch"
    return Cell(
        id="trade.trap_entry_drop",
        what="Fixture outlet to trap inlet, nut and washer",
        value=50.8 if inch else 50.0,
        unit="mm",
        printed="2 in" if inch else "50 mm",
        book="trade",
        section="",
        status=Status.ESTIMATE,
        note="common practice, no source",
    )
