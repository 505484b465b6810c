"""Two finished designs to drag on: the bundled house, and the bath drawn by hand."""

import sys
from pathlib import Path

import pytest
from laid_out import design_of, job_named

from stubout.live.drag import Ground

sys.path.insert(0, str(Path(__file__).parent))


def _ground(job):
    return Ground(design_of(job), job)


@pytest.fixture(scope="session")
def demo():
    """Return the bundled house, ready to be dragged on."""
    return _ground(job_named("demo"))


@pytest.fixture(scope="session")
def drawn():
    """Return the drawn bath, ready to be dragged on."""
    return _ground(job_named("drawn-bath"))
