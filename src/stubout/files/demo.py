"""The demonstration job that ships with the package."""

from __future__ import annotations

from collections.abc import Collection
from importlib.resources import files
from typing import Final

from stubout.files.jobs import read_job_text
from stubout.job.model import Job

DEMO_NAME: Final = "demo.yaml"


def demo_text() -> str:
    """Return the demonstration job as text, comments and all."""
    return files("stubout").joinpath("demo").joinpath(DEMO_NAME).read_text(encoding="utf-8")


def demo_job(known_books: Collection[str] = ()) -> Job:
    """Return the demonstration job, read.

    Args:
        known_books: Ids of the rule books at hand; given, an unknown one is a fault.

    Raises:
        JobFileError: With every fault of the file; a demo with a fault is ours to mend.
    """
    return read_job_text(demo_text(), DEMO_NAME, known_books)
