"""The records of the site as readings for the as-built packet: the last of each place, heights from the subfloor."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from stubout import units
from stubout.run_field.built import Reading
from stubout.run_field.model import Field, WallMark
from stubout.store.model import Kind, Record
from stubout.web import verdicts
from stubout.web.gates import TITLES


def readings(field: Field, records: Iterable[Record]) -> tuple[Reading, ...]:
    """Return what was measured, tested, signed and noted, as far as it is there in this plan."""
    kept = tuple(records)
    return (*_heights(field, kept), *_slopes(field, kept), *_tests(field, kept), *_words(kept))


def _reading(record: Record, about: str, what: str, value: str) -> Reading:
    return Reading(about, what, value, record.at[:10], record.author)


def _heights(field: Field, kept: tuple[Record, ...]) -> Iterator[Reading]:
    for mark in {m.place: m for side in field.walls for m in side.marks}.values():
        found = verdicts.last(kept, Kind.HEIGHT, mark.place)
        value = above_subfloor(mark, found.value, field.units) if found else None
        if found and value is not None:
            what = "stub height" if mark.kind == "stub" else f"height of {mark.kind}"
            yield _reading(found, mark.about, what, value)


def above_subfloor(mark: WallMark, value: str, system: units.Units) -> str | None:
    """Return a recorded height counted from the subfloor, None if it cannot be."""
    said, _, datum = value.partition(verdicts.ABOVE)
    if datum == verdicts.DATUMS["subfloor"]:
        return said
    if mark.above_subfloor_mm is None or mark.above_finished_mm is None:
        return None
    build_up = mark.above_subfloor_mm - mark.above_finished_mm
    return units.named(units.parse_length_mm(said, system) + build_up, system)


def _slopes(field: Field, kept: tuple[Record, ...]) -> Iterator[Reading]:
    for drain in field.drains:
        found = verdicts.last(kept, Kind.SLOPE, drain.place)
        if found:
            yield _reading(found, drain.about, "slope", found.value)


def _tests(field: Field, kept: tuple[Record, ...]) -> Iterator[Reading]:
    for filling in field.fillings:
        for r in kept:
            if r.kind is Kind.TEST and r.place == filling.place:
                yield _reading(r, f"section {filling.letter}", "test", "; ".join(r.value.splitlines()))


def _words(kept: tuple[Record, ...]) -> Iterator[Reading]:
    for r in kept:
        if r.kind is Kind.SIGN and r.about in TITLES:
            yield _reading(r, TITLES[r.about].lower(), "signed", r.value)
        elif r.kind is Kind.NOTE:
            yield _reading(r, r.about, "note", r.value)
