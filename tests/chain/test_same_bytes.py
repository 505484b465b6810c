"""Same input, same bytes: two fresh processes with different hash seeds write the same files, packet included."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

CODE = """
import hashlib, sys
from stubout import run
job = run.demo_job() if sys.argv[1] == "demo" else run.read(sys.argv[1])
files, _, _ = run.plan(job)
for name, data in files.items():
    print(name, len(data), hashlib.sha256(data).hexdigest())
"""


def digests(job: str, seed: str) -> str:
    env = {**os.environ, "PYTHONHASHSEED": seed}
    done = subprocess.run([sys.executable, "-c", CODE, job], env=env, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout


@pytest.mark.parametrize("name", ["demo", "02"])
def test_files_are_identical_on_two_runs(name, example_path):
    where = example_path(name)
    one, two = digests(where, "1"), digests(where, "77")
    assert "packet.pdf" in one
    assert one.splitlines() == two.splitlines()
