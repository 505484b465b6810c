"""What moved between two revisions, and what a changed job keeps of an accepted one: read without the engine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from pydantic import TypeAdapter

from stubout.change.told import Part

KIND: Final = "moved"  # of the work that compares two plans
MOVED: Final = "moved.json"
KEEP: Final = "keep"  # of the work that keeps what is installed
KEPT: Final = "kept.json"
DATA: Final = "data.json"  # the same as the command line prints it with `--json`


@dataclass(frozen=True, slots=True)
class Kept:
    """A changed job file with the accepted layout kept in it."""

    text: str
    words: tuple[str, ...]  # what was kept, and what is laid out anew
    parts: tuple[Part, ...]  # what moved all the same


_ADAPTER: Final = TypeAdapter(tuple[Part, ...])
_KEPT: Final = TypeAdapter(Kept)


def write(parts: Sequence[Part]) -> bytes:
    """Return the bytes of `moved.json`."""
    return _ADAPTER.dump_json(tuple(parts))


def read(data: bytes) -> tuple[Part, ...]:
    """Return what `moved.json` says."""
    return _ADAPTER.validate_json(data)


def write_kept(kept: Kept) -> bytes:
    """Return the bytes of `kept.json`."""
    return _KEPT.dump_json(kept)


def read_kept(data: bytes) -> Kept:
    """Return what `kept.json` says."""
    return _KEPT.validate_json(data)
