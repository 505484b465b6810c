"""An inch job is told in inches: no sheet, list, finding, question or step prints a bare millimetre length."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator
from typing import Any

import pytest
from drawn import sheets

from stubout.reports.documents import documents
from stubout.reports.plain import check_text

# A length in mm or m that stands neither in the brackets behind the job's own unit nor before such brackets:
# `300 mm (12 in)` is how a metric source prints it.
BARE = re.compile(r"(?<![(\d.])\d[\d.]* ?(?:mm|m)\b(?!/| \(\d)")
SPACE = "\u00a0"


def texts(thing: Any) -> Iterator[str]:
    if isinstance(thing, str):
        yield thing.replace(SPACE, " ")
    elif isinstance(thing, (tuple, list)):
        for part in thing:
            yield from texts(part)
    elif dataclasses.is_dataclass(thing) and not isinstance(thing, type):
        for f in dataclasses.fields(thing):
            yield from texts(getattr(thing, f.name))


def bare(thing: Any) -> list[str]:
    return sorted({t for t in texts(thing) if BARE.search(t)})


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("moved 44 mm along the wall", True),
        ("a run of 1.8 m", True),
        ('2 1/2" (64 mm) centre to centre', False),
        ("within 300 mm (12 in) of ends and turns", False),
        ("2.0 ft/s; 3 m/s", False),
        ("LV3 moved", False),
    ],
)
def test_what_counts_as_bare(text, found):
    assert bool(bare(text)) is found


@pytest.mark.parametrize("name", ["demo", "drawn", "02", "03"])
def test_an_inch_job_prints_no_bare_millimetres(chain, name):
    c = chain(name)
    d, v = c.design, c.verdict
    assert d.house.job.units == "inch"
    said = [(f.found, f.wanted, f.do, f.why) for f in v.findings]
    assert bare(said) == []
    assert bare([n.reason for n in v.not_checked]) == []
    assert bare([d.questions, d.notes, [b.constraint for b in d.blocked]]) == []
    assert bare([(x.value, x.steps) for x in d.derivations]) == []
    assert bare(documents(d, v.findings, v.not_checked, v.used)) == []
    assert bare(check_text(d, v.findings, v.not_checked, full=True)) == []
    assert bare(sheets(d)) == []
