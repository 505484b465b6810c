"""Files beside the job file that lie over a rule book: amendments of a place, confirmations of a reader."""

from __future__ import annotations

from stubout.job.model import AmendSaid, ConfirmSaid, Record


class AmendFileSaid(Record):
    """A file of amendments: what one province, city or inspector changes in one book."""

    title: str
    book: str
    amendments: tuple[AmendSaid, ...]


class ConfirmFileSaid(Record):
    """A file of confirmations, for every job of the one who read: each entry names its book."""

    confirmations: tuple[ConfirmSaid, ...]
