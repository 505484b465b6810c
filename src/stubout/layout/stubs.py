"""The drain height solver: for every fixture with a wall stub, the band its stub-out may lie in, and the mark.

The band is built at the trap (arm's centre line), then carried to the finished wall by the least fall of the arm. The
low end takes no credit for that fall, so a mark anywhere in the band leaves room for it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from stubout import units
from stubout.catalog import queries as catalog
from stubout.house.model import House, HouseFixture
from stubout.kinds import FixtureKind
from stubout.layout import stub_limits as limits
from stubout.layout.model import StubMark
from stubout.layout.stub_limits import Limit
from stubout.problems import Basis, Derivation, Status
from stubout.rulebooks.model import RuleBook

STUB_KINDS = frozenset(
    {
        FixtureKind.LAVATORY,
        FixtureKind.KITCHEN_SINK,
        FixtureKind.BAR_SINK,
        FixtureKind.SINK,
        FixtureKind.LAUNDRY_TRAY,
        FixtureKind.CLOTHES_WASHER,
    }
)

# Ordinary heights above finished floor [mm], usual and range: 18 (16-20), 16 (14-18), 14 (12-16) in and so on.
# Source: trade rough-in guides, secondary; laundry tray: common practice, no source.
_INCH = units.MM_PER_INCH
ORDINARY_MM: dict[FixtureKind, tuple[float, float, float]] = {
    FixtureKind.LAVATORY: (18 * _INCH, 16 * _INCH, 20 * _INCH),
    FixtureKind.KITCHEN_SINK: (16 * _INCH, 14 * _INCH, 18 * _INCH),
    FixtureKind.SINK: (16 * _INCH, 14 * _INCH, 18 * _INCH),
    FixtureKind.BAR_SINK: (16 * _INCH, 15 * _INCH, 18 * _INCH),
    FixtureKind.LAUNDRY_TRAY: (16 * _INCH, 14 * _INCH, 18 * _INCH),
    FixtureKind.CLOTHES_WASHER: (12 * _INCH, 6 * _INCH, 18 * _INCH),
}
ORDINARY_DISPOSER_MM = (14 * _INCH, 12 * _INCH, 16 * _INCH)
ROUND_MM = {"mm": 5.0, "inch": _INCH / 4}


@dataclass(frozen=True, slots=True)
class TrapBand:
    """The band of the arm's centre line at the trap, house z [mm]; empty when `lo` lies above `hi`."""

    lo: Limit
    hi: Limit
    steps: tuple[str, ...]
    bases: tuple[Basis, ...]
    assumed: bool = False  # the outlet height is not known

    @property
    def feasible(self) -> bool:
        """Return whether any height satisfies both ends."""
        return self.lo.z_mm <= self.hi.z_mm + 1e-6


def has_wall_stub(fixture: HouseFixture) -> bool:
    """Return whether a fixture's drain leaves through a wall at a height that is marked on it."""
    return fixture.kind in STUB_KINDS and not fixture.floor_outlet and bool(fixture.wall_id) and not fixture.in_island


def stub_marks(house: House, book: RuleBook, arm_sizes: Mapping[str, float] | None = None) -> tuple[StubMark, ...]:
    """Return the stub-out of every fixture that has one, in the order of the job.

    Args:
        house: The resolved house.
        book: The rule book, amendments applied.
        arm_sizes: Arm size [in] by tag where the layout chose one larger than the trap needs.
    """
    chosen = arm_sizes or {}
    return tuple(stub_mark(house, book, f, chosen.get(f.tag)) for f in house.fixtures if has_wall_stub(f))


def trap_band(house: House, book: RuleBook, fixture: HouseFixture, arm_in: float | None = None) -> TrapBand:
    """Return the band at the trap of one fixture, island sinks included.

    Args:
        house: The resolved house.
        book: The rule book, amendments applied.
        fixture: The fixture.
        arm_in: Arm size [in] if chosen; the trap is taken in the larger of this and the fixture's least.
    """
    least_in, size_bases = limits.trap_size(book, fixture)
    size_in = max(least_in, arm_in or 0.0)
    steps = [f"trap {units.size(size_in)} in"]
    if size_in > least_in:
        steps[0] += f" (arm drawn or reckoned in {units.size(size_in)}; {units.size(least_in)} would do)"
    if fixture.kind is FixtureKind.CLOTHES_WASHER:
        band = _standpipe_band(house, book, fixture, size_in)
    else:
        band = _bowl_band(house, book, fixture, size_in)
    return replace(band, steps=(*steps, *band.steps), bases=(*size_bases, *band.bases))


def stub_mark(house: House, book: RuleBook, fixture: HouseFixture, arm_in: float | None = None) -> StubMark:
    """Return the band, the mark and what governs each end of one stub-out."""
    u, floor = house.job.units, fixture.finished_z_mm
    band = trap_band(house, book, fixture, arm_in)
    size_in = max(limits.trap_size(book, fixture)[0], arm_in or 0.0)
    slope = limits.arm_slope(book, size_in)
    fall = limits.arm_fall_mm(slope.number, fixture.from_wall_mm)
    steps, bases = list(band.steps), list(band.bases)
    hi_z = band.hi.z_mm - fall
    if fall > 0:
        bases.append(slope.basis)
        steps.append(
            f"arm from trap to wall {units.named(fixture.from_wall_mm, u)} at {slope.printed}: falls"
            f" {units.named(fall, u)}, so at the wall at most {units.named(hi_z - floor, u)} AFF"
        )
    lo_z = min(band.lo.z_mm, hi_z) if band.feasible else band.lo.z_mm
    if band.feasible:
        mark_z, why, basis = _choose(house, fixture, lo_z, hi_z)
        bases += basis
    else:
        mark_z = hi_z
        why = (
            f"no height does: {band.lo.governs} asks for {units.named(band.lo.z_mm - floor, u)} AFF at the trap,"
            f" {band.hi.governs} allows {units.named(band.hi.z_mm - floor, u)}; short by"
            f" {units.named(band.lo.z_mm - band.hi.z_mm, u)}. The figure given is the upper end only"
        )
    steps.append(f"band at the finished wall {units.named(lo_z - floor, u)} to {units.named(hi_z - floor, u)} AFF")
    steps.append(why)
    projection = catalog.figure("stub projection")
    if fixture.kind is not FixtureKind.CLOTHES_WASHER:
        bases.append(projection.basis)
    value = _said(mark_z, floor, fixture.subfloor_z_mm, u)
    return StubMark(
        tag=fixture.tag,
        wall_id=fixture.wall_id,
        side=fixture.side,
        station_mm=_station(house, fixture),
        lo_z_mm=lo_z,
        hi_z_mm=hi_z,
        mark_z_mm=mark_z,
        lo_governs=band.lo.governs,
        hi_governs=band.hi.governs,
        size_in=size_in,
        projection_mm=0.0 if fixture.kind is FixtureKind.CLOTHES_WASHER else projection.value,
        finished_z_mm=floor,
        subfloor_z_mm=fixture.subfloor_z_mm,
        derivation=Derivation(fixture.tag, "stub-out height", value, tuple(steps), _unique(bases)),
        feasible=band.feasible,
        arm_fall_mm=fall,
    )


def _said(z_mm: float, finished_z_mm: float, subfloor_z_mm: float, system: units.Units) -> str:
    return f"{units.both(z_mm - finished_z_mm, system)} AFF = {units.both(z_mm - subfloor_z_mm, system)} above subfloor"


def marked_at(mark: StubMark, z_mm: float, system: units.Units, why: str = "") -> StubMark:
    """Return a mark set to another height, saying why.

    Args:
        mark: The mark.
        z_mm: Its height in the house [mm].
        system: Unit of the words.
        why: The step of its derivation that this is.
    """
    how = mark.derivation
    steps = (*how.steps, why) if why else how.steps
    value = _said(z_mm, mark.finished_z_mm, mark.subfloor_z_mm, system)
    return replace(mark, mark_z_mm=z_mm, derivation=replace(how, value=value, steps=steps))


def _bowl_band(house: House, book: RuleBook, fixture: HouseFixture, size_in: float) -> TrapBand:
    """Return the band of a trap under a bowl: outlet above; floor, shelf, drawer, partition and tailpiece below."""
    known = fixture.outlet_z_mm is not None
    hi = (
        limits.outlet_top(house, fixture, fixture.outlet_z_mm)
        if fixture.outlet_z_mm is not None
        else _ordinary_top(house, fixture)
    )
    highs, lows = [hi], []
    box = limits.box_of(house, fixture)
    if box is not None and box.floor_z_mm is not None:
        lows.append(limits.above(house, fixture, size_in, "cabinet floor", box.floor_z_mm))
    else:
        lows.append(limits.above(house, fixture, size_in, "finished floor", fixture.finished_z_mm))
    if fixture.outlet_z_mm is not None:
        drop = limits.tailpiece_bottom(house, book, fixture, fixture.outlet_z_mm, size_in)
        if drop is not None:
            lows.append(drop)
    remarks: list[str] = []
    extra: list[Basis] = []
    if box is not None:
        ceiling_z = hi.z_mm
        lows += [limits.above(house, fixture, size_in, "shelf", z) for z in box.shelves_z_mm if z < ceiling_z + PASS_MM]
        if limits.partition_in_the_way(box, _station(house, fixture), size_in):
            lows.append(limits.above(house, fixture, size_in, "partition", box.partition_hi_z_mm or 0.0))
        lo_z = max(x.z_mm for x in lows)
        for case in limits.drawer_cases(house, fixture, box, size_in):
            if case.lo_z_mm > ceiling_z + PASS_MM:
                continue  # wholly above the trap entry: beside the bowl, not below it
            over = limits.above(house, fixture, size_in, "drawer", case.hi_z_mm)
            under = limits.below(house, fixture, size_in, "drawer", case.lo_z_mm)
            if case.trap_passes:
                continue
            if case.remark:
                remarks.append(case.remark)
                extra += case.basis
            if not case.tail_passes or over.z_mm <= ceiling_z:
                lows.append(over)
                lo_z = max(lo_z, over.z_mm)
            elif under.z_mm >= lo_z:
                highs.append(under)
            # else: the trap hangs in the cut-out, and the remark says what that asks of the cabinet maker
    lo = max(lows, key=lambda x: x.z_mm)
    hi = min(highs, key=lambda x: x.z_mm)
    used = (*highs, *lows)
    return TrapBand(
        lo, hi, (*(x.step for x in used), *remarks), (*(b for x in used for b in x.bases), *extra), assumed=not known
    )


PASS_MM = 0.5  # two heights closer than this are the same


def _ordinary_top(house: House, fixture: HouseFixture) -> Limit:
    """Return the top of the ordinary range, for a fixture whose outlet height nobody has given yet."""
    u = house.job.units
    _, _, top = _ordinary(fixture)
    text = f"{units.named(top, u)} AFF"
    lacking = "standpipe top" if fixture.kind is FixtureKind.CLOTHES_WASHER else "outlet height"
    return Limit(
        fixture.finished_z_mm + top,
        f"ordinary height {text}, {lacking} not known",
        f"{lacking} not known: ordinary height taken, at most {text}; ask for the fixture sheet",
        (Basis("ordinary stub-out height, highest", text, "trade", "", Status.SECONDARY, "rough-in guides"),),
    )


def _standpipe_band(house: House, book: RuleBook, fixture: HouseFixture, size_in: float) -> TrapBand:
    """Return the band of a standpipe trap: the weir by the book, the trap above the floor."""
    u, half = house.job.units, limits.bore_mm(house, size_in) / 2
    wall = house.wall(fixture.wall_id) if fixture.wall_id else None
    plate_z = wall.bottom_z_mm + wall.bottom_plate_mm if wall is not None else fixture.finished_z_mm
    low, low_z = max(("finished floor", fixture.finished_z_mm), ("sole plate", plate_z), key=lambda t: t[1])
    floor_limit = limits.above(house, fixture, size_in, low, low_z)
    lows = [floor_limit]
    if fixture.standpipe_top_z_mm is None:
        hi = _ordinary_top(house, fixture)
        return TrapBand(floor_limit, hi, (floor_limit.step, hi.step), (*floor_limit.bases, *hi.bases), assumed=True)
    weir = limits.standpipe_weir_band(house, book, fixture, fixture.standpipe_top_z_mm)
    note = f"arm's centre line lies half a bore, {units.named(half, u)}, above the weir"
    if weir.lo_mm is not None:
        lows.append(Limit(weir.lo_mm + half, weir.lo_governs, note))
    hi = (
        Limit(weir.hi_mm + half, weir.hi_governs, note)
        if weir.hi_mm is not None
        else Limit(fixture.standpipe_top_z_mm, "standpipe top", note)
    )
    lo = max(lows, key=lambda x: x.z_mm)
    return TrapBand(lo, hi, (*weir.steps, floor_limit.step, note), (*weir.bases, *floor_limit.bases))


def _ordinary(fixture: HouseFixture) -> tuple[float, float, float]:
    """Return usual, lowest and highest ordinary height above finished floor [mm]."""
    return ORDINARY_DISPOSER_MM if fixture.disposer else ORDINARY_MM[fixture.kind]


def _choose(house: House, fixture: HouseFixture, lo_z: float, hi_z: float) -> tuple[float, str, tuple[Basis, ...]]:
    """Return the mark in a band: the sheet's wish if it lies inside, else the ordinary height, on a round figure."""
    u, floor = house.job.units, fixture.finished_z_mm
    wish = fixture.wanted_stub_z_mm
    if wish is not None and lo_z - 1e-6 <= wish <= hi_z + 1e-6:
        text = f"{units.named(wish - floor, u)} AFF"
        return (
            wish,
            f"mark: {text}, as the fixture sheet wants it",
            (limits.said("stub-out wanted by the sheet", text),),
        )
    usual = floor + _ordinary(fixture)[0]
    target = min(max(usual, lo_z), hi_z)
    mark = _round_into(target - floor, lo_z - floor, hi_z - floor, ROUND_MM[u]) + floor
    text = units.named(usual - floor, u)
    lead = f"the sheet's {units.named(wish - floor, u)} AFF lies outside the band; " if wish is not None else ""
    how = "ordinary height" if abs(target - usual) < PASS_MM else f"nearest to the ordinary height {text}"
    basis = Basis("ordinary stub-out height", f"{text} AFF", "trade", "", Status.SECONDARY, "rough-in guides")
    return mark, f"{lead}mark: {units.named(mark - floor, u)} AFF, {how}", (basis,)


def _round_into(target: float, lo: float, hi: float, step: float) -> float:
    """Return the multiple of `step` nearest to the target that lies in the band; the band's middle if none does."""
    first, last = math.ceil(lo / step - 1e-9), math.floor(hi / step + 1e-9)
    if first > last:
        return (lo + hi) / 2
    return min(max(round(target / step), first), last) * step


def _station(house: House, fixture: HouseFixture) -> float:
    """Return the station of the stub-out on its wall [mm]: as said, else the foot of the outlet on the wall."""
    if fixture.station_mm is not None:
        return fixture.station_mm
    if fixture.wall_id and fixture.outlet is not None:
        return house.wall(fixture.wall_id).station(fixture.outlet)
    return 0.0


def _unique(bases: list[Basis]) -> tuple[Basis, ...]:
    """Return the bases without repeats, in order."""
    return tuple(dict.fromkeys(bases))
