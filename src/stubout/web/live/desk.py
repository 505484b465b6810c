"""Questions to the process that answers drags: in the order they came, of one browser only the last that waits.

A request waits for its answer without holding a thread, so that dragging slows no other page.
"""

from __future__ import annotations

import asyncio
import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from starlette.exceptions import HTTPException

from stubout.problems import StuboutError
from stubout.web.child import Child
from stubout.web.settings import Limits

_EXPECTED: Final = 200  # drags whose quick answer is remembered until the whole plan is there


class NoAnswer(StuboutError):  # noqa: N818 - reads as a sentence where it is caught
    """A drag that could not be answered."""


@dataclass(frozen=True, slots=True)
class Design:
    """Which design a question is about, and where it lies if it is not held ready."""

    key: str
    text: str
    path: Path


@dataclass(slots=True)
class _Waiting:
    design: Design
    asked: dict[str, Any]
    give: Callable[[dict[str, Any]], None]


@dataclass(slots=True)
class Desk:
    """The process, and who waits for it."""

    limits: Limits
    expected: OrderedDict[tuple[int, int], dict[str, Any]] = field(default_factory=OrderedDict)  # job, revision
    _waiting: OrderedDict[str, _Waiting] = field(default_factory=OrderedDict)
    _child: Child | None = None
    _stop: bool = False
    _count: int = 0
    _lock: threading.Lock = field(default_factory=threading.Lock)
    _wake: threading.Event = field(default_factory=threading.Event)
    _thread: threading.Thread | None = None

    async def ask(self, design: Design, asked: dict[str, Any], of: str = "") -> dict[str, Any]:
        """Return the answer of the process.

        Args:
            design: What the question is about.
            asked: The question.
            of: Who drags: a later question of the same one takes the place of one that still waits.

        Raises:
            NoAnswer: If the process says so, or has ended.
            HTTPException: If too many wait, or a later question has come.
        """
        loop = asyncio.get_running_loop()
        answer: asyncio.Future[dict[str, Any]] = loop.create_future()

        def give(said: dict[str, Any]) -> None:
            loop.call_soon_threadsafe(lambda: None if answer.done() else answer.set_result(said))

        self._put(of, _Waiting(design, asked, give))
        said = await answer
        if "late" in said:
            raise HTTPException(409, "a later move has come")
        if "error" in said:
            raise NoAnswer(str(said["error"]))
        return said

    def expect(self, job: int, revision: int, answer: dict[str, Any]) -> None:
        """Remember what was quickly said of a drag that was kept, until the whole plan can be compared with it."""
        with self._lock:
            self.expected[job, revision] = answer
            while len(self.expected) > _EXPECTED:
                self.expected.popitem(last=False)

    def _put(self, of: str, one: _Waiting) -> None:
        with self._lock:
            self._count += 1
            name = of or f"\0{self._count}"
            earlier = self._waiting.get(name)
            if earlier is None and len(self._waiting) >= self.limits.live_waiting:
                raise HTTPException(503, "Too many are dragging; try again in a moment")
            self._waiting[name] = one  # keeps the place in the row of the one before it
            if self._thread is None:
                self._thread = threading.Thread(target=self._run, name="drags", daemon=True)
                self._thread.start()
            self._wake.set()
        if earlier is not None:
            earlier.give({"late": True})

    def _run(self) -> None:
        while not self._stop:
            with self._lock:
                one = self._waiting.popitem(last=False)[1] if self._waiting else None
                if one is None:
                    self._wake.clear()
            if one is None:
                self._wake.wait()
                continue
            try:
                one.give(self._answer(one))
            except OSError as error:
                self._end()
                one.give({"error": f"dragging does not answer: {error.strerror or error}"})
            except RuntimeError:
                pass  # the one who asked has gone
        self._end()

    def _answer(self, one: _Waiting) -> dict[str, Any]:
        asked = {**one.asked, "key": one.design.key}
        said = self._said(asked)
        if "want" in said:
            said = self._said({**asked, "text": one.design.text, "design": str(one.design.path)})
        return said

    def _said(self, asked: dict[str, Any]) -> dict[str, Any]:
        if self._child is None or not self._child.alive:
            self._end()
            self._child = Child("stubout.web.live.worker", self.limits.live_kept, self.limits.live_bytes)
        begun = time.monotonic()
        for said in self._child.ask(asked):
            if said:
                return said
            if self._stop or time.monotonic() - begun > self.limits.live_s:
                self._end()
                return {"error": f"no answer within {self.limits.live_s:.0f} s"}
        self._end()
        return {"error": "the process that answers has ended; try again"}

    def _end(self) -> None:
        if self._child is not None:
            self._child.end()
            self._child = None

    def close(self) -> None:
        """End the process."""
        self._stop = True
        self._wake.set()
        if self._thread is not None:
            self._thread.join(timeout=10)
