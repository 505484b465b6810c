"""What was tried stands under its finding: on the terminal, on the findings sheet, in the data."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from laid_out import design_named

from stubout import run
from stubout.design import Design, Tried
from stubout.export.json_ import findings_json
from stubout.problems import Finding
from stubout.reports.model import TableBlock
from stubout.reports.plain import check_text
from stubout.reports.verdicts import findings_page

Told = tuple[Design, run.Verdict, dict[Finding, Tried]]


@pytest.fixture(scope="module")
def told() -> Told:
    """Return the drawn bath without supports, what is found, and what was tried."""
    clean = design_named("drawn-bath")
    bare = replace(clean, fabrication=replace(clean.fabrication, hangers=()))
    verdict = run.check(bare)
    return bare, verdict, run.fixes_of(bare, verdict)


def test_each_open_finding_has_its_trial(told: Told) -> None:
    _, verdict, tried = told
    assert verdict.open
    assert set(tried) == set(verdict.open)


def test_terminal_prints_the_fix_under_the_finding_only_where_asked(told: Told) -> None:
    design, verdict, tried = told
    text = check_text(design, verdict.findings, verdict.not_checked, tried=tried)
    assert "Fix tried: Support" in text
    assert "Fix tried" not in check_text(design, verdict.findings, verdict.not_checked)


def test_findings_sheet_prints_the_fix(told: Told) -> None:
    design, verdict, tried = told
    page = findings_page(design, verdict.findings, verdict.not_checked, None, tried)
    cells = [c for b in page.blocks if isinstance(b, TableBlock) for row in b.rows for c in row]
    assert any("Fix tried: Support" in c for c in cells)


def test_data_hold_the_changes(told: Told) -> None:
    design, verdict, tried = told
    data = json.loads(findings_json(design, verdict.findings, verdict.not_checked, tried))
    fix = next(f["fix"] for f in data["findings"] if f["check"] == "SUP001")
    assert fix["cleared"]
    assert [c["kind"] for c in fix["changes"]] == ["hanger"]
    plain = json.loads(findings_json(design, verdict.findings, verdict.not_checked))
    assert all("fix" not in f for f in plain["findings"])
