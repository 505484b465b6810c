"""Trap arms and vents with their lengths beside what the book allows."""

from __future__ import annotations

from collections.abc import Callable

from stubout.design import Design
from stubout.house.outlet_drops import closet_drop_mm
from stubout.kinds import FixtureKind
from stubout.network.model import Pipe
from stubout.problems import NotInBook
from stubout.reports.model import Document, Heading, Paragraph, TableBlock
from stubout.reports.pipes import vented_by
from stubout.reports.show import NONE, UNVERIFIED_NOTE, Show, clause, direction, fixture_units, mark, show, size
from stubout.rulebooks.model import Cell, RuleBook
from stubout.rulebooks.queries import arm_max_fall, arm_max_length, arm_min_length, closet_vent_reach

SILENT = "the book is silent"
PLUMB_MM = 6.0  # a vent that is so little out of plumb from end to end stands plumb: common practice, no source
NOT_CLOSETS = "not set for closets"


def vents_page(design: Design) -> Document:
    """Return the trap arms with their limits, then the vents with load, developed length and reason."""
    return Document(
        "vents",
        "Trap arms and vents",
        (
            Heading("Trap arms"),
            Paragraph(
                "Length is along the pipe from the trap weir to the vent fitting. A closet counts from its "
                "flange on the finished floor; some books give its reach instead of an arm length, flat and upright "
                "or both together."
            ),
            TableBlock(
                (
                    "Trap",
                    "Arm",
                    "Size",
                    "Length",
                    "Length at most",
                    "Length at least",
                    "Falls",
                    "May fall at most",
                    "Vented by",
                ),
                tuple(_arms(design)),
                (0.7, 1, 0.7, 1.7, 1.6, 2.3, 0.8, 2.2, 1.5),
                ("left", "left", "left", "right", "left", "left", "right", "left", "left"),
            ),
            Heading("Vents"),
            Paragraph(
                "Developed length is by the measure of the rule book, to the open air or to the larger vent it "
                "sizes from."
            ),
            TableBlock(
                (
                    "Pipe",
                    "What",
                    "Vents",
                    "Size",
                    design.book.load_unit,
                    "Length",
                    "Developed",
                    "Lies",
                    "What decided the size",
                ),
                tuple(_vent(design, p) for p in design.network.vents()),
                (1, 1.2, 1.9, 0.75, 0.7, 1.15, 1.3, 1.1, 3.3),
                ("left", "left", "left", "left", "right", "right", "right", "left", "left"),
            ),
            Paragraph(UNVERIFIED_NOTE, "note"),
        ),
    )


def _arms(design: Design) -> list[tuple[str, ...]]:
    unit = show(design)
    rows: list[tuple[str, ...]] = []
    closets = {f.tag: f for f in design.house.fixtures if f.kind is FixtureKind.WATER_CLOSET}
    for trap in design.network.traps:
        runs = [design.network.pipe(r) for r in trap.arm_runs]
        if not runs:
            rows.append((trap.tag, NONE, size(trap.trap_in), NONE, NONE, NONE, NONE, NONE, vented_by(trap)))
            continue
        arm_in = max(p.size_in for p in runs)
        most, least, may_fall = _limits(design, trap.tag in closets, arm_in, unit)
        length = unit.both(sum(p.length_mm for p in runs))
        if trap.tag in closets and (drop_mm := closet_drop_mm(closets[trap.tag], runs[0].a.z)):
            length += f"\nafter a drop of {unit.length(drop_mm)}"
        rows.append(
            (
                trap.tag,
                ", ".join(p.id for p in runs),
                size(arm_in),
                length,
                most,
                least,
                unit.length(sum(p.fall_mm for p in runs)),
                may_fall,
                vented_by(trap),
            )
        )
    return rows


def _limits(design: Design, closet: bool, arm_in: float, unit: Show) -> tuple[str, ...]:
    """Return the longest, the shortest and the largest fall of an arm; a closet has a reach of its own, or none."""
    if not closet:
        return tuple(_limit(ask, design.book, arm_in, unit) for ask in (arm_max_length, arm_min_length, arm_max_fall))
    reach = zip(closet_vent_reach(design.book), ("flat", "upright", "drop and all"), strict=True)
    said = [f"{word} {_said(cell, unit)}" for cell, word in reach if cell is not None]
    return "\n".join(said) or NOT_CLOSETS, NOT_CLOSETS, NOT_CLOSETS


def _limit(question: Callable[[RuleBook, float], Cell], book: RuleBook, size_in: float, unit: Show) -> str:
    """Return what the book says for a size, in the units of the job, with its section, or that it is silent."""
    try:
        cell = question(book, size_in)
    except NotInBook:
        return SILENT
    return _said(cell, unit)


def _said(cell: Cell, unit: Show) -> str:
    """Return a length that the book says, in the units of the job, with its section."""
    said = unit.length(cell.value) if isinstance(cell.value, int | float) else cell.printed
    return f"{said}\n{cell.section}{mark(cell.status)}"


def _vent(design: Design, pipe: Pipe) -> tuple[str, ...]:
    unit = show(design)
    reason = design.derivation(pipe.id, "size")
    decided = (reason.steps[-1] if reason.steps else clause(reason.bases)) + mark(reason.status) if reason else NONE
    return (
        pipe.id,
        pipe.role.value,
        ", ".join(pipe.tags),
        size(pipe.size_in),
        fixture_units(pipe.load),
        unit.length(pipe.length_mm),
        unit.length(pipe.vent_length_mm) if pipe.vent_length_mm else NONE,
        _lies(pipe, unit),
        decided,
    )


def _lies(pipe: Pipe, unit: Show) -> str:
    """Return whether a vent stands plumb, leans and how far, or lies."""
    if not pipe.vertical:
        return "level or sloped"
    if pipe.plan_mm <= PLUMB_MM:
        return "plumb"
    low, high = sorted((pipe.a, pipe.b), key=lambda p: p.z)
    way = direction(high.minus(low).at_z(0.0))
    return f"leans {unit.length(pipe.plan_mm)} {way} in {unit.length(high.z - low.z)} of height"
