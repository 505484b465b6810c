"""What the store keeps, as frozen records, and what it refuses.

Nothing that was accepted is ever changed or removed: a job gets one more revision, a record is taken back by another
record. Every one of them carries author and time.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from stubout.problems import StuboutError

LONGEST_TEXT: Final = 4_000_000  # bytes of a job file, the same as the reader of job files takes
LONGEST_WORDS: Final = 4_000  # of a note or of one value
MOST: Final = 2**31 - 1  # of an id or a revision, in both databases
LONGEST_PAPER: Final = 200_000  # bytes of a list of prices
LONGEST_NAME: Final = 80  # of a job, an author, an id


class StoreError(StuboutError):
    """The store refuses, or cannot do what was asked."""


class NoSuch(StoreError, LookupError):  # noqa: N818 - reads as a sentence where it is caught
    """There is no such job, revision, record or photo."""


class Stale(StoreError):  # noqa: N818 - reads as a sentence where it is caught
    """Somebody saved meanwhile: the revision that was edited is no longer the last one."""

    def __init__(self, base: int, head: int) -> None:
        self.base, self.head = base, head
        super().__init__(f"revision {base} was edited, but revision {head} has been saved meanwhile")


@dataclass(frozen=True, slots=True)
class Job:
    """One job of the list."""

    id: int
    name: str
    head: int  # number of its last revision
    made_by: str
    made_at: str  # UTC, as 2026-01-15T08:30:00Z, like all times here


@dataclass(frozen=True, slots=True)
class Revision:
    """One state of a job file: the text as a whole, who saved it, when, and why."""

    job: int
    number: int  # from 1
    text: str
    sha256: str  # of the text in UTF-8
    author: str
    at: str
    note: str


class Kind(StrEnum):
    """What a record says."""

    TICK = "tick"  # done: bored, set, glued, hung, plated
    HEIGHT = "height"  # as built
    SLOPE = "slope"  # as built
    NOTE = "note"
    TEST = "test"  # a reading of the water test
    SIGN = "sign-off"
    PHOTO = "photo"
    PRICES = "prices"  # a list of prices that holds from now on
    BACK = "taken back"  # takes an earlier record back


@dataclass(frozen=True, slots=True)
class Entry:
    """A record as it is handed in."""

    kind: Kind
    about: str  # fixture tag, bore, pipe, plate, hanger, section or gate
    value: str = ""  # as it was typed
    wall: str = ""  # sheet it was entered on
    place: str = ""  # where that stood when it was recorded: tells whether it has moved since
    photo: str = ""  # sha256 of the photo
    takes_back: int = 0  # id of the record it takes back
    token: str = ""  # sent along by the page: the same entry sent twice is kept once
    paper: str = ""  # sha256 of the text it names


@dataclass(frozen=True, slots=True)
class Record:
    """One record of the site."""

    id: int
    job: int
    kind: Kind
    about: str
    value: str
    wall: str
    place: str
    photo: str
    takes_back: int
    author: str
    at: str  # when it was made
    revision: int  # of the job that was on the screen
    brought_by: str = ""  # who brought it, where it was made away from the server
    brought_at: str = ""  # when it came here
    paper: str = ""  # sha256 of the text it names


@dataclass(frozen=True, slots=True)
class Brought:
    """How a record that was made away from the server came here."""

    at: str  # when it was made, as its file says
    by: str  # who brought it


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture, named by what is in it."""

    sha256: str
    data: bytes  # JPEG
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Session:
    """Somebody at work in a browser."""

    name: str
    ends_at: str


def known(number: int, what: str) -> int:
    """Return a number as the database counts; NoSuch if it is none that it can have given."""
    if not 0 < number <= MOST:
        raise NoSuch(f"there is no {what} {number}")
    return number


def words(text: str, most: int, what: str) -> str:
    """Return a text without blanks at its ends; StoreError if it is too long or holds what no database keeps."""
    plain = text.strip()
    if len(plain) > most:
        raise StoreError(f"{what} has {len(plain)} characters, at most {most} are kept")
    if any(ord(c) < 32 and c not in "\n\t\r" for c in plain) or not _encodes(plain):
        raise StoreError(f"{what} holds characters that are no text")
    return plain


def name(text: str, what: str) -> str:
    """Return a name of one line; StoreError if it is empty, too long or no text."""
    plain = " ".join(words(text, LONGEST_NAME, what).split())
    if not plain:
        raise StoreError(f"{what} is missing")
    return plain


def whole_text(text: str, most: int = LONGEST_TEXT, what: str = "the job file") -> str:
    """Return a job file, or another text, as it is kept; StoreError if it is too large or no text."""
    if "\0" in text or not _encodes(text):
        raise StoreError(f"{what} holds characters that are no text")
    if len(text.encode()) > most:
        raise StoreError(f"{what} is larger than {most} bytes")
    return text


def _encodes(text: str) -> bool:
    try:
        text.encode()
    except UnicodeEncodeError:
        return False
    return True
