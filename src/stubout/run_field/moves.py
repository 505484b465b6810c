"""What moved between two revisions of a job, told part by part: written as `moved.json`, read without the engine."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from pydantic import TypeAdapter

from stubout.change.told import Part

KIND: Final = "moved"  # of the work that compares two plans
MOVED: Final = "moved.json"
_ADAPTER: Final = TypeAdapter(tuple[Part, ...])


def write(parts: Sequence[Part]) -> bytes:
    """Return the bytes of `moved.json`."""
    return _ADAPTER.dump_json(tuple(parts))


def read(data: bytes) -> tuple[Part, ...]:
    """Return what `moved.json` says."""
    return _ADAPTER.validate_json(data)
