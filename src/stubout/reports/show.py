"""How numbers are printed on the documents of one job, and small helpers the documents share."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from stubout import units
from stubout.catalog.queries import pipe
from stubout.design import Design
from stubout.geometry.vec import Vec
from stubout.house.crossings import CHART
from stubout.house.model import HouseLevel
from stubout.layout.model import Blocked
from stubout.problems import Basis, Finding, Status
from stubout.rulebooks.model import RuleBook

UNVERIFIED = "†"
# what stands in a basis for the book
TRADE, CATALOG, JOB_FILE = "trade", "catalog", "job"
PRACTICE = "common practice"
UNVERIFIED_NOTE = (
    "† = a value behind this entry has not been compared with the page of the code or the maker's sheet; "
    "see the verification sheet and the rule book page."
)
NONE = "-"


NO_BREAK = "\u00a0"


def _whole(text: str) -> str:
    """Return a length that a line break parts only before its bracket, never inside a fraction."""
    return text.replace(" ", NO_BREAK).replace(f"{NO_BREAK}(", " (")


@dataclass(frozen=True, slots=True)
class Show:
    """Prints lengths in the units of the job."""

    system: Literal["mm", "inch"]

    def length(self, mm: float | None) -> str:
        """Return a length in the job's unit; a dash for nothing."""
        return NONE if mm is None else _whole(units.length(mm, self.system))

    def both(self, mm: float | None) -> str:
        """Return a length in both units; a dash for nothing."""
        return NONE if mm is None else _whole(units.both(mm, self.system))

    def slope(self, m_per_m: float) -> str:
        """Return a slope as the trade says it."""
        return _whole(units.slope(m_per_m, self.system))


def show(design: Design) -> Show:
    """Return the printer of a design."""
    return Show(design.house.job.units)


def from_corner(unit: Show, at: Vec) -> str:
    """Return a place in plan as the sheets say it: east and north of the control corner."""
    return f"E{NO_BREAK}{unit.length(at.x)}, N{NO_BREAK}{unit.length(at.y)}"


def size(size_in: float) -> str:
    """Return a nominal pipe size with its inch mark."""
    return f'{units.size(size_in)}"'


def sizes(sizes_in: Iterable[float]) -> str:
    """Return the sizes of a fitting, run x run x branch; of a bend or coupling of one size that size."""
    all_in = tuple(sizes_in)
    return " x ".join(size(s) for s in (all_in[:1] if len(all_in) == 2 and all_in[0] == all_in[1] else all_in))


def fixture_units(load: float) -> str:
    """Return a load without needless noughts."""
    return f"{load:g}"


def mark(status: Status) -> str:
    """Return the dagger of an unverified value, else nothing."""
    return "" if status.verified else NO_BREAK + UNVERIFIED


def mark_all(bases: Iterable[Basis]) -> str:
    """Return the dagger when any of the values is unverified."""
    return "" if all(b.status.verified for b in bases) else NO_BREAK + UNVERIFIED


def clause(bases: Iterable[Basis]) -> str:
    """Return book, section and status of the values that decided, each once."""
    return "; ".join(dict.fromkeys(_source(b) for b in bases))


def _source(basis: Basis) -> str:
    user = basis.note if basis.of and basis.status in (Status.JOB, Status.CONFIRMED) else ""  # who amended or read it
    if basis.book == TRADE:
        return f"{PRACTICE}, no source" if basis.status is Status.MEMORY else f"{PRACTICE} ({basis.status.value})"
    if basis.book == CHART:
        return f"{CHART} ({basis.section})"
    if basis.status is Status.JOB and not basis.section:
        return f"job file ({user})" if user else "job file"
    return f"{basis.book} {basis.section}".strip() + f" ({basis.status.value}{'; ' if user else ''}{user})"


def unsaid(blocked: Iterable[Blocked], findings: Iterable[Finding]) -> tuple[Blocked, ...]:
    """Return what was not laid out and no finding tells already."""
    told = {(f.about, f.found) for f in findings}
    return tuple(b for b in blocked if (b.about, b.constraint) not in told)


def level_of(design: Design, z_mm: float) -> HouseLevel:
    """Return the storey a height lies in: the highest whose subfloor is not above it, else the lowest."""
    ranked = sorted(design.house.levels, key=lambda v: v.subfloor_z_mm)
    below = [v for v in ranked if v.subfloor_z_mm <= z_mm + 1e-6]
    return below[-1] if below else ranked[0]


def book_name(book: RuleBook) -> str:
    """Return title and edition of a book, the edition once."""
    return book.title if book.edition in book.title else f"{book.title}, {book.edition}"


def inside_mm(design: Design, size_in: float) -> float:
    """Return the inside diameter of the job's pipe of a nominal size [mm]."""
    return pipe(design.house.job.material, size_in).id_mm


def direction(way: Vec) -> str:
    """Return which way something opens or leans: up, down, or the nearest of eight compass words."""
    x, y, z = way.x, way.y, way.z
    if abs(z) > max(abs(x), abs(y)):
        return "up" if z > 0 else "down"
    words = ["north" if y > 0 else "south"] if abs(y) > 0.38 * abs(x) else []
    words += ["east" if x > 0 else "west"] if abs(x) > 0.38 * abs(y) else []
    return "-".join(words)
