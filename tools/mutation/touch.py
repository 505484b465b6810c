"""Which test runs which line: a pytest plugin that watches the modules of one part, and times the tests."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from types import FrameType
from typing import Any

import pytest

Line = tuple[str, int]  # file, line


class Touched:
    """Lines by test; what a shared fixture runs counts for every test that asks for the fixture."""

    def __init__(self, files: frozenset[str]) -> None:
        self.files = files
        self.lines: dict[str, set[Line]] = {}
        self.seconds: dict[str, float] = {}
        self.failed: list[str] = []
        self._shared: dict[str, set[Line]] = {}
        self._now: set[Line] = set()

    def _trace(self, frame: FrameType, _event: str, _arg: object) -> Any:
        if frame.f_code.co_filename not in self.files:
            return None
        self._now.add((frame.f_code.co_filename, frame.f_lineno))
        return self._line

    def _line(self, frame: FrameType, event: str, _arg: object) -> Any:
        if event == "line":
            self._now.add((frame.f_code.co_filename, frame.f_lineno))
        return self._line

    def watch(self, into: set[Line]) -> set[Line]:
        """Write into another set from now on; returns the one before."""
        before, self._now = self._now, into
        sys.settrace(self._trace)
        return before

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        """Watch one test."""
        mine: set[Line] = set()
        self.watch(mine)
        start = time.perf_counter()
        try:
            return (yield)
        finally:
            sys.settrace(None)
            self.seconds[item.nodeid] = time.perf_counter() - start
            for name in getattr(item, "fixturenames", ()):
                mine |= self._shared.get(name, set())
            self.lines[item.nodeid] = mine

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: pytest.FixtureDef[Any]) -> Iterator[None]:
        """Keep apart what a shared fixture runs."""
        if fixturedef.scope == "function":
            return (yield)
        held = self.watch(self._shared.setdefault(fixturedef.argname, set()))
        try:
            return (yield)
        finally:
            self.watch(held)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Note a test that fails without any fault in the code."""
        if report.failed:
            self.failed.append(report.nodeid)
