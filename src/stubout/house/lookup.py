"""Finding the thing an id means, and collecting every fault on the way instead of stopping at the first."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Protocol, TypeVar

from stubout import units
from stubout.problems import Fault, JobFileError

T = TypeVar("T")
TOUCH_MM = 3.0  # two statements of the same place may differ by this much: a pencil line


class HasId(Protocol):
    """Anything with an id and a line of the job file."""

    @property
    def id(self) -> str:
        """Return the id."""
        ...

    @property
    def line(self) -> int:
        """Return the line in the job file, 0 if unknown."""
        ...


N = TypeVar("N", bound=HasId)


class Faults:
    """The faults of one job file."""

    def __init__(self, source: str, unit: units.Units = "mm") -> None:
        self.source = source
        self.unit: units.Units = unit  # of the job
        self.found: list[Fault] = []

    def add(self, line: int, path: str, found: str, wanted: str, do: str = "") -> None:
        """Record one fault."""
        self.found.append(Fault(self.source, line, path, found, wanted, do))

    def long(self, mm: float) -> str:
        """Return a length as the job writes lengths."""
        return units.both(mm, self.unit)

    def stop(self) -> None:
        """Raise JobFileError if there is any fault, in the order of the file."""
        if self.found:
            raise JobFileError(sorted(self.found, key=lambda f: (f.line, f.path)))

    def by_id(self, part: str, items: Iterable[N]) -> dict[str, N]:
        """Return the records by id; a repeated id is a fault."""
        out: dict[str, N] = {}
        for item in items:
            if item.id in out:
                self.add(item.line, f"{part}.{item.id}", f"the id {item.id!r} twice", "one id for one thing")
            out[item.id] = item
        return out

    def get(self, known: Mapping[str, T], key: str, line: int, path: str, kind: str) -> T | None:
        """Return what an id means; an unknown one is a fault with the nearest known ids."""
        if key in known:
            return known[key]
        near = difflib.get_close_matches(key, list(known), n=1, cutoff=0.5)
        do = f"Did you mean {near[0]!r}?" if near else ""
        self.add(line, path, repr(key), f"a {kind} of this job: {', '.join(sorted(known, key=natural)) or 'none'}", do)
        return None


def natural(text: str) -> tuple[tuple[int, str | int], ...]:
    """Return a sorting key that puts WC2 before WC10."""
    return tuple((1, int(p)) if p.isdecimal() else (0, p) for p in re.split(r"(\d+)", text) if p)


def total(values: Sequence[float]) -> float:
    """Return a sum that does not depend on the order of the values [mm]."""
    return sum(sorted(values))
