"""Designs that tests only look at: laid out once a run, by whichever process comes to it first.

A house is planned in seconds, and tests of sheets, checks, lists, windows and the web door look at the same few. The
first that wants one leaves it in a folder of this run, where the next takes it from: for as long as the run lasts the
program does not change, so that the job alone names the design. Each process has its own copy.

Not for tests of the layout itself, nor of what comes out the same twice: those call `run.design`, or `design_anew`
where others will look at the same house. Tests of what the program does with a layout - its verbs, its pages - have
the program itself look here, by `shared`.
"""

from __future__ import annotations

import hashlib
import os
import pickle
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from stubout import laying, run
from stubout.change.best import Whole
from stubout.design import Design
from stubout.job.model import Job
from stubout.laying import Laid, Progress

if TYPE_CHECKING:
    import pytest

FOLDER = "DESIGNS_OF_THIS_RUN"  # names the folder, in the environment of every process of a run
EXAMPLES = Path(__file__).parents[2] / "examples"
ANEW = laying.laid_out
ASKED = (laying, run)  # where the program asks for a house laid out
Made = TypeVar("Made")


def once(name: str, make: Callable[[], Made]) -> Made:
    """Return what is made, or what was made of the same name in this run; a name says all that the thing hangs on."""
    path = _path(name)
    if path is not None and path.exists():
        found: Made = pickle.loads(path.read_bytes())
        return found
    return _left(path, make())


def _path(name: str) -> Path | None:
    folder = os.environ.get(FOLDER)
    return Path(folder) / hashlib.sha256(name.encode()).hexdigest() if folder else None


def _left(path: Path | None, made: Made) -> Made:
    if path is not None:
        part = path.with_suffix(f".{os.getpid()}")
        part.write_bytes(pickle.dumps(made))
        part.replace(path)
    return made


def design_anew(job: Job) -> Design:
    """Return the design of a job as it comes out now, for tests of the layout; left for those that only look at it."""
    return _left(_path(_name(job)), ANEW(job)).design


def _name(job: Job) -> str:
    return f"laid out {job!r}"


def design_of(job: Job) -> Design:
    """Return the design of a job to look at."""
    return laid_out_once(job).design


def laid_out_once(job: Job, progress: Progress | None = None) -> Whole[Laid]:
    """Return a job laid out, finished and judged, to look at; the progress is told only where that is done now."""
    return once(_name(job), lambda: ANEW(job, progress))


def shared(patch: pytest.MonkeyPatch) -> None:
    """Have the program itself lay a house out once a run, whatever verb or page asks for it."""
    for module in ASKED:
        patch.setattr(module, "laid_out", laid_out_once)


def each_anew(patch: pytest.MonkeyPatch) -> None:
    """Have the program lay out again what is shared, for a test of what comes out."""
    for module in ASKED:
        patch.setattr(module, "laid_out", ANEW)


@cache
def job_named(name: str) -> Job:
    """Return the bundled house (`demo`) or an example by the beginning of its file's name."""
    return run.demo_job() if name == "demo" else run.read(str(next(EXAMPLES.glob(f"{name}*.yaml"))))


def design_named(name: str) -> Design:
    """Return the design of the bundled house (`demo`) or of an example, to look at."""
    return design_of(job_named(name))
