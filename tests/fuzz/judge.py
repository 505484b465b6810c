"""One input through the program, as far as asked: what came of it, and whether that is what was promised."""

from __future__ import annotations

import traceback
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

from stubout import run
from stubout.house.resolve import resolve
from stubout.job.model import Job
from stubout.problems import Fault, JobFileError, StuboutError

Stage = Literal["read", "house", "design", "plan"]
STAGES: Final[tuple[Stage, ...]] = ("read", "house", "design", "plan")

# How an input may end; the last five may not happen.
REFUSED, ACCEPTED, REFUSED_LATER = "refused with faults", "accepted", "refused after reading"
QUESTIONS, BLOCKED, FINDINGS, CLEAN = "open questions", "blocked", "findings", "clean"
UNCLEAR, TRACEBACK, MEMORY, HANG, CRASH = "unclear sentence", "traceback", "out of memory", "hang", "crash"
FAILED: Final = (UNCLEAR, TRACEBACK, MEMORY, HANG, CRASH)
KINDS: Final = (REFUSED, ACCEPTED, REFUSED_LATER, QUESTIONS, BLOCKED, FINDINGS, CLEAN, *FAILED)

_LONGEST_SENTENCE: Final = 1500


@dataclass(frozen=True)
class Outcome:
    """How an input ended."""

    kind: str
    note: str = ""  # of a failure: the trace or the sentence
    place: str = ""  # of a traceback: the last line of our code and the kind of exception; the same for the same cause


def judge(path: Path, stage: Stage) -> Outcome:
    """Return what becomes of a job file, taken to a stage."""
    read = False
    try:
        job = run.read(str(path))
        read = True
        return _further(job, stage)
    except JobFileError as error:
        unclear = _unclear(error.faults, path)
        return (
            Outcome(UNCLEAR, unclear, unclear) if unclear else Outcome(REFUSED_LATER if read else REFUSED, str(error))
        )
    except StuboutError as error:
        said = str(error)
        return Outcome(REFUSED_LATER, said) if said.strip() else Outcome(UNCLEAR, repr(error), repr(error))
    except MemoryError:
        return Outcome(MEMORY, traceback.format_exc(limit=-5), "MemoryError")
    except Exception as error:
        return Outcome(TRACEBACK, traceback.format_exc(), _place(error))


def _further(job: Job, stage: Stage) -> Outcome:
    if stage == "read":
        return Outcome(ACCEPTED)
    if stage == "house":
        _, questions = resolve(job)
        return Outcome(QUESTIONS if questions else ACCEPTED)
    if stage == "design":
        design = run.design(job)
        verdict = run.check(design)
    else:
        _, design, verdict = run.plan(job)
    if design.blocked:
        return Outcome(BLOCKED)
    return Outcome(FINDINGS if verdict.open else CLEAN)


def _unclear(faults: list[Fault], path: Path) -> str:
    """Return what is wrong with the sentences of a refusal, "" if nothing is."""
    if not faults:
        return "a refusal without a fault"
    last = path.read_bytes().replace(b"\r\n", b"\n").replace(b"\r", b"\n").count(b"\n") + 1
    for fault in faults:
        said = str(fault).replace(str(path), path.name)
        if not (fault.found.strip() and fault.wanted.strip() and fault.path.strip()):
            return f"a part is missing: {said!r}"
        if len(said) > _LONGEST_SENTENCE:
            return f"{len(said)} characters: {said[:200]!r}"
        if not said.isprintable():
            return f"unprintable: {said!r}"
        if not (0 if fault.path in ("file", "amendment files", "confirmation files") else 1) <= fault.line <= last:
            return f"no such line: {said!r}"
    return ""


def _place(error: BaseException) -> str:
    ours = [f for f in traceback.extract_tb(error.__traceback__) if "stubout" in Path(f.filename).parts]
    last = ours[-1] if ours else None
    return f"{type(error).__name__} at {Path(last.filename).name}:{last.lineno}" if last else type(error).__name__
