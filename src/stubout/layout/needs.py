"""What each fixture asks of the book before anything is drawn: sizes, reaches, slopes. Lengths [mm]."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stubout.catalog import queries as catalog
from stubout.house.framing import Wall
from stubout.house.model import House, HouseFixture
from stubout.house.outlet_drops import closet_drop_mm
from stubout.kinds import FixtureKind
from stubout.layout.space_shapes import Gauge
from stubout.problems import NotInBook
from stubout.rulebooks import queries as ask
from stubout.rulebooks.model import Cell, RuleBook

SHARERS = frozenset({FixtureKind.LAVATORY, FixtureKind.BAR_SINK, FixtureKind.SINK, FixtureKind.KITCHEN_SINK})
SIZES = (1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0)


def gauges(material: str) -> dict[float, Gauge]:
    """Return the girth of every size in a material."""
    out: dict[float, Gauge] = {}
    for s in SIZES:
        try:
            p = catalog.pipe(material, s)
        except LookupError:
            continue
        out[s] = Gauge(s, p.od_mm, p.id_mm, catalog.hub_od_mm(s), catalog.tight_hole_mm(s))
    return out


def common_vents(house: House, book: RuleBook) -> bool:
    """Return whether two fixtures may share a vent fitting at all, by book and wish (`common_vent.py`)."""
    in_book = any(book.find(f"common_vent.{rule}") is not None for rule in ("rule", "least_rule"))
    return in_book and "common" not in house.wishes.methods_not_wanted


def number(cell: Cell | None, default: float) -> float:
    """Return the number of a cell, a default where the book has none."""
    return default if cell is None else cell.number


@dataclass(frozen=True, slots=True)
class Need:
    """One fixture's demands."""

    fixture: HouseFixture
    closet: bool
    load: float
    trap_in: float
    arm_in: float  # the arm: as the trap, or the next stock size
    branch_in: float  # its drain beyond the vent
    arm_max: float
    arm_min: float
    arm_turn: float
    slope: float  # least fall of the arm
    vent_in: float
    joins_in: float = 0.0  # what it joins is at least so large; its own drain need not be
    drop_max: float = math.inf  # from a closet's flange down to its pipe
    drop_counts: bool = False  # that drop counts with the length of the arm

    def arm_left(self, z: float | None) -> float:
        """Return how long an arm may be that begins at a height, or at any: less by the drop where that counts."""
        if z is None or not self.drop_counts:
            return self.arm_max
        return self.arm_max - closet_drop_mm(self.fixture, z)

    @property
    def z_floor(self) -> float | None:
        """Return the lowest centre line under a closet's flange, None where the book sets none."""
        return None if math.isinf(self.drop_max) else self.fixture.finished_z_mm - self.drop_max

    @property
    def ring_z(self) -> float | None:
        """Return the height that the length of an arm is counted from, None where it is counted from its pipe."""
        return self.fixture.finished_z_mm if self.drop_counts else None


class Demands:
    """The book and the catalogue, asked once."""

    def __init__(self, house: House, book: RuleBook, framing: RuleBook, gauges: dict[float, Gauge]) -> None:
        self.house, self.book, self.framing = house, book, framing
        self.gauges = gauges
        self._slopes: dict[float, float] = {}

    def gauge(self, size_in: float) -> Gauge:
        """Return the girth of a pipe size."""
        return self.gauges[size_in]

    def slope(self, size_in: float) -> float:
        """Return the least slope of a horizontal drain."""
        if size_in not in self._slopes:
            self._slopes[size_in] = ask.min_slope(self.book, size_in).number
        return self._slopes[size_in]

    def branch_for(self, load: float, least: float) -> float:
        """Return the least horizontal branch size for a load."""
        for s in SIZES:
            if s < least:
                continue
            try:
                if ask.branch_capacity(self.book, s).number >= load:
                    return s
            except NotInBook:
                continue
        return max(least, SIZES[-1])

    def need(self, f: HouseFixture) -> Need:
        """Return the demands of one fixture."""
        b = self.book
        closet = f.kind is FixtureKind.WATER_CLOSET
        try:
            trap_in = ask.trap_size(b, f.kind, heads=f.heads or 2).number
        except NotInBook:
            trap_in = f.outlet_in
        if closet:
            arm = ask.closet_drain_least_size(b).number
        else:
            if f.floor_outlet:  # the trap of a floor outlet is not smaller than the outlet
                trap_in = max(trap_in, f.outlet_in or 0.0)
            trap_in = arm = max(trap_in, f.trap_in or 0.0)
            if arm == 1.25 and f.kind is FixtureKind.LAVATORY:
                arm = 1.5  # stock: lavatory arms are run in 1-1/2 (common practice, no source)
        load = ask.fixture_load(
            b,
            f.kind,
            trap_in=trap_in,
            heads=f.heads or 2,
            gpf_over_1_6=f.gpf_over_1_6,
            flush_valve=f.flush_valve,
            disposer_or_dishwasher=f.disposer or bool(f.dishwasher),
        ).number
        least = ask.branch_least_size(b, f.kind)
        own = ask.branch_least_from_joint(b)
        joins = number(least, 0.0) if own is not None and own.value is True else 0.0
        branch = self.branch_for(load, max(arm, 0.0 if joins else number(least, 0.0)))
        reach = ask.closet_vent_reach(b) if closet else None
        if reach is not None:
            arm_max = min(number(reach.flat, 1.0e5), number(reach.along, 1.0e5))
            arm_min = 0.0
        else:
            arm_max = ask.arm_max_length(b, arm).number
            arm_min = ask.arm_min_length(b, arm).number
        try:
            turn = ask.arm_max_turn(b, f.kind, arm).number
        except NotInBook:
            turn = 360.0
        vent = ask.vent_least_size(b, trap_in=arm, drain_in=arm, kind=f.kind).number
        return Need(
            f,
            closet,
            load,
            arm if closet else trap_in,
            arm,
            branch,
            arm_max,
            arm_min,
            turn,
            self.slope(arm),
            max(vent, 1.5),
            joins,
            math.inf if reach is None else number(reach.upright, math.inf),
            reach is not None and reach.along is not None,
        )

    def stud_limit(self, w: Wall) -> float:
        """Return the largest hole a stud of this wall may have [mm]."""
        try:
            return ask.stud_bore_limit(
                self.framing, w.depth_mm, bearing=w.bearing, exterior=w.exterior, doubled=False
            ).number
        except NotInBook:
            return 0.0

    def short_bends(self) -> frozenset[float]:
        """Return the sizes in which the book lets a short bend lay a fixture's own drain level under a drop."""
        out: set[float] = set()
        for size in self.gauges:
            try:
                if ask.fitting_allowed(self.book, "1/4 bend", "v-h", size_in=size, fixture_drain=True).value is True:
                    out.add(size)
            except NotInBook:
                continue
        return frozenset(out)

    def joist_limits(self) -> tuple[dict[str, float], dict[str, float]]:
        """Return per frame of sawn joists the largest hole and the least edge distance [mm]; of others no hole."""
        limit: dict[str, float] = {}
        edge: dict[str, float] = {}
        for f in self.house.frames:
            if f.kind != "sawn" or not f.bore_allowed:  # crossed by the maker's paper or not at all: `charted.py`
                limit[f.id], edge[f.id] = 0.0, 0.0
                continue
            try:
                limit[f.id] = ask.joist_bore_limit(self.framing, f.depth_mm).number
                edge[f.id] = ask.joist_edge(self.framing).number
            except NotInBook:
                limit[f.id], edge[f.id] = 0.0, 0.0
        return limit, edge
