"""All documents of the packet, in the order they are read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from stubout.catalog.prices import PriceList
from stubout.design import Design, Tried, Window
from stubout.problems import Finding, NotChecked
from stubout.reports import (
    cuts,
    front,
    materials,
    pipes,
    reasons,
    records,
    shop,
    stock,
    venting,
    verdicts,
    verification,
    water_test,
)
from stubout.reports.model import Document, Paragraph, TableBlock
from stubout.reports.show import UNVERIFIED


def documents(
    design: Design,
    findings: tuple[Finding, ...],
    not_checked: tuple[NotChecked, ...],
    used: Mapping[str, tuple[str, ...]] | None = None,
    pictures: Mapping[Finding, str] | None = None,
    tried: Mapping[Finding, Tried] | None = None,
    windows: tuple[Window, ...] = (),
    prices: PriceList | None = None,
) -> tuple[Document, ...]:
    """Return every document of the packet: what decides first, then schedules, then lists for shop and site.

    Args:
        design: The design.
        findings: What the checks found.
        not_checked: What they could not judge.
        used: The values of the books they judged by, with the checks.
        pictures: The sheet that shows the place of a finding, by its id.
        tried: What was tried for findings, if it was.
        windows: How far the marks may be off.
        prices: The prices of the user.
    """
    pages = (
        front.cover(design, findings),
        front.cautions(),
        verdicts.findings_page(design, findings, not_checked, pictures, tried),
        verdicts.questions_page(design, findings),
        pipes.fixtures_page(design),
        pipes.stubs_page(design, windows),
        pipes.drains_page(design),
        venting.vents_page(design),
        pipes.cleanouts_page(design),
        shop.bores_page(design),
        materials.materials_page(design, prices),
        cuts.cuts_page(design, windows),
        stock.stock_page(design),
        shop.hangers_page(design),
        water_test.test_page(design),
        records.records_page(design, windows),
        reasons.reasons_page(design),
        front.rule_book(design, findings),
        verification.sheet_document(design, findings, used or {}),
    )
    return tuple(_noted(p) for p in pages)


def _noted(page: Document) -> Document:
    """Return a document with the words about its daggers before its first table, and only where it has a dagger.

    At the end they would fall on a page of their own, or far from the first dagger.
    """
    notes = [b for b in page.blocks if isinstance(b, Paragraph) and b.text.startswith(UNVERIFIED)]
    if not notes:
        return page
    rest = [b for b in page.blocks if b not in notes]
    cells = (c for b in rest if isinstance(b, TableBlock) for r in b.rows for c in r)
    if not any(UNVERIFIED in c for c in cells):
        return replace(page, blocks=tuple(rest))
    first = next((i for i, b in enumerate(rest) if not isinstance(b, Paragraph)), len(rest))
    return replace(page, blocks=(*rest[:first], *notes, *rest[first:]))
