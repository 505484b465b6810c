"""The generator of houses stands beside this file and is put on the path; layouts that several tests look at."""

import sys
from pathlib import Path

import pytest
from laid_out import design_named

sys.path.insert(0, str(Path(__file__).parent))


@pytest.fixture(scope="session", params=["demo", "drawn-bath", "03-crawlspace-cottage"])
def design(request):
    """Return the design of a house: two by the engine, one drawn by hand."""
    return design_named(request.param)
