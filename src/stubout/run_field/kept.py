"""`field.json`: what the site needs of a planned job, written and read without the engine."""

from __future__ import annotations

from typing import Final

from pydantic import TypeAdapter

from stubout.run_field.model import Field

FIELD: Final = "field.json"
WHY: Final = "why.json"  # how every value came about, for programs
_ADAPTER: Final = TypeAdapter(Field)


def write(field: Field) -> bytes:
    """Return the bytes of `field.json`."""
    return _ADAPTER.dump_json(field)


def read(data: bytes) -> Field:
    """Return what `field.json` says."""
    return _ADAPTER.validate_json(data)
