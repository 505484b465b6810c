"""Two finished designs with their windows: the bundled house, and the bath drawn by hand."""

from pathlib import Path

import pytest

from stubout import run
from stubout.windows.solve import windows

DRAWN = next((Path(__file__).parents[2] / "examples").glob("*drawn*bath*.yaml"))


@pytest.fixture(scope="session")
def demo():
    """Return the bundled house, designed."""
    return run.design(run.demo_job())


@pytest.fixture(scope="session")
def demo_windows(demo):
    """Return the windows of the bundled house."""
    return windows(demo)


@pytest.fixture(scope="session")
def drawn():
    """Return the drawn bath, designed."""
    return run.design(run.read(str(DRAWN)))


@pytest.fixture(scope="session")
def drawn_windows(drawn):
    """Return the windows of the drawn bath."""
    return windows(drawn)
