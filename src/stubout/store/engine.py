"""Open the store: SQLite in a folder, or PostgreSQL by its URL; the tables are brought up to date on the way."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError

from stubout.store.model import StoreError

DATABASE: Final = "stubout.db"
_WAIT_S: Final = 30  # for another writer
_UPGRADE_LOCK: Final = 5_073_113  # any number, the same in every program that upgrades this store
_MIGRATIONS: Final = "stubout.store:migrations"


def _now() -> datetime:
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class Store:
    """Jobs, revisions, records and photos of one data folder or one PostgreSQL database."""

    engine: Engine
    clock: Callable[[], datetime] = field(default=_now)

    def now(self) -> str:
        """Return the time as it is kept."""
        return stamp(self.clock())

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a transaction that sees one state of everything."""
        with self.engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def glancing(self) -> Iterator[Connection]:
        """Give a connection for one statement that reads: it sees one state of everything without a transaction."""
        with self.engine.connect().execution_options(single=True) as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give a transaction that is kept as a whole when the block ends, or not at all."""
        with self.engine.connect().execution_options(writes=True) as connection, connection.begin():
            yield connection

    def close(self) -> None:
        """Give back all connections."""
        self.engine.dispose()


def stamp(at: datetime) -> str:
    """Return a time as it is kept: UTC, to the second, so that the order of texts is the order of times.

    >>> stamp(datetime(2030, 1, 2, 3, 4, 5, tzinfo=UTC))
    '2030-01-02T03:04:05Z'
    """
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def data_folder() -> Path:
    """Return the folder of this user for the data of programs, with ours in it."""
    home = Path.home()
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or home / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = home / "Library" / "Application Support"
    else:
        base = Path(os.environ.get("XDG_DATA_HOME") or home / ".local" / "share")
    return base / "stubout"


def open_store(folder: Path | None = None, url: str = "", clock: Callable[[], datetime] = _now) -> Store:
    """Return the store of a folder, or of a PostgreSQL database.

    Args:
        folder: Where the SQLite database lies; made if need be. Not used with a URL.
        url: `postgresql://user@host/name`, "" for SQLite.
        clock: Tells the time.

    Raises:
        StoreError: If it cannot be opened, or a later version of the program has written it.
    """
    try:
        engine = _postgres(url) if url else sqlite_engine(_made(folder or data_folder()) / DATABASE)
        store = Store(engine, clock)
        try:
            upgrade(store)
        except BaseException:
            store.close()
            raise
    except OSError as error:
        raise StoreError(f"the data folder cannot be used: {error.strerror or error}") from error
    except DBAPIError as error:
        raise StoreError(f"the database cannot be opened: {' '.join(str(error.orig).split())}") from error
    return store


def _made(folder: Path) -> Path:
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    return folder


def _postgres(url: str) -> Engine:
    try:
        said = make_url(url)
    except ArgumentError:
        raise StoreError("the database URL is none; wanted postgresql://user@host/name") from None
    if said.get_backend_name() != "postgresql":
        raise StoreError(f"the database is {said.get_backend_name()}; wanted postgresql, or a folder for SQLite")
    try:
        return create_engine(said.set(drivername="postgresql+psycopg"), pool_pre_ping=True, hide_parameters=True)
    except (ImportError, NoSuchModuleError):
        raise StoreError("PostgreSQL needs the extra `postgres`: pip install 'stubout[postgres]'") from None


def sqlite_engine(path: Path) -> Engine:
    """Return the engine of one SQLite file: write-ahead log, every commit on the disk before it is accepted."""
    engine = create_engine(f"sqlite:///{path}", connect_args={"timeout": _WAIT_S}, hide_parameters=True)

    @event.listens_for(engine, "connect")
    def connected(connection: Any, _record: object) -> None:
        connection.isolation_level = None  # we say BEGIN ourselves: the driver would leave DDL outside
        try:
            for pragma in ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON"):
                connection.execute(f"PRAGMA {pragma}").close()
        except BaseException:
            connection.close()
            raise

    @event.listens_for(engine, "begin")
    def begun(connection: Connection) -> None:
        options = connection.get_execution_options()
        if options.get("single"):
            return
        # A writer takes its place at once: a reader that turns writer later may be refused.
        connection.exec_driver_sql("BEGIN IMMEDIATE" if options.get("writes") else "BEGIN")

    return engine


def config() -> Config:
    """Return what alembic needs to know; the connection is handed in, so no URL stands here."""
    made = Config()
    made.set_main_option("script_location", _MIGRATIONS)
    made.set_main_option("path_separator", "os")
    return made


def upgrade(store: Store) -> None:
    """Bring the tables up to date, all steps or none; StoreError if they are newer than this program."""
    made = config()
    known = {s.revision for s in ScriptDirectory.from_config(made).walk_revisions()}
    with store.writing() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(text("SELECT pg_advisory_xact_lock(:n)"), {"n": _UPGRADE_LOCK})
        at = set(MigrationContext.configure(connection).get_current_heads())
        if not at <= known:
            raise StoreError("a later version of the program has written this data; use that version")
        made.attributes["connection"] = connection
        command.upgrade(made, "head")
