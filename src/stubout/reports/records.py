"""As-built record: what was planned, what was measured, and lines to write the rest."""

from __future__ import annotations

from stubout import units
from stubout.design import Design, Window, free_band
from stubout.house.facts import Reading
from stubout.reports.model import Block, Document, Heading, Paragraph, TableBlock
from stubout.reports.show import show, size

HEIGHTS = ("height", "stub height")


TRAP_ONLY_WORDS = " Bands are what trap and cabinet allow; how far the pipes let a stub-out go was not reckoned here."


def records_page(design: Design, windows: tuple[Window, ...] = ()) -> Document:
    """Return stub-outs and sloping drains with what was planned, beside what was read or a space to write it.

    Args:
        design: The design.
        windows: How far the marks may be off; none if that was not reckoned, which the page then says.
    """
    unit = show(design)
    readings = [r for r in design.house.readings if r.kind != "waiver"]
    stub_rows = []
    for s in design.stubs:
        planned = s.mark_z_mm - s.subfloor_z_mm
        free = free_band(s, windows)
        said = next((r for r in readings if r.about == s.tag and r.kind in HEIGHTS), None)
        stub_rows.append(
            (
                f"{s.tag} {s.place.words}".strip(),
                size(s.size_in),
                f"{unit.both(planned)}",
                f"{unit.length(free.lo_z_mm - s.subfloor_z_mm)} to {unit.length(free.hi_z_mm - s.subfloor_z_mm)}"
                if s.feasible
                else "NO HEIGHT FITS",
                said.value if said else "",
                _off(said, planned, design) if said else "",
                _signed(said),
            )
        )
    drain_rows = []
    for p in design.network.drains():
        if p.vertical:
            continue
        said = next((r for r in readings if r.about == p.id and r.kind == "slope"), None)
        drain_rows.append(
            (p.id, p.role.value, size(p.size_in), unit.slope(p.slope), said.value if said else "", _signed(said))
        )
    shown = {(r.about, r.what) for r in readings if r.kind in (*HEIGHTS, "slope")}
    others = [r for r in readings if (r.about, r.what) not in shown]
    blocks: list[Block] = [
        Paragraph(
            "Write what you measure; type it into the job file under records, and the next revision prints it "
            f"here. Measured heights count from the subfloor.{'' if windows or not stub_rows else TRAP_ONLY_WORDS}"
        ),
        TableBlock(
            ("Stub-out", "Size", "Planned above subfloor", "Band above subfloor", "Measured", "Off by", "Date, by"),
            tuple(stub_rows),
            (1.1, 0.7, 1.8, 2, 1.4, 1.2, 1.8),
        ),
        Heading("Slopes"),
        TableBlock(
            ("Drain", "What", "Size", "Planned slope", "Measured", "Date, by"),
            tuple(drain_rows),
            (0.8, 1.8, 0.7, 1.8, 1.6, 1.8),
        ),
    ]
    if others:
        blocks += [
            Heading("Other readings"),
            TableBlock(
                ("About", "What", "Reading", "Date, by"),
                tuple((r.about, r.what, r.value, _signed(r)) for r in others),
                (1, 2, 2, 2),
            ),
        ]
    return Document("records", "As-built record", tuple(blocks))


def _off(reading: Reading, planned_mm: float, design: Design) -> str:
    try:
        measured = units.parse_length_mm(reading.value, "mm" if design.house.job.units == "mm" else "inch")
    except ValueError:
        return "not a length"
    off = measured - planned_mm
    return f"{'+' if off >= 0 else '-'}{show(design).length(abs(off))}"


def _signed(reading: Reading | None) -> str:
    return ", ".join(w for w in (reading.date, reading.author) if w) if reading else ""
