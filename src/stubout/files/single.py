"""Write one new file, never over an existing one."""

from __future__ import annotations

from pathlib import Path


def write_new(path: str, data: bytes) -> None:
    """Write a file that is not there yet; raises FileExistsError if it is."""
    with Path(path).open("xb") as stream:
        stream.write(data)
