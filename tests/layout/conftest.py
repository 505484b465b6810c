"""Desks of the example houses for tests of single parts of the layout."""

from collections.abc import Callable
from pathlib import Path

import pytest

from stubout.files.books import book_ids, load_book
from stubout.files.jobs import read_job
from stubout.house.resolve import resolve
from stubout.layout.cavity import Cavity
from stubout.layout.draft import Board
from stubout.layout.needs import Demands, gauges
from stubout.layout.space import Space
from stubout.layout.work import Work
from stubout.rulebooks.model import RuleBook

EXAMPLES = Path(__file__).parents[2] / "examples"


def _desk(job_file: str | Path) -> Work:
    path = job_file if isinstance(job_file, Path) else EXAMPLES / f"{job_file}.yaml"
    job = read_job(str(path), book_ids())
    house, _ = resolve(job)
    book, framing = load_book(house.job.book_id, house.amendments), load_book(house.job.framing_id)
    demands = Demands(house, book, framing, gauges(house.job.material))
    limits, edges = demands.joist_limits()
    space = Space(house, limits, edges, demands.stud_limit)
    cavity = Cavity(house, space, demands.stud_limit)
    needs = {f.tag: demands.need(f) for f in house.fixtures}
    return Work(house, book, framing, demands, space, cavity, Board(), needs, {})


@pytest.fixture
def desk() -> Callable[[str | Path], Work]:
    """Return what makes an empty desk for an example house, or for that of a job file."""
    return _desk


@pytest.fixture(scope="session")
def desk_of() -> Callable[[str], Work]:
    """Return what makes an empty desk for an example house, for fixtures that live longer than one test."""
    return _desk


@pytest.fixture(scope="session")
def book() -> Callable[[str], RuleBook]:
    """Return what loads a rule book."""
    return load_book
