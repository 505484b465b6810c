"""Write a folder of results all at once: either every file of it, or the folder as it was."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path, PurePosixPath
from typing import Final

from stubout.problems import StuboutError

MARKER: Final = ".stubout-output"
_MARKER_TEXT: Final = b"This folder is written by Stubout and replaced as a whole. Keep nothing else in it.\n"
_RESERVED: Final = {"con", "prn", "aux", "nul", *(f"{d}{n}" for d in ("com", "lpt") for n in range(1, 10))}


class OutputError(StuboutError, OSError):
    """The results cannot be written there; nothing was changed."""


def refuse(directory: Path | str) -> None:
    """Raise OutputError where `write_folder` would refuse this folder whatever the files are; writes nothing."""
    target = Path(os.path.abspath(directory))
    try:
        _refuse_foreign(target.resolve() if target.is_symlink() else target)
    except OutputError:
        raise
    except OSError as error:
        raise OutputError(f"{directory}: {error.strerror or error}") from error


def write_folder(directory: Path | str, files: Mapping[str, bytes]) -> None:
    """Write files into a folder, replacing what an earlier run wrote there.

    The files go into a new folder beside the target, which then takes its place; if anything goes wrong before that,
    the target is as it was. A folder that holds anything but earlier output is never replaced.

    Args:
        directory: The folder; its parent is made if need be.
        files: Relative names with `/` between parts, and the bytes of each file.

    Raises:
        OutputError: If a name leads outside the folder or names two things, the folder holds something else, or the
            disk refuses.
    """
    target = Path(os.path.abspath(directory))
    if target.is_symlink():
        target = target.resolve()
    names = _checked(files)
    _refuse_foreign(target)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        fresh = Path(tempfile.mkdtemp(prefix=f".{target.name}.new-", dir=target.parent))
    except OSError as error:
        raise OutputError(f"{directory}: {error.strerror or error}") from error
    try:
        _fill(fresh, names, files)
        _swap(fresh, target)
    except OSError as error:
        raise OutputError(f"{directory}: {error.strerror or error}") from error
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def _checked(files: Mapping[str, bytes]) -> dict[str, PurePosixPath]:
    """Return the names as paths; refuse what is no plain relative name on any system."""
    paths: dict[str, PurePosixPath] = {}
    folded: dict[str, str] = {MARKER: "the marker of the folder"}
    for name in sorted(files):
        parts = name.split("/")
        for part in parts:
            bad = part in ("", ".", "..") or part != part.strip(" ") or part.endswith(".")
            if bad or any(c in '<>:"\\|?*' or ord(c) < 32 for c in part) or part.split(".")[0].lower() in _RESERVED:
                raise OutputError(f"{name!r} is no name for a file of the folder")
        for depth in range(1, len(parts) + 1):
            key = "/".join(parts[:depth]).casefold()
            kind = name if depth == len(parts) else key + "/"
            if folded.setdefault(key, kind) != kind:
                raise OutputError(f"{name!r} and {folded[key]!r} are the same name on some systems")
        paths[name] = PurePosixPath(name)
    return paths


def _refuse_foreign(target: Path) -> None:
    """Refuse a target that is no folder, or one that holds something and no marker of ours."""
    if not os.path.lexists(target):
        return
    if not target.is_dir():
        raise OutputError(f"{target.name} is a file, not a folder")
    if any(target.iterdir()) and not (target / MARKER).is_file():
        raise OutputError(f"{target.name} holds files that are not results; choose a new or empty folder")


def _fill(fresh: Path, names: Mapping[str, PurePosixPath], files: Mapping[str, bytes]) -> None:
    # mkdtemp makes the folder for the owner alone; results are ordinary files that others may read.
    mask = os.umask(0)
    os.umask(mask)
    fresh.chmod(0o777 & ~mask)
    (fresh / MARKER).write_bytes(_MARKER_TEXT)
    for name, path in names.items():
        place = fresh.joinpath(*path.parts)
        place.parent.mkdir(parents=True, exist_ok=True)
        with place.open("wb") as stream:
            stream.write(files[name])
            stream.flush()
            os.fsync(stream.fileno())


def _swap(fresh: Path, target: Path) -> None:
    """Put the new folder in the target's place; if that fails, the old one goes back."""
    if not target.exists():
        fresh.rename(target)
        return
    old = Path(tempfile.mkdtemp(prefix=f".{target.name}.old-", dir=target.parent)) / "old"
    try:
        target.rename(old)
        try:
            fresh.rename(target)
        except BaseException:
            old.rename(target)
            raise
    finally:
        with contextlib.suppress(OSError):
            # Only if the new folder stands may the old one go.
            if target.exists():
                shutil.rmtree(old.parent)
