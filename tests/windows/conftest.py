"""Two finished designs with their windows: the bundled house, and the bath drawn by hand."""

import pytest
from laid_out import design_named

from stubout.windows.solve import windows


@pytest.fixture(scope="session")
def demo():
    """Return the bundled house, designed."""
    return design_named("demo")


@pytest.fixture(scope="session")
def demo_windows(demo):
    """Return the windows of the bundled house."""
    return windows(demo)


@pytest.fixture(scope="session")
def drawn():
    """Return the drawn bath, designed."""
    return design_named("drawn-bath")


@pytest.fixture(scope="session")
def drawn_windows(drawn):
    """Return the windows of the drawn bath."""
    return windows(drawn)
