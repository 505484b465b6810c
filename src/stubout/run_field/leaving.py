"""Pipe that a planned job leaves over, for another job to cut from: `left.json`, read without the engine."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pydantic import TypeAdapter

LEFT: Final = "left.json"


@dataclass(frozen=True, slots=True)
class Left:
    """What a job leaves over, of one material."""

    material: str
    least_mm: float  # a shorter end is not worth keeping
    sizes: tuple[tuple[float, tuple[float, ...]], ...]  # size [in] and the lengths worth keeping [mm], longest first


_ADAPTER: Final = TypeAdapter(Left)


def write(left: Left) -> bytes:
    """Return the bytes of `left.json`."""
    return _ADAPTER.dump_json(left)


def read(data: bytes) -> Left:
    """Return what `left.json` says."""
    return _ADAPTER.validate_json(data)
