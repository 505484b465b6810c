"""Plans: made in a process of their own, one at a time, and remembered by the text of the job and the program.

A page asks and gets at once what is known; the rest comes when it is there.
"""

from __future__ import annotations

import json
import threading
import time
from collections import OrderedDict
from dataclasses import dataclass, replace
from hashlib import sha256
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Final, Literal

from stubout.run_field import beyond, moves
from stubout.run_field.model import Field
from stubout.web.archives import Archives
from stubout.web.child import Child
from stubout.web.settings import Limits

_FAILED_KEPT: Final = 100
_TICK_S: Final = 0.25
_WATCHED_S: Final = 3.0  # a page that waits asks every second
_LEFT_S: Final = 30.0  # so long after somebody last asked, nobody waits any more


@dataclass(frozen=True, slots=True)
class Plan:
    """How far the plan of one text is."""

    key: str
    state: Literal["waiting", "running", "done", "failed"]
    step: str = ""
    ahead: int = 0  # plans before it
    error: str = ""
    seconds: float = 0.0


@dataclass(frozen=True, slots=True)
class _Work:
    """What is asked of the process that plans."""

    slot: int  # of one only the work asked for last is worth doing
    text: str
    built: str = ""
    kind: str = ""  # "" for a plan, else what is worked out about one
    beside: int = 0  # the job it is about: it is given up when that job is to be planned
    before: str = ""  # another text that it is worked out from: an earlier revision, a list of prices


def program() -> str:
    """Return what the remembered plans depend on besides the text: the version, and the files as they are."""
    root = Path(__file__).resolve().parents[1]
    files = sorted(p for s in ("*.py", "*.toml", "*.typ", "*.ttf") for p in root.rglob(s))
    state = [(str(p.relative_to(root)), s.st_size, s.st_mtime_ns) for p in files for s in (p.stat(),)]
    try:
        number = version("stubout")
    except PackageNotFoundError:
        number = "unpacked"
    return f"{number} {sha256(json.dumps(state).encode()).hexdigest()}"


class Plans:
    """The plans of one data folder."""

    def __init__(self, folder: Path, limits: Limits) -> None:
        self.folder, self.limits = folder, limits
        self._archives = Archives(folder)
        self._program = program()
        self._lock = threading.Lock()
        self._waiting: dict[str, _Work] = {}  # by key, in the order they came
        self._asked: dict[str, float] = {}  # when somebody last asked for one that waits
        self._now: tuple[_Work, Plan] | None = None
        self._failed: OrderedDict[str, Plan] = OrderedDict()
        self._wake = threading.Event()
        self._stop = False
        self._drop = ""  # key of a running plan that nobody waits for any more
        self._child: Child | None = None
        self._thread = threading.Thread(target=self._run, name="plans", daemon=True)
        self._thread.start()

    def key(self, text: str, built: str = "", kind: str = "", before: str = "") -> str:
        """Return the name under which the plan of a text is remembered, with the readings that are laid into it.

        `kind` is that of other work about the text: fixes, the job under two books, what moved since a text `before`.
        """
        of = f"\0{kind}" if kind else ""
        of += f"\0{sha256(before.encode()).hexdigest()}" if before else ""
        return sha256(f"{self._program}{of}\0{built}\0{text}".encode()).hexdigest()

    def ask(self, text: str, slot: int, built: str = "", kind: str = "", beside: int = 0, before: str = "") -> Plan:
        """Return how far the plan of a text is, and have it made if it is not known.

        Args:
            text: The job file.
            slot: The job: of one job only the text asked for last is worth making.
            built: Readings of the site as JSON, for the packet as built.
            kind: What is worked out, "" for the plan itself.
            beside: The job that this is only work beside: planning that job comes first, and ends it.
            before: Another text that it is worked out from.
        """
        key = self.key(text, built, kind, before)
        known = self.state(key)
        if known is not None:
            return known
        with self._lock:
            if key not in self._waiting and not (self._now and self._now[1].key == key):
                for old in [k for k, w in self._waiting.items() if slot in (w.slot, w.beside)]:
                    del self._waiting[old]
                if self._now and slot in (self._now[0].slot, self._now[0].beside):
                    self._drop = self._now[1].key
                if len(self._waiting) >= self.limits.waiting:
                    return Plan(key, "waiting", "too many plans are waiting; this one is asked for again", 0)
                self._waiting[key] = _Work(slot, text, built, kind, beside, before)
                self._asked[key] = time.monotonic()
                self._wake.set()
        return self.state(key) or Plan(key, "waiting")

    def state(self, key: str) -> Plan | None:
        """Return how far a plan is, None if nobody has asked for it."""
        with self._lock:
            if self._now and self._now[1].key == key:
                return self._now[1]
            if key in self._waiting:
                self._asked[key] = time.monotonic()
                return Plan(key, "waiting", "waiting", list(self._waiting).index(key) + (self._now is not None))
            if key in self._failed:
                return self._failed[key]
        return Plan(key, "done") if self._archives.path(key).is_file() else None

    def busy_beside(self, job: int) -> bool:
        """Return whether work beside the plan of a job waits or runs: one piece of it after the other is asked for."""
        with self._lock:
            works = (*self._waiting.values(), *((self._now[0],) if self._now else ()))
            return any(w.beside == job for w in works)

    def again(self, key: str) -> None:
        """Forget that a plan failed."""
        with self._lock:
            self._failed.pop(key, None)

    def wait(self, text: str, slot: int, most_s: float, built: str = "") -> Plan:
        """Return the plan of a text when it is done or failed, or as far as it is after a time."""
        end = time.monotonic() + most_s
        plan = self.ask(text, slot, built)
        while plan.state in ("waiting", "running") and time.monotonic() < end:
            time.sleep(_TICK_S / 5)
            plan = self.ask(text, slot, built)
        return plan

    def field(self, key: str) -> Field:
        """Return what the site needs of a plan that is done; KeyError if it is not."""
        return self._archives.field(key)

    def file(self, key: str, name: str) -> bytes:
        """Return one file of a plan that is done; KeyError if there is none of that name."""
        return self._archives.file(key, name)

    def names(self, key: str) -> tuple[str, ...]:
        """Return the names of the files of a plan that is done."""
        return self._archives.names(key)

    def design(self, key: str) -> Path:
        """Return where the design of a plan lies that is done, for the process that drags on it."""
        return self._archives.design(key)

    def close(self) -> None:
        """End the process that plans."""
        self._stop = True
        self._wake.set()
        self._thread.join(timeout=10)

    def _run(self) -> None:
        while not self._stop:
            with self._lock:
                key = self._next()
                if key:
                    work = self._waiting.pop(key)
                    self._now = (work, Plan(key, "running", "starting"))
                else:
                    self._wake.clear()
            if not key:
                self._wake.wait()
                continue
            error = self._make(key, work)
            with self._lock:
                seconds = self._now[1].seconds if self._now else 0.0
                self._now = None
                if error and key != self._drop:
                    self._failed[key] = Plan(key, "failed", error=error, seconds=seconds)
                    while len(self._failed) > _FAILED_KEPT:
                        self._failed.popitem(last=False)
                self._drop = ""
            self._archives.sweep(self.limits.kept)
        if self._child is not None:
            self._child.end()

    def _next(self) -> str:
        """Return what to plan next, "" if nothing waits: what somebody is looking at first, plans before work beside.

        Work beside the plans is not begun when those who asked have gone away.
        """
        now = time.monotonic()
        for left in [k for k, w in self._waiting.items() if w.beside and now - self._asked.get(k, 0.0) > _LEFT_S]:
            del self._waiting[left]
        self._asked = {k: t for k, t in self._asked.items() if k in self._waiting}
        watched = [k for k in self._waiting if now - self._asked.get(k, 0.0) < _WATCHED_S]
        in_turn = (*(k for k in watched if not self._waiting[k].beside), *watched, *self._waiting)
        return next(iter(in_turn), "")

    def _make(self, key: str, work: _Work) -> str:
        """Have one plan made; return what went wrong, "" if nothing."""
        part, design = (self._archives.part() for _ in range(2))
        begun = time.monotonic()
        long = work.kind == moves.KEEP or beyond.is_long(work.kind)
        most_s = self.limits.keep_s if long else self.limits.run_s
        try:
            if self._child is None or not self._child.alive:
                self._child = Child("stubout.web.worker", self.limits.run_bytes)
            asked = {"text": work.text, "to": str(part), "built": work.built, "kind": work.kind, "before": work.before,
                     "design": "" if work.built or work.kind else str(design),
                     "designs": [str(self.design(self.key(t))) for t in (work.before, work.text)]}  # fmt: skip
            for said in self._child.ask(asked):
                passed = time.monotonic() - begun
                if self._stop or key == self._drop:
                    self._child.end()
                    return "stopped"
                if passed > most_s:
                    self._child.end()
                    return f"the plan took longer than {most_s:.0f} s and was stopped"
                if "error" in said:
                    return str(said["error"])
                if "done" in said:
                    if design.exists():
                        design.replace(self._archives.design(key))
                    part.replace(self._archives.path(key))
                    return ""
                with self._lock:
                    if self._now:
                        step = said.get("step", self._now[1].step)
                        self._now = (self._now[0], replace(self._now[1], step=step, seconds=passed))
            return "the process that plans has ended; ask again"
        except OSError as error:
            return f"the plan could not be made: {error.strerror or error}"
        finally:
            part.unlink(missing_ok=True)
            design.unlink(missing_ok=True)
