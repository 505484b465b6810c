"""The verbs of a changed job, in process: keep writes a new file only, changed tells what moved.

Expected: by hand, from what was changed in the demonstration house.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from stubout import run
from stubout.cli.exits import Exit
from stubout.cli.main import app
from stubout.files.demo import demo_text

DRAWN_ONCE = "\nchoices:\n  - drawn: as usual\n"
INSTALLED = "\ninstalled:\n  - walls: UP\n    date: 2030-03-01\n    by: Plumber P\n"

pytestmark = pytest.mark.usefixtures("laid_out_once")


def stubout(*words: str | Path) -> Result:
    return CliRunner().invoke(app, [str(w) for w in words])


def test_keep_and_changed(tmp_path: Path) -> None:
    accepted, now, out = tmp_path / "a.yaml", tmp_path / "b.yaml", tmp_path / "c.yaml"
    text = demo_text() + DRAWN_ONCE + INSTALLED
    accepted.write_text(text, encoding="utf-8")
    now.write_text(text.replace('at: 3\'-4"\n    outlet: 2"', 'at: 2\'-4"\n    outlet: 2"'), encoding="utf-8")
    result = stubout("keep", accepted, now, "-o", out, "--json")
    assert result.exit_code == Exit.CLEAN, result.output
    said = json.loads(result.output)
    assert said["anew"] == ["AW"]
    network = run.design(run.read(str(accepted))).network
    in_up = {p.id for p in network.pipes if p.place.ref == "UP"}
    assert in_up
    assert in_up <= set(said["installed"])
    assert said["new_faults"] == []
    again = stubout("keep", accepted, now, "-o", out)
    assert again.exit_code == Exit.INPUT
    assert "already there" in again.output

    told = stubout("changed", accepted, out, "--json")
    assert told.exit_code == Exit.CLEAN, told.output
    moved = json.loads(told.output)
    assert moved["installed_moved"] == []
    own = {p.id for p in network.drains() if p.tags == ("AW",)}
    assert len(own) >= 2, "its arm and its drop"
    assert {line["about"] for line in moved["pipes"]} >= own
    stub = next(m for m in moved["marks"] if "AW trap arm" in m["words"])
    assert stub["by_mm"] == 304.8, "a foot along the wall"
    words = stubout("changed", accepted, out).output
    assert 'AW trap arm 2 in: 12" (305 mm) towards the corner' in words
    assert "Stale, measures have changed:" in words


def test_a_run_that_is_not_laid_out_cannot_be_installed(tmp_path: Path) -> None:
    accepted = tmp_path / "a.yaml"
    accepted.write_text(demo_text() + DRAWN_ONCE + INSTALLED.replace("walls: UP", "runs: D99"), encoding="utf-8")
    result = stubout("keep", accepted, "-o", tmp_path / "c.yaml")
    assert result.exit_code == Exit.INPUT
    assert "D99" in result.output
    assert not (tmp_path / "c.yaml").exists()


def test_what_is_installed_names_walls_and_levels_of_the_job(tmp_path: Path) -> None:
    job = tmp_path / "a.yaml"
    job.write_text(
        demo_text() + DRAWN_ONCE + INSTALLED.replace("walls: UP", "walls: UQ\n    under: upperr"), encoding="utf-8"
    )
    result = stubout("check", job)
    assert result.exit_code == Exit.INPUT
    assert "a wall of this job" in result.output
    assert 'Did you mean "upper"?' in result.output
