"""Questions about drains that vent what joins them: combination drain and vent, single stack, waste stack."""

from __future__ import annotations

from stubout.kinds import FixtureKind
from stubout.problems import NotInBook
from stubout.rulebooks.drains import branch_capacity
from stubout.rulebooks.loads import trap_size
from stubout.rulebooks.model import Cell, RuleBook
from stubout.rulebooks.tables import SIZES_IN, at, find, least, made, next_size, size_text, table

LADDER_IN = tuple(sorted({*SIZES_IN, 3.5}))  # with the half size that no drain is made in: it counts all the same


def combination_least(book: RuleBook, load: float, building_drain: bool) -> Cell:
    """Return the least pipe of a combination drain and vent [in].

    Args:
        book: The rule book.
        load: What drains through the pipe [FU].
        building_drain: Whether it is the building drain, which some books let carry more.

    Raises:
        NotInBook: If the book has no such size.
    """
    steps = book.find("combination.sizes_up")
    if steps is not None:
        plain = next((s for s in SIZES_IN if _carries(book, s, load)), None)
        if plain is None:
            raise NotInBook(f"{book.id}: no branch carries {load:g} {book.load_unit}")
        return _up(steps, plain, f"Least combination drain for {load:g} {book.load_unit}")
    t = table(book, "combination_building_drain" if building_drain else "combination_branch")
    size, cell = least(t, "size_in", load)
    return made(cell, size, "in", f"{size_text(size)} (up to {cell.printed})", "Least combination drain")


def _carries(book: RuleBook, size_in: float, load: float) -> bool:
    try:
        return branch_capacity(book, size_in).number >= load - 1e-6
    except NotInBook:
        return False


def combination_trap_least(book: RuleBook, kind: FixtureKind, heads: int = 1) -> Cell:
    """Return the least trap and arm of a fixture on a combination drain [in]; NotInBook where it is like any other."""
    return _up(book.value("combination.sizes_up"), trap_size(book, kind, heads).number, f"Trap of a {kind.value}")


def _up(steps: Cell, size_in: float, what: str) -> Cell:
    """Return a size so many steps up the ladder, in a size that is made."""
    i = LADDER_IN.index(size_in) + int(steps.number)
    if i >= len(LADDER_IN):
        raise NotInBook(f"no nominal size {steps.number:g} above {size_in:g} in")
    size = next_size(LADDER_IN[i])
    return made(steps, size, "in", f"{size_text(size)} ({size_text(size_in)} and {steps.printed})", what)


def single_stack_capacity(book: RuleBook, size_in: float) -> Cell:
    """Return the largest load on a single stack [FU]."""
    return at(table(book, "single_stack"), size_in=size_in)


def waste_stack_capacity(book: RuleBook, size_in: float) -> Cell:
    """Return the largest load on a whole waste stack [FU]."""
    return at(table(book, "waste_stack"), size_in=size_in)


def waste_stack_interval_capacity(book: RuleBook, size_in: float) -> Cell | None:
    """Return the largest load on a waste stack from one storey [FU]; None where the size has no limit."""
    return find(book, "waste_stack_interval", size_in=size_in)
