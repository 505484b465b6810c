"""Backup and restore: one file that holds everything, whatever the database; it is read again before it counts.

The file is an SQLite database with the tables of the store, so that any tool can look into it.
"""

from __future__ import annotations

import contextlib
import os
import sqlite3
import tempfile
from hashlib import sha256
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, func, insert, select, text
from sqlalchemy.exc import DatabaseError, SQLAlchemyError

from stubout.store.engine import Store, sqlite_engine, upgrade
from stubout.store.model import StoreError
from stubout.store.tables import KEPT, jobs, papers, photos, records, revisions

_ROWS: Final = 200  # at a time: photos are large


def backup(store: Store, path: Path) -> dict[str, int]:
    """Write everything into one new file and return how much of each there is.

    Raises:
        StoreError: If the file is there already, cannot be written, or does not read back as it should.
    """
    if path.exists():
        raise StoreError(f"{path} is already there; give another name")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        number, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        os.close(number)
    except OSError as error:
        raise StoreError(f"{path} cannot be written: {error.strerror or error}") from error
    fresh = Path(name)
    try:
        copy = Store(sqlite_engine(fresh), store.clock)
        try:
            upgrade(copy)
            with store.reading() as source:
                if source.dialect.name == "postgresql":
                    source.execute(text("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY"))
                with copy.writing() as target:
                    _copy(source, target)
            with copy.reading() as target:
                counts = _proved(target)
        finally:
            copy.close()
        _flat(fresh)
        os.link(fresh, path)  # unlike a rename, never over a file that came up meanwhile
    except FileExistsError:
        raise StoreError(f"{path} is already there; give another name") from None
    except (OSError, SQLAlchemyError) as error:
        raise StoreError(f"{path} could not be written: {error}") from error
    finally:
        for rest in (fresh, Path(f"{fresh}-wal"), Path(f"{fresh}-shm")):
            rest.unlink(missing_ok=True)
    return counts


def restore(store: Store, path: Path) -> dict[str, int]:
    """Put a backup into an empty store, all or nothing, and return how much of each there is.

    Raises:
        StoreError: If the file is no backup or damaged, or the store holds jobs already.
    """
    if not path.is_file():
        raise StoreError(f"{path} is no file")
    with tempfile.TemporaryDirectory() as folder:  # the backup itself is only read
        twin = Path(folder) / "backup.db"
        try:
            twin.write_bytes(path.read_bytes())
            source_store = Store(sqlite_engine(twin), store.clock)
        except OSError as error:
            raise StoreError(f"{path} cannot be read: {error.strerror or error}") from error
        try:
            upgrade(source_store)
            with source_store.reading() as source:
                _proved(source)
                with store.writing() as target:
                    if target.execute(select(func.count()).select_from(jobs)).scalar_one():
                        raise StoreError("there are jobs already; restore into an empty folder or database")
                    _copy(source, target)
                    return _proved(target)
        except DatabaseError as error:
            raise StoreError(f"{path} is no backup, or a damaged one: {error.orig}") from error
        finally:
            source_store.close()


def _copy(source: Connection, target: Connection) -> None:
    for table in KEPT:
        order = list(table.primary_key.columns)
        for rows in source.execute(select(table).order_by(*order)).mappings().partitions(_ROWS):
            target.execute(insert(table), [dict(r) for r in rows])
        if target.dialect.name == "postgresql" and "id" in table.c:  # the next id comes after the last one
            target.execute(
                text(
                    f"SELECT setval(pg_get_serial_sequence('{table.name}', 'id'), "
                    f"GREATEST((SELECT MAX(id) FROM {table.name}), 1), (SELECT COUNT(*) > 0 FROM {table.name}))"
                )
            )


def _proved(connection: Connection) -> dict[str, int]:
    """Return the counts of a store that is whole; StoreError where a hash or a link does not fit."""
    if connection.dialect.name == "sqlite":
        found = connection.exec_driver_sql("PRAGMA integrity_check").scalar_one()
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
        if found != "ok" or broken is not None:
            raise StoreError(f"the backup is damaged: {found if found != 'ok' else broken}")
    for number, content, digest in connection.execute(select(revisions.c.number, revisions.c.text, revisions.c.sha256)):
        if sha256(content.encode()).hexdigest() != digest:
            raise StoreError(f"the backup is damaged: the text of a revision {number} is not what was saved")
    for digest, data in connection.execute(select(photos.c.sha256, photos.c.data)):
        if sha256(data).hexdigest() != digest:
            raise StoreError("the backup is damaged: a photo is not what was saved")
    for digest, words in connection.execute(select(papers.c.sha256, papers.c.text)):
        if sha256(words.encode()).hexdigest() != digest:
            raise StoreError("the backup is damaged: a list of prices is not what was saved")
    heads = select(func.count()).select_from(jobs).where(
        ~select(revisions.c.number).where(revisions.c.job == jobs.c.id, revisions.c.number == jobs.c.head).exists()
    )  # fmt: skip
    if connection.execute(heads).scalar_one():
        raise StoreError("the backup is damaged: a job has lost its last revision")
    return {t.name: connection.execute(select(func.count()).select_from(t)).scalar_one() for t in (
        jobs, revisions, records, photos, papers)}  # fmt: skip


def _flat(path: Path) -> None:
    """Make one file of it, without a write-ahead log beside it, and see it on the disk."""
    with contextlib.closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE").close()
    with path.open("rb+") as stream:
        os.fsync(stream.fileno())
