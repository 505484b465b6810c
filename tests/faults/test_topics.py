"""Every topic that must be caught before glue has a seeded fault, and every one with a figure has its limit tried."""

from __future__ import annotations

import pytest
from seeding.table import edges, faults, pairs

# The list of the agreed picture, taken apart where one line of it holds several topics; True: some figure decides it.
TOPICS = {
    "flat vent below the flood rim": True,
    "vent below the weir": True,
    "trap arm too long": True,
    "trap arm too short": True,
    "trap arm too steep": True,
    "trap arm flat": True,
    "trap arm falling the wrong way": False,
    "too many turns": False,  # bends come in steps: the pairs try them
    "unvented trap": True,
    "S-trap": False,
    "trap arm and trap size": True,
    "fitting used against its flow direction": False,
    "quarter bend at the foot": False,
    "double tee cross-flow": False,
    "wet vent order, size, members, level": True,
    "vent or drain reduced": True,
    "vent reduced": False,
    "drain reduced": False,
    "vent sizes": True,
    "closet on too small a pipe": True,
    "fixture drain sizes": True,
    "drain sizes by load": True,
    "drain too flat": True,
    "standpipe and trap heights": True,
    "stub-out too high": True,
    "stub-out too low": True,
    "stub-out off centre": True,
    "stub-out on a stud": True,
    "stub-out behind a drawer": False,
    "stub-out at a seam": False,
    "cleanout missing": True,
    "cleanout blocked": True,
    "cleanout behind a drawer": False,
    "cleanout at a seam": False,
    "cleanout pointing the wrong way": False,
    "vent against faucet": False,
    "vent against cabinet, light, window, header": False,
    "flange off the finished wall": False,
    "flange off the finished floor": True,
    "fixture clearances": True,
    "joist under closet or tub drain": False,
    "bore, notch, edge, plate, strap, engineered member": True,
    "nail plates": False,  # the limit is tried in tests/checks
    "no fall to the sewer": False,
    "cover": True,
    "footing zone": True,
    "terminal place, height, frost": True,
    "pipe in a cold wall": False,
    "supports": False,
    "material joints": False,
    "low point that holds water": True,
    "dead ends": False,
    "double traps": False,
    "terminal missing": False,
    "test head not reached": True,
    "AAV place and permission": True,
    "connection too near a stack foot": False,  # the limit is tried in tests/checks
}


@pytest.mark.parametrize("topic", TOPICS)
def test_topic_has_a_seeded_fault(topic: str) -> None:
    assert [f.id for f in faults() if f.topic == topic]


@pytest.mark.parametrize("topic", [t for t, figure in TOPICS.items() if figure])
def test_topic_with_a_figure_has_its_limit_tried(topic: str) -> None:
    assert [e.id for e in edges() if e.topic == topic]


def test_books_differ_in_many_geometries() -> None:
    assert len(pairs()) >= 40
