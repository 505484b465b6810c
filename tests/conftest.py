"""What all tests have in common: the designs of one run, and long files first where several processes work."""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent / "shared"))

from laid_out import FOLDER, each_anew, shared

# Where files take longest: whole houses are laid out, or planned behind a page. Begun last, one of them would be waited
# for by the other processes; the short ones at the end fill what is left. Those that lay houses out anew come first,
# since others look at the same houses, and between two that look at them something else, lest both lay them out.
LONG = (
    "layout",
    "chain/test_assembly.py", "chain/test_same_bytes.py", "chain/test_properties.py", "chain",
    "change", "houses", "layout_select", "web", "faults", "sheets", "fixes", "live", "windows",
    "cli", "run", "layout_drawn",
)  # fmt: skip


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--each-anew", action="store_true", help="lay every house out anew for each test that looks at it")


def pytest_configure(config: pytest.Config) -> None:
    """Make the folder of this run, which the processes it starts find in their environment; keep files in our order."""
    if hasattr(config.option, "loadscopereorder"):
        config.option.loadscopereorder = False  # else those with the most tests come first, which are the quickest
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


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Put the longest files first, where files are handed out to several processes."""
    if hasattr(config, "workerinput"):
        folder = Path(__file__).parent
        rank = {folder / name: place for place, name in enumerate(LONG)}
        items.sort(key=lambda item: rank.get(item.path, rank.get(item.path.parent, len(LONG))))


@pytest.fixture(scope="module")
def laid_out_once() -> Iterator[None]:
    """Have the program itself lay a house out once a run, for tests of what it does with the layout."""
    with pytest.MonkeyPatch.context() as patch:
        shared(patch)
        yield


@pytest.fixture
def laid_out_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have every verb of one test lay its house out again, where those around it share it."""
    each_anew(monkeypatch)
