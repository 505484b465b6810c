"""Figures of the reference sheets that no worked example reaches, put to the books one by one.

The figures are typed from the sheets, not from the data: n-family sections 1 to 6, u-family 1 to 5, i-family 1 to 6,
dimensions 4 and 5. What is derived there is arithmetic and says so.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from stubout.catalog import queries as catalog
from stubout.files.books import load_book
from stubout.kinds import FixtureKind as K
from stubout.problems import Status
from stubout.rulebooks import queries
from stubout.rulebooks.model import RuleBook
from stubout.rulebooks.tables import at, table

IN, FT = 25.4, 304.8
HOUSE_SIZES = (1.25, 1.5, 2.0, 3.0, 4.0)


@pytest.mark.parametrize(
    ("book", "unit", "lengths"),
    [
        ("npc-2020", 1000.0, (1.5, 1.8, 2.4, 3.6, 9.8)),  # Table 2.5.6.3
        ("upc-2021", IN, (30, 42, 60, 72, 120)),  # Table 1002.2
        ("ipc-2021", FT, (5, 6, 8, 12, 16)),  # Table 909.1
        ("irc-2021", FT, (5, 6, 8, 12, 16)),  # Table P3105.1
    ],
)
def test_trap_arm_lengths(book: str, unit: float, lengths: tuple[float, ...]) -> None:
    b = load_book(book)
    for size, length in zip(HOUSE_SIZES, lengths, strict=True):
        assert queries.arm_max_length(b, size).number == pytest.approx(length * unit)


# closet 1.6 gpf, lavatory with the least trap, tub, shower of one head, kitchen and bar sink, tray, washer
KINDS = (K.WATER_CLOSET, K.LAVATORY, K.BATHTUB, K.SHOWER, K.KITCHEN_SINK, K.BAR_SINK, K.LAUNDRY_TRAY, K.CLOTHES_WASHER)


@pytest.mark.parametrize(
    ("book", "loads", "dishwasher"),
    [
        ("npc-2020", (4, 1, 1.5, 1.5, 1.5, 1.5, 1.5, 1.5), 1),  # Table 2.4.9.3
        ("upc-2021", (3, 1, 2, 2, 2, 1, 2, 3), 2),  # Table 702.1, private
        ("ipc-2021", (3, 1, 2, 2, 2, 2, 2, 2), 2),  # Table 709.1
        ("irc-2021", (3, 1, 2, 2, 2, 1, 2, 2), 2),  # Table P3004.1
    ],
)
def test_fixture_loads(book: str, loads: tuple[float, ...], dishwasher: float) -> None:
    b = load_book(book)
    assert tuple(queries.fixture_load(b, k).number for k in KINDS) == loads
    assert queries.fixture_load(b, K.DISHWASHER).number == dishwasher
    assert queries.fixture_load(b, K.DISHWASHER, disposer_or_dishwasher=True).number == 0


@pytest.mark.parametrize(
    ("book", "sizes", "branch", "stack"),
    [
        ("npc-2020", HOUSE_SIZES, (2, 4, 6, 27, 180), (2, 8, 24, 102, 540)),  # 2.4.10.7, 2.4.10.6
        ("upc-2021", HOUSE_SIZES, (1, 1, 8, 35, 216), (1, 2, 16, 48, 256)),  # 703.2
        ("ipc-2021", (1.5, 2.0, 2.5, 3.0, 4.0), (3, 6, 12, 20, 160), (4, 10, 20, 48, 240)),  # 710.1(2)
        ("irc-2021", (1.5, 2.0, 2.5, 3.0, 4.0), (3, 6, 12, 20, 160), (4, 10, 20, 48, 240)),  # P3005.4.1
    ],
)
def test_branches_and_stacks(
    book: str, sizes: tuple[float, ...], branch: tuple[float, ...], stack: tuple[float, ...]
) -> None:
    b = load_book(book)
    assert tuple(queries.branch_capacity(b, s).number for s in sizes) == branch
    assert tuple(queries.stack_capacity(b, s).number for s in sizes) == stack


@pytest.mark.parametrize(
    ("book", "closets", "column"),
    [
        ("npc-2020", 0, {1.5: 2, 2.0: 4, 3.0: 12, 4.0: 36}),  # Table 2.5.8.1
        ("npc-2020", 2, {2.0: 3, 3.0: 8, 4.0: 14, 5.0: 18, 6.0: 23}),
        ("ipc-2021", 0, {1.5: 1, 2.0: 4, 2.5: 6, 3.0: 12}),  # Table 912.3
        ("irc-2021", 0, {1.5: 1, 2.0: 4, 2.5: 6, 3.0: 12, 4.0: 32}),  # Table P3108.3
    ],
)
def test_wet_vents_fill_to_the_figure_and_no_further(book: str, closets: int, column: dict[float, float]) -> None:
    b = load_book(book)
    for size, most in column.items():
        assert queries.wet_vent_size(b, load=most, closets=closets, other_load=most).number == size
    for (_, most), (larger, _) in pairwise(column.items()):
        assert queries.wet_vent_size(b, load=most + 0.5, closets=closets, other_load=most + 0.5).number == larger


@pytest.mark.parametrize(
    ("table_id", "book", "inputs", "load", "status"),
    [
        ("semi_continuous_load", "npc-2020", {"trap_in": 1.5}, 3, Status.SECONDARY),  # 2.4.10.3
        ("semi_continuous_load", "npc-2020", {"trap_in": 4.0}, 180, Status.SECONDARY),
        ("intermittent_load", "upc-2021", {"flow": 7.5}, 1, Status.MEMORY),  # 702.2
        ("intermittent_load", "upc-2021", {"flow": 8.0}, 2, Status.MEMORY),
        ("intermittent_load", "upc-2021", {"flow": 31.0}, 6, Status.MEMORY),
        ("single_stack", "ipc-2021", {"size_in": 3.0}, 24, Status.SECONDARY),  # 917.2
        ("single_stack", "ipc-2021", {"size_in": 4.0}, 225, Status.SECONDARY),
        ("waste_stack", "ipc-2021", {"size_in": 2.0}, 4, Status.MEMORY),  # 913.4
        ("combination_branch", "ipc-2021", {"size_in": 2.0}, 3, Status.MEMORY),  # 915.3
        ("combination_building_drain", "irc-2021", {"size_in": 3.0}, 31, Status.MEMORY),
    ],
)
def test_tables_asked_by_hand(table_id: str, book: str, inputs: dict[str, float], load: float, status: Status) -> None:
    cell = at(table(load_book(book), table_id), **inputs)
    assert (cell.number, cell.status) == (load, status)


def test_bidet_by_its_trap() -> None:
    """UPC 702.1: 1 DFU with 1-1/4 in (memory), 2 with 1-1/2 (secondary)."""
    upc = load_book("upc-2021")
    small, large = (queries.fixture_load(upc, K.BIDET, trap_in=t) for t in (None, 1.5))
    assert (small.number, small.status) == (1, Status.MEMORY)
    assert (large.number, large.status) == (2, Status.SECONDARY)


@pytest.mark.parametrize(
    ("heads", "load", "trap"), [(2, 2, 1.5), (4, 3, 2.0), (10, 5, 3.0), (11, 6, 4.0), (22, 6, 4.0)]
)
def test_showers_by_flow(heads: int, load: float, trap: float) -> None:
    """IPC 709.1 (memory): 5.7, 12.3, 25.8 and 55.6 gpm, at 2.5 gpm a head."""
    ipc = load_book("ipc-2021")
    assert queries.fixture_load(ipc, K.SHOWER, heads=heads).number == load
    assert queries.trap_size(ipc, K.SHOWER, heads=heads).number == trap


@pytest.fixture(scope="module")
def irc() -> RuleBook:
    return load_book("irc-framing-2021")


@pytest.fixture(scope="module")
def nbc() -> RuleBook:
    return load_book("nbc-9.23.5")


# dimensions 4.1 (derived): depth in; 40 % and 60 % bore, 25 % and 40 % notch
@pytest.mark.parametrize(
    ("depth", "figures"),
    [(3.5, (1.40, 2.10, 0.875, 1.40)), (5.5, (2.20, 3.30, 1.375, 2.20)), (7.25, (2.90, 4.35, 1.81, 2.90))],
)
def test_studs_of_the_residential_code(irc: RuleBook, depth: float, figures: tuple[float, ...]) -> None:
    mm = depth * IN
    got = (
        queries.stud_bore_limit(irc, mm, bearing=True, exterior=False),
        queries.stud_bore_limit(irc, mm, bearing=False, exterior=False),
        queries.stud_notch_limit(irc, mm, bearing=True, exterior=False),
        queries.stud_notch_limit(irc, mm, bearing=False, exterior=False),
    )
    assert tuple(c.number / IN for c in got) == pytest.approx(figures, abs=0.005)
    assert queries.stud_bore_limit(irc, mm, bearing=True, exterior=False, doubled=True).number / IN == pytest.approx(
        figures[1], abs=0.005
    )


# dimensions 4.1 (derived): depth in; hole that governs, notch, end notch; NBC quarter of the depth in mm
@pytest.mark.parametrize(
    ("depth", "bore", "notch", "end", "nbc_mm"),
    [(5.5, 1.50, 0.92, 1.375, 35.0), (7.25, 2.42, 1.21, 1.81, 46.0), (9.25, 3.08, 1.54, 2.31, 58.75),
     (11.25, 3.75, 1.875, 2.81, 71.5)],
)  # fmt: skip
def test_joists(
    irc: RuleBook, nbc: RuleBook, depth: float, bore: float, notch: float, end: float, nbc_mm: float
) -> None:
    mm = depth * IN
    assert queries.joist_bore_limit(irc, mm).number / IN == pytest.approx(bore, abs=0.005)
    assert queries.joist_notch_limit(irc, mm).number / IN == pytest.approx(notch, abs=0.005)
    assert queries.joist_notch_limit(irc, mm, at_end=True).number / IN == pytest.approx(end, abs=0.005)
    metric = {5.5: 140, 7.25: 184, 9.25: 235, 11.25: 286}[depth]
    quarter = nbc.value("joist_bore.fraction").number * metric
    assert quarter == pytest.approx(nbc_mm)
    assert queries.joist_bore_limit(nbc, metric).number == pytest.approx(min(quarter, metric - 100))


def test_two_inch_pipe_in_joists_of_the_building_code(nbc: RuleBook) -> None:
    """Dimensions 4.2 (derived): 60.3 mm does not go through a 2x10 but through a 2x12; 3 in through none."""
    two, three = catalog.od_mm(2.0), catalog.od_mm(3.0)
    limits = [queries.joist_bore_limit(nbc, d).number for d in (184, 235, 286)]
    assert [two <= v for v in limits] == [False, False, True]
    assert not any(three <= v for v in limits)


@pytest.mark.parametrize(("depth", "bearing", "other"), [(89, 29, 49), (140, 46, 100)])
def test_studs_of_the_building_code(nbc: RuleBook, depth: float, bearing: float, other: float) -> None:
    """n-family 11 (derived): what may be cut away, bearing to the millimetre below."""
    got = queries.stud_bore_limit(nbc, depth, bearing=True, exterior=False).number
    assert got == pytest.approx(depth / 3)
    assert int(got) == bearing
    assert queries.stud_bore_limit(nbc, depth, bearing=False, exterior=False).number == other


@pytest.mark.parametrize(
    ("depth", "size", "clear", "plated"),
    [(3.5, 1.5, 0.80, (True, True)), (5.5, 1.5, 1.80, (False, False)), (5.5, 2.0, 1.56, (False, False)),
     (5.5, 3.0, 1.00, (True, False))],
)  # fmt: skip
def test_centred_pipe_and_nail_plates(depth: float, size: float, clear: float, plated: tuple[bool, bool]) -> None:
    """Dimensions 5 (derived): pipe face to stud face, and whether the IPC and the UPC ask for a plate."""
    got = (depth - catalog.od_mm(size) / IN) / 2
    assert got == pytest.approx(clear, abs=0.005)
    triggers = [queries.plate_trigger(load_book(b)).number / IN for b in ("ipc-2021", "upc-2021")]
    assert tuple(got < t - 1e-6 for t in triggers) == plated
