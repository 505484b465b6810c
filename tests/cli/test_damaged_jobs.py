"""Job files with damage, as they come from a tired hand: a sentence and a documented exit code, never a traceback.

The damage is drawn by hypothesis without chance between runs, so that a failure is the same on every machine.
"""

from __future__ import annotations

import json
import re
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from stubout import run
from stubout.cli.exits import Exit
from stubout.cli.main import app
from stubout.job.starter import starter_text
from stubout.problems import Fault, JobFileError

EXAMPLES = Path(__file__).parents[2] / "examples"
TEXTS = {p.name: p.read_text(encoding="utf-8") for p in sorted(EXAMPLES.glob("*.yaml"))}
SMALL = {"drawn-bath.yaml": TEXTS["drawn-bath.yaml"], "inch": starter_text("inch"), "mm": starter_text("mm")}
JUNK = (
    "", "~", "-", "0", "-1", "1e30", "nan", "inf", "-inf", "999999999", "0.0000001", "-9999 ft", "5-11 3/8",
    "5'-11 3/8\"", "3/0", "½\"", "yes", "no", "null", "P", "N, S", "[]", "{}", "[1, 2, 3]", "{a: b}", "&a b", "*a",
    "<<: *a", "\"", "'", "é", "\t", "1:0", "2 %", "DN 50", "0x10", "1/4 in/ft", "water closet", "x" * 5000,
)  # fmt: skip
QUICK = settings(
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.generate],  # a layout takes a second; shrinking would take minutes
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def scalar(line: str) -> re.Match[str] | None:
    return re.match(r"^(\s*(?:- )?[\w ]+: +)([^#{\[&*|>\s][^#]*?)(\s*(?:#.*)?)$", line)


@st.composite
def damaged(draw: st.DrawFn, texts: dict[str, str], most: int) -> str:
    """Return an example file with up to `most` things done to it."""
    lines = texts[draw(st.sampled_from(sorted(texts)))].splitlines()
    for _ in range(draw(st.integers(1, most))):
        full = [n for n, line in enumerate(lines) if line.strip() and not line.lstrip().startswith("#")]
        held = [n for n in full if scalar(lines[n])]
        if not held:
            break
        kind = draw(st.sampled_from(["drop", "swap", "junk", "number", "number", "block"]))
        at = draw(st.sampled_from(held if kind in ("swap", "junk", "number") else full))
        if kind == "drop":
            del lines[at]
        elif kind == "junk":
            lines[at] = scalar(lines[at])[1] + draw(st.sampled_from(JUNK))  # type: ignore[index]
        elif kind == "number":
            worse = draw(st.sampled_from(["0", "1", "7", "13", "240"]))
            lines[at] = re.sub(r"(: .*?)\d+", rf"\g<1>{worse}", lines[at], count=1)
        elif kind == "swap":
            other = draw(st.sampled_from(held))
            one, two = scalar(lines[at]), scalar(lines[other])
            assert one
            assert two
            lines[at], lines[other] = one[1] + two[2] + one[3], two[1] + one[2] + two[3]
        else:
            end = at + draw(st.integers(1, 12))
            lines[at:at] = lines[at:end]
    return "\n".join(lines) + "\n"


@settings(QUICK, max_examples=40)
@given(damaged(TEXTS, 4))
def test_a_damaged_example_is_read_or_every_fault_has_a_place(text: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.yaml"
        path.write_text(text, encoding="utf-8")
        faults: list[Fault | None] = []
        try:
            run.read(str(path))
        except JobFileError as error:
            faults = [*error.faults] or [None]
        for fault in faults:
            assert fault
            assert 1 <= fault.line <= text.count("\n") + 1, fault
            assert fault.found
            assert fault.wanted
            assert len(str(fault)) < 1500


def plan_leaves_all_or_nothing(text: str, folder: Path) -> int:
    job, out = folder / "job.yaml", folder / "packet"
    job.write_text(text, encoding="utf-8")
    result = CliRunner().invoke(app, ["plan", str(job), "-o", str(out), "--json"])
    data = json.loads(result.stdout)
    assert "Traceback" not in result.output
    assert result.exit_code in (Exit.CLEAN, Exit.FINDINGS, Exit.BLOCKED, Exit.INPUT), data
    left = sorted(p.name for p in folder.iterdir())
    if result.exit_code == Exit.INPUT:
        assert left == ["job.yaml"]
        assert data["error"]
    else:
        assert left == ["job.yaml", "packet"]
        there = {p.relative_to(out).as_posix() for p in out.rglob("*") if p.is_file()}
        assert set(data["files"]) == there - {".stubout-output"}
    return int(result.exit_code)


@settings(QUICK, max_examples=8)
@given(damaged(SMALL, 1))
def test_plan_of_a_damaged_job_writes_a_whole_folder_or_none(text: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        plan_leaves_all_or_nothing(text, Path(folder))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("  - tag: LV1\n", "  - tag: LV1\n    future: yes\n"),  # a rough-in for later
        ('    rim: 15"\n', ""),  # a fact left away is a question
        ("wishes:\n", "unwished:\n"),
    ],
)
def test_plan_of_a_starter_with_one_change(old: str, new: str, tmp_path: Path) -> None:
    text = starter_text("inch")
    assert old in text
    code = plan_leaves_all_or_nothing(text.replace(old, new, 1), tmp_path)
    assert (code == Exit.INPUT) == (new == "unwished:\n")
