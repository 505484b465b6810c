"""The pencil of the network tests, used here too; the small systems drawn with it are a module beside this file."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
_SPEC = importlib.util.spec_from_file_location(
    "stubout_network_sketch", Path(__file__).parent.parent / "network" / "conftest.py"
)
assert _SPEC is not None
assert _SPEC.loader is not None
_SKETCH = importlib.util.module_from_spec(_SPEC)
sys.modules[_SPEC.name] = _SKETCH
_SPEC.loader.exec_module(_SKETCH)


@pytest.fixture
def sketch() -> type:
    return _SKETCH.Sketch


@pytest.fixture(scope="session")
def sketch_factory() -> type:
    """The same, for property tests (one factory for all examples)."""
    return _SKETCH.Sketch
