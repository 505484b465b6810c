"""Fixture units of a set of fixtures by the book: single rows, bathroom groups, with the steps in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from stubout.house.model import HouseFixture
from stubout.kinds import FixtureKind
from stubout.problems import Basis, NotInBook
from stubout.rulebooks import queries
from stubout.rulebooks.model import Cell, RuleBook

# An open number of shower heads is reckoned as two: the larger of the two loads the question is about.
HEADS_ASSUMED = 2
_GROUP_LARGEST = 4


@dataclass(frozen=True, slots=True)
class Load:
    """Fixture units of some fixtures, how they add up, and what the values rest on."""

    value: float
    steps: tuple[str, ...] = ()
    bases: tuple[Basis, ...] = ()


def fixture_load(book: RuleBook, fixture: HouseFixture, trap_in: float | None = None) -> Cell:
    """Return the load of one fixture [FU] with the trap it really has; by its trap if the book has no row for it.

    Args:
        book: The rule book.
        fixture: The fixture; a shower whose heads are an open question counts with two.
        trap_in: Trap size [in] if laid out; None = as the job says, else the book's least.
    """
    trap = trap_in if trap_in is not None else fixture.trap_in
    try:
        return queries.fixture_load(
            book,
            fixture.kind,
            trap_in=trap,
            heads=heads_of(fixture),
            gpf_over_1_6=fixture.gpf_over_1_6,
            flush_valve=fixture.flush_valve,
            disposer_or_dishwasher=fixture.disposer or bool(fixture.dishwasher),
        )
    except NotInBook:
        least = trap if trap is not None else queries.trap_size(book, fixture.kind).number
        return queries.unlisted_load(book, least)


def heads_of(fixture: HouseFixture) -> int:
    """Return the shower heads reckoned with [1]."""
    return HEADS_ASSUMED if fixture.heads is None else fixture.heads


def load_of(
    book: RuleBook,
    fixtures: Iterable[HouseFixture],
    traps_in: Mapping[str, float] | None = None,
    *,
    groups: bool = True,
) -> Load:
    """Return the load of some fixtures, bathroom groups counted as the book counts them.

    A group takes one closet, one lavatory and one bath fixture of one bathroom; where a bathroom has two bath fixtures
    the one with the smaller saving goes into the group and the other is added at its own load.

    Args:
        book: The rule book.
        fixtures: The fixtures, capped provisions included.
        traps_in: Trap size [in] by tag, where laid out.
        groups: Whether group values may be used (not for wet-vent tables).
    """
    sizes = traps_in or {}
    chosen = sorted(fixtures, key=lambda f: f.tag)
    cells = {f.tag: fixture_load(book, f, sizes.get(f.tag)) for f in chosen}
    total = 0.0
    steps: list[str] = []
    bases: list[Basis] = []
    left = {f.tag: f for f in chosen}
    if groups:
        for room in sorted({f.group for f in chosen if f.group}):
            found = _group(book, [f for f in chosen if f.group == room], cells)
            if found is None:
                continue
            cell, members = found
            total += cell.number
            steps.append(f"bathroom group {room} ({' + '.join(f.tag for f in members)}) {cell.number:g}")
            bases.append(cell.basis)
            for f in members:
                del left[f.tag]
    for f in left.values():
        cell = cells[f.tag]
        total += cell.number
        more = " (heads open, two reckoned)" if f.heads is None and f.kind is FixtureKind.SHOWER else ""
        steps.append(f"{f.tag} {cell.number:g}{more}" + (", capped provision" if f.future else ""))
        bases.append(cell.basis)
    if len(steps) > 1:
        steps.append(f"sum {total:g} {book.load_unit}")
    return Load(total, tuple(steps), tuple(dict.fromkeys(bases)))


def _group(
    book: RuleBook, fixtures: Sequence[HouseFixture], cells: Mapping[str, Cell]
) -> tuple[Cell, tuple[HouseFixture, ...]] | None:
    """Return the largest group of a bathroom and its members; among equals the one that saves least."""
    closets = [f for f in fixtures if f.kind is FixtureKind.WATER_CLOSET]
    if not closets:
        return None
    for size in range(min(_GROUP_LARGEST, len(fixtures)), 1, -1):
        best: tuple[float, Cell, tuple[HouseFixture, ...]] | None = None
        for members in combinations(fixtures, size):
            closet = next((f for f in members if f.kind is FixtureKind.WATER_CLOSET), None)
            if closet is None:
                continue
            kinds = [f.kind for f in members]
            cell = queries.group_load(book, kinds, closet.gpf_over_1_6, closet.flush_valve)
            if cell is None:
                continue
            saved = sum(cells[f.tag].number for f in members) - cell.number
            if saved > 1e-9 and (best is None or saved < best[0] - 1e-9):
                best = (saved, cell, members)
        if best is not None:
            return best[1], best[2]
    return None
