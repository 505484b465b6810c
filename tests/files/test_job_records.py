"""Records of a job file: what nobody can use is a fault with its line. Expected: by hand."""

from __future__ import annotations

import pytest

from stubout.files.jobs import read_job_text
from stubout.house.resolve import resolve
from stubout.job.starter import starter_text
from stubout.problems import JobFileError

BOOKS = ("upc-2021", "irc-framing-2021")
STARTER = starter_text("inch")
LINE = STARTER.count("\n") + 3  # of the first entry
SIGNED = "date: 2030-01-02, by: Inspector I"


def text(entry: str) -> str:
    return f"{STARTER}\nrecords:\n  - {{{entry}}}\n"


@pytest.mark.parametrize(
    ("entry", "at", "words"),
    [
        (f"about: NOPE, what: waiver, value: x, {SIGNED}", "about", "such as ARM001 KS"),
        (f"about: ARM001, what: waiver, value: x, {SIGNED}", "about", "such as ARM001 KS"),
        ("about: ARM001 KS, what: waiver, value: x, by: Inspector I", "date", "nobody signed"),
        ("about: ARM001 KS, what: waiver, value: x, date: 2030-01-02", "by", "nobody signed"),
        ("about: LV1, what: stub height, value: foo", "value", 'found "foo", wanted a length'),
        ("about: D1, what: slope, value: steep", "value", 'found "steep", wanted a slope'),
        (f"about: ARM001 KS, what: waivr, value: x, {SIGNED}", "what", 'Did you mean "waiver"?'),
        ("about: D1, what: slop, value: 2 %", "what", 'Did you mean "slope"?'),
        ('about: LV1, what: heigth, value: 3"', "what", 'Did you mean "height"?'),
    ],
)
def test_what_nobody_can_use_is_a_fault(entry: str, at: str, words: str) -> None:
    with pytest.raises(JobFileError) as caught:
        read_job_text(text(entry), "house.yaml", BOOKS)
    (told,) = (str(f) for f in caught.value.faults)
    assert told.startswith(f"house.yaml:{LINE}: records[no. 1].{at}: ")
    assert words in told


@pytest.mark.parametrize(
    ("entry", "kind"),
    [
        ('about: LV1, what: stubheight, value: 20"', "stub height"),
        ("about: LV1, what: Stub-Height, value: 500 mm", "stub height"),
        ("about: D1, what: Fall, value: 2 %", "slope"),
        ("about: section A, what: Test by water, value: held", "test"),
        (f"about: arm001 KS, what: Waiver, value: x, {SIGNED}", "waiver"),
        ("about: LV1, what: photo, value: 12.jpg", ""),
        ("about: gate of cover, what: signed, value: yes", ""),
    ],
)
def test_what_a_person_writes_is_understood(entry: str, kind: str) -> None:
    house, _ = resolve(read_job_text(text(entry), "house.yaml", BOOKS))
    assert house.readings[0].kind == kind


def test_a_check_may_be_named_in_small_letters() -> None:
    entry = f"about: arm001 KS, what: Waiver, value: x, {SIGNED}"
    house, _ = resolve(read_job_text(text(entry), "house.yaml", BOOKS))
    assert house.readings[0].accepts("ARM001", ("KS",))
    assert not house.readings[0].accepts("ARM001", ("LV1",))
    assert not house.readings[0].accepts("ARM002", ("KS",))
