"""Findings of one check together: what they share is said once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from stubout.problems import Basis, Finding, Level


@dataclass(frozen=True, slots=True)
class Group:
    """The findings of one check and level, and what all of them share; empty where they differ."""

    check: str
    name: str
    level: Level
    findings: tuple[Finding, ...]
    wanted: str
    why: str
    bases: tuple[Basis, ...]

    @property
    def title(self) -> str:
        """Return the fault in words."""
        return self.name.replace("-", " ")

    @property
    def times(self) -> str:
        """Return how often it was found, for a heading; nothing where it was once."""
        return f", {len(self.findings)} times" if len(self.findings) > 1 else ""


def groups(findings: Iterable[Finding]) -> tuple[Group, ...]:
    """Return the findings by level and check, gravest first."""
    order = list(Level)
    ranked = sorted(findings, key=lambda f: (order.index(f.level), f.check, f.name))
    return tuple(_group(tuple(same)) for _, same in groupby(ranked, key=lambda f: (f.level, f.check, f.name)))


def _group(findings: tuple[Finding, ...]) -> Group:
    first = findings[0]

    def shared(values: list[str]) -> str:
        return values[0] if len(set(values)) == 1 else ""

    bases = first.bases if all(f.bases == first.bases for f in findings) else ()
    return Group(
        first.check,
        first.name,
        first.level,
        findings,
        shared([f.wanted for f in findings]),
        shared([f.why for f in findings]),
        bases,
    )
