"""Jobs and revisions: nothing accepted is lost, nothing stale is accepted."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import text

from stubout.store import jobs, records
from stubout.store.engine import Store, data_folder, open_store
from stubout.store.model import Entry, Kind, NoSuch, Stale, StoreError
from stubout.store.tables import metadata


def test_a_job_keeps_every_revision_whole(store: Store) -> None:
    made = jobs.create(store, "  Small   house ", "a: 1\r\n# comment\n", "Plumber P", "begun")
    assert (made.name, made.head) == ("Small house", 1)
    second = jobs.save(store, made.id, 1, "a: 2 ⅜\n", "Plumber Q", "wider")
    assert second.number == 2
    assert jobs.revision(store, made.id).text == "a: 2 ⅜\n"
    first = jobs.revision(store, made.id, 1)
    assert (first.text, first.author, first.note) == ("a: 1\r\n# comment\n", "Plumber P", "begun")
    assert [(r.number, r.text) for r in jobs.history(store, made.id)] == [(2, ""), (1, "")]
    assert jobs.job(store, made.id).head == 2


def test_revisions_are_found_by_how_their_note_begins(store: Store) -> None:
    one, two = (jobs.create(store, name, "a: 1\n", "P", "left 1%, x").id for name in ("A", "B"))
    jobs.save(store, one, 1, "a: 2\n", "P", "left 1_, y")
    jobs.save(store, two, 1, "a: 3\n", "P", "not left 1%, z")
    assert [(r.job, r.number, r.text) for r in jobs.noted(store, "left 1%, ")] == [(one, 1, ""), (two, 1, "")]
    assert [(r.job, r.number) for r in jobs.noted(store, "left 1_")] == [(one, 2)]  # no sign stands for another


def test_a_stale_save_is_refused_and_changes_nothing(store: Store) -> None:
    made = jobs.create(store, "A", "1", "P")
    jobs.save(store, made.id, 1, "2", "P")
    with pytest.raises(Stale) as refused:
        jobs.save(store, made.id, 1, "other", "Q")
    assert (refused.value.base, refused.value.head) == (1, 2)
    assert jobs.revision(store, made.id).text == "2"
    assert len(jobs.history(store, made.id)) == 2


def test_of_two_who_save_at_once_one_is_let_through(store: Store) -> None:
    made = jobs.create(store, "A", "0", "P")
    both = threading.Barrier(8)
    won: list[int] = []
    stale: list[int] = []

    def one(number: int) -> None:
        both.wait()
        try:
            jobs.save(store, made.id, 1, str(number), f"P{number}")
            won.append(number)
        except Stale:
            stale.append(number)

    threads = [threading.Thread(target=one, args=(n,)) for n in range(8)]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert (len(won), len(stale)) == (1, 7)
    assert jobs.revision(store, made.id).text == str(won[0])


def test_what_is_not_there_is_said(store: Store) -> None:
    with pytest.raises(NoSuch, match="no job 77"):
        jobs.save(store, 77, 1, "x", "P")
    made = jobs.create(store, "A", "0", "P")
    with pytest.raises(NoSuch, match="no revision 9"):
        jobs.revision(store, made.id, 9)
    for number in (-1, 2**31, 10**30):
        for asked in (jobs.job, jobs.revision, jobs.history, records.listed):
            with pytest.raises(NoSuch):
                asked(store, number)
        with pytest.raises(NoSuch):
            jobs.revision(store, made.id, number)
        with pytest.raises(NoSuch):
            jobs.save(store, number, 1, "x", "P")
        with pytest.raises(NoSuch):
            records.add(store, made.id, number, "P", Entry(Kind.NOTE, "x"))
        with pytest.raises(NoSuch):
            records.add(store, made.id, 1, "P", Entry(Kind.BACK, "x", takes_back=number))


@pytest.mark.parametrize("bad", ["a\0b", "\ud800"])
def test_what_is_no_text_is_refused(store: Store, bad: str) -> None:
    with pytest.raises(StoreError, match="no text"):
        jobs.create(store, "A", bad, "P")
    with pytest.raises(StoreError, match="no text"):
        jobs.create(store, bad, "x", "P")
    assert jobs.listed(store) == ()


def test_an_author_is_asked_for(store: Store) -> None:
    with pytest.raises(StoreError, match="author is missing"):
        jobs.create(store, "A", "x", "  ")


def test_the_migrations_make_the_tables_of_the_program(store: Store) -> None:
    with store.reading() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []


def test_data_of_a_later_version_is_not_touched(tmp_path: Path) -> None:
    store = open_store(tmp_path)
    with store.writing() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    store.close()
    with pytest.raises(StoreError, match="later version"):
        open_store(tmp_path)


def test_sqlite_has_every_commit_on_the_disk(tmp_path: Path) -> None:
    store = open_store(tmp_path)
    with store.reading() as connection:
        said = [connection.exec_driver_sql(f"PRAGMA {p}").scalar_one() for p in ("journal_mode", "synchronous",
                                                                                 "foreign_keys")]  # fmt: skip
    assert said == ["wal", 2, 1]
    store.close()


def test_a_file_that_is_no_database_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "stubout.db").write_bytes(b"no database at all, " * 100)
    with pytest.raises(StoreError, match="cannot be opened"):
        open_store(tmp_path)


def test_only_postgresql_goes_by_url() -> None:
    with pytest.raises(StoreError, match="wanted postgresql"):
        open_store(url="mysql://x/y")


def test_the_folder_is_the_users_own(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert data_folder() == tmp_path / "stubout"
