"""What a finding says when its fault is seeded, kept for the pages of the checks: one fault a check.

`docs/generate.py --faults` writes the record anew; the test of the faults holds that it is true.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import cache
from typing import TypedDict

from seeding.table import DATA, Fault, faults, found
from stubout.problems import Finding

FILE = DATA / "told.json"


class Told(TypedDict):
    """One finding of one seeded fault, under the first of its books."""

    fault: str
    book: str
    level: str
    found: str
    wanted: str
    do: str
    why: str
    values: list[str]  # ids of what the findings of all faults of the check rest on, under every book
    bases: dict[str, list[str]]  # the same by fault and book: what exactly each rests on


@cache
def chosen() -> dict[str, Fault]:
    """Return the fault that shows each check: the first of the files, sorted by check."""
    first: dict[str, Fault] = {}
    for fault in faults():
        first.setdefault(fault.check, fault)
    return {check: first[check] for check in sorted(first)}


def rests_on(fault: Fault, all_found: Iterable[Finding]) -> set[str]:
    """Return the ids of the values and tables that the findings of a fault's own check rest on."""
    own = [f for f in all_found if f.check == fault.check]
    return {i.partition("[")[0] for f in own for b in f.bases for i in b.of} - {fault.check}


def case(fault: Fault, book: str) -> str:
    """Return the name of a fault under a book in the record of its check."""
    return f"{fault.id} {book}"


def told(fault: Fault, all_found: tuple[Finding, ...], bases: Mapping[str, list[str]]) -> Told:
    """Return the record of a check from what is found with the fault that shows it, and what all its faults rest on."""
    own = next(f for f in all_found if f.check == fault.check)
    return Told(
        fault=fault.id,
        book=fault.books[0],
        level=own.level.value,
        found=own.found,
        wanted=own.wanted,
        do=own.do,
        why=own.why,
        values=sorted({i for ids in bases.values() for i in ids}),
        bases=dict(bases),
    )


def written() -> dict[str, Told]:
    """Return the record as it is written, by check."""
    record: dict[str, Told] = json.loads(FILE.read_text(encoding="utf-8"))
    return record


def write() -> None:
    """Seed every fault and write down what is told of one for each check."""
    seen: dict[str, tuple[Finding, ...]] = {}
    bases: dict[str, dict[str, list[str]]] = {check: {} for check in chosen()}
    for fault in faults():
        for book in fault.books:
            now = found(fault, book)
            seen.setdefault(fault.id, now)
            bases[fault.check][case(fault, book)] = sorted(rests_on(fault, now))
    record = {check: told(f, seen[f.id], bases[check]) for check, f in chosen().items()}
    FILE.write_text(json.dumps(record, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
