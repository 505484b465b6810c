"""Every example in the docstrings runs; every formula says its source and limits."""

from __future__ import annotations

import doctest
import importlib
import inspect

import pytest

MODULES = [
    "circle",
    "manning",
    "critical",
    "colebrook",
    "peak",
    "stack",
    "vent_air",
    "trap_seal",
    "water_test",
    "grade",
]


@pytest.mark.parametrize("name", MODULES)
def test_examples_run(name):
    module = importlib.import_module(f"stubout.hydraulics.{name}")
    found = doctest.testmod(module)
    assert found.failed == 0
    assert found.attempted > 0


@pytest.mark.parametrize("name", MODULES)
def test_every_formula_says_source_limits_and_example(name):
    module = importlib.import_module(f"stubout.hydraulics.{name}")
    for word, f in inspect.getmembers(module, inspect.isfunction):
        if word.startswith("_") or f.__module__ != module.__name__:
            continue
        doc = inspect.getdoc(f) or ""
        assert "Limits" in doc, word
        assert "ource" in doc, word
        assert ">>>" in doc, word
