"""All documents of the packet, in the order they are read."""

from __future__ import annotations

from collections.abc import Mapping

from stubout.design import Design
from stubout.problems import Finding, NotChecked
from stubout.reports import front, pipes, reasons, records, shop, venting, verdicts, verification, water_test
from stubout.reports.model import Document


def documents(
    design: Design,
    findings: tuple[Finding, ...],
    not_checked: tuple[NotChecked, ...],
    used: Mapping[str, tuple[str, ...]] | None = None,
) -> tuple[Document, ...]:
    """Return every document of the packet: what decides first, then schedules, then lists for shop and site.

    Args:
        design: The design.
        findings: What the checks found.
        not_checked: What they could not judge.
        used: The values of the books they judged by, with the checks.
    """
    return (
        front.cover(design, findings),
        front.cautions(),
        verdicts.findings_page(design, findings, not_checked),
        verdicts.questions_page(design, findings),
        pipes.fixtures_page(design),
        pipes.stubs_page(design),
        pipes.drains_page(design),
        venting.vents_page(design),
        pipes.cleanouts_page(design),
        shop.bores_page(design),
        shop.materials_page(design),
        shop.cuts_page(design),
        shop.stock_page(design),
        shop.hangers_page(design),
        water_test.test_page(design),
        records.records_page(design),
        reasons.reasons_page(design),
        front.rule_book(design, findings),
        verification.sheet_document(design, findings, used or {}),
    )
