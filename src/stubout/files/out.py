"""Write a folder of results all at once: either every file of it, or the folder as it was."""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path, PurePosixPath
from typing import Final

from stubout.problems import StuboutError

MARKER: Final = ".stubout-output"
_MARKER_TEXT: Final = "This folder is written by Stubout and replaced as a whole. Keep nothing else in it."
_LIST: Final = "Its files, as they were written:"  # then a line each: digest and name
_STRAY: Final = {".DS_Store", "Thumbs.db", "desktop.ini"}  # what file managers leave behind where they have looked
_ELSEWHERE: Final = "move it elsewhere, or choose a new or empty folder"
_RESERVED: Final = {"con", "prn", "aux", "nul", *(f"{d}{n}" for d in ("com", "lpt") for n in range(1, 10))}


class OutputError(StuboutError, OSError):
    """The results cannot be written there; nothing was changed."""


def put_right(directory: Path | str) -> tuple[str, ...]:
    """Put right what a run that was killed left beside a folder of results.

    The folder goes back where it was, if nothing has taken its place; what an earlier run wrote, and a later one has
    replaced, is removed; nothing else is touched.

    Returns:
        What its owner has to be told of it, in sentences.

    Raises:
        OutputError: If the disk refuses.
    """
    target = _real(directory)
    told: list[str] = []
    try:
        beside = sorted(target.parent.iterdir()) if target.parent.is_dir() else []
        for path in beside:
            if path.name.startswith(f".{target.name}.old-") and (path / "old" / MARKER).is_file():
                told += _put_back(path, target)
            elif path.name.startswith(f".{target.name}.new-") and (path / MARKER).is_file():
                told.append(
                    f"{path} holds what a run that was broken off had written so far; delete it, unless another run "
                    "is at work there."
                )
    except OSError as error:
        raise OutputError(f"{directory}: {error.strerror or error}") from error
    return tuple(told)


def _put_back(aside: Path, target: Path) -> Iterator[str]:
    """Put the results that a killed run had set aside back in their place, or away where others stand there."""
    old = aside / "old"
    if not os.path.lexists(target):
        old.rename(target)
        aside.rmdir()
        yield f"{target.name} is back: a run that was broken off had left it as {old}."
        return
    try:
        if not (target / MARKER).is_file():
            raise OutputError
        _refuse_foreign(old)
    except OutputError:
        yield (
            f"{old} holds an earlier {target.name}, as a run that was broken off left it; take from it what you need, "
            "and delete it."
        )
    else:
        _drop(aside)


def _real(directory: Path | str) -> Path:
    target = Path(os.path.abspath(directory))
    return target.resolve() if target.is_symlink() else target


def refuse(directory: Path | str) -> None:
    """Raise OutputError where `write_folder` would refuse this folder whatever the files are; writes nothing."""
    try:
        _refuse_foreign(_real(directory))
    except OutputError:
        raise
    except OSError as error:
        raise OutputError(f"{directory}: {error.strerror or error}") from error


def write_folder(directory: Path | str, files: Mapping[str, bytes]) -> None:
    """Write files into a folder, replacing what an earlier run wrote there.

    The files go into a new folder beside the target, which then takes its place; if anything goes wrong before that,
    the target is as it was. A folder that holds anything but earlier output, as it was written, is never replaced.

    Args:
        directory: The folder; its parent is made if need be.
        files: Relative names with `/` between parts, and the bytes of each file.

    Raises:
        OutputError: If a name leads outside the folder or names two things, the folder holds something else, or the
            disk refuses.
    """
    target = _real(directory)
    names = _checked(files)
    refuse(target)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        fresh = Path(tempfile.mkdtemp(prefix=f".{target.name}.new-", dir=target.parent))
    except OSError as error:
        raise OutputError(f"{directory}: {error.strerror or error}") from error
    try:
        _fill(fresh, names, files)
        _swap(fresh, target)
    except OutputError:
        raise
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


def _refuse_foreign(target: Path, called: str = "") -> None:
    """Refuse a target that is no folder, or one that holds anything but what a run of ours has written there."""
    called = called or target.name
    if not os.path.lexists(target):
        return
    if not target.is_dir():
        raise OutputError(f"{called} is a file, not a folder")
    there = list(_inside(target))
    if there == [target / MARKER] or not there:
        return
    if not (target / MARKER).is_file():
        raise OutputError(f"{called} holds files that are not results; choose a new or empty folder")
    listed = _listed(target)
    if listed is None:
        raise OutputError(
            f"{called} was written by an earlier version, which did not note its files, so that yours cannot be told "
            "from results; choose a new or empty folder"
        )
    folders = {parent for name in listed for parent in PurePosixPath(name).parents}
    for path in there:
        name = path.relative_to(target)
        shown = f"{called}/{name.as_posix()}"
        if path.is_symlink() or not (path.is_file() or PurePosixPath(name) in folders):
            raise OutputError(f"{shown} is no result of an earlier run; {_ELSEWHERE}")
        if not path.is_file() or path == target / MARKER or path.name in _STRAY:
            continue
        if name.as_posix() not in listed:
            raise OutputError(f"{shown} is no result of an earlier run; {_ELSEWHERE}")
        if _digest(path.read_bytes()) != listed[name.as_posix()]:
            raise OutputError(f"{shown} was changed after it was written; {_ELSEWHERE}")


def _inside(folder: Path) -> Iterator[Path]:
    """Yield all that lies in a folder, in order of names; nothing of what a link leads to."""
    for path in sorted(folder.iterdir()):
        yield path
        if path.is_dir() and not path.is_symlink():
            yield from _inside(path)


def _listed(folder: Path) -> dict[str, str] | None:
    """Return the names and digests the marker of a folder lists, None if it lists none."""
    lines = (folder / MARKER).read_bytes().decode("utf-8", "replace").split("\n")
    if _LIST not in lines:
        return None
    pairs = (line.partition("  ") for line in lines[lines.index(_LIST) + 1 :])
    return {name: digest for digest, _, name in pairs}


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _fill(fresh: Path, names: Mapping[str, PurePosixPath], files: Mapping[str, bytes]) -> None:
    # mkdtemp makes the folder for the owner alone; results are ordinary files that others may read.
    mask = os.umask(0)
    os.umask(mask)
    fresh.chmod(0o777 & ~mask)
    lines = (_MARKER_TEXT, _LIST, *(f"{_digest(files[name])}  {name}" for name in names))
    (fresh / MARKER).write_bytes(("\n".join(lines) + "\n").encode())
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
    aside = Path(tempfile.mkdtemp(prefix=f".{target.name}.old-", dir=target.parent))
    old = aside / "old"
    try:
        target.rename(old)
        _refuse_foreign(old, target.name)  # once more, where nobody puts anything beside them any more
        fresh.rename(target)
    except BaseException:
        if old.exists() and not target.exists():
            old.rename(target)
        with contextlib.suppress(OSError):
            aside.rmdir()  # not if the old one is still in it: the next run tells of it
        raise
    with contextlib.suppress(OSError):
        _drop(aside)


def _drop(aside: Path) -> None:
    """Remove results that were set aside, last the marker: what is left of them still says whose they are."""
    old = aside / "old"
    for path in old.iterdir() if old.exists() else ():
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        elif path.name != MARKER:
            path.unlink()
    shutil.rmtree(aside)
