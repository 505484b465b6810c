"""Folders are written whole or not at all, and only over our own."""

from __future__ import annotations

import os
import shutil
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest

from stubout.files.out import MARKER, OutputError, put_right, refuse, write_folder


def tree(folder: Path) -> dict[str, bytes]:
    return {
        p.relative_to(folder).as_posix(): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file() and p.name != MARKER
    }


@pytest.fixture
def place(tmp_path: Path) -> Iterator[Path]:
    yield tmp_path / "results"
    leftovers = [p.name for p in tmp_path.iterdir() if p.name.startswith(".results")]
    assert leftovers == []


def test_writes_files_and_folders(place: Path) -> None:
    write_folder(place / "deep", {"a.txt": b"1", "sheets/b.svg": b"2", "sheets/walls/c.svg": b""})
    assert tree(place / "deep") == {"a.txt": b"1", "sheets/b.svg": b"2", "sheets/walls/c.svg": b""}


def test_replaces_its_own_folder_whole(place: Path) -> None:
    write_folder(place, {"a.txt": b"1", "old.txt": b"gone"})
    write_folder(place, {"a.txt": b"2"})
    assert tree(place) == {"a.txt": b"2"}


def test_fills_an_empty_folder(place: Path) -> None:
    place.mkdir()
    write_folder(place, {"a.txt": b"1"})
    assert tree(place) == {"a.txt": b"1"}


def test_refuses_a_folder_of_somebody_elses(place: Path) -> None:
    place.mkdir()
    (place / "letter.txt").write_text("mine")
    with pytest.raises(OutputError, match="choose a new or empty folder"):
        write_folder(place, {"a.txt": b"1"})
    assert tree(place) == {"letter.txt": b"mine"}


@pytest.mark.parametrize(
    ("name", "told"),
    [("notes.txt", "results/notes.txt"), ("photos/a.jpg", "results/photos"), ("sheets/mine.svg", "sheets/mine.svg")],
)
def test_refuses_its_own_folder_where_somebody_put_something_in(place: Path, name: str, told: str) -> None:
    write_folder(place, {"a.txt": b"1", "sheets/b.svg": b"2"})
    (place / name).parent.mkdir(exist_ok=True)
    (place / name).write_text("mine")
    before = tree(place)
    for call in (lambda: refuse(place), lambda: write_folder(place, {"a.txt": b"2"})):
        with pytest.raises(OutputError, match=f"{told} is no result of an earlier run; move it elsewhere"):
            call()
    assert tree(place) == before


def test_refuses_an_empty_folder_and_a_link_of_somebody_elses(place: Path) -> None:
    write_folder(place, {"a.txt": b"1"})
    (place / "photos").mkdir()
    with pytest.raises(OutputError, match="results/photos is no result"):
        write_folder(place, {"a.txt": b"2"})
    (place / "photos").rmdir()
    (place / "a.txt").rename(place.parent / "a.txt")
    (place / "a.txt").symlink_to(place.parent / "a.txt")
    with pytest.raises(OutputError, match=r"results/a\.txt is no result"):
        write_folder(place, {"a.txt": b"2"})


def test_refuses_a_result_that_was_changed(place: Path) -> None:
    write_folder(place, {"packet.pdf": b"1", "b.txt": b"2"})
    (place / "packet.pdf").write_bytes(b"1, with notes of mine in it")
    with pytest.raises(OutputError, match=r"results/packet\.pdf was changed after it was written; move it elsewhere"):
        write_folder(place, {"packet.pdf": b"3"})
    (place / "packet.pdf").unlink()
    write_folder(place, {"packet.pdf": b"3"})
    assert tree(place) == {"packet.pdf": b"3"}


def test_what_a_file_manager_leaves_behind_is_nobodys(place: Path) -> None:
    write_folder(place, {"a.txt": b"1", "sheets/b.svg": b"2"})
    (place / ".DS_Store").write_bytes(b"x")
    (place / "sheets/Thumbs.db").write_bytes(b"x")
    write_folder(place, {"a.txt": b"2"})
    assert tree(place) == {"a.txt": b"2"}


def test_refuses_a_folder_whose_marker_lists_no_files(place: Path) -> None:
    place.mkdir()
    text = "This folder is written by Stubout and replaced as a whole. Keep nothing else in it.\n"
    (place / MARKER).write_text(text)  # as earlier versions wrote it
    write_folder(place, {"a.txt": b"1"})
    (place / MARKER).write_text(text)
    with pytest.raises(OutputError, match=r"written by an earlier version.*choose a new or empty folder"):
        write_folder(place, {"a.txt": b"2"})
    assert tree(place) == {"a.txt": b"1"}


def test_what_is_put_in_while_it_writes_is_kept(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_folder(place, {"a.txt": b"1"})
    real = os.fsync

    def slow(number: int) -> None:
        (place / "mine.txt").write_text("mine")
        real(number)

    monkeypatch.setattr(os, "fsync", slow)
    with pytest.raises(OutputError, match=r"results/mine\.txt is no result"):
        write_folder(place, {"a.txt": b"2"})
    assert tree(place) == {"a.txt": b"1", "mine.txt": b"mine"}


def set_aside(place: Path, name: str = ".results.old-a1b2c3d4") -> Path:
    """Leave a folder as a run leaves it that is killed while it puts new results in the place of old ones."""
    old = place.parent / name / "old"
    old.parent.mkdir()
    place.rename(old)
    return old


def test_what_a_killed_run_set_aside_is_put_back(place: Path) -> None:
    write_folder(place, {"a.txt": b"1"})
    old = set_aside(place)
    told = put_right(place)
    assert told == (f"results is back: a run that was broken off had left it as {old}.",)
    assert tree(place) == {"a.txt": b"1"}
    assert put_right(place) == ()


def test_what_a_killed_run_has_replaced_is_removed(place: Path) -> None:
    write_folder(place, {"a.txt": b"1", "s/b.txt": b"2"})
    old = set_aside(place)
    (old / "a.txt").unlink()  # it was on its way
    write_folder(place, {"a.txt": b"3"})
    assert put_right(place) == ()
    assert [p.name for p in place.parent.iterdir()] == ["results"]
    assert tree(place) == {"a.txt": b"3"}


def test_what_is_not_all_ours_is_told_and_stays(place: Path) -> None:
    write_folder(place, {"a.txt": b"1"})
    old = set_aside(place)
    (old / "mine.txt").write_text("mine")
    write_folder(place, {"a.txt": b"3"})
    fresh = place.parent / ".results.new-a1b2c3d4"
    fresh.mkdir()
    (fresh / MARKER).write_text("")
    (place.parent / ".results.old-mine").mkdir()
    new, earlier = put_right(place)
    assert new.startswith(f"{fresh} holds what a run that was broken off had written so far; delete it")
    assert earlier.startswith(f"{old} holds an earlier results")
    assert tree(old) == {"a.txt": b"1", "mine.txt": b"mine"}
    for path in (old.parent, fresh, place.parent / ".results.old-mine"):
        shutil.rmtree(path)


def test_a_folder_of_somebody_elses_is_no_reason_to_remove_results(place: Path) -> None:
    write_folder(place, {"a.txt": b"1"})
    old = set_aside(place)
    place.mkdir()
    assert "holds an earlier results" in put_right(place)[0]
    assert tree(old) == {"a.txt": b"1"}
    shutil.rmtree(old.parent)


@pytest.mark.parametrize("after", [1, 2])
def test_broken_off_between_two_renames_nothing_is_lost(
    place: Path, monkeypatch: pytest.MonkeyPatch, after: int
) -> None:
    write_folder(place, {"a.txt": b"before"})
    real, calls = Path.rename, []

    def rename(self: Path, target: Path) -> Path:
        done = real(self, target)
        calls.append(target)
        if len(calls) == after:
            raise KeyboardInterrupt
        return done

    monkeypatch.setattr(Path, "rename", rename)
    with pytest.raises(KeyboardInterrupt):
        write_folder(place, {"a.txt": b"after"})
    assert tree(place) == {"a.txt": b"before" if after == 1 else b"after"}
    put_right(place)


def test_says_beforehand_what_it_would_refuse(place: Path) -> None:
    refuse(place)
    place.mkdir()
    refuse(place)
    write_folder(place, {"a.txt": b"1"})
    refuse(place)
    (place / MARKER).unlink()
    with pytest.raises(OutputError, match="choose a new or empty folder"):
        refuse(place)
    with pytest.raises(OutputError, match="is a file"):
        refuse(place / "a.txt")
    assert tree(place) == {"a.txt": b"1"}


def test_refuses_a_file_in_the_way(place: Path) -> None:
    place.write_text("mine")
    with pytest.raises(OutputError, match="is a file"):
        write_folder(place, {"a.txt": b"1"})
    with pytest.raises(OutputError):
        write_folder(place / "below", {"a.txt": b"1"})
    assert place.read_text() == "mine"


@pytest.mark.parametrize(
    "name",
    ["", "/etc/x", "../x", "a/../../x", "a//b", "./x", "a/", "C:x", "a\\b", "x\0", "x\n", "a ", "a.", "con", "NUL.txt",
     "lpt1", MARKER, "what?"],
)  # fmt: skip
def test_refuses_names_that_lead_elsewhere(place: Path, name: str) -> None:
    write_folder(place, {"a.txt": b"before"})
    with pytest.raises(OutputError, match="name"):
        write_folder(place, {"ok.txt": b"1", name: b"2"})
    assert tree(place) == {"a.txt": b"before"}


@pytest.mark.parametrize("names", [("a.txt", "A.TXT"), ("a", "a/b"), ("x/A", "X/a")])
def test_refuses_names_that_meet(place: Path, names: tuple[str, str]) -> None:
    with pytest.raises(OutputError, match="the same name"):
        write_folder(place, dict.fromkeys(names, b""))
    assert not place.exists()


def test_a_crash_while_writing_leaves_the_old_folder(place: Path) -> None:
    write_folder(place, {"a.txt": b"before"})
    with pytest.raises(TypeError):
        write_folder(place, {"a.txt": b"after", "b.txt": None})  # type: ignore[dict-item]
    assert tree(place) == {"a.txt": b"before"}


@pytest.mark.parametrize("fails_at", [1, 2])
def test_a_refused_rename_leaves_the_old_folder(place: Path, monkeypatch: pytest.MonkeyPatch, fails_at: int) -> None:
    write_folder(place, {"a.txt": b"before"})
    real, calls = Path.rename, []

    def rename(self: Path, target: Path) -> Path:
        calls.append(target)
        if len(calls) == fails_at:
            raise PermissionError(13, "Permission denied")
        return real(self, target)

    monkeypatch.setattr(Path, "rename", rename)
    with pytest.raises(OutputError, match="Permission denied"):
        write_folder(place, {"a.txt": b"after"})
    assert tree(place) == {"a.txt": b"before"}


def test_a_full_disk_leaves_nothing(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_fd: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OutputError, match="No space left"):
        write_folder(place, {"a.txt": b"after"})
    assert not place.exists()


@pytest.mark.skipif(os.name != "posix", reason="file modes are a matter of POSIX systems")
def test_results_are_ordinary_files(place: Path) -> None:
    mask = os.umask(0o022)
    try:
        write_folder(place, {"s/a.txt": b"1"})
    finally:
        os.umask(mask)
    assert stat.S_IMODE(place.stat().st_mode) == 0o755
    assert stat.S_IMODE((place / "s").stat().st_mode) == 0o755
    assert stat.S_IMODE((place / "s/a.txt").stat().st_mode) == 0o644


@pytest.mark.skipif(os.name != "posix", reason="links need no rights on POSIX systems")
def test_a_link_to_a_folder_stays_a_link(place: Path, tmp_path: Path) -> None:
    real = tmp_path / "real"
    real.mkdir()
    place.symlink_to(real)
    write_folder(place, {"a.txt": b"1"})
    assert place.is_symlink()
    assert tree(real) == {"a.txt": b"1"}


def test_an_empty_set_of_files_is_an_empty_folder_of_ours(place: Path) -> None:
    write_folder(place, {})
    write_folder(place, {"a.txt": b"1"})
    assert tree(place) == {"a.txt": b"1"}
