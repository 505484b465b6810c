"""What is laid over a book: amendments, and values the user has compared with their own copy."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Amend:
    """An amendment of one rule-book value, as the job file says it."""

    value_id: str
    is_text: str  # as written: "450 mm"; "" where the inspector is to be asked
    citation: str
    author: str
    date: str
    reason: str = ""
    line: int = 0
    ask: str = ""  # the question to the inspector, instead of a value
    source: str = ""  # amendment file it stands in, "" for the job file


@dataclass(frozen=True, slots=True)
class Confirm:
    """A value of a rule book that the user has compared with their own copy."""

    value_id: str
    printed: str  # as their copy has it
    author: str
    date: str
    copy: str = ""  # which print of the book
    book: str = ""  # "" = whichever book of the job has the value
    line: int = 0
    source: str = ""  # file of confirmations, "" for the job file
