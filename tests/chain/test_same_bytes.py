"""Same input, same bytes: a fresh process with another hash seed writes the same files, packet included."""

from __future__ import annotations

import os
import subprocess
import sys
from hashlib import sha256

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
def test_files_are_identical_on_two_runs(name, example_path, files_of):
    here = [f"{path} {len(data)} {sha256(data).hexdigest()}" for path, data in files_of(name).items()]
    seed = "77" if os.environ.get("PYTHONHASHSEED") == "1" else "1"  # by chance here, where nobody says it
    there = digests(example_path(name), seed)
    assert "packet.pdf" in there
    assert there.splitlines() == here
