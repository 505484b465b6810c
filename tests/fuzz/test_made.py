"""Texts and jobs made up by hypothesis: refused with clear sentences or read, nothing else."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Final

from hypothesis import HealthCheck, given, settings
from judge import FAILED, REFUSED, Outcome, judge
from made import jobs, texts

QUICK: Final = settings(
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def judged(text: str) -> Outcome:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.yaml"
        path.write_bytes(text.encode("utf-8", "surrogatepass"))
        return judge(path, "house")


@settings(QUICK, max_examples=400)
@given(texts())
def test_a_text_that_is_no_job_is_refused(text: str) -> None:
    outcome = judged(text)
    assert outcome.kind == REFUSED, outcome.note


@settings(QUICK, max_examples=60)
@given(jobs())
def test_a_job_of_the_right_shape_is_read_or_refused(text: str) -> None:
    outcome = judged(text)
    assert outcome.kind not in FAILED, outcome.note
