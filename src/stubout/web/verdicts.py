"""What is measured on site against what the plan lets it be: at once, from the windows that the plan has solved."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

from stubout import units
from stubout.run_field.model import Drain, Filling, WallMark
from stubout.store.model import Kind, Record

State = Literal["within", "out", "open"]
ABOVE: Final = " above "
DATUMS: Final = {"subfloor": "subfloor", "finished": "finished floor"}
TOUCH_MM: Final = 0.05  # of rounding: a window is given to 1 mm or 1/16 in


@dataclass(frozen=True, slots=True)
class Verdict:
    """What is said of one reading."""

    state: State
    words: str


def height_value(said: str, datum: str, system: units.Units) -> str:
    """Return a height as it is recorded; UnitError if it is no length, KeyError if there is no such datum."""
    units.parse_length_mm(said, system)
    return f"{said.strip()}{ABOVE}{DATUMS[datum]}"


def height(mark: WallMark, value: str, system: units.Units) -> Verdict:
    """Return what a recorded height of a mark is worth against its window."""
    said, _, datum = value.partition(ABOVE)
    planned = mark.above_finished_mm if datum == DATUMS["finished"] else mark.above_subfloor_mm
    if planned is None:
        return Verdict("open", f"no height above {datum or 'a floor'} is planned here")
    off = units.parse_length_mm(said, system) - planned
    way = mark.up if off > 0 else mark.down
    where = "high" if off > 0 else "low"
    if abs(off) <= TOUCH_MM:
        return Verdict("within", "as planned")
    shown = units.named(abs(off), system)
    if way is None:
        return Verdict("open", f"{shown} {where}; how far it may be off is not known")
    amount = units.named(way.amount_mm, system)
    may = f"may be {amount} {where}" if way.bound else f"no rule breaks within {amount}"
    if abs(off) <= way.amount_mm + TOUCH_MM:
        return Verdict("within", f"{shown} {where}, {may}")
    if not way.bound:
        far = "farther was not looked: write the height into the job and plan again"
        return Verdict("open", f"{shown} {where}; {may}, {far}")
    return Verdict("out", f"{shown} {where}, {may}. {way.words}")


def slope(drain: Drain, value: str, system: units.Units) -> Verdict:
    """Return what a recorded slope is worth against the least slope of the book."""
    measured = units.parse_slope(value)
    shown = units.slope(measured, system)
    if drain.least is None:
        return Verdict("open", f"{shown}; {drain.least_words}")
    if drain.least - measured > drain.off_by:
        return Verdict("out", f"{shown}, too flat: {drain.least_words}")
    return Verdict("within", f"{shown}, not too flat: {drain.least_words}")


@dataclass(frozen=True, slots=True)
class Tested:
    """One water test of a section, as it is written down."""

    start: str  # water level at the start, as it was read
    end: str
    minutes: str
    leaks: str
    witness: str

    @property
    def value(self) -> str:
        """Return the record as text: one line a field, so that it reads as it stands."""
        return "\n".join(f"{n}: {getattr(self, k).strip()}" for k, n in _TEST_LINES)


_TEST_LINES: Final = (
    ("start", "level at start"),
    ("end", "level at end"),
    ("minutes", "minutes"),
    ("leaks", "leaks"),
    ("witness", "witness"),
)


def tested(value: str) -> Tested:
    """Return a test as it was recorded."""
    said = dict(line.partition(": ")[::2] for line in value.splitlines())
    return Tested(**{k: said.get(n, "") for k, n in _TEST_LINES})


def test(filling: Filling, value: str, system: units.Units) -> Verdict:
    """Return whether a section held: long enough, without a drop, without a leak."""
    one = tested(value)
    try:
        minutes = float(one.minutes)
        start, end = (units.parse_length_mm(v, system) for v in (one.start, one.end))
    except ValueError:
        return Verdict("open", "levels or minutes cannot be read")
    if one.leaks.strip().casefold() not in ("none", "no", "0"):
        return Verdict("out", f"leaks: {one.leaks}")
    if start - end > TOUCH_MM:
        return Verdict("out", f"the water fell by {units.named(start - end, system)}")
    if filling.hold_min is None:
        return Verdict("open", f"held {minutes:g} min; {filling.hold}")
    if minutes < filling.hold_min:
        return Verdict("out", f"held {minutes:g} min, wanted {filling.hold}")
    return Verdict("within", f"held {minutes:g} min of {filling.hold}, no drop, no leak, seen by {one.witness}")


def last(records: Iterable[Record], kind: Kind, place: str) -> Record | None:
    """Return the last record of a kind about a place."""
    found = [r for r in records if r.kind is kind and r.place == place]
    return found[-1] if found else None
