"""The hand-drawn example, and ways to take some of its routes away."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from laid_out import once

from stubout.files.books import load_book
from stubout.files.jobs import read_job
from stubout.house.model import House
from stubout.house.resolve import resolve
from stubout.layout.engine import lay_out
from stubout.layout.model import Layout

JOB = Path(__file__).parents[2] / "examples" / "drawn-bath.yaml"


def laid_anew(house: House) -> Layout:
    return lay_out(house, load_book(house.job.book_id, house.amendments), load_book(house.job.framing_id))


def laid(house: House) -> Layout:
    """Return the layout of a house to look at; that the same comes out again is another matter."""
    return once(f"drawn house {house!r}", lambda: laid_anew(house))


def changed(house: House, leg_id: str, **kw: Any) -> House:
    return replace(house, routes=tuple(replace(g, **kw) if g.id == leg_id else g for g in house.routes))


def without(house: House, *leg_ids: str) -> House:
    return replace(house, routes=tuple(g for g in house.routes if g.id not in leg_ids))


def only(house: House, *leg_ids: str) -> House:
    return replace(house, routes=tuple(g for g in house.routes if g.id in leg_ids))


def no_kitchen(house: House) -> House:
    """Return the house without the sink's routes: the lavatory's vent takes over the header they shared."""
    leg = {g.id: g for g in house.routes}
    header = (*leg["V-LV1"].points, leg["V-KS"].points[-1])
    return without(changed(house, "V-LV1", points=header, joins="V-WC1"), "A-KS", "D-KS", "V-KS")


@pytest.fixture(scope="session")
def house() -> House:
    return resolve(read_job(str(JOB)))[0]


@pytest.fixture
def draw() -> SimpleNamespace:
    return SimpleNamespace(
        laid=laid, laid_anew=laid_anew, changed=changed, without=without, only=only, no_kitchen=no_kitchen
    )
