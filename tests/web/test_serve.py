"""The verbs serve, backup and restore, from the command line."""

from __future__ import annotations

import re
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import httpx2 as httpx
import pytest
from typer.testing import CliRunner, Result

from stubout.cli.exits import Exit
from stubout.cli.main import app
from stubout.store import jobs
from stubout.store.engine import open_store
from stubout.web.serve import addresses

MAIN = "from stubout.cli.main import app; app()"


def stubout(*words: str | Path) -> Result:
    return CliRunner().invoke(app, [str(w) for w in words])


@pytest.mark.parametrize("network", [False, True])
def test_serve_says_where_it_is_and_ends_when_it_is_told(tmp_path: Path, network: bool) -> None:
    command = [sys.executable, "-c", MAIN, "serve", "--data", str(tmp_path), "--port", "0"]
    with subprocess.Popen([*command, *(["--network"] if network else [])], stderr=subprocess.PIPE, text=True) as server:
        assert server.stderr is not None
        line = server.stderr.readline()
        found = re.search(r"http://127\.0\.0\.1:(\d+)/", line)
        assert found, line
        port = int(found[1])
        end = time.monotonic() + 20
        while time.monotonic() < end:
            try:
                answer = httpx.get(f"http://127.0.0.1:{port}/hello", timeout=5)
                break
            except httpx.TransportError:
                time.sleep(0.05)
        assert answer.status_code == 200
        assert ("Pairing code" in answer.text) is network
        assert "server" not in answer.headers
        if not network:
            for address in addresses():  # nobody listens on the cards of this machine
                with socket.socket() as probe:
                    probe.settimeout(2)
                    assert probe.connect_ex((address, port)) != 0
        server.send_signal(signal.SIGINT)
        rest = server.stderr.read()
    assert "Traceback" not in rest
    assert ("Pairing code: " in rest) is network
    assert (tmp_path / "stubout.db").is_file()


def test_a_port_that_is_taken_is_a_sentence(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        result = stubout("serve", "--data", tmp_path, "--port", str(taken.getsockname()[1]))
    assert result.exit_code != Exit.CLEAN
    assert "cannot be used" in result.output
    assert "Traceback" not in result.output


def test_backup_and_restore(tmp_path: Path) -> None:
    store = open_store(tmp_path / "one")
    jobs.create(store, "House", "text", "Plumber P")
    store.close()
    file = tmp_path / "backup.db"
    told = stubout("backup", file, "--data", tmp_path / "one")
    assert told.exit_code == Exit.CLEAN, told.output
    assert "1 job, 1 revision, 0 records, 0 photos" in told.output
    assert stubout("backup", file, "--data", tmp_path / "one").exit_code == Exit.INPUT
    assert stubout("restore", file, "--data", tmp_path / "two").exit_code == Exit.CLEAN
    again = stubout("restore", file, "--data", tmp_path / "two")
    assert again.exit_code == Exit.INPUT
    assert "jobs already" in again.output
    store = open_store(tmp_path / "two")
    assert [j.name for j in jobs.listed(store)] == ["House"]
    store.close()


def test_what_is_no_database_is_a_sentence(tmp_path: Path) -> None:
    result = stubout("backup", tmp_path / "b.db", "--database", "mysql://x")
    assert result.exit_code == Exit.INPUT
    assert "wanted postgresql" in result.output


def test_without_the_extra_it_says_what_to_install(tmp_path: Path) -> None:
    code = "import sys; sys.modules['fastapi'] = None; sys.modules['sqlalchemy'] = None; " + MAIN
    for words in (["serve"], ["backup", "x.db"]):
        ran = subprocess.run(
            [sys.executable, "-c", code, *words, "--data", str(tmp_path)], capture_output=True, text=True, check=False
        )
        assert ran.returncode == Exit.INPUT
        assert "stubout[serve]" in ran.stderr


def test_other_verbs_load_nothing_of_it() -> None:
    code = (
        "import sys; from typer.testing import CliRunner; from stubout.cli.main import app; "
        "CliRunner().invoke(app, ['lookup']); "
        "print([m for m in ('fastapi', 'sqlalchemy', 'alembic', 'uvicorn', 'PIL', 'ruamel') if m in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"
