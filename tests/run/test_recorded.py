"""What is recorded of pipe that stands chooses no other layout: ids on the sheets stay those of the record."""

from __future__ import annotations

from stubout import run
from stubout.files.jobs import read_job_text
from stubout.job.starter import starter_text

RECORD = """
records:
  - {about: D1, what: slope, value: 0.1 deg, date: 2026-01-15, by: P}
"""


def test_a_slope_measured_too_flat_is_told_of_the_layout_that_was_built() -> None:
    text = starter_text("inch")
    assert "records:" not in text
    bare, recorded = (run.design(read_job_text(t)) for t in (text, text + RECORD))
    assert [(p.id, p.a, p.b) for p in bare.network.pipes] == [(p.id, p.a, p.b) for p in recorded.network.pipes]
    assert "REC001" in {f.check for f in run.check(recorded).findings}
