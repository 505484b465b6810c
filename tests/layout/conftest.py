"""Desks of the example houses for tests of single parts of the layout."""

from collections.abc import Callable
from pathlib import Path

import pytest
from desks import desk_of as desk_of_job

from stubout.files.books import book_ids, load_book
from stubout.files.jobs import read_job
from stubout.layout.work import Work
from stubout.rulebooks.model import RuleBook

EXAMPLES = Path(__file__).parents[2] / "examples"


def _desk(job_file: str | Path) -> Work:
    path = job_file if isinstance(job_file, Path) else EXAMPLES / f"{job_file}.yaml"
    return desk_of_job(read_job(str(path), book_ids()))


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
