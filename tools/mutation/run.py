"""Mutation testing of a part: `python -m tools.mutation.run sizing`.

Writes one line of JSON a mutant. Every mutant meets only the tests that run its line, the quickest first, until one
fails.
"""

from __future__ import annotations

import argparse
import json
import os
import pickle
import random
import sys
import tempfile
from collections.abc import Callable, Iterable
from dataclasses import asdict
from pathlib import Path
from types import FunctionType
from typing import Any

import hypothesis
import pytest
from tools.mutation import fresh, warm
from tools.mutation.constants import Change, changes
from tools.mutation.mutants import Faults, Mutant
from tools.mutation.parts import PARTS, ROOT, SRC, Part
from tools.mutation.touch import Line, Touched

ARGS = [
    *("-q", "-s", "-p", "no:cacheprovider", "-o", "addopts=", "--strict-markers", "--import-mode=importlib"),
    "--each-anew",  # what a test looks at is laid out by the code with the fault in it
    *("-W", "ignore::pytest.PytestAssertRewriteWarning", f"--rootdir={ROOT}"),
]
OWN_S = 40.0  # most for one test that lays out a house, on a busy machine
SLACK_S = 20.0  # for forking and loading on a busy machine
Say = Callable[[Mutant, str], None]


def _in(item: pytest.Item, folder: str) -> bool:
    return bool(folder) and item.nodeid.startswith(f"{folder}/")


def by_check(items: Iterable[pytest.Item], folder: str) -> dict[str, list[pytest.Item]]:
    """Return the tests of a folder by the check that their case names."""
    out: dict[str, list[pytest.Item]] = {}
    for item in items:
        if _in(item, folder):
            for case in getattr(getattr(item, "callspec", None), "params", {}).values():
                if check := getattr(case, "check", ""):
                    out.setdefault(check, []).append(item)
    return out


def lay_out_once(item: pytest.Item) -> None:
    """Let the system of a seeded fault be laid out before children are forked: checks have no part in that."""
    params: dict[str, Any] = getattr(getattr(item, "callspec", None), "params", {})
    made = getattr(sys.modules.get("seeding.systems"), "system", None)
    for case in params.values():
        if made is not None and hasattr(case, "system") and isinstance(params.get("book"), str):
            made(case.system, params["book"])


def made(moved: Iterable[Change]) -> bool:
    """Make the changes of constants; False if there are none."""
    changed = list(moved)
    for c in changed:
        c.make()
    return bool(changed)


class Session:
    """The warm session: collects, watches every test once, then tries the mutants."""

    def __init__(self, part: Part, faults: dict[str, Faults], chosen: list[Mutant], say: Say) -> None:
        self.part, self.faults, self.chosen, self.say = part, faults, chosen, say
        self.touched = Touched(frozenset(f.filename for f in part.faults().values()))
        self.load: set[Line] = set()
        self.left: list[Mutant] = []
        self.ranks: dict[str, dict[str, float]] = {}
        self.called: set[Line] = set()
        self.addressed: dict[str, list[pytest.Item]] = {}
        self.sound: dict[str, bool] = {}
        self.functions: dict[str, list[FunctionType]] = {}
        self.items: dict[str, pytest.Item] = {}

    def start(self) -> None:
        """Watch what importing, collecting and loading the books runs."""
        self.touched.watch(self.load)
        from stubout.files import books  # noqa: PLC0415 - the package is loaded under watch

        for book_id in books.book_ids():
            books.load_book(book_id)

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Do the work in place of running the tests."""
        sys.settrace(None)
        if session.testsfailed:
            raise session.Interrupted(f"{session.testsfailed} errors while tests were collected")
        spots = {
            (f.filename, n)
            for f in self.faults.values()
            for m in f
            if m.function
            for n in range(m.lines[0], m.lines[1] + 1)
        }
        self.called = self.load & spots  # function bodies run while modules and books are loaded
        fresh.shorten(session.items)
        self.addressed = by_check(session.items, self.part.addressed)
        self._watch([i for i in session.items if not _in(i, self.part.addressed)])
        if self.touched.failed:
            raise pytest.UsageError(f"tests fail without a mutant: {', '.join(self.touched.failed[:5])}")
        self.functions = warm.live(f.filename for f in self.faults.values())
        self.items = {i.nodeid: i for i in session.items}
        for m in self.chosen:
            end, unsure = self._try(m)
            if end in (warm.SURVIVED, warm.UNSWAPPED) and (own := self._own(m.module)):
                again = self._try_own(m, own)
                if m.function or again not in (warm.SURVIVED, warm.UNSWAPPED):
                    end, unsure = again, False
            if unsure:
                self.left.append(m)
            else:
                self.say(m, "survived" if end == warm.SURVIVED else "untested" if end == warm.UNSWAPPED else "killed")
        self._rank()
        return True

    def _try(self, m: Mutant) -> tuple[int, bool]:
        """Return how a mutant ends, and whether only a fresh start can tell."""
        faults = self.faults[m.module]
        sound, faulty = faults.code(None), faults.code(m)
        if m.function:
            spots = {(faults.filename, n) for n in range(m.lines[0], m.lines[1] + 1)}
            tests = self._tests(lambda lines: bool(spots & lines))
            loads = bool(spots & self.load)
            end = self._run(tests, lambda: warm.swap(self.functions[faults.filename], sound, faulty))
            return end, (loads if end == warm.SURVIVED else end == warm.UNSWAPPED and (loads or bool(tests)))
        moved = changes(m.module, faulty)
        if not moved:
            return warm.UNSWAPPED, True
        files = {faults.filename, *(str(getattr(h, "__file__", "")) for c in moved for h in c.holders)}
        end = self._run(self._tests(lambda lines: any(f in files for f, _ in lines)), lambda: made(moved))
        return end, end == warm.SURVIVED and any(f in files for f, _ in self.called)

    def _own(self, module: str) -> list[pytest.Item]:
        """Return the tests that name the check of a module, or the checks a module of helpers was written for."""
        checks = (module.rpartition(".")[2].upper(), *self.part.written_for(module))
        return [item for check in checks for item in self.addressed.get(check, ())]

    def _try_own(self, m: Mutant, own: list[pytest.Item]) -> int:
        """Return how a mutant ends with the tests that name its check; those that fail without it do not count."""
        faults = self.faults[m.module]
        sound, faulty = faults.code(None), faults.code(m)
        moved = () if m.function else changes(m.module, faulty)

        def change() -> bool:
            return warm.swap(self.functions[faults.filename], sound, faulty) if m.function else made(moved)

        for item in own:
            lay_out_once(item)
            end = warm.tested([item], change, OWN_S)
            if end == warm.UNSWAPPED:
                return end
            if end != warm.SURVIVED and self._sound(item):
                return end
        return warm.SURVIVED

    def _sound(self, item: pytest.Item) -> bool:
        """Return whether a test passes without a mutant."""
        if item.nodeid not in self.sound:
            self.sound[item.nodeid] = warm.tested([item], lambda: True, OWN_S) == warm.SURVIVED
        return self.sound[item.nodeid]

    def _tests(self, wanted: Callable[[set[Line]], bool]) -> list[str]:
        """Return the tests whose lines are wanted, the quickest first."""
        return sorted(
            (t for t, lines in self.touched.lines.items() if wanted(lines)), key=self.touched.seconds.__getitem__
        )

    def _run(self, tests: list[str], change: Callable[[], bool]) -> int:
        if not tests:
            return warm.UNSWAPPED
        limit = SLACK_S + 5.0 * sum(self.touched.seconds[t] for t in tests)
        return warm.tested([self.items[t] for t in tests], change, limit)

    def _watch(self, items: list[pytest.Item]) -> None:
        with tempfile.TemporaryFile() as file:

            def work() -> int:
                plugins = items[0].config.pluginmanager
                plugins.register(self.touched)
                for item, following in zip(items, [*items[1:], None], strict=True):
                    item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
                file.write(pickle.dumps((self.touched.lines, self.touched.seconds, self.touched.failed)))
                file.flush()
                return 0

            warm.forked(work, 3600.0)
            file.seek(0)
            self.touched.lines, self.touched.seconds, self.touched.failed = pickle.loads(file.read())

    def _rank(self) -> None:
        """Order the tests for the mutants left: those that touch the module first, the quickest first."""
        for module in {m.module for m in self.left}:
            name = self.faults[module].filename
            near = {t for t, lines in self.touched.lines.items() if any(f == name for f, _ in lines)}
            self.ranks[module] = {t: s + (0.0 if t in near else 1000.0) for t, s in self.touched.seconds.items()}


def warm_run(
    part: Part, faults: dict[str, Faults], chosen: list[Mutant], say: Say, calls: list[str]
) -> tuple[list[Mutant], Any]:
    """Run the warm session in a child; returns the mutants left for a fresh start, and the order of tests for them."""
    with tempfile.TemporaryFile() as file:
        child = os.fork()
        if child == 0:
            session = Session(part, faults, chosen, say)
            session.start()
            end = pytest.main(calls, plugins=[session])
            file.write(pickle.dumps((session.left, session.ranks)))
            file.flush()
            os._exit(int(end))
        _, status = os.waitpid(child, 0)
        if status:
            raise SystemExit("the tests do not run without a mutant")
        file.seek(0)
        left, ranks = pickle.loads(file.read())
        return left, ranks


def choose(mutants: Iterable[Mutant], share: float, seed: str = "") -> list[Mutant]:
    """Return a share of the mutants, drawn module by module; the same ones always for the same seed."""
    by_module: dict[str, list[Mutant]] = {}
    for m in mutants:
        by_module.setdefault(m.module, []).append(m)
    return [
        m
        for module, here in by_module.items()
        for m in sorted(random.Random(module + seed).sample(here, max(1, round(share * len(here)))), key=here.index)
    ]


def main() -> None:
    """Read the arguments, run, and write the lines."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("part", choices=sorted(PARTS))
    ask.add_argument("--only", default="", help="modules whose name holds this word")
    ask.add_argument(
        "--share", type=float, default=1.0, help="a share of the mutants of every module, drawn with a fixed seed"
    )
    ask.add_argument("--seed", default="", help="a word for another share: those of two words are drawn apart")
    ask.add_argument("--again", type=Path, help="results of an earlier run: try only what was not killed then")
    ask.add_argument("--without", action="append", default=[], help="a test to leave out, by its id")
    ask.add_argument("--out", type=Path, required=True)
    args = ask.parse_args()
    hypothesis.settings.register_profile(
        "mutation", derandomize=True, database=None, deadline=None,
        phases=(hypothesis.Phase.explicit, hypothesis.Phase.generate),
    )  # fmt: skip
    hypothesis.settings.load_profile("mutation")
    os.chdir(ROOT)
    sys.path.insert(0, str(SRC))
    part = PARTS[args.part]
    folders = [*part.tests, *([part.addressed] if part.addressed else [])]
    calls = [*ARGS, *folders, *(f"--deselect={t}" for t in args.without)]
    faults = part.faults(args.only)
    chosen = choose((m for f in faults.values() for m in f), args.share, args.seed)
    known: dict[str, str] = {}
    if args.again:
        known = {d["key"]: d["fate"] for d in map(json.loads, args.again.read_text("utf-8").splitlines())}
    with args.out.open("w", encoding="utf-8") as out:

        def say(mutant: Mutant, fate: str) -> None:
            out.write(json.dumps({"key": mutant.key, "fate": fate, **asdict(mutant)}) + "\n")
            out.flush()

        todo = []
        for m in chosen:
            if known.get(m.key) == "killed":
                say(m, "killed")
            else:
                todo.append(m)
        left, ranks = warm_run(part, faults, todo, say, calls)
        for m in left:
            order = ranks[m.module]
            limit = SLACK_S + 5.0 * sum(s % 1000.0 for s in order.values())
            code = faults[m.module].code(m)
            end = fresh.tested(calls, order, m.module, faults[m.module].filename, code, limit)
            say(m, "survived" if end == warm.SURVIVED else "killed")


if __name__ == "__main__":
    main()
