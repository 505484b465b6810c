"""Both databases: SQLite in a folder, PostgreSQL where its server is installed (started for the tests, on a socket)."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import text

from stubout.store.engine import Store, open_store
from stubout.store.tables import metadata

RUNS_AS = "postgres"  # the server refuses to run as root


def _binary(name: str) -> str | None:
    places = [str(p) for p in sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)]
    return shutil.which(name, path=os.pathsep.join([*places, os.environ.get("PATH", "")]))


def _as_user(command: list[str]) -> list[str]:
    return ["runuser", "-u", RUNS_AS, "--", *command] if os.geteuid() == 0 else command


@pytest.fixture(scope="session")
def postgres(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Give the URL of a PostgreSQL server of our own that listens on a socket only."""
    pytest.importorskip("psycopg", reason="psycopg is not installed: the extra `postgres`")
    initdb, pg_ctl = _binary("initdb"), _binary("pg_ctl")
    if not initdb or not pg_ctl:
        pytest.skip("no PostgreSQL server is installed")
    folder = Path(subprocess.run(_as_user(["mktemp", "-d", "-t", "pgXXXXXX"]), check=True, capture_output=True,
                                 text=True).stdout.strip())  # fmt: skip
    data = folder / "data"
    try:
        made = subprocess.run(_as_user([initdb, "-D", str(data), "-A", "trust", "-U", "office", "--no-sync", "-E",
                                        "UTF8"]), check=False, capture_output=True, text=True, cwd="/")  # fmt: skip
        if made.returncode:
            pytest.skip(f"no PostgreSQL server can be set up here: {made.stderr.strip().splitlines()[-1]}")
        options = f"-k {folder} -c listen_addresses= -c unix_socket_permissions=0777"
        subprocess.run(_as_user([pg_ctl, "-D", str(data), "-w", "-l", str(folder / "log"), "-o", options, "start"]),
                       check=True, capture_output=True, cwd="/")  # fmt: skip
        try:
            yield f"postgresql://office@/postgres?host={folder}"
        finally:
            subprocess.run(
                _as_user([pg_ctl, "-D", str(data), "-m", "immediate", "stop"]),
                check=False,
                capture_output=True,
                cwd="/",
            )
    finally:
        subprocess.run(_as_user(["rm", "-rf", str(folder)]), check=False)


@pytest.fixture
def emptied(postgres: str) -> str:
    """Give the URL of that server with nothing in its tables."""
    store = open_store(url=postgres)
    empty(store)
    store.close()
    return postgres


def empty(store: Store) -> None:
    """Take everything out of a PostgreSQL store; ids begin at 1 again."""
    names = ", ".join(t.name for t in metadata.sorted_tables)
    with store.writing() as connection:
        connection.execute(text(f"TRUNCATE {names} RESTART IDENTITY"))


@pytest.fixture
def emptier() -> Callable[[Store], None]:
    """Give what takes everything out of a PostgreSQL store."""
    return empty


@pytest.fixture(params=["sqlite", "postgresql"])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    if request.param == "sqlite":
        opened = open_store(tmp_path / "data")
    else:
        opened = open_store(url=request.getfixturevalue("emptied"))
    yield opened
    opened.close()
