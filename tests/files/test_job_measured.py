"""Fittings measured in hand: what a person writes is understood, a slip is a fault with its line. Expected: by hand."""

from __future__ import annotations

import pytest

from stubout.catalog.queries import fitting, measured_catalog
from stubout.files.jobs import read_job_text
from stubout.house.resolve import resolve
from stubout.job.starter import starter_text
from stubout.problems import JobFileError, Status

BOOKS = ("upc-2021", "irc-framing-2021")
STARTER = starter_text("inch")
LINE = STARTER.count("\n") + 3  # of the first entry


def text(*entries: str) -> str:
    return STARTER + "\n".join(("", "measured:", *(f"  - {{{e}}}" for e in entries), ""))


def faults(*entries: str) -> list[str]:
    with pytest.raises(JobFileError) as caught:
        read_job_text(text(*entries), "house.yaml", BOOKS)
    return [str(f) for f in caught.value.faults]


@pytest.mark.parametrize(
    ("entry", "at", "words"),
    [
        ('fitting: wye, dimension: foo, is: 3"', "fitting", "with its sizes, such as sanitary tee 3 x 3 x 2"),
        ('fitting: sanitry tee 3 x 3 x 2, dimension: branch, is: 3"', "fitting", 'Did you mean "sanitary tee"?'),
        ('fitting: wye 3 x 2, dimension: branch, is: 3"', "fitting", 'Did you mean "wye 3 x 3 x 2"?'),
        ('fitting: wye 3 x 3 x 2, dimension: foo, is: 3"', "dimension", "one of inlet, outlet, branch, make-up, hub"),
        ('fitting: 1/4 bend 2, dimension: make-upp, is: 3"', "dimension", 'Did you mean "make-up"?'),
        ('fitting: 1/4 bend 2, dimension: branch, is: 3"', "dimension", "one of inlet, outlet, make-up, hub"),
        ("fitting: long-turn 1/4 bend 2, dimension: make-up, is: -1", "is", "at least"),
        ("fitting: long-turn 1/4 bend 2, dimension: make-up, is: 0", "is", "at least"),
        ('fitting: long-turn 1/4 bend 2, dimension: make-up, is: 30"', "is", "Is the unit right?"),
        ("fitting: coupling 2, dimension: make-up, is: 0", "is", "more than nothing"),
        ('fitting: 1/4 bend 2, dimension: hub, is: 2"', "is", "at least 2 3/8"),
    ],
)
def test_a_slip_is_told_with_its_line(entry: str, at: str, words: str) -> None:
    (told,) = faults(entry)
    assert told.startswith(f"house.yaml:{LINE}: measured[no. 1].{at}: ")
    assert words in told


def test_a_dimension_twice_is_told() -> None:
    (told,) = faults('fitting: 1/4 bend 2, dimension: inlet, is: 2"', 'fitting: 1/4 Bend 2", dimension: Inlet, is: 2"')
    assert told.startswith(f"house.yaml:{LINE + 1}: measured[no. 2].dimension: ")
    assert f"it is on line {LINE} too" in told


@pytest.mark.parametrize(
    ("entry", "pattern", "sizes", "port"),
    [
        ('fitting: "Long-turn 1/4 bend 2 in", dimension: make up, is: 3"', "long-turn 1/4 bend", (2.0, 2.0), "outlet"),
        ('fitting: long turn 1/4 bend DN 50, dimension: makeup, is: 3"', "long-turn 1/4 bend", (2.0, 2.0), "inlet"),
        ('fitting: combination 3 x 3 x 2, dimension: Branch, is: 3"', "combination", (3.0, 3.0, 2.0), "branch"),
        ('fitting: COMBINATION 3 by 3 by 2, dimension: " branch ", is: 3"', "combination", (3.0, 3.0, 2.0), "branch"),
        (
            'fitting: double wye 2x2x2x1.5, dimension: branch2, is: 3"',
            "double wye",
            (2.0, 2.0, 2.0, 1.5),
            "branch 2",
        ),
        ('fitting: closet flange 3, dimension: outlet, is: 3"', "closet flange", (3.0,), "outlet"),
    ],
)
def test_what_a_person_writes_is_understood(entry: str, pattern: str, sizes: tuple[float, ...], port: str) -> None:
    house, _ = resolve(read_job_text(text(entry), "house.yaml", BOOKS))
    data = fitting(pattern, sizes, measured_catalog(house.measured))
    assert data.ports[port] == pytest.approx(76.2)
    assert data.statuses[port] is Status.JOB


def test_the_leg_of_a_street_bend_is_no_outside_diameter() -> None:
    entry = 'fitting: street 1/4 bend 2, dimension: hub, is: 2 3/4"'
    house, _ = resolve(read_job_text(text(entry), "house.yaml", BOOKS))
    data = fitting("street 1/4 bend", (2.0, 2.0), measured_catalog(house.measured))
    assert data.ports["hub"] == pytest.approx(69.85)
    assert data.hubs == fitting("street 1/4 bend", (2.0, 2.0)).hubs


def test_what_is_measured_of_one_port_goes_before_all() -> None:
    entries = (
        'fitting: wye 2 x 2 x 2, dimension: branch, is: 3"',
        'fitting: wye 2 x 2 x 2, dimension: make-up, is: 2"',
    )
    house, _ = resolve(read_job_text(text(*entries), "house.yaml", BOOKS))
    data = fitting("wye", (2.0, 2.0, 2.0), measured_catalog(house.measured))
    assert [round(mm, 1) for mm in data.ports.values()] == [50.8, 50.8, 76.2]
