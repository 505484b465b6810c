"""The example houses, resolved once."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from stubout.files.demo import demo_job
from stubout.files.jobs import read_job
from stubout.house.model import House
from stubout.house.resolve import resolve
from stubout.job.model import Job
from stubout.problems import Question

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = {
    "01": "01-two-storey-basement.yaml",
    "02": "02-slab-bungalow.yaml",
    "03": "03-crawlspace-cottage.yaml",
    "drawn": "drawn-bath.yaml",
}


@cache
def _job(name: str) -> Job:
    return demo_job() if name == "demo" else read_job(EXAMPLES / NAMES[name])


@cache
def _resolved(name: str) -> tuple[House, tuple[Question, ...]]:
    return resolve(_job(name))


@pytest.fixture(scope="session")
def job_of() -> Callable[[str], Job]:
    return _job


@pytest.fixture(scope="session")
def resolved() -> Callable[[str], tuple[House, tuple[Question, ...]]]:
    return _resolved


@pytest.fixture(scope="session")
def h01() -> House:
    return _resolved("01")[0]


@pytest.fixture(scope="session")
def h02() -> House:
    return _resolved("02")[0]


@pytest.fixture(scope="session")
def h03() -> House:
    return _resolved("03")[0]
