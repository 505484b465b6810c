"""Mutants inside of function bodies: a session that has collected its tests is forked, the code swapped, tests run.

Everything is imported once. A child gets the mutant by exchanging the code of the live functions, and ends with the
first test that fails.
"""

from __future__ import annotations

import gc
import os
import signal
from collections.abc import Callable, Iterable, Iterator
from types import CodeType, FunctionType

import pytest
from _pytest.runner import runtestprotocol

SURVIVED, KILLED, UNSWAPPED = 0, 1, 3


def codes(code: CodeType) -> Iterator[CodeType]:
    """Yield a code object and all those within it."""
    yield code
    for const in code.co_consts:
        if isinstance(const, CodeType):
            yield from codes(const)


def live(files: Iterable[str]) -> dict[str, list[FunctionType]]:
    """Return the functions that live now, by the file they were written in."""
    found: dict[str, list[FunctionType]] = {f: [] for f in files}
    for held in gc.get_objects():
        if isinstance(held, FunctionType) and held.__code__.co_filename in found:
            found[held.__code__.co_filename].append(held)
    gc.freeze()  # children share these pages
    return found


def swap(functions: Iterable[FunctionType], sound: CodeType, faulty: CodeType) -> bool:
    """Put the faulty code into live functions; False if none takes it or one of them cannot."""
    pairs = zip(codes(sound), codes(faulty), strict=True)
    new = {(a.co_qualname, a.co_firstlineno, a.co_code): b for a, b in pairs if a != b}
    swapped = False
    for held in functions:
        c = held.__code__
        code = new.get((c.co_qualname, c.co_firstlineno, c.co_code))
        if code is not None:
            try:
                held.__code__ = code
                swapped = True
            except ValueError:  # other free variables
                return False
    return swapped


def run_until_failure(items: Iterable[pytest.Item]) -> bool:
    """Run tests until one fails; True if none does."""
    todo = list(items)
    for item, following in zip(todo, [*todo[1:], None], strict=True):
        if any(r.failed for r in runtestprotocol(item, log=False, nextitem=following)):
            return False
    return True


def forked(work: Callable[[], int], seconds: float) -> int:
    """Return the exit code of some work in a child, which is ended after a time (that kills a mutant too)."""
    child = os.fork()
    if child == 0:
        out = os.open(os.devnull, os.O_WRONLY)
        os.dup2(out, 1)
        os.dup2(out, 2)
        signal.alarm(max(1, round(seconds)))
        try:
            os._exit(work())
        except BaseException:
            os._exit(KILLED)
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status)


def tested(items: list[pytest.Item], change: Callable[[], bool], seconds: float) -> int:
    """Return what becomes of one mutant, which a change of the live program brings in."""

    def work() -> int:
        if not change():
            return UNSWAPPED
        return SURVIVED if run_until_failure(items) else KILLED

    return forked(work, seconds)
