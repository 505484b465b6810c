"""Mutants outside of function bodies, and those that act while modules and books are loaded: all is imported anew."""

from __future__ import annotations

import importlib.abc
import importlib.util
import sys
from collections.abc import Sequence
from importlib.machinery import ModuleSpec
from types import CodeType, ModuleType

import hypothesis
import pytest
from tools.mutation import warm

EXAMPLES = 3  # of a property, for each mutant


class Faulty(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Gives one module from code already compiled."""

    def __init__(self, module: str, filename: str, code: CodeType) -> None:
        self.module, self.filename, self.code = module, filename, code

    def find_spec(self, name: str, _path: Sequence[str] | None, _target: ModuleType | None = None) -> ModuleSpec | None:
        """Answer for the one module."""
        if name != self.module:
            return None
        return importlib.util.spec_from_file_location(name, self.filename, loader=self)

    def create_module(self, spec: ModuleSpec) -> None:
        """Leave it to the import machinery."""

    def exec_module(self, module: ModuleType) -> None:
        """Run the code."""
        exec(self.code, module.__dict__)


def shorten(items: list[pytest.Item]) -> None:
    """Let property tests try a few examples only, the same ones always."""
    for item in items:
        test = getattr(item, "obj", None)
        own = getattr(test, "_hypothesis_internal_use_settings", None)
        if own is not None:
            test._hypothesis_internal_use_settings = hypothesis.settings(  # type: ignore[union-attr]
                own, max_examples=min(own.max_examples, EXAMPLES), derandomize=True, database=None
            )


class Order:
    """Puts the tests most likely to fail first."""

    def __init__(self, ranks: dict[str, float]) -> None:
        self.ranks = ranks

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Sort by rank; a test without one is not run."""
        shorten(items)
        items[:] = sorted((i for i in items if i.nodeid in self.ranks), key=lambda i: self.ranks[i.nodeid])


def tested(args: list[str], ranks: dict[str, float], module: str, filename: str, code: CodeType, seconds: float) -> int:
    """Return what becomes of one mutant."""

    def work() -> int:
        sys.meta_path.insert(0, Faulty(module, filename, code))
        end = pytest.main([*args, "-x"], plugins=[Order(ranks)])
        return warm.SURVIVED if end == pytest.ExitCode.OK else warm.KILLED

    return warm.forked(work, seconds)
