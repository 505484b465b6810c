"""Questions about the frame, shield plates and tests. A framing book answers for studs, joists and plates."""

from __future__ import annotations

import math

from stubout import units
from stubout.problems import NotInBook
from stubout.rulebooks.model import Cell, RuleBook
from stubout.rulebooks.tables import made

MM_PER_INCH = 25.4


def _in_inches(book: RuleBook) -> bool:
    """Return whether the framing book speaks in inches."""
    edge = book.find("joist_bore.edge")
    return edge is not None and "in" in edge.printed.split("(")[0]


def _deep(book: RuleBook, mm: float) -> str:
    """Return the depth of a member in the unit the framing book speaks."""
    return units.inches(mm) if _in_inches(book) else f"{mm:.0f} mm"


def _mm_text(book: RuleBook, mm: float) -> str:
    """Return a reckoned length in the unit the framing book speaks."""
    # rounded down: a limit is never printed larger than it is
    if _in_inches(book):
        return f"{math.floor(mm / MM_PER_INCH * 100 + 1e-6) / 100:.2f} in"
    return f"{math.floor(mm * 10 + 1e-6) / 10:g} mm"


def stud_bore_limit(
    framing: RuleBook, depth_mm: float, *, bearing: bool, exterior: bool, doubled: bool = False
) -> Cell:
    """Return the largest hole through a stud [mm].

    Args:
        framing: The framing book.
        depth_mm: Depth of the stud.
        bearing: Whether the wall bears.
        exterior: Whether the wall is exterior; some books then treat it as bearing.
        doubled: Whether the stud is doubled.
    """
    as_bearing = bearing or (exterior and framing.value("stud_bore.exterior_as_bearing").value is True)
    if as_bearing:
        part = framing.value("stud_bore.bearing_fraction")
        if doubled:
            part = framing.find("stud_bore.bearing_doubled_fraction") or part
        role = "bearing or exterior stud" if not bearing else "bearing stud"
        return _part(framing, part, depth_mm, f"Largest hole in a {_deep(framing, depth_mm)} {role}")
    return _part_or_leave(
        framing, "stud_bore.nonbearing_", depth_mm, f"Largest hole in a {_deep(framing, depth_mm)} non-bearing stud"
    )


def _part(framing: RuleBook, part: Cell, depth_mm: float, what: str) -> Cell:
    limit_mm = part.number * depth_mm
    return made(part, limit_mm, "mm", f"{_mm_text(framing, limit_mm)} ({part.printed})", what)


def _part_or_leave(framing: RuleBook, stem: str, depth_mm: float, what: str) -> Cell:
    part = framing.find(f"{stem}fraction")
    if part is not None:
        return _part(framing, part, depth_mm, what)
    leave = framing.value(f"{stem}leave")
    limit_mm = max(0.0, depth_mm - leave.number)
    return made(leave, limit_mm, "mm", f"{_mm_text(framing, limit_mm)} ({leave.printed})", what)


def stud_edge(framing: RuleBook) -> Cell:
    """Return the least wood between a hole and the edge of a stud [mm]."""
    return framing.value("stud_bore.edge")


def stud_notch_limit(framing: RuleBook, depth_mm: float, *, bearing: bool, exterior: bool) -> Cell:
    """Return the deepest notch in a stud [mm]."""
    if bearing or (exterior and framing.value("stud_bore.exterior_as_bearing").value is True):
        part = framing.value("stud_notch.bearing_fraction")
        return _part(framing, part, depth_mm, f"Deepest notch in a {_deep(framing, depth_mm)} bearing stud")
    what = f"Deepest notch in a {_deep(framing, depth_mm)} non-bearing stud"
    return _part_or_leave(framing, "stud_notch.nonbearing_", depth_mm, what)


def joist_bore_limit(framing: RuleBook, depth_mm: float) -> Cell:
    """Return the largest hole through a sawn joist [mm]: the part of the depth, or what the edges leave."""
    part = framing.value("joist_bore.fraction")
    edge = framing.value("joist_bore.edge")
    what = f"Largest hole in a {_deep(framing, depth_mm)} joist"
    between_edges = depth_mm - 2 * edge.number
    if between_edges < part.number * depth_mm:
        limit = max(0.0, between_edges)
        return made(edge, limit, "mm", f"{_mm_text(framing, limit)} ({edge.printed} from both edges)", what, part)
    return _part(framing, part, depth_mm, what)


def joist_edge(framing: RuleBook) -> Cell:
    """Return the least wood between a hole and the top or bottom of a joist [mm]."""
    return framing.value("joist_bore.edge")


def joist_bores_apart(framing: RuleBook) -> Cell | None:
    """Return the least wood between two holes in a joist, rafter or beam [mm], None if not ruled."""
    return framing.find("joist_bore.between")


def joist_notch_limit(framing: RuleBook, depth_mm: float, *, at_end: bool = False) -> Cell:
    """Return the deepest notch in a sawn joist [mm]; `joist_notch.place` says where it may be."""
    part = framing.find("joist_notch.end_fraction") if at_end else None
    part = part or framing.value("joist_notch.fraction")
    return _part(framing, part, depth_mm, f"Deepest notch in a {_deep(framing, depth_mm)} joist")


def top_plate_limit(framing: RuleBook, width_mm: float) -> Cell:
    """Return the largest cut of a bearing or exterior top plate without tie or reinforcement [mm]."""
    what = f"Largest cut of a {_deep(framing, width_mm)} top plate without tie"
    return _part_or_leave(framing, "top_plate.", width_mm, what)


def plate_trigger(book: RuleBook) -> Cell:
    """Return how near the member's face a pipe needs a shield plate [mm]."""
    return book.value("plate.trigger")


def plate_beyond(book: RuleBook) -> Cell:
    """Return how far a shield plate reaches beyond the pipe along the member [mm]."""
    return book.value("plate.beyond")


def plate_past_plates(book: RuleBook) -> Cell | None:
    """Return how far a shield reaches above the sole plate and below the top plate [mm], None if not ruled."""
    return book.find("plate.past_plates")


def plate_thickness(book: RuleBook) -> Cell:
    """Return the least thickness of a shield plate [mm]."""
    return book.value("plate.thickness")


def test_head(book: RuleBook) -> Cell:
    """Return the water column of the rough-in test [mm]."""
    return book.value("test.head")


def test_hold(book: RuleBook) -> Cell:
    """Return how long the test is held [min]."""
    return book.value("test.hold")


def air_on_plastic(book: RuleBook) -> Cell:
    """Return whether the book lets plastic pipe be tested with air (a yes/no cell)."""
    cell = book.value("test.air_on_plastic")
    if not isinstance(cell.value, bool):
        raise NotInBook(f"{book.id}: {cell.id} is {cell.value!r}, wanted yes or no")
    return cell


test_head.__test__ = False  # type: ignore[attr-defined]  # a question, not a test: keep collectors off it
test_hold.__test__ = False  # type: ignore[attr-defined]
