"""Two closets back to back on one stack: where they share its fitting. Expected: by the tape. Lengths [mm].

That two fixtures at one level may breathe through one vent: IPC 911.2 and UPC 905.6 (from memory); that closets want
another double fitting than a sanitary tee: IPC 706.3, UPC 706.2.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from stubout.layout.back_to_back import halfway
from stubout.layout.closets import closets_to_stacks
from stubout.layout.desk import TRAP_REACH_MM
from stubout.layout.drain_zone import DrainZone
from stubout.layout.model import VentMethod
from stubout.layout.stack_arms import _may_breathe_wet
from stubout.layout.work import COMMON
from stubout.layout.zone_stacks import find_spots

EXAMPLE = Path(__file__).parents[2] / "examples" / "04-stacked-baths.yaml"
OTHER = """  - tag: WC9
    kind: water closet
    room: bath 3
    wall: UP
    side: right
    at: {at}
    drain: {x}, {y}
    rough in: 12"
    gpf: 1.28
    may move: 1"
"""
ROOM = """  - id: bath 3
    title: Bath 3
    level: upper
    x: 7'-9 1/4", 15'-9 3/4"
    y: 5'-4", 29'
    floor: 5/8"
"""
WALL_MM = 7 * 304.8 + 6 * 25.4  # the middle of wall UP, by its plan
FLANGE_MM = 6 * 304.8 + 2.75 * 25.4  # WC2, so far on the other side of it
FROM_MM = 19 * 304.8 + 4 * 25.4


@pytest.fixture
def upper(tmp_path, desk):
    """Return what makes the zone of the upper floor, a second closet standing so far aside of being back to back."""

    def made(
        aside_mm: float = 0.0, bans: frozenset[tuple[str, str]] = frozenset(), book: str = "upc-2021"
    ) -> DrainZone:
        path = tmp_path / "job.yaml"
        text = EXAMPLE.read_text(encoding="utf-8").replace("book: upc-2021", f"book: {book}", 1)
        at = f'{14 * 12 + aside_mm / 25.4:.3f}"'
        x = f'{(2 * WALL_MM - FLANGE_MM) / 25.4:.3f}"'
        y = f'{(FROM_MM + aside_mm) / 25.4:.3f}"'
        for before, more in (("  - tag: SH2\n", OTHER.format(at=at, x=x, y=y)), ("  - id: bath 2\n", ROOM)):
            text = text.replace(before, more + before, 1)
        path.write_text(text, encoding="utf-8")
        work = desk(path)
        work.bans = bans
        return DrainZone(work, work.house.level("upper"), TRAP_REACH_MM)

    return made


def drawn(zone: DrainZone):
    """Draw both closets and return them."""
    closets = [f for f in zone.work.of_level(zone.level) if f.tag in ("WC2", "WC9")]
    find_spots(zone, closets, closets)
    closets_to_stacks(zone, closets)
    return [zone.work.traps[t] for t in ("WC2", "WC9")]


def ways(zone: DrainZone, traps):
    """Return the directions from the stack to what comes into it [deg]."""
    board = zone.work.board
    at = board.nodes[traps[0].takeoff].xy
    ends = [board.nodes[board.edges[t.arm[-1]].up].xy for t in traps]
    return [math.degrees(math.atan2(p[1] - at[1], p[0] - at[0])) % 360 for p in ends]


def test_closets_back_to_back_share_the_fitting_of_one_stack(upper):
    zone = upper()
    one, other = drawn(zone)
    assert {one.partner, other.partner} == {"WC2", "WC9"}
    assert one.takeoff == other.takeoff
    assert [t.method for t in (one, other)] == [VentMethod.STACK] * 2
    assert len(zone.work.board.stacks) == 1
    a, b = ways(zone, (one, other))
    assert abs(abs(a - b) - 180.0) < 1.0


def test_closets_a_hand_apart_turn_to_a_stack_halfway(upper):
    zone = upper(100.0)
    one, other = drawn(zone)
    assert one.takeoff == other.takeoff
    a, b = ways(zone, (one, other))
    assert abs(abs(a - b) - 180.0) < 2.5, "in one line, or the fitting does not take both"
    board = zone.work.board
    lengths = [sum(board.plan(board.edges[i]) for i in t.arm) for t in (one, other)]
    assert lengths[0] == pytest.approx(lengths[1], abs=40.0)


def test_a_closet_told_not_to_share_does_not(upper):
    tags = ("WC2", "WC9")
    one, other = drawn(upper(bans=frozenset((t, COMMON) for t in tags)))
    assert not one.partner
    assert not other.partner
    assert one.takeoff != other.takeoff


def test_halfway_is_looked_at_for_closets_near_each_other(upper):
    zone = upper(60.0)
    closets = [f for f in zone.work.house.fixtures if f.tag in ("WC2", "WC9")]
    ((x, y),) = halfway(zone.work, closets)
    assert (x, y) == pytest.approx((WALL_MM, FROM_MM + 30.0), abs=0.1)
    far = [f for f in upper(1600.0).work.house.fixtures if f.tag in ("WC2", "WC9")]
    assert halfway(zone.work, far) == []


@pytest.mark.parametrize(("book", "may"), [("upc-2021", False), ("ipc-2021", True), ("npc-2020", True)])
def test_a_lavatory_wets_the_vent_of_two_closets_only_where_the_book_lets_two_on_it(upper, book, may):
    """UPC 908.2 has one closet on a wet vent (secondary), IPC 912.1 two (secondary), NPC 2.5.2.1 two (read)."""
    zone = upper(book=book)
    one, other = drawn(zone)
    assert one.takeoff == other.takeoff
    (stack,) = zone.work.board.stacks
    assert _may_breathe_wet(zone, stack) is may
