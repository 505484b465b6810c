"""The pages made of the data of the package: one a check, one a table, one a book, none old, none left over."""

from __future__ import annotations

import importlib.util
import re
import sys
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import pytest
from laid_out import design_named

from stubout.checks.registry import CHECKS, run_all
from stubout.files.books import book_ids, known_values, load_book
from stubout.rulebooks.watch import Watch, watched

DOCS = Path(__file__).parents[2] / "docs"
HEADS = ("What it checks", "Why it matters", "Fails", "Passes", "Does not check", "What the books say", "Seeded faults")
LINK = re.compile(r"\]\(([^)#\s]*)(?:#([^)\s]+))?\)")


@pytest.fixture(scope="module")
def generator() -> ModuleType:
    spec = importlib.util.spec_from_file_location("generate_docs", DOCS / "generate.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def whole(generator: ModuleType) -> dict[str, str]:
    made: dict[str, str] = generator.whole()
    return made


def test_no_page_is_missing_old_or_left_over(generator: ModuleType, whole: dict[str, str]) -> None:
    missing = [name for name in whole if not (DOCS / name).is_file()]
    assert not missing, f"make docs: {missing}"
    old = [name for name, text in whole.items() if (DOCS / name).read_text(encoding="utf-8") != text]
    assert not old, f"fallen behind, make docs: {old}"
    assert generator.orphans(whole) == []


def test_a_page_that_nothing_makes_is_an_orphan(generator: ModuleType, whole: dict[str, str]) -> None:
    less = {name: text for name, text in whole.items() if name != "checks/ARM001.md"}
    assert generator.orphans(less) == ["checks/ARM001.md"]


def test_one_page_a_check_one_a_table_one_a_book(whole: dict[str, str]) -> None:
    books = [load_book(i) for i in book_ids()]
    tables = {t for b in books for t in b.tables}
    assert {f"checks/{c.id}.md" for c in CHECKS} == {n for n in whole if n.startswith("checks/")}
    assert {f"tables/{t}.md" for t in tables} == {n for n in whole if n.startswith("tables/")}
    assert {f"books/{i}.md" for i in book_ids()} == {n for n in whole if n.startswith("books/")}


def test_every_single_value_has_its_place(whole: dict[str, str]) -> None:
    text = "\n".join(t for n, t in whole.items() if n.startswith("values/"))
    for value_id in known_values():
        assert text.count(f'<a id="{value_id}"></a>') == 1, value_id


@pytest.mark.parametrize("check", CHECKS, ids=lambda c: c.id)
def test_the_page_of_a_check_is_whole(check, whole: dict[str, str]) -> None:
    text = whole[f"checks/{check.id}.md"]
    for head in HEADS:
        assert f"\n## {head}\n" in text, head
    assert check.name in text
    for book_id in book_ids():
        clause = load_book(book_id).clauses.get(check.id)
        assert clause is None or clause.section in text
    assert re.search(r"^- \*\*do\*\* \S", text, re.MULTILINE), "no seeded fault tells what to do"


def test_links_and_their_places_exist(whole: dict[str, str]) -> None:
    texts = {p.relative_to(DOCS).as_posix(): p.read_text(encoding="utf-8") for p in DOCS.rglob("*.md")} | whole
    for name, text in texts.items():
        for to, place in LINK.findall(text):
            target = ((DOCS / name).parent / to).resolve() if to else DOCS / name
            assert target.is_file(), f"{name} links to {to}"
            if place:
                there = texts[target.relative_to(DOCS).as_posix()]
                assert f'<a id="{place}"></a>' in there, f"{name} links to {to}#{place}"


def test_no_addresses_and_no_machine_paths(whole: dict[str, str]) -> None:
    for name, text in whole.items():
        assert not re.search(r"https?:|www\.", text), name
        assert not re.search(r"(^|[^a-z.])/(work|tmp|home)/", text), name


def test_pages_name_what_a_check_looks_at(generator: ModuleType) -> None:
    """Own output against another way: what the demonstration house makes the checks look up stands on their pages."""
    asking = sys.modules["paging.asking"]
    design = design_named("demo")
    watch = Watch()
    run_all(replace(design, book=watched(design.book, watch), framing=watched(design.framing, watch)), watch.begin)
    for value_id, checks in watch.used().items():
        for check in checks:
            assert value_id.partition("[")[0] in asking.of_check(check), f"{check} looks at {value_id}"
