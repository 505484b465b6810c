"""The tables of faults: what is done to which clean system, and what must be found there."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any
from zlib import crc32

from seeding.bench import Bench
from seeding.edits import Edit, bench, judged, news, under
from seeding.systems import BOOKS, GRAVE, system
from stubout.checks.registry import CHECKS, run_all
from stubout.design import Design
from stubout.problems import Finding

DATA = Path(__file__).parents[1] / "data"
LEVELS = {c.id: c.level.value for c in CHECKS}
NO_BOOK = (
    "common practice",
    "job",
    "catalogue",
    "every book",
    "trap reach",
    "trap drop",
    "trap entry drop",
    "fitting angle play",
)
SPARE = 0.5  # amounts are printed to the millimetre: half of it on top


@dataclass(frozen=True)
class Fault:
    """One seeded fault, or one limit with a value inside and one outside by book."""

    id: str
    topic: str
    system: str
    check: str
    edit: list[Edit]
    source: str
    books: tuple[str, ...] = BOOKS
    given: list[Edit] = field(default_factory=list)  # still clean with these
    x: float | None = None  # stands for "$x" in the edits
    limits: dict[str, list[float]] = field(default_factory=dict)  # by book: just inside, just outside
    level: str = ""
    about: str = ""  # an id the finding must name
    companions: dict[str, str] = field(default_factory=dict)  # check and why it is true as well
    companion_books: dict[str, tuple[str, ...]] = field(default_factory=dict)
    limits_of: list[str] = field(default_factory=list)  # what the values are just inside and outside of; else `source`
    fix: str = ""  # "+x", "-x": move x by the amount told; "size": lay in the size told; "load": take load off

    def expected(self, book: str) -> frozenset[str]:
        """Return the checks that must find it under a book, and no other may."""
        true_too = {c for c in self.companions if book in self.companion_books.get(c, self.books)}
        return frozenset({self.check} | true_too)

    def edits(self, x: float | None = None) -> list[Edit]:
        """Return what stands on the table: the given part and the fault, with its value."""
        return [*self.given, *fill(self.edit, self.x if x is None else x)]


def fill(thing: Any, x: float | None) -> Any:
    """Return data with every "$x" replaced by a value, "$x-3000" by the value less 3000."""
    if isinstance(thing, dict):
        return {k: fill(v, x) for k, v in thing.items()}
    if isinstance(thing, list):
        return [fill(v, x) for v in thing]
    if isinstance(thing, str) and (m := re.fullmatch(r"\$x([+-]\d+)?", thing)):
        return x if x is None else x + float(m.group(1) or 0)
    return thing


@cache
def faults() -> tuple[Fault, ...]:
    """Return the seeded faults, in the order of the files."""
    return tuple(_fault(row) for row in _rows("fault"))


@cache
def edges() -> tuple[Fault, ...]:
    """Return the numeric limits with values just inside and just outside."""
    return tuple(_fault(row) for row in _rows("edge"))


def _rows(kind: str) -> Iterable[dict[str, Any]]:
    for path in sorted(DATA.glob("*.toml")):
        yield from tomllib.loads(path.read_text(encoding="utf-8")).get(kind, ())


def _usual_books(source: str, name: str) -> tuple[str, ...]:
    """Return the books a fault is tried under: where a book decides, two of them, else one; its name says which."""
    number = crc32(name.encode())
    if source in NO_BOOK:
        return (BOOKS[number % len(BOOKS)],)
    return (BOOKS[number % 2], BOOKS[2 + number // 2 % 2])


def _fault(row: dict[str, Any]) -> Fault:
    row = dict(row)
    row["companions"] = row.pop("with", {})
    row["companion_books"] = {k: tuple(v) for k, v in row.pop("with_books", {}).items()}
    if "limits" in row:
        row["books"] = tuple(row["limits"])
    row["books"] = tuple(row.get("books") or _usual_books(row["source"], row["id"]))
    row.setdefault("level", LEVELS[row["check"]])
    return Fault(**row)


@cache
def _given(fault_id: str, book: str) -> tuple[Finding, ...]:
    fault = next(f for f in (*faults(), *edges()) if f.id == fault_id)
    return judged(system(fault.system, book), fault.given)


def given(fault: Fault, book: str) -> tuple[Finding, ...]:
    """Return what is found before the fault is seeded; it must be nothing grave."""
    return _given(fault.id, book) if fault.given else ()


def found(fault: Fault, book: str, x: float | None = None) -> tuple[Finding, ...]:
    """Return what is found in a system with a fault and was not found without it."""
    made = system(fault.system, book)
    before = {(f.check, f.about, f.found) for f in given(fault, book)}
    return tuple(f for f in judged(made, fault.edits(x)) if (f.check, f.about, f.found) not in before)


def cured(fault: Fault, book: str, told: Iterable[Finding], x: float) -> bool | None:
    """Return whether the system is clear of the fault's own check once what a finding tells is done.

    None where the finding tells no amount.
    """
    own = [f for f in told if f.check == fault.check]
    told_what = {"size": told_size, "load": told_load}.get(fault.fix)
    new = told_what(own, x) if told_what else told_place(fault, own, x)
    if new is None:
        return None
    return not any(f.check == fault.check for f in found(fault, book, new))


def told_place(fault: Fault, own: Iterable[Finding], x: float) -> float | None:
    """Return the value moved by the largest amount told [mm]."""
    amounts = [float(m.group(1)) for f in own if (m := re.search(r"(\d+) mm", f.do))]
    if not amounts:
        return None
    return x + (max(amounts) + SPARE) * (1.0 if fault.fix == "+x" else -1.0)


def told_load(own: Iterable[Finding], x: float) -> float | None:
    """Return the load less what is to be taken off [fixture units]."""
    amounts = [float(m.group(1)) for f in own if (m := re.search(r"take ([\d.]+) \w+ off", f.do))]
    return x - max(amounts) if amounts else None


def told_size(own: Iterable[Finding], _x: float) -> float | None:
    """Return the largest size told [in]."""
    sizes = [m.group(1) for f in own if (m := re.search(r"(?:in|a|to) (\d+(?:-\d/\d+)?) in\b", f.do))]
    values = [float(sum(Fraction(part) for part in s.split("-"))) for s in sizes]
    return max(values, default=None)


@dataclass(frozen=True)
class Pair:
    """One geometry that some books let pass and others do not."""

    id: str
    topic: str
    system: str
    check: str
    legal: tuple[str, ...]
    illegal: tuple[str, ...]
    source: str
    edit: list[Edit] = field(default_factory=list)
    companions: dict[str, str] = field(default_factory=dict)
    companion_books: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def expected(self, book: str) -> frozenset[str]:
        """Return the checks that find it under a book that does not let it pass."""
        return frozenset(
            {self.check} | {c for c in self.companions if book in self.companion_books.get(c, self.illegal)}
        )


@cache
def pairs() -> tuple[Pair, ...]:
    """Return the geometries that are legal under one book and not under another."""
    out = []
    for row in _rows("pair"):
        lists = {k: tuple(row[k]) for k in ("legal", "illegal")}
        more = {k: tuple(v) for k, v in row.get("with_books", {}).items()}
        plain = {k: v for k, v in row.items() if k not in ("with", "with_books")}
        out.append(Pair(**{**plain, **lists, "companions": row.get("with", {}), "companion_books": more}))
    return tuple(out)


def same_under(pair: Pair, legal: str, illegal: str) -> tuple[frozenset[str], frozenset[str]]:
    """Return the grave checks that speak of one geometry under the book it is made by, and newly under another.

    "Newly" leaves out what the other book says of the system before the edit; where nothing is edited, the whole
    difference between the books counts.
    """
    on = _bench(pair.id, legal)
    home = frozenset(f.check for f in news(on.clean, on.design) if f.level in GRAVE)
    other = _grave(under(on, illegal))
    before = _before(pair.system, legal, illegal) if pair.edit else frozenset()
    return home, frozenset(check for check, _, _ in other - before)


@cache
def _bench(pair_id: str, book: str) -> Bench:
    pair = next(p for p in pairs() if p.id == pair_id)
    return bench(system(pair.system, book), pair.edit)


@cache
def _before(name: str, legal: str, illegal: str) -> frozenset[tuple[str, tuple[str, ...], str]]:
    return _grave(under(bench(system(name, legal), []), illegal))


def _grave(design: Design) -> frozenset[tuple[str, tuple[str, ...], str]]:
    return frozenset((f.check, f.about, f.found) for f in run_all(design)[0] if f.level in GRAVE)
