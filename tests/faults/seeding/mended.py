"""Every seeded fault with the fixes that are offered for it made one after the other, kept for `docs/faults.md`.

Proposals come from the spoiled design alone; what was done to spoil it is not told. `python -m seeding.mended` writes
the record anew (minutes), with ids of faults or checks behind it only theirs; `tests/fixes` tries a part of it again.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Collection
from dataclasses import dataclass
from functools import cache
from typing import TypedDict

from seeding.edits import spoil
from seeding.systems import GRAVE, system
from seeding.table import DATA, Fault, faults, given
from stubout.checks.registry import run_all
from stubout.design import Design
from stubout.fixes.bench import Bench, applied
from stubout.fixes.tried import tried
from stubout.problems import Finding, NotChecked

FILE = DATA / "mended.json"
MOST = 6  # findings of one fault mended one after the other


class Mended(TypedDict):
    """What was offered for one fault under one book."""

    fault: str
    book: str
    cleared: bool
    asks: str  # who has to agree to one of the changes, "" nobody
    words: list[str]


@dataclass(frozen=True)
class Spoiled:
    """A system with a fault, and what is found by its own check alone."""

    design: Design
    findings: tuple[Finding, ...]
    not_checked: tuple[NotChecked, ...]
    own: tuple[Finding, ...]


def judged(fault: Fault, book: str, design: Design) -> Spoiled:
    """Return a design with the findings of the fault's check that the clean system does not have."""
    findings, not_checked = run_all(design)
    clean = (*system(fault.system, book).findings, *given(fault, book))
    known = {(f.check, f.about, f.found) for f in clean}
    own = (f for f in findings if f.check == fault.check and f.level in GRAVE)
    return Spoiled(
        design, tuple(findings), tuple(not_checked), tuple(f for f in own if (f.check, f.about, f.found) not in known)
    )


def mend(fault: Fault, book: str) -> Mended:
    """Seed a fault and make what is offered for the findings of its check, until there are none."""
    now = judged(fault, book, spoil(system(fault.system, book), fault.edits()))
    words: list[str] = []
    asks: set[str] = set()
    for _ in range(MOST):
        if not now.own:
            break
        told, edits = tried(Bench(now.design, now.findings, now.not_checked), now.own[0])
        words.append(told.words)
        if not told.cleared:
            break
        asks |= {told.asks} - {""}
        now = judged(fault, book, applied(now.design, edits))
    return Mended(fault=fault.id, book=book, cleared=not now.own, asks=", ".join(sorted(asks)), words=words)


def grave(fault: Fault) -> bool:
    """Return whether a fault breaks a rule: what only asks a question is answered by a person, not mended."""
    return fault.level in {level.value for level in GRAVE}


@cache
def written() -> tuple[Mended, ...]:
    """Return the record as it is written, in the order of the faults."""
    return tuple(json.loads(FILE.read_text(encoding="utf-8")))


def write(only: Collection[str] = ()) -> None:
    """Mend every fault under every book it is seeded under and write the record.

    Args:
        only: Ids of faults or of checks to mend again; what is written of all others stays. Empty: all.
    """
    had = {(m["fault"], m["book"]): m for m in written()} if only else {}
    record = []
    for fault in (f for f in faults() if grave(f)):
        for book in fault.books:
            stays = had.get((fault.id, book)) if not {fault.id, fault.check} & set(only) else None
            record.append(stays or mend(fault, book))
    FILE.write_text(json.dumps(record, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    write(sys.argv[1:])
