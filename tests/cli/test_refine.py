"""The verb refine, in process: it writes a new file only where it found something better, and that file plans so."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from stubout import run
from stubout.cli.exits import Exit
from stubout.cli.main import app
from stubout.files.demo import demo_text
from stubout.job.starter import starter_text

pytestmark = pytest.mark.usefixtures("laid_out_once")


def stubout(*words: str | Path) -> Result:
    return CliRunner().invoke(app, [str(w) for w in words])


def test_what_is_found_is_written_beside_and_plans_as_it_was_judged(tmp_path: Path) -> None:
    job, out = tmp_path / "a.yaml", tmp_path / "b.yaml"
    job.write_text(demo_text(), encoding="utf-8")
    result = stubout("refine", job, "-o", out, "--layouts", "4", "--json")
    assert result.exit_code == Exit.CLEAN, result.output
    said = json.loads(result.output)
    assert said["tried"] == 4
    assert said["was"] == {"blocked": 0, "findings": [], "cost_min": round(cost(job), 1)}
    assert said["best"]["cost_min"] < said["was"]["cost_min"]
    assert said["best"]["cost_min"] == round(cost(out), 1)
    text = out.read_text(encoding="utf-8")
    assert text.startswith(demo_text())
    assert text.removeprefix(demo_text()).startswith("\nchoices:\n  - drawn: ")
    again = stubout("refine", job, "-o", out)
    assert again.exit_code == Exit.INPUT
    assert "already there" in again.output


def test_where_nothing_is_better_nothing_is_written(tmp_path: Path) -> None:
    job, out = tmp_path / "a.yaml", tmp_path / "b.yaml"
    job.write_text(starter_text("inch"), encoding="utf-8")
    result = stubout("refine", job, "-o", out, "--layouts", "1")
    assert result.exit_code == Exit.CLEAN, result.output
    assert "1 layout tried" in result.output
    assert "None was better: nothing is written." in result.output
    assert not out.exists()


def cost(path: Path) -> float:
    return run.design(run.read(str(path))).costing().minutes
