"""JSON and CSV: fixed order, rounded numbers, no formulas."""

from __future__ import annotations

import csv
import io
import json

import pytest

from stubout.design import Design
from stubout.export.csv_ import guarded, lists
from stubout.export.json_ import design_json, error_data, findings_json, plain
from stubout.problems import Fault, Finding, NotChecked


@pytest.mark.parametrize(
    ("value", "printed"),
    [("=1+1", "'=1+1"), ("@x", "'@x"), ("-x", "'-x"), ("+1", "'+1"),
     ("\t=1", "'\t=1"), ("tee", "tee"), (-12.5, "-12.5"), (-0.00001, "0"),
     (1 / 3, "0.3333"), (True, "yes"), (None, "")],
)  # fmt: skip
def test_a_spreadsheet_runs_no_text(value: str | float | bool | None, printed: str) -> None:
    assert guarded(value) == printed


def test_lists_are_square_and_hold_every_thing_once(small_design: Design, small_findings: tuple[Finding, ...]) -> None:
    made = lists(small_design, small_findings)
    assert set(made) == {
        "materials",
        "cuts",
        "measure_first",
        "stock",
        "stock_sums",
        "bores",
        "pipes",
        "fixtures",
        "windows",
        "findings",
    }
    for name, data in made.items():
        rows = list(csv.reader(io.StringIO(data.decode("utf-8-sig"))))
        assert all(len(r) == len(rows[0]) for r in rows), name
    pipes = list(csv.DictReader(io.StringIO(made["pipes"].decode("utf-8-sig"))))
    assert [p["pipe"] for p in pipes] == [p.id for p in small_design.network.pipes]
    assert float(pipes[2]["slope"]) == pytest.approx(0.02)


def test_design_json_is_stable_and_round(
    small_design: Design, small_findings: tuple[Finding, ...], small_not_checked: tuple[NotChecked, ...]
) -> None:
    first = design_json(small_design, small_findings, small_not_checked)
    assert first == design_json(small_design, small_findings, small_not_checked)
    data = json.loads(first)
    assert data["schema"] == 1
    assert [p["id"] for p in data["pipes"]] == ["D1", "D2", "D3", "V1"]
    assert data["pipes"][2]["slope"] == 0.02
    assert data["pipes"][1]["vertical"] is True
    assert data["findings"][0]["accepted"]["author"] == "Inspector I"
    assert [u["what"] for u in data["unverified"]] == ["make-up of sanitary tee 3 x 3 x 1-1/2", "trap arm"]
    assert "approved" not in first.decode().lower()


def test_findings_json_counts_by_level(
    small_design: Design, small_findings: tuple[Finding, ...], small_not_checked: tuple[NotChecked, ...]
) -> None:
    data = json.loads(findings_json(small_design, small_findings, small_not_checked))
    assert data["count"] == {"STOP": 1, "FIX": 1, "ASK": 1, "NOTE": 0}
    assert data["not_checked"][0]["check"] == "AAV001"


def test_one_error_shape() -> None:
    fault = Fault("job.yaml", 7, "walls[0].stud", "x", "a length")
    assert error_data("bad", [fault]) == {
        "schema": 1,
        "error": "bad",
        "faults": [
            {"file": "job.yaml", "line": 7, "path": "walls[0].stud", "found": "x", "wanted": "a length", "do": ""}
        ],
    }


def test_unknown_things_are_refused() -> None:
    with pytest.raises(TypeError, match="has no form"):
        plain(object())
