"""Drains that go far round: which are told, and by how much."""

import pytest

from stubout.layout.model import Place, PointKind, Role
from stubout.layout.ways_round import ways_round

CRAWL = Place("crawl", "main floor")
BAY = Place("joist bay", "main floor")


def closet(work, place: Place):
    """Return the drain of a closet: 1.2 m of arm west to where its vent rises, and back to a drain close by."""
    board = work.board
    at = [
        board.node(xy, PointKind.TURN)
        for xy in ((3000.0, 6000.0), (1800.0, 6000.0), (1800.0, 5000.0), (3000.0, 5000.0))
    ]
    roles = (Role.TRAP_ARM, Role.BRANCH, Role.BRANCH)
    return [
        board.edge(a, b, "drain", role, place, 3.0, tag="WC1") for a, b, role in zip(at, at[1:], roles, strict=False)
    ]


def test_a_closets_drain_is_judged_from_its_flange_where_its_arm_lies_free(desk):
    work = desk("03-crawlspace-cottage")
    drain = closet(work, CRAWL)
    (way,) = ways_round(work.board, drain, arms=True)
    assert (way.tag, way.start, way.end) == ("WC1", (3000.0, 6000.0), (3000.0, 5000.0))
    # 1200 + 1000 + 1200, less twice the straight metre and what nobody minds: round a post, by way of a bay
    assert way.extra_mm == pytest.approx(3400.0 - 2000.0 - 600.0 - 500.0)


def test_without_its_arm_it_is_short_enough(desk):
    work = desk("03-crawlspace-cottage")
    assert not list(ways_round(work.board, closet(work, CRAWL)))


def test_between_joists_an_arm_goes_where_they_let_it(desk):
    work = desk("03-crawlspace-cottage")
    assert not list(ways_round(work.board, closet(work, BAY), arms=True))
