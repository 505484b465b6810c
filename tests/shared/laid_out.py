"""Designs that tests only look at: laid out once a run, by whichever process comes to it first.

A house is planned in seconds, and tests of sheets, checks, lists, windows and the web door look at the same few. The
first that wants one leaves it in a folder of this run, where the next takes it from: for as long as the run lasts the
program does not change, so that the job alone names the design. Each process has its own copy.

Not for tests of what comes out the same twice: those call `run.design`. Tests of what the program does with a layout -
its verbs, its pages - have the program itself look here, by `shared`: for houses laid out and judged, for those that a
search only tries, for what is blocked in them, and for the packets that are made of them.
"""

from __future__ import annotations

import hashlib
import os
import pickle
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from stubout import laying, run
from stubout.change.best import Whole
from stubout.change.judged import Judged
from stubout.design import Design, Tried
from stubout.job.model import Job
from stubout.laying import Laid, Progress, Verdict
from stubout.layout.model import Blocked
from stubout.problems import Finding

if TYPE_CHECKING:
    import pytest

    from stubout.catalog.prices import PriceList
    from stubout.layout.engine import Known

FOLDER = "DESIGNS_OF_THIS_RUN"  # names the folder, in the environment of every process of a run
EXAMPLES = Path(__file__).parents[2] / "examples"
ANEW = laying.laid_out
LAID_OUT = "laid out"
Made = TypeVar("Made")
OfJob = TypeVar("OfJob", Whole[Laid], Judged, Laid, Design, tuple[Blocked, ...])


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


def _once_of(what: str, job: Job, make: Callable[[], OfJob]) -> OfJob:
    """Return what is made of a job; the name of its file belongs to it, since words name lines of it."""
    return once(_name(what, job), make)


def _name(what: str, job: Job) -> str:
    return f"{what} {job!r}"


def design_of(job: Job) -> Design:
    """Return the design of a job to look at."""
    return laid_out_once(job).design


def laid_out_once(job: Job, progress: Progress | None = None) -> Whole[Laid]:
    """Return a job laid out, finished and judged, to look at; the progress is told only where that is done now."""
    return _once_of(LAID_OUT, job, lambda: ANEW(job, progress))


def tried_once(job: Job) -> Whole[Laid]:
    """Return a job that makes its choices, as a search tries it."""
    return _once_of("tried", job, lambda: _TRIED(job))


def judged_once(job: Job, progress: Progress | None = None) -> Judged:
    """Return a job judged as it is laid out first."""
    return _once_of("judged", job, lambda: _JUDGED(job, progress))


def drawn_once(job: Job, progress: Progress | None = None, known: Known | None = None) -> Laid:
    """Return a job laid out before anything is sized; anew where something is known already, which this adds to."""
    return _LAY(job, progress, known) if known is not None else _once_of("drawn", job, lambda: _LAY(job, progress))


def blocked_once(job: Job) -> tuple[Blocked, ...]:
    """Return what is blocked in a job, as a search for what frees it asks."""
    return _once_of("blocked", job, lambda: _BLOCKED(job))


def made_once(
    design: Design,
    verdict: Verdict,
    progress: Progress | None = None,
    tried: Mapping[Finding, Tried] | None = None,
    among: run.Beside | None = None,
    prices: PriceList | None = None,
) -> run.Made:
    """Return the packet of a design; it hangs on all that is drawn and listed in it."""
    name = f"made {(design, verdict, tried or {}, among, prices)!r}"
    return once(name, lambda: _MADE(design, verdict, progress, tried, among, prices))


_TRIED, _JUDGED, _LAY, _MADE, _BLOCKED = run.tried, run.judged, run.lay, run.made, run.blocked
# Where the program asks for what is laid out or made, and what it is given there instead. `laying` itself has only the
# first, so that a house that is laid out now is laid out in every step.
INSTEAD = (
    (laying, "laid_out", laid_out_once),
    (run, "laid_out", laid_out_once),
    (run, "tried", tried_once),
    (run, "judged", judged_once),
    (run, "lay", drawn_once),
    (run, "made", made_once),
    (run, "blocked", blocked_once),
)
REAL = tuple((module, name, getattr(module, name)) for module, name, _ in INSTEAD)


def shared(patch: pytest.MonkeyPatch) -> None:
    """Have the program itself lay a house out once a run, whatever verb or page asks for it."""
    for module, name, instead in INSTEAD:
        patch.setattr(module, name, instead)


def each_anew(patch: pytest.MonkeyPatch) -> None:
    """Have the program lay out again what is shared, for a test of what comes out."""
    for module, name, real in REAL:
        patch.setattr(module, name, real)


@cache
def job_named(name: str) -> Job:
    """Return the bundled house (`demo`) or an example by the beginning of its file's name."""
    return run.demo_job() if name == "demo" else run.read(str(next(EXAMPLES.glob(f"{name}*.yaml"))))


def design_named(name: str) -> Design:
    """Return the design of the bundled house (`demo`) or of an example, to look at."""
    return design_of(job_named(name))
