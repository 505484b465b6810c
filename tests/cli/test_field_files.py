"""`stubout along` and `stubout cards`: one new file each, never over an existing one."""

from __future__ import annotations

import json
import re
from hashlib import sha256
from pathlib import Path

import pytest
from typer.testing import CliRunner

from stubout.cli.main import app
from stubout.job.starter import starter_text

RUN = CliRunner()

pytestmark = pytest.mark.usefixtures("laid_out_once")


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("job") / "job.yaml"
    path.write_text(starter_text("inch"), encoding="utf-8")
    return path


def test_along_writes_the_job_as_one_file(job: Path, tmp_path: Path) -> None:
    out = tmp_path / "x.html"
    answer = RUN.invoke(app, ["along", str(job), "-o", str(out), "-l", "fr"])
    assert answer.exit_code == 0, answer.output
    text = out.read_text(encoding="utf-8")
    assert '<html lang="fr">' in text
    found = re.search(r'id="data">(.*?)</script>', text)
    assert found
    said = json.loads(found[1])["job"]
    assert said["sha256"] == sha256(starter_text("inch").encode()).hexdigest()
    assert (said["id"], said["revision"]) == (0, 0)
    again = RUN.invoke(app, ["along", str(job), "-o", str(out)])
    assert again.exit_code == 2
    assert "already there" in again.output
    assert out.read_text(encoding="utf-8") == text


def test_cards_writes_a_pdf(job: Path, tmp_path: Path) -> None:
    out = tmp_path / "x.pdf"
    answer = RUN.invoke(app, ["cards", str(job), "-o", str(out), "--of", "nail"])
    assert answer.exit_code == 0, answer.output
    assert out.read_bytes().startswith(b"%PDF")
    assert "2 cards" in answer.output
    assert RUN.invoke(app, ["cards", str(job), "-o", str(out)]).exit_code == 2


def test_a_job_that_is_not_there_is_told(tmp_path: Path) -> None:
    for verb in ("along", "cards"):
        answer = RUN.invoke(app, [verb, str(tmp_path / "none.yaml"), "-o", str(tmp_path / "out")])
        assert answer.exit_code == 2
        assert "no such file" in answer.output
        assert not (tmp_path / "out").exists()
