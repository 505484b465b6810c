"""The fixes of a planned job as a page needs them: what was tried, who has to agree, what the job file would say.

Plain frozen records, written as `fixes.json` and read back without the engine.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from pydantic import TypeAdapter

KIND: Final = "fixes"  # of the work that makes them
FIXES: Final = "fixes.json"


@dataclass(frozen=True, slots=True)
class Say:
    """One value of the job file set, added (last step `+`) or taken out (None); numbers in the path count from 1."""

    path: tuple[str | int, ...]
    value: Any


@dataclass(frozen=True, slots=True)
class Offer:
    """What was tried for one finding."""

    finding: int  # its place in the findings of the plan, from 1
    cleared: bool  # on the copy of the design: the finding is gone and no new STOP or FIX is there
    words: str  # what is changed, or what stands against it
    asks: str  # who has to agree, "" where the plumber alone can do it
    says: tuple[Say, ...]  # what the job file has to say for it
    unsaid: str  # why the job file cannot say it, "" where it can
    draws: bool  # the whole layout is drawn into the file, because the program laid these pipes out


_ADAPTER: Final = TypeAdapter(tuple[Offer, ...])


def write(offers: Sequence[Offer]) -> bytes:
    """Return the bytes of `fixes.json`."""
    return _ADAPTER.dump_json(tuple(offers))


def read(data: bytes) -> tuple[Offer, ...]:
    """Return what `fixes.json` says."""
    return _ADAPTER.validate_json(data)
