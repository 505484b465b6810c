"""Killed at any moment: what was accepted is there, whole, and nothing is there by half."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import time
from hashlib import sha256
from pathlib import Path

import pytest

from stubout.store import jobs, records
from stubout.store.engine import open_store

WRITER = Path(__file__).with_name("writer.py")
KILLS = 6
SAVES_EACH = 50  # so that 300 are accepted on each database


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_kill_at_random_moments(kind: str, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    url = request.getfixturevalue("postgres") if kind == "postgresql" else ""
    store = open_store(None if url else tmp_path, url)
    job = jobs.create(store, "A", "revision 1\n", "P").id
    store.close()
    chance = random.Random(kind)
    for _ in range(KILLS):
        said = _killed(url, tmp_path, job, SAVES_EACH + chance.randrange(5), chance.random() * 0.01)
        store = open_store(None if url else tmp_path, url)
        head = jobs.job(store, job).head
        kept = {r.id for r in records.listed(store, job)}
        history = jobs.history(store, job)
        assert [r.number for r in history] == list(range(head, 0, -1))
        assert max(n for what, n in said if what == "revision") <= head
        assert {n for what, n in said if what == "record"} <= kept
        for one in history[:3]:
            whole = jobs.revision(store, job, one.number)
            assert sha256(whole.text.encode()).hexdigest() == whole.sha256
            assert set(whole.text.splitlines()) == {f"revision {one.number}"}
        if not url:
            with store.reading() as connection:
                assert connection.exec_driver_sql("PRAGMA integrity_check").scalar_one() == "ok"
        store.close()
    assert head > KILLS * SAVES_EACH / 2


def _killed(url: str, folder: Path, job: int, after: int, more_s: float) -> list[tuple[str, int]]:
    """Return what a writer said was accepted before it was killed, some time after so many."""
    command = [sys.executable, str(WRITER), url, str(folder), str(job)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as writer:
        assert writer.stdout is not None
        lines = [writer.stdout.readline() for _ in range(after)]
        time.sleep(more_s)
        writer.send_signal(signal.SIGKILL)
        rest = writer.stdout.read()
    whole = [line for line in (*lines, *rest.splitlines(keepends=True)) if line.endswith("\n")]
    assert len(whole) >= after, "the writer ended by itself"
    return [(what, int(number)) for what, number in (line.split() for line in whole)]
