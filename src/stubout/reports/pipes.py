"""Schedules of the pipework: fixtures, stub-outs, drains, vents, sizes with their reasons, cleanouts."""

from __future__ import annotations

from stubout.design import Design, Window, free_band
from stubout.geometry.vec import Vec
from stubout.layout.model import Place, StubMark, TrapPlan
from stubout.network.model import Pipe
from stubout.network.naming import with_pipes
from stubout.problems import Derivation
from stubout.reports.model import Block, Document, Heading, Paragraph, TableBlock
from stubout.reports.show import (
    NONE,
    UNVERIFIED_NOTE,
    Show,
    clause,
    direction,
    fixture_units,
    from_corner,
    inside_mm,
    level_of,
    mark,
    show,
    size,
)
from stubout.sizing.outlets import OUTLET_HEIGHT


def invert_mm(design: Design, pipe: Pipe, z_mm: float) -> float:
    """Return the invert of a pipe whose centre line is at a height: centre less half the inside diameter [mm]."""
    return z_mm - inside_mm(design, pipe.size_in) / 2


def datum(design: Design) -> str:
    """Return the sentence that says where heights count from."""
    zero = [v for v in design.house.levels if abs(v.subfloor_z_mm) < 0.5]
    return (
        f"Heights z count from the subfloor of level {zero[0].id}."
        if zero
        else "Heights z count from the job file's zero."
    )


def fixtures_page(design: Design) -> Document:
    """Return fixtures with trap, vent and load, and the load of the building."""
    traps = {t.tag: t for t in design.network.traps}
    rows = []
    for f in design.house.fixtures:
        trap = traps.get(f.tag)
        load = design.derivation(trap.arm_runs[0], "load") if trap and trap.arm_runs else None
        pipe = design.network.pipe(trap.arm_runs[0]) if trap and trap.arm_runs else None
        rows.append(
            (
                f.tag,
                (f.title or f.kind.value) + (" (capped provision)" if f.future else ""),
                design.house.room(f.room_id).title or f.room_id,
                size(ordered_in(design, trap)) if trap else NONE,
                vented_by(trap) if trap else "not laid out",
                fixture_units(pipe.load) + (mark(load.status) if load else "") if pipe else NONE,
                (clause(load.bases) or "; ".join(load.steps)) if load else NONE,
            )
        )
    blocks: list[Block] = [
        TableBlock(
            ("Tag", "Fixture", "Room", "Trap", "Vented by", f"Load ({design.book.load_unit})", "By"),
            tuple(rows),
            (0.7, 2.4, 1.4, 0.7, 1.8, 1, 3),
            ("left", "left", "left", "left", "left", "right", "left"),
        ),
        Paragraph(UNVERIFIED_NOTE, "note"),
    ]
    blocks += [
        Paragraph(
            f"The trap of {trap.tag} is ordered in {size(ordered_in(design, trap))}, as its arm; "
            f"{size(trap.trap_in)} would do.",
            "note",
        )
        for trap in design.network.traps
        if ordered_in(design, trap) != trap.trap_in
    ]
    blocks += [Paragraph(_taken(d), "note") for d in design.derivations if d.what == OUTLET_HEIGHT]
    blocks += [
        Paragraph(
            f"Load at the lower end of {last.id} ({last.role.value}, {size(last.size_in)}): "
            f"{fixture_units(last.load)} {design.book.load_unit}. Groups and rounding are the book's own; the "
            "sum of the rows above may differ."
        )
        for last in design.network.drains()
        if not design.network.downstream(last)
    ]
    return Document("fixtures", "Fixtures and loads", tuple(blocks))


def _taken(d: Derivation) -> str:
    """Return what is taken of an outlet whose sheet is not at hand, as a sentence."""
    return f"Outlet of {d.about}: {d.value}{mark(d.status)}; {'; '.join(d.steps)}."


def ordered_in(design: Design, trap: TrapPlan) -> float:
    """Return the size of the trap that is cemented on with the pipes [nominal in], else the least that would do."""
    own = (u for u in design.fabrication.fittings if u.pattern == "P-trap" and u.node == trap.weir)
    return next((u.sizes_in[0] for u in own), trap.trap_in)


def vented_by(trap: TrapPlan) -> str:
    """Return how a trap is vented, in words."""
    with_whom = f" with {trap.partner}" if trap.partner else ""
    through = f" through {', '.join(trap.wet_through)}" if trap.wet_through else ""
    return trap.method.value + with_whom + through


FREE_WORDS = (
    "The mark is the height to drill; anywhere in the band will do, all other marks kept: it is what trap and cabinet "
    "allow and what the pipes on the stub-out allow, whichever is less, and no more than was looked at."
)
TRAP_ONLY_WORDS = (
    "The mark is the height to drill. The band is what trap and cabinet allow; how far the pipes on the stub-out let "
    "it go was not reckoned here, and may be less: keep to the mark."
)


def stubs_page(design: Design, windows: tuple[Window, ...] = ()) -> Document:
    """Return the stub-out schedule: band, mark from both floors, what governs each end.

    Args:
        design: The design.
        windows: How far the marks may be off; none if that was not reckoned, which the page then says.
    """
    unit = show(design)

    def row(s: StubMark) -> tuple[str, ...]:
        wall = design.house.wall(s.wall_id)
        above = [f"{unit.both(s.mark_z_mm - s.finished_z_mm)}", f"{unit.both(s.mark_z_mm - s.subfloor_z_mm)}"]
        free = free_band(s, windows)
        band = f"{unit.length(free.lo_z_mm - s.finished_z_mm)} to {unit.length(free.hi_z_mm - s.finished_z_mm)}"
        low, high = _governs(unit, free.low, s.lo_governs), _governs(unit, free.high, s.hi_governs)
        return (
            s.tag,
            f"{wall.id}, {s.side}, station {unit.length(s.station_mm)}"
            + (f"; {s.place.words}" if s.place.clear else ""),
            size(s.size_in),
            above[0] + mark(s.derivation.status),
            above[1],
            band if s.feasible else _no_height(s, unit),
            f"low: {low}\nhigh: {high}",
            _beyond(s, unit),
        )

    return Document(
        "stubs",
        "Stub-out schedule",
        (
            Paragraph(
                "Centre of the pipe at the wall; of a trap that stands inside the wall, at the trap; of an arm that "
                "passes no wall, where it meets its riser: nothing is drilled for that one. "
                f"{FREE_WORDS if windows else TRAP_ONLY_WORDS} "
                "Stations count from the start of the wall as drawn on the wall mark sheets."
            ),
            TableBlock(
                (
                    "Tag",
                    "Wall, side, station",
                    "Size",
                    "Mark above finished floor",
                    "Mark above subfloor",
                    "Band above finished floor",
                    "What governs",
                    "Beyond finished wall",
                ),
                tuple(row(s) for s in design.stubs),
                (0.7, 2, 0.7, 1.6, 1.6, 1.8, 2.9, 1.5),
            ),
            Paragraph(UNVERIFIED_NOTE, "note"),
            *_washers(design, unit),
        ),
    )


def _washers(design: Design, unit: Show) -> list[Block]:
    """Return how high standpipes end and washer boxes stand, over the traps in the schedule."""
    marked = {s.tag for s in design.stubs}

    def height(z_mm: float | None, floor_z_mm: float) -> str:
        return NONE if z_mm is None else unit.both(z_mm - floor_z_mm)

    rows = tuple(
        (
            f.tag,
            f"{f.wall_id}, {f.side}, station {unit.length(f.station_mm)}",
            height(f.standpipe_top_z_mm, f.finished_z_mm),
            height(f.standpipe_top_z_mm, f.subfloor_z_mm),
            height(f.box_centre_z_mm, f.finished_z_mm),
            height(f.box_centre_z_mm, f.subfloor_z_mm),
        )
        for f in design.house.fixtures
        if f.tag in marked and (f.standpipe_top_z_mm is not None or f.box_centre_z_mm is not None)
    )
    if not rows:
        return []
    head = (
        "Tag",
        "Wall, side, station of the box",
        "Rim of standpipe above finished floor",
        "Rim above subfloor",
        "Centre of box above finished floor",
        "Centre above subfloor",
    )
    return [Heading("Standpipes and washer boxes"), TableBlock(head, rows, (0.7, 2.2, 1.8, 1.6, 1.8, 1.6))]


def _governs(unit: Show, window: Window | None, words: str) -> str:
    """Return what ends a band: the pipes on the stub-out with the rule that binds them, else trap and cabinet."""
    if window is None:
        return words
    if not window.bound:
        return f"not looked farther than {unit.length(window.amount_mm)}"
    return f"{window.check} {window.name}, {unit.length(window.amount_mm)} from the mark"


def _beyond(s: StubMark, unit: Show) -> str:
    """Return how far a stub-out comes out of the finished wall, or how far clear of it its riser stands."""
    if s.place.kind == "in wall":
        return "inside the wall, no stub"
    if s.place.clear:
        return f"no hole: riser {unit.both(s.place.from_face_mm)} from finished wall"
    return unit.length(s.projection_mm)


def _no_height(s: StubMark, unit: Show) -> str:
    """Return the two ends of a band that is none, each with the place it is measured at."""
    lo, hi = (unit.length(z - s.finished_z_mm) for z in (s.lo_z_mm, s.hi_z_mm))
    return f"NO HEIGHT FITS: at least {lo} at the trap, at most {hi} at the {'riser' if s.place.clear else 'wall'}"


GROUND_WORDS = {"crawl": "crawl space", "buried": "in the ground", "under slab": "under the slab"}


def place_words(place: Place) -> str:
    """Return where a pipe lies: what the kind of place says already is not said again."""
    if place.kind in GROUND_WORDS:
        return GROUND_WORDS[place.kind]
    said = place.ref.split()
    return " ".join([w for w in place.kind.split() if w not in said] + said)


def lies_in(design: Design, pipe: Pipe) -> str:
    """Return where a pipe of a design lies: an upright one in all the walls that it comes through, or in the floor."""
    if pipe.place.kind != "wall" or not pipe.vertical:
        return place_words(pipe.place)
    walls = sorted((w for w in design.house.walls if w.stands_in(pipe.a, pipe.b)), key=lambda w: -w.bottom_z_mm)
    if walls:
        return "wall " + ", ".join(w.id for w in walls)
    middle = (pipe.a.z + pipe.b.z) / 2
    floor = next((f for f in design.house.frames if f.bottom_z_mm <= middle <= f.top_z_mm), None)
    return place_words(Place("joist bay", floor.id)) if floor is not None else place_words(pipe.place)


def said_words(pipe: Pipe) -> str:
    """Return what else is said of a pipe's role: in place already, kept from an earlier layout, drawn by hand."""
    return f", {pipe.said or 'as drawn'}" if pipe.drawn else ""


def drains_page(design: Design) -> Document:
    """Return the drains in flow order with inverts, falls and slopes."""
    unit = show(design)
    rows = [
        (
            p.id,
            p.role.value + (", wet vent" if p.wet else "") + said_words(p),
            ", ".join(p.tags),
            size(p.size_in),
            fixture_units(p.load),
            unit.length(p.length_mm),
            "vertical" if p.vertical else unit.slope(p.slope),
            unit.length(p.fall_mm),
            unit.length(p.a.z) if p.vertical else unit.length(invert_mm(design, p, p.a.z)),
            unit.length(p.b.z) if p.vertical else unit.length(invert_mm(design, p, p.b.z)),
            lies_in(design, p),
        )
        for p in design.network.drains()
    ]
    return Document(
        "drains",
        "Drain schedule",
        (
            Paragraph(
                f"{datum(design)} Levels of sloping pipes are inverts (inside bottom); levels of vertical pipes "
                f"are the ends of the centre line. "
                "Length is along the pipe, centre to centre."
            ),
            TableBlock(
                (
                    "Pipe",
                    "What",
                    "Drains",
                    "Size",
                    design.book.load_unit,
                    "Length",
                    "Slope",
                    "Falls",
                    "z at upper end",
                    "z at lower end",
                    "Lies in",
                ),
                tuple(rows),
                (0.78, 1.42, 1.35, 0.73, 0.62, 1.4, 1.7, 1.4, 1.4, 1.4, 2.0),
                ("left", "left", "left", "left", "right", "right", "left", "right", "right", "right", "left"),
            ),
        ),
    )


def cleanouts_page(design: Design) -> Document:
    """Return the cleanouts with the free space each needs."""
    unit = show(design)
    rows = []
    for c in design.cleanouts:
        at = design.network.node(c.point).at
        rows.append(
            (
                c.id,
                size(c.size_in),
                with_pipes(design.network, c.serves),
                c.access,
                from_corner(unit, at),
                _height(design, unit, at),
                direction(c.opens),
                unit.both(c.clearance_mm),
                clause(c.basis) or NONE,
            )
        )
    blocks: list[Block] = [
        Paragraph(
            "Keep the clear space in front of every opening free in the finished house. Opening the wrong one under "
            "load spills sewage: check for standing water first.",
            "caution",
        )
    ]
    if rows:
        head = (
            "No.",
            "Size",
            "Serves",
            "Reached from",
            "From the corner",
            "Height",
            "Opens to",
            "Clear space in front",
            "By",
        )
        blocks.append(TableBlock(head, tuple(rows), (0.7, 0.7, 2, 1.8, 1.8, 1.6, 1, 1.4, 2)))
    else:
        blocks.append(Paragraph("No cleanout is planned."))
    return Document("cleanouts", "Cleanouts", tuple(blocks))


def _height(design: Design, unit: Show, at: Vec) -> str:
    """Return a height from the floor it is measured from; outside the house from the house's zero."""
    foot = design.house.footprint
    if not (foot.lo.x <= at.x <= foot.hi.x and foot.lo.y <= at.y <= foot.hi.y):
        return f"house z {unit.length(at.z)}"
    level = level_of(design, at.z)
    zero = "the ground" if level.kind == "ground" else "subfloor"
    return f"{unit.length(at.z - level.subfloor_z_mm)} above {zero}, {level.title or level.id}"
