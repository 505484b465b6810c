"""How every size and height came about: the appendix of the packet."""

from __future__ import annotations

from stubout import units
from stubout.design import Design
from stubout.layout.model import CleanoutPlan
from stubout.problems import Derivation
from stubout.reports.model import Block, Document, Heading, Paragraph, TableBlock
from stubout.reports.show import NONE, UNVERIFIED_NOTE, clause, fixture_units, mark, size

# Loads stand in the fixture schedule, falls and slopes in the drain schedule; `stubout why` tells them all.
ELSEWHERE = frozenset({"size", "load", "fall", "slope"})


def reasons_page(design: Design) -> Document:
    """Return the size of every pipe with its steps and sources, then every other derived value."""
    sizes = {d.about: d for d in design.derivations if d.what == "size"}
    rows: dict[tuple[str, ...], list[str]] = {}
    for p in design.network.pipes:
        d = sizes.pop(p.id, None)
        reason = (
            p.role.value,
            size(p.size_in) + (mark(d.status) if d else ""),
            fixture_units(p.load),
            "\n".join(_steps(d)) if d else "no reason recorded",
            clause(d.bases) if d and d.bases else NONE,
        )
        rows.setdefault(reason, []).append(p.id)
    others = [*sizes.values(), *(d for d in design.derivations if d.what not in ELSEWHERE)]
    blocks: list[Block] = [
        TableBlock(
            ("Pipes", "What", "Size", design.book.load_unit, "How it came about", "Source and status"),
            tuple((", ".join(ids), *reason) for reason, ids in rows.items()),
            (1, 1.3, 0.8, 0.7, 4.6, 3),
            ("left", "left", "left", "right", "left", "left"),
        )
    ]
    if others:
        blocks += [Heading("Heights, lengths and other values"), _others(others)]
    blocks.append(Paragraph(UNVERIFIED_NOTE, "note"))
    return Document("sizes", "Sizes and heights, with reasons", tuple(blocks))


def _steps(derivation: Derivation) -> tuple[str, ...]:
    """Return the steps, without the mere passing on of the size of the pipe before: that would part equal reasons."""
    kept = tuple(s for s in derivation.steps if not s.startswith("no reduction downstream"))
    return kept or derivation.steps


def _others(derivations: list[Derivation]) -> TableBlock:
    rows: dict[tuple[str, ...], list[str]] = {}
    for d in derivations:
        reason = (d.what, d.value + mark(d.status), "\n".join(d.steps) or NONE, clause(d.bases) or NONE)
        rows.setdefault(reason, []).append(d.about)
    return TableBlock(
        ("About", "What", "Value", "How it came about", "Source and status"),
        tuple((", ".join(dict.fromkeys(ids)), *reason) for reason, ids in rows.items()),
        (1, 1.2, 1.5, 4.4, 3),
    )


def cleanout_reason(design: Design, plan: CleanoutPlan) -> Derivation:
    """Return how a cleanout came about: what it serves, where it is reached, the free space it needs."""
    free = f"{units.both(plan.clearance_mm, design.house.job.units)} free in front of it"
    steps = (f"serves {plan.serves}", f"reached from {plan.access}", free)
    return Derivation(plan.id, "cleanout", f"{units.size(plan.size_in)} in", steps, plan.basis)
