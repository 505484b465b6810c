"""What all tests have in common: the designs of one run, and long files first where several processes work."""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent / "shared"))

from laid_out import FOLDER


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--each-anew", action="store_true", help="lay every house out anew for each test that looks at it")


def pytest_configure(config: pytest.Config) -> None:
    """Make the folder of this run; processes that it starts find it in their environment."""
    if config.getoption("--each-anew"):
        os.environ.pop(FOLDER, None)
    elif FOLDER not in os.environ:
        _folder(config)


def _folder(config: pytest.Config) -> None:
    folder = os.environ[FOLDER] = tempfile.mkdtemp(prefix="designs-")

    def forget() -> None:
        os.environ.pop(FOLDER, None)
        shutil.rmtree(folder, ignore_errors=True)

    config.add_cleanup(forget)
