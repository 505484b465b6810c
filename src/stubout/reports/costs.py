"""What the layout costs: the line at the end of a run, and the table beside the material list."""

from __future__ import annotations

from stubout.design import Design
from stubout.fabrication.costing import CostPart
from stubout.fabrication.in_place import pipes_in_place
from stubout.reports.model import Block, Heading, Paragraph, TableBlock
from stubout.reports.show import Show, mark, show

UNIT_NOTE = (
    "In minutes: the working time of one plumber, and material told in the minutes its price would pay for. Pipe is "
    "measured from centre to centre through the fittings; tests and cement cost the same in every layout and are left "
    "out. The figures are common practice, without a source, where the job file does not say its own."
)
BOUND_NOTE = (
    "The bound counts what every layout must have, each at its least price, and leaves out what one may do without: "
    "bends where drains turn, hangers, holes on the way, nail plates, further cleanouts and terminals, the vents of "
    "what drains through the floor. A large gap says how little is proven, not that so much could be saved."
)

IN_PLACE_NOTE = "Pipe that is installed is counted too: it is the same in every layout."

SELECTION_NOTE = (
    "Every fixture's pipes in every layout drawn are a way; one way for each is chosen, so that no pipe flows two ways "
    "and what several use is paid once. That no choice costs less is proven for pipe, bends, tees, joints, trenches "
    "and holes in the roof; what hangers, bores and cleanouts cost is known only once a choice is finished. Choices in "
    "which a check found something are left out."
)


def hours(minutes: float) -> str:
    """Return a time in hours and minutes.

    >>> hours(847.4), hours(42)
    ('14 h 07 min', '42 min')
    """
    whole, rest = divmod(round(minutes), 60)
    return f"{whole} h {rest:02d} min" if whole else f"{rest} min"


def cost_line(design: Design) -> str:
    """Return the cost of a layout in one line."""
    cost = design.costing()
    said = f"Cost: {hours(cost.minutes)} of plumber's time, {hours(cost.work)} of it work, the rest material."
    return " ".join(words for words in (said, bound_line(design), selection_line(design)) if words)


def bound_line(design: Design) -> str:
    """Return what is known of how much less another layout could cost, "" where nothing is."""
    gap = design.gap()
    if gap is None or design.bound is None:
        return ""
    return (
        f"Proven: no layout made of the engine's candidates can cost less than {hours(design.bound.minutes)}; "
        f"the gap is {gap * 100:.0f} %."
    )


def selection_line(design: Design) -> str:
    """Return how near the layout is to the cheapest that all layouts drawn make together, "" where nothing is known."""
    found = design.selection
    if found is None:
        return ""
    percent = f"{found.gap * 100:.1f}"
    by = "" if float(percent) == 0.0 else f" by more than {percent} %"
    return (
        f"Chosen from {found.candidates} layouts drawn, with {found.ways} ways of their fixtures: no choice of ways "
        f"costs less{by}."
    )


def cost_blocks(design: Design) -> tuple[Block, ...]:
    """Return the table of what the layout costs, by kind, with the words to it."""
    cost = design.costing()
    if not cost.parts:
        return ()
    material = cost.minutes - cost.work
    unit = show(design)
    rows = (
        *(_row(p, unit) for p in cost.parts),
        ("all", "", f"{cost.work:.0f}", f"{material:.0f}", f"{cost.minutes:.0f}"),
    )
    head = ("What", "Quantity", "Work, min", "Material, min", "Together, min")
    return (
        Heading("What this layout costs"),
        Paragraph(f"{UNIT_NOTE} {IN_PLACE_NOTE}" if pipes_in_place(design.network) else UNIT_NOTE),
        TableBlock(head, rows, (3, 1.4, 1.2, 1.2, 1.3), ("left", "right", "right", "right", "right")),
        *_bound_blocks(design),
        *_selection_blocks(design),
    )


def _bound_blocks(design: Design) -> tuple[Block, ...]:
    """Return what the proven bound is made of."""
    if design.bound is None or not (line := bound_line(design)):
        return ()
    rows = tuple((p.kind, p.words, f"{p.minutes:.0f}") for p in design.bound.parts)
    head = ("What", "At least", "Minutes")
    return (Paragraph(f"{line} {BOUND_NOTE}"), TableBlock(head, rows, (1.4, 5, 1), ("left", "left", "right")))


def _selection_blocks(design: Design) -> tuple[Block, ...]:
    """Return how near the layout is to the best choice among those tried."""
    line = selection_line(design)
    return (Paragraph(f"{line} {SELECTION_NOTE}"),) if line else ()


def _row(part: CostPart, unit: Show) -> tuple[str, ...]:
    """Return one kind with how many there are, or how long they are in all."""
    quantity = unit.length(part.quantity * 1000.0) if part.unit == "m" else f"{part.quantity:.0f}"
    minutes = (f"{part.work:.0f}", f"{part.material:.0f}", f"{part.minutes:.0f}")
    return (part.kind + mark(part.status), quantity, *minutes)
