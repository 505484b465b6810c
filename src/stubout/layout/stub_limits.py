"""What bounds the height of a trap: bowl, tailpiece, cabinet floor, shelves, drawers, partition, standpipe.

Every limit is a height of the arm's centre line at the trap, house z [mm]. `stubs.py` puts the limits together.
"""

from __future__ import annotations

from dataclasses import dataclass

from stubout import units
from stubout.catalog import queries as catalog
from stubout.house.model import CabinetBox, House, HouseFixture
from stubout.problems import Basis, NotInBook, Status
from stubout.rulebooks import queries
from stubout.rulebooks.model import Cell, RuleBook

PLAY_MM = 5.0  # air between wood and trap: trade figure, common practice, no source
PARTITION_MM = 19.0  # thickness of a cabinet partition, common practice


@dataclass(frozen=True, slots=True)
class Limit:
    """One end of the band: a height at the trap, the words on the sheet, the step and what it rests on."""

    z_mm: float
    governs: str
    step: str
    bases: tuple[Basis, ...] = ()


def said(what: str, value: str, note: str = "") -> Basis:
    """Return a basis for something the job file says."""
    return Basis(what, value, "job", "", Status.JOB, note)


def trade(what: str, value: str) -> Basis:
    """Return a basis for a figure of the trade that has no published source."""
    return Basis(what, value, "trade", "", Status.MEMORY, "common practice, no source")


def box_of(house: House, fixture: HouseFixture) -> CabinetBox | None:
    """Return the cabinet box the trap sits in, None if it stands free."""
    return house.cabinet(fixture.cabinet_id) if fixture.cabinet_id else None


def trap_size(book: RuleBook, fixture: HouseFixture) -> tuple[float, tuple[Basis, ...]]:
    """Return the trap size [in] and its basis: the job's word, else the book's least, never under the outlet."""
    if fixture.trap_in is not None:
        return fixture.trap_in, (said("trap size", units.size(fixture.trap_in)),)
    cell = queries.trap_size(book, fixture.kind, fixture.heads)
    if fixture.outlet_in > cell.number:
        return fixture.outlet_in, (cell.basis, said("fixture outlet", units.size(fixture.outlet_in)))
    return cell.number, (cell.basis,)


def arm_slope(book: RuleBook, size_in: float) -> Cell:
    """Return the slope an arm of this size is laid at [m/m]: the arm table's, else the general minimum."""
    try:
        return queries.arm_slope(book, size_in)
    except NotInBook:
        return queries.min_slope(book, size_in)


def arm_fall_mm(slope_m_per_m: float, from_wall_mm: float) -> float:
    """Return how far an arm falls from its trap to the finished wall [mm]."""
    return slope_m_per_m * from_wall_mm


def bore_mm(house: House, size_in: float) -> float:
    """Return the inside diameter of the job's pipe [mm]."""
    return catalog.pipe(house.job.material, size_in).id_mm


def outlet_top(house: House, fixture: HouseFixture, outlet_z_mm: float) -> Limit:
    """Return the highest trap: the outlet less what a trap needs to be entered."""
    u = house.job.units
    cell = queries.trap_entry_drop(u)
    entry = cell.number
    what = "disposer outlet" if fixture.disposer else "fixture outlet"
    aff = outlet_z_mm - fixture.finished_z_mm
    return Limit(
        outlet_z_mm - entry,
        f"{what} {units.named(aff, u)} AFF",
        f"{what} at {units.named(aff, u)} AFF, less {units.named(entry, u)} to enter the trap: arm at the trap"
        f" at most {units.named(aff - entry, u)} AFF",
        (said(what, f"{units.named(aff, u)} AFF"), cell.basis),
    )


def tailpiece_bottom(
    house: House, book: RuleBook, fixture: HouseFixture, outlet_z_mm: float, size_in: float
) -> Limit | None:
    """Return the lowest trap by the book's greatest drop from outlet to weir, None where the book states none."""
    try:
        cell = queries.tailpiece_max(book)
    except NotInBook:
        return None
    u = house.job.units
    z = outlet_z_mm - cell.number + bore_mm(house, size_in) / 2
    aff = units.named(z - fixture.finished_z_mm, u)
    if z <= fixture.finished_z_mm:
        return None  # below the floor anyway
    return Limit(
        z,
        f"tailpiece limit {cell.printed}",
        f"outlet to weir at most {cell.printed}: arm at the trap at least {aff} AFF",
        (cell.basis,),
    )


def hang(house: House, size_in: float) -> tuple[float, Basis]:
    """Return how far a trap hangs below its outlet centre [mm], with the basis of the catalogue."""
    drop = catalog.trap_drop_mm(size_in)
    text = units.named(drop, house.job.units)
    return drop, Basis(
        f"bottom of a {units.size(size_in)} trap to its outlet centre", text, "catalog", "", Status.DERIVED
    )


def above(house: House, fixture: HouseFixture, size_in: float, thing: str, z_mm: float) -> Limit:
    """Return the lowest trap that hangs clear above a floor, shelf, drawer or partition at a height."""
    u = house.job.units
    drop, basis = hang(house, size_in)
    z = z_mm + PLAY_MM + drop
    aff, top = z - fixture.finished_z_mm, z_mm - fixture.finished_z_mm
    return Limit(
        z,
        f"{thing} {units.named(top, u)} AFF",
        f"{thing} at {units.named(top, u)} AFF + {units.named(PLAY_MM, u)} play + trap hang {units.named(drop, u)}:"
        f" arm at the trap at least {units.named(aff, u)} AFF",
        (said(thing, f"{units.named(top, u)} AFF"), trade("play below a trap", units.named(PLAY_MM, u)), basis),
    )


def below(house: House, fixture: HouseFixture, size_in: float, thing: str, z_mm: float) -> Limit:
    """Return the highest trap whose hub stays under the bottom of a drawer or shelf."""
    u = house.job.units
    half = catalog.hub_od_mm(size_in) / 2
    z = z_mm - half
    aff, bottom = z - fixture.finished_z_mm, z_mm - fixture.finished_z_mm
    return Limit(
        z,
        f"{thing} {units.named(bottom, u)} AFF",
        f"{thing} bottom at {units.named(bottom, u)} AFF less half a hub {units.named(half, u)}:"
        f" arm at most {units.named(aff, u)} AFF",
        (
            said(f"{thing} bottom", f"{units.named(bottom, u)} AFF"),
            Basis(f"hub of {units.size(size_in)}", units.named(half * 2, u), "catalog", "", Status.ESTIMATE),
        ),
    )


@dataclass(frozen=True, slots=True)
class DrawerCase:
    """How a drawer stands to the trap and the tailpiece."""

    lo_z_mm: float
    hi_z_mm: float
    trap_passes: bool  # cut-out (or the gap behind) holds the whole trap
    tail_passes: bool  # a tailpiece can come down through it, if need be after deepening the cut-out
    remark: str = ""
    basis: tuple[Basis, ...] = ()


def drawer_cases(house: House, fixture: HouseFixture, box: CabinetBox, size_in: float) -> tuple[DrawerCase, ...]:
    """Return each drawer of the box with what its cut-out lets through.

    The tailpiece ends half its diameter beyond the outlet centre; the trap ends half a hub beyond it. A cut-out that
    is there but too shallow lets the tailpiece through only after the cabinet maker has deepened it: that is said.
    """
    u = house.job.units
    tail_ends = fixture.from_wall_mm + fixture.outlet_in * units.MM_PER_INCH / 2
    trap_ends = fixture.from_wall_mm + catalog.hub_od_mm(size_in) / 2
    cases = []
    for d in sorted(box.drawers, key=lambda d: d.lo_z_mm):
        behind = d.back_gap_mm
        depth = behind + d.cut_depth_mm if d.cut_width_mm > 0 else behind
        wide = d.cut_width_mm >= catalog.hub_od_mm(size_in) + 2 * PLAY_MM or behind >= trap_ends
        trap_passes = wide and depth >= trap_ends
        tail_passes = depth >= tail_ends or d.cut_width_mm > 0
        remark = ""
        basis: tuple[Basis, ...] = ()
        if tail_passes and depth < tail_ends:
            lo, hi = (units.named(z - fixture.finished_z_mm, u) for z in (d.lo_z_mm, d.hi_z_mm))
            remark = (
                f"the tailpiece ends {units.named(tail_ends, u)} from the wall, the cut-out of the drawer {lo} to"
                f" {hi} AFF stops at {units.named(depth, u)}: the cabinet maker deepens it by"
                f" {units.named(tail_ends - depth, u)}"
            )
            basis = (said("drawer cut-out depth", units.named(d.cut_depth_mm, u)),)
        cases.append(DrawerCase(d.lo_z_mm, d.hi_z_mm, trap_passes, tail_passes, remark, basis))
    return tuple(cases)


def partition_in_the_way(box: CabinetBox, station_mm: float, size_in: float) -> bool:
    """Return whether a fixed partition stands where the trap hangs."""
    if box.partition_station_mm is None or box.partition_hi_z_mm is None:
        return False
    need = catalog.hub_od_mm(size_in) / 2 + PARTITION_MM / 2
    return abs(box.partition_station_mm - station_mm) < need


@dataclass(frozen=True, slots=True)
class WeirBand:
    """Heights a standpipe allows for its trap weir, house z; None = the book states no end there."""

    lo_mm: float | None
    hi_mm: float | None
    lo_governs: str
    hi_governs: str
    steps: tuple[str, ...]
    bases: tuple[Basis, ...]


def standpipe_weir_band(house: House, book: RuleBook, fixture: HouseFixture, top_z_mm: float) -> WeirBand:
    """Return where the weir of a standpipe trap may lie by the book: below its top, and above the finished floor."""
    u, floor = house.job.units, fixture.finished_z_mm
    steps: list[str] = []
    bases: list[Basis] = [said("standpipe top", f"{units.named(top_z_mm - fixture.subfloor_z_mm, u)} above subfloor")]
    least, most = queries.standpipe_height(book)
    lows: list[tuple[float, str]] = []
    highs: list[tuple[float, str]] = []
    if least is not None:
        highs.append((top_z_mm - least.number, f"standpipe at least {least.printed} above the weir"))
        bases.append(least.basis)
    if most is not None:
        lows.append((top_z_mm - most.number, f"standpipe at most {most.printed} above the weir"))
        bases.append(most.basis)
    trap = queries.standpipe_trap_height(book)
    if trap is not None:
        lo, hi = trap
        if lo is not None:
            lows.append((floor + lo.number, f"trap at least {lo.printed} above the floor"))
            bases.append(lo.basis)
        if hi is not None:
            highs.append((floor + hi.number, f"trap at most {hi.printed} above the floor"))
            bases.append(hi.basis)
    for z, words in (*lows, *highs):
        steps.append(f"{words}: weir {units.named(z - fixture.subfloor_z_mm, u)} above subfloor")
    lo_z, lo_w = max(lows, default=(None, ""), key=lambda t: t[0] if t[0] is not None else 0.0)
    hi_z, hi_w = min(highs, default=(None, ""), key=lambda t: t[0] if t[0] is not None else 0.0)
    return WeirBand(lo_z, hi_z, lo_w, hi_w, tuple(steps), tuple(bases))
