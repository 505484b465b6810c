"""What is measured on site against what the plan lets it be: at once, from the windows that the plan has solved."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

from stubout import units
from stubout.run_field.model import Drain, Filling, WallMark
from stubout.run_field.phrases import told
from stubout.run_field.words import Say, english
from stubout.store.model import Kind, Record

State = Literal["within", "out", "open"]
ABOVE: Final = " above "
DATUMS: Final = {"subfloor": "subfloor", "finished": "finished floor"}
NO_LEAKS: Final = ("none", "no", "0", "ninguna", "ninguno", "aucune", "aucun")  # in the languages of the labels
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


def height(mark: WallMark, value: str, system: units.Units, say: Say = english) -> Verdict:
    """Return what a recorded height of a mark is worth against its window."""
    said, _, datum = value.partition(ABOVE)
    planned = mark.above_finished_mm if datum == DATUMS["finished"] else mark.above_subfloor_mm
    if planned is None:
        return Verdict("open", say("no height above {datum} is planned here").format(datum=say(datum or "a floor")))
    away = units.parse_length_mm(said, system) - planned
    if abs(away) <= TOUCH_MM:
        return Verdict("within", say("as planned"))
    high = away > 0
    way = mark.up if high else mark.down
    off = units.named(abs(away), system)
    if way is None:
        words = (
            say("{off} high; how far it may be off is not known")
            if high
            else say("{off} low; how far it may be off is not known")
        )
        return Verdict("open", words.format(off=off))
    may = units.named(way.amount_mm, system)
    if way.bound:
        words = say("{off} high, may be {may} high") if high else say("{off} low, may be {may} low")
    else:
        words = (
            say("{off} high, no rule breaks within {may}") if high else say("{off} low, no rule breaks within {may}")
        )
    told = words.format(off=off, may=may)
    if abs(away) <= way.amount_mm + TOUCH_MM:
        return Verdict("within", told)
    if not way.bound:
        far = say("farther was not looked: write the height into the job and plan again")
        return Verdict("open", f"{told}; {far}")
    return Verdict("out", f"{told}. {way.words}")


def slope(drain: Drain, value: str, system: units.Units, say: Say = english) -> Verdict:
    """Return what a recorded slope is worth against the least slope of the book."""
    measured = units.parse_slope(value)
    shown, least = units.slope(measured, system), told(drain.least_words, say)
    if drain.least is None:
        return Verdict("open", f"{shown}; {least}")
    if drain.least - measured > drain.off_by:
        return Verdict("out", say("{slope}, too flat: {least}").format(slope=shown, least=least))
    return Verdict("within", say("{slope}, not too flat: {least}").format(slope=shown, least=least))


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


def test(filling: Filling, value: str, system: units.Units, say: Say = english) -> Verdict:  # noqa: PT028
    """Return whether a section held: long enough, without a drop, without a leak."""
    one = tested(value)
    try:
        minutes = float(one.minutes)
        start, end = (units.parse_length_mm(v, system) for v in (one.start, one.end))
    except ValueError:
        return Verdict("open", say("levels or minutes cannot be read"))
    if one.leaks.strip().casefold() not in NO_LEAKS:
        return Verdict("out", say("leaks: {leaks}").format(leaks=one.leaks))
    if start - end > TOUCH_MM:
        return Verdict("out", say("the water fell by {drop}").format(drop=units.named(start - end, system)))
    held, hold = f"{minutes:g}", told(filling.hold, say)
    if filling.hold_min is None:
        return Verdict("open", say("held {minutes} min; {hold}").format(minutes=held, hold=hold))
    if not minutes >= filling.hold_min:
        return Verdict("out", say("held {minutes} min, wanted {hold}").format(minutes=held, hold=hold))
    words = say("held {minutes} min of {hold}, no drop, no leak, seen by {witness}")
    return Verdict("within", words.format(minutes=held, hold=hold, witness=one.witness))


def last(records: Iterable[Record], kind: Kind, place: str) -> Record | None:
    """Return the last record of a kind about a place."""
    found = [r for r in records if r.kind is kind and r.place == place]
    return found[-1] if found else None
