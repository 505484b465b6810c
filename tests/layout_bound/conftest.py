"""The generator of houses stands beside this file and is put on the path; layouts that several tests look at."""

import sys
from pathlib import Path

import pytest

from stubout import run

sys.path.insert(0, str(Path(__file__).parent))
EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="session", params=["demo", "drawn-bath", "03-crawlspace-cottage"])
def design(request):
    """Return the design of a house: two by the engine, one drawn by hand."""
    return run.design(run.demo_job() if request.param == "demo" else run.read(str(EXAMPLES / f"{request.param}.yaml")))
