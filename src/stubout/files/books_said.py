"""What a job lays over its rule books: its own amendments and confirmations, and those of the files it names."""

from __future__ import annotations

from pathlib import Path, PurePosixPath, PureWindowsPath

from stubout.files.books import load_book
from stubout.files.job_amends import amendment_faults, confirmation_faults
from stubout.files.job_words import quoted
from stubout.files.jobs import read_record_text, text_of
from stubout.job.model import AmendSaid, ConfirmSaid, Job
from stubout.job.overlays import AmendFileSaid, ConfirmFileSaid
from stubout.problems import Fault, JobFileError

_INSIDE = "a file in the folder of the job file, or in one below it"


def overlaid(job: Job, path: str, confirmations: str = "") -> Job:
    """Return the job with what its files of amendments and confirmations say; the job's own amendments lie on top.

    Args:
        job: The job as its file says it.
        path: The job file; the files it names are looked for beside it.
        confirmations: A file of confirmations of the one who runs the program, "" for none.

    Raises:
        JobFileError: With every fault of every file, and of the job's own entries.
    """
    return _Overlay(job, path).read(confirmations)


class _Overlay:
    """Reads the files one job names, and gathers the faults of all of them."""

    def __init__(self, job: Job, path: str) -> None:
        self.job, self.path = job, path
        self.books = (load_book(job.job.book), load_book(job.job.framing))
        self.faults: list[Fault] = []

    def read(self, confirmations: str) -> Job:
        job = self.job
        first = len(job.amendment_files)
        amends = [a for n, name in enumerate(job.amendment_files) for a in self._amendments(name, self._line(n))]
        reads = [c for n, name in enumerate(job.confirmation_files, first)
                 if self._beside(name, "confirmation files", self._line(n))
                 for c in self._confirmations(name, str(Path(self.path).parent / name),
                                              self._named("confirmation files", self._line(n)))]  # fmt: skip
        if confirmations:
            reads += self._confirmations(confirmations, confirmations, "`--confirmations` names it.")
        self.faults += amendment_faults(job.amendments, self.books, self.path)
        self.faults += confirmation_faults(job.confirmations, self.books, self.path)
        if self.faults:
            raise JobFileError(self.faults)
        return job.model_copy(
            update={"amendments": (*amends, *job.amendments), "confirmations": (*reads, *job.confirmations)}
        )

    def _line(self, number: int) -> int:
        """Return the line on which the job names one of its files, 1 where nobody knows."""
        return self.job.file_lines[number] if number < len(self.job.file_lines) else 1

    def _named(self, key: str, line: int) -> str:
        return f"`{key}` of {self.path} names it, on line {line}."

    def _beside(self, name: str, key: str, line: int) -> bool:
        """Return whether a job may name this file: a job file from elsewhere must not make us read elsewhere."""
        parts = (*PurePosixPath(name).parts, *PureWindowsPath(name).parts)
        rooted = PurePosixPath(name).is_absolute() or bool(PureWindowsPath(name).anchor)
        if name.strip() and not rooted and ".." not in parts:
            return True
        self.faults.append(Fault(self.path, line, key, quoted(name), _INSIDE))
        return False

    def _amendments(self, name: str, line: int) -> list[AmendSaid]:
        if not self._beside(name, "amendment files", line):
            return []
        path = str(Path(self.path).parent / name)
        try:
            text = text_of(path, "a file of amendments", self._named("amendment files", line))
            said = read_record_text(text, path, AmendFileSaid)
        except JobFileError as fault:
            self.faults += fault.faults
            return []
        if said.book not in {b.id for b in self.books}:
            wanted = f"a book of the job: {' or '.join(b.id for b in self.books)}"
            self.faults.append(
                Fault(path, 1, "book", quoted(said.book), wanted, "Amendments of one book fit no other.")
            )
            return []
        self.faults += amendment_faults(said.amendments, self.books, path)
        return [a.model_copy(update={"source": f"{said.title}, {name}"}) for a in said.amendments]

    def _confirmations(self, name: str, path: str, named: str) -> list[ConfirmSaid]:
        try:
            said = read_record_text(text_of(path, "a file of confirmations", named), path, ConfirmFileSaid)
        except JobFileError as fault:
            self.faults += fault.faults
            return []
        self.faults += [
            Fault(path, c.line, f"confirmations[no. {number}].book", "nothing", "the id of the book that was read")
            for number, c in enumerate(said.confirmations, start=1)
            if not c.book
        ]
        self.faults += confirmation_faults([c for c in said.confirmations if c.book], self.books, path)
        return [c.model_copy(update={"source": name}) for c in said.confirmations]
