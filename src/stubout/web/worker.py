"""The process that plans jobs: reads one request a line, says each step, writes the files into one archive.

It runs beside the server so that a long run never holds up a page, and so that a run can be ended. It holds no secret,
opens nothing but the files it is told to write, and ends when the server does.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import sys
import traceback
import zipfile
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Final

from stubout import run, run_books, run_change, run_refine
from stubout.change.judged import Judged
from stubout.export.books_json import job_compared_data
from stubout.export.json_ import SCHEMA
from stubout.export.json_ import write as as_json
from stubout.problems import JobFileError, StuboutError
from stubout.run_field import (
    beyond,
    beyond_made,
    built,
    fixing,
    live,
    moves,
    offered,
    ordering,
    priced,
    take,
    texts,
    two_books,
    two_told,
)

if TYPE_CHECKING:
    from stubout.design import Design
    from stubout.job.model import Job

try:
    import resource
except ImportError:  # not on every system
    resource = None  # type: ignore[assignment]

_LAST: Final[dict[tuple[str, str], tuple[Job, Design, run.Verdict]]] = {}
_DATE: Final = (1980, 1, 1, 0, 0, 0)  # of the entries: the same files make the same bytes


def packed(files: dict[str, bytes]) -> bytes:
    """Return files as one archive."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in sorted(files.items()):
            archive.writestr(zipfile.ZipInfo(name, _DATE), data, zipfile.ZIP_DEFLATED, 6)
    return out.getvalue()


Asked = dict[str, Any]


def _files(asked: Asked, progress: Callable[[str], None]) -> dict[str, bytes]:
    """Return the files of what is asked: a plan, with readings or without, or what is worked out about one."""
    kind = asked["kind"]
    if kind.startswith(two_books.KIND):
        return _two_books(asked, progress)
    if beyond.is_plan(kind):
        job, design = texts.read_text(asked["text"]), _design(asked, 1, progress)
        return beyond_made.files_of(job, design, beyond.options(kind), asked["before"], progress)
    if beyond.is_refine(kind):
        return _refined(asked["text"], int(kind.split()[1]), progress)
    return _WORKS[kind](asked, progress)


def _plan(asked: Asked, progress: Callable[[str], None]) -> dict[str, bytes]:
    _, design, verdict = _judged(asked["text"], asked["built"], progress)
    if asked["design"]:
        _write(asked["design"], live.put_away(design))
    return take.files_of(design, verdict, progress)


def _fixes(asked: Asked, progress: Callable[[str], None]) -> dict[str, bytes]:
    job, design, verdict = _judged(asked["text"], "", progress)
    return {fixing.FIXES: fixing.write(offered.offers(job, design, verdict, progress))}


def _moved(asked: Asked, progress: Callable[[str], None]) -> dict[str, bytes]:
    """Return what lies between the earlier text and the later one, for the page and as data."""
    was, now = (_stood(asked, n, progress) for n in (0, 1))
    found = run_change.between(was, now, progress)
    return {
        moves.MOVED: moves.write(run_change.changed_parts(found)),
        moves.DATA: as_json(run_change.changed_data(found)),
    }


def _priced(asked: Asked, progress: Callable[[str], None]) -> dict[str, bytes]:
    design = _design(asked, 1, progress)
    return priced.files_of(design, run.check(design), asked["before"], progress)


def _verified(asked: Asked, progress: Callable[[str], None]) -> dict[str, bytes]:
    return beyond_made.sheet_of(_design(asked, 1, progress))


def _refined(text: str, layouts: int, progress: Callable[[str], None]) -> dict[str, bytes]:
    """Return the best of so many layouts of a job: what it says of it, and the text with its choices."""
    made = run_refine.refined_in(texts.read_text(text), text, texts.NAME, layouts, progress)
    return {beyond.REFINED: as_json({**run_refine.refined_data(made), "text": made.text})}


def _design(asked: Asked, which: int, progress: Callable[[str], None]) -> Design:
    """Return the earlier text (0) or the later one (1) designed: as its plan left it, laid out where that is gone."""
    try:
        with open(asked["designs"][which], "rb") as stream:
            return live.taken_out(stream.read())
    except FileNotFoundError:
        return run.design(texts.read_text(asked["text"] if which else asked["before"]), progress)


def _stood(asked: Asked, which: int, progress: Callable[[str], None]) -> Judged:
    """Return the earlier text (0) or the later one (1) judged."""
    design = _design(asked, which, progress)
    return Judged(design, run.check(design).open)


def _kept(asked: Asked, progress: Callable[[str], None]) -> dict[str, bytes]:
    """Return the later text with the layout of the earlier one kept in it, and what moved all the same."""
    progress("the accepted layout")
    was = _stood(asked, 0, progress)
    done = run_change.kept_in(was, texts.read_text(asked["text"]), asked["text"], texts.NAME, progress)
    parts = run_change.changed_parts(run_change.between(was, done.keeping.judged, progress))
    kept = moves.Kept(done.text, run_change.kept_words(done), parts)
    return {moves.KEPT: moves.write_kept(kept), moves.DATA: as_json(run_change.kept_data(done))}


def _two_books(asked: Asked, progress: Callable[[str], None]) -> dict[str, bytes]:
    """Return a job under two books, for the page and as data."""
    _, a, b = asked["kind"].split()
    job = texts.read_text(asked["text"])
    done = run_books.compare_job(job, a, b, progress)
    return {
        two_books.BOOKS: two_books.write(two_told.two(done, job.job.title)),
        two_books.DATA: as_json({"schema": SCHEMA, **job_compared_data(done, job.job.title)}),
    }


_WORKS: Final[dict[str, Callable[[Asked, Callable[[str], None]], dict[str, bytes]]]] = {
    "": _plan,
    fixing.KIND: _fixes,
    moves.KIND: _moved,
    moves.KEEP: _kept,
    ordering.KIND: _priced,
    beyond.VERIFY: _verified,
}


def _judged(text: str, readings: str, progress: Callable[[str], None]) -> tuple[Job, Design, run.Verdict]:
    """Return a job laid out and judged: the last one is remembered, its fixes are mostly asked for next."""
    if (text, readings) not in _LAST:
        _LAST.clear()
        job = texts.read_text(text)
        if readings:
            job = built.with_readings(job, (built.Reading(**r) for r in json.loads(readings)))
        _LAST[text, readings] = (job, *take.judged(job, progress))
    return _LAST[text, readings]


def main() -> None:
    """Serve until the other end closes."""
    said = sys.stdout
    sys.stdout = sys.stderr  # whatever prints must not break the lines that are counted on
    limit(int(sys.argv[1]))

    def say(**what: Any) -> None:
        said.write(json.dumps(what) + "\n")
        said.flush()

    for line in sys.stdin:
        asked = json.loads(line)
        try:
            _write(asked["to"], packed(_files(asked, lambda step: say(step=step))))
            say(done=True)
        except JobFileError as told:
            say(error=f"{len(told.faults)} faults in the job file", faults=len(told.faults))
        except StuboutError as told:
            say(error=str(told))
        except MemoryError:
            say(error="the job needs more memory than a plan may take")
        except Exception as fault:
            traceback.print_exc()
            say(error=f"a fault of the program, not of your job: {type(fault).__name__}: {fault}")


def _write(path: str, data: bytes) -> None:
    with open(path, "xb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def limit(most_bytes: int) -> None:
    """Bound the memory of this process, where the system can."""
    with contextlib.suppress(AttributeError, ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_AS, (most_bytes, most_bytes))


if __name__ == "__main__":
    main()
