"""Where finished plans lie: an archive a plan, its design beside it; what is read of them oftenest is held."""

from __future__ import annotations

import zipfile
from pathlib import Path
from typing import Final
from uuid import uuid4

from stubout.run_field import kept
from stubout.run_field.model import Field
from stubout.web.memory import Memory

_FIELDS: Final = 8  # held
_FILE_BYTES: Final = 16 * 1024 * 1024  # of files held


class Archives:
    """The plans that are done, in one folder. A file of a plan never changes: the key is that of all it came from."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        for rest in self.folder.glob("*.part"):
            rest.unlink(missing_ok=True)
        for rest in self.folder.glob("*.design"):
            if not rest.with_suffix(".zip").exists():  # ended between the two
                rest.unlink(missing_ok=True)
        self._fields: Memory[Field] = Memory(_FIELDS * 4, lambda _: 4)
        self._files: Memory[bytes] = Memory(_FILE_BYTES, len)

    def field(self, key: str) -> Field:
        """Return what the site needs of a plan; KeyError if it is not there."""
        return self._fields.made(key, lambda: kept.read(self.file(key, kept.FIELD)))

    def file(self, key: str, name: str) -> bytes:
        """Return one file of a plan; KeyError if there is none of that name."""
        return self._files.made((key, name), lambda: self._read(key, name))

    def _read(self, key: str, name: str) -> bytes:
        try:
            with zipfile.ZipFile(self.path(key)) as archive:
                return archive.read(name)
        except FileNotFoundError:
            raise KeyError(name) from None

    def names(self, key: str) -> tuple[str, ...]:
        """Return the names of the files of a plan."""
        try:
            with zipfile.ZipFile(self.path(key)) as archive:
                return tuple(archive.namelist())
        except FileNotFoundError:
            return ()

    def design(self, key: str) -> Path:
        """Return where the design of a plan lies, for the process that drags on it."""
        return self.path(key).with_suffix(".design")

    def path(self, key: str) -> Path:
        """Return where the archive of a plan lies; KeyError if that is no key."""
        if len(key) != 64 or not key.isalnum():
            raise KeyError(key)
        return self.folder / f"{key}.zip"

    def part(self) -> Path:
        """Return where something may be written that is not whole yet."""
        return self.folder / f"{uuid4().hex}.part"

    def sweep(self, most: int) -> None:
        """Forget the oldest plans."""
        found = sorted(self.folder.glob("*.zip"), key=lambda p: p.stat().st_mtime, reverse=True)
        for old in found[most:]:
            old.unlink(missing_ok=True)
            self.design(old.stem).unlink(missing_ok=True)
