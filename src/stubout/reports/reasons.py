"""How every size and height came about: the appendix of the packet."""

from __future__ import annotations

from stubout import units
from stubout.design import Design
from stubout.house.model import HouseFixture
from stubout.house.outlet_drops import closet_drop_mm, outlet_drop_mm
from stubout.kinds import FixtureKind
from stubout.layout.model import CleanoutPlan, TrapPlan
from stubout.network.model import Pipe
from stubout.problems import Basis, Derivation, NotInBook
from stubout.reports.model import Block, Document, Heading, Paragraph, TableBlock
from stubout.reports.show import NONE, UNVERIFIED_NOTE, clause, fixture_units, inside_mm, mark, show, size
from stubout.rulebooks.queries import tailpiece_max, trap_size

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


def trap_reason(design: Design, trap: TrapPlan) -> Derivation:
    """Return what a fixture's trap is, how high its weir lies, and how far the water falls to it from the outlet.

    Of a closet, which has its trap in it, the pipe under its flange.
    """
    body, arm = design.house.fixture(trap.tag), design.network.pipe(trap.arm_runs[0])
    if body.kind is FixtureKind.WATER_CLOSET:
        lies = _over_floors(design, body, arm.a.z)
        drop = show(design).both(closet_drop_mm(body, arm.a.z))
        return Derivation(
            trap.tag,
            "trap",
            "in the closet itself",
            (f"the pipe under its flange begins {lies}, its centre {drop} below the flange",),
            (),
        )
    steps = [f"weir {_over_floors(design, body, trap.weir_z_mm)}: the invert of the arm where it begins"]
    if body.trap_weir_z_mm is not None:
        steps.append(f"the job fixes its `trap weir` {_over_floors(design, body, body.trap_weir_z_mm)}")
    least: tuple[Basis, ...] = ()
    try:
        cell = trap_size(design.book, body.kind, body.heads or 2)
        steps.append(f"{units.size(trap.trap_in)} in: {units.size(cell.number)} in at least, by the book")
        least = (cell.basis,)
    except NotInBook as silent:
        steps.append(f"{units.size(trap.trap_in)} in: OPEN, {silent}")
    drop, limit = _outlet_drop(design, body, arm)
    return Derivation(
        trap.tag,
        "trap",
        f"{units.size(trap.trap_in)} in, weir {_over_floors(design, body, trap.weir_z_mm)}",
        (*steps, drop),
        (*least, *limit),
    )


def _over_floors(design: Design, body: HouseFixture, z_mm: float) -> str:
    """Return a height from the finished floor and the subfloor of a fixture."""
    return units.over_floors(z_mm - body.finished_z_mm, z_mm - body.subfloor_z_mm, design.house.job.units)


def _outlet_drop(design: Design, body: HouseFixture, arm: Pipe) -> tuple[str, tuple[Basis, ...]]:
    """Return in words how far it is from an outlet to its trap weir and how far it may be, with the source."""
    both = show(design).both
    try:
        limit = tailpiece_max(design.book)
    except NotInBook as silent:
        return f"how far the water may fall to it: OPEN, {silent}", ()
    drop_mm = outlet_drop_mm(body, arm.a, inside_mm(design, arm.size_in), limit)
    if body.kind is FixtureKind.CLOTHES_WASHER:
        return "the standpipe over it is told by its stub-out", ()
    if drop_mm is None:
        return f"how far the water falls to it: OPEN, nobody has said the height of the outlet of {body.tag}", ()
    taken = " (height of the outlet taken, not said)" if body.outlet_doubt_mm else ""
    return f"{both(drop_mm)} from the outlet to it{taken}, {both(limit.number)} at most", (limit.basis,)
