"""Jobs that come as a text and have no folder beside them."""

from __future__ import annotations

from typing import Literal

from stubout.catalog.prices import PriceList
from stubout.job.model import Job
from stubout.problems import Fault, JobFileError

NAME = "job.yaml"  # what the faults call a text that came without a name


def read_text(text: str, name: str = NAME) -> Job:
    """Return the job of a text.

    Files it names are not looked for: the text may come from anywhere, and no path of it is ever opened.

    Raises:
        JobFileError: With every fault, and one for each file that it names.
    """
    from stubout.files.books import book_ids, framing_ids
    from stubout.files.books_said import overlaid
    from stubout.files.jobs import read_job_text

    job = read_job_text(text, name, book_ids(), framing_ids())
    named = (
        ("amendment files", "amendments", job.amendment_files),
        ("confirmation files", "confirmations", job.confirmation_files),
    )
    faults = [
        Fault(name, _line(text, key), key, ", ".join(files), "nothing here", f"Write them into the job, under `{own}`.")
        for key, own, files in named
        if files
    ]
    if faults:
        raise JobFileError(faults)
    return overlaid(job, name)


def _line(text: str, key: str) -> int:
    """Return the line of a key of the outermost level, 0 if it is not found as it is usually written."""
    spellings = (key, key.replace(" ", "_"), key.replace(" ", "-"))
    return next((n for n, line in enumerate(text.splitlines(), 1) if line.startswith(spellings)), 0)


def text_of(path: str) -> str:
    """Return the text of a job file on disk; raises JobFileError if it cannot be read."""
    from stubout.files import jobs

    return jobs.text_of(path)


def write_file(path: str, data: bytes) -> None:
    """Write one new file; raises FileExistsError rather than touch an existing one."""
    from stubout.files.single import write_new

    write_new(path, data)


def faults_of(text: str, name: str = NAME) -> tuple[Fault, ...]:
    """Return what is wrong with a text as a job file; nothing if it can be laid out."""
    try:
        read_text(text, name)
    except JobFileError as told:
        return tuple(told.faults)
    return ()


def prices_of(text: str) -> PriceList:
    """Return the prices of a text; raises JobFileError with every fault."""
    from stubout.files.prices import read_prices_text

    return read_prices_text(text, "prices")


def price_faults(text: str) -> tuple[Fault, ...]:
    """Return what is wrong with a text as a list of prices."""
    try:
        prices_of(text)
    except JobFileError as told:
        return tuple(told.faults)
    return ()


def amount_fault(said: str) -> str:
    """Return what is wrong with one price, "" if nothing."""
    from stubout.files.prices import WANTED, amount

    return "" if amount(said) is not None else f"found {said}, wanted {WANTED}"


def starter(units: Literal["mm", "inch"]) -> str:
    """Return the text of a job to start from."""
    from stubout.job.starter import starter_text

    return starter_text(units)


def demo() -> str:
    """Return the text of the bundled invented house."""
    from stubout.files.demo import demo_text

    return demo_text()


def units_of(text: str) -> Literal["mm", "inch"]:
    """Return the units of a text that may have faults; inch where it does not say."""
    metric = any(line.split("#")[0].split() == ["units:", "mm"] for line in text.splitlines())
    return "mm" if metric else "inch"
